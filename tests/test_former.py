"""What is filled beside pieces that stay holds no less than what of the former layout may still lie."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from hides.hide import Flaw, Grade, Hide
from nesting.check import faults
from nesting.commands import main
from nesting.laying.case import case_of
from nesting.laying.lay_out import lay_out, solve
from nesting.model.layout import BegunProduct, Layout, Placement
from nesting.model.product import Near, Piece, Product
from nesting.model.settings import Settings, Watch
from nesting.model.want import Want
from nesting.result.layout_file import read_layout, write_layout

QUICK = Settings(effort="quick")
BOARD = Hide("board", ((0, 0), (500, 0), (500, 300), (0, 300)))
PANEL = Piece("panel", ((0, 0), (70, 0), (70, 40), (0, 40)), near=(Near("tip", 75.0),))
KIT = Product("kit", (PANEL, Piece("tip", ((0, 0), (90, 0), (20, 60)))))
"""What is to lie near something else is laid together on a bare hide only: beside pieces that stay fewer are found."""
STRAPS = Product("strap set", (Piece("strap", ((0, 0), (100, 0), (100, 50), (0, 50)), 20),))


@pytest.fixture(scope="module")
def kits() -> Layout:
    return lay_out(BOARD, [Want(KIT)], QUICK)


def _former(layout: Layout, every: int = 5) -> tuple[Placement, ...]:
    """All pieces of a layout; those of every fifth product stay."""
    return tuple(replace(p, keep=p.number % every == 1) for p in layout.hides[0].placements)


def _kept(former: tuple[Placement, ...]) -> list[Placement]:
    return [each for each in former if each.keep]


def _places(pieces: list[Placement] | tuple[Placement, ...]) -> set[tuple[object, ...]]:
    return {(p.piece, p.x, p.y, p.angle, p.mirrored) for p in pieces}


def test_filling_the_rest_never_gives_fewer_than_before(kits: Layout) -> None:
    former = _former(kits)
    made = solve(case_of(BOARD, [Want(KIT)], QUICK, _kept(former), former))
    assert made.counts[0].complete >= kits.counts[0].complete > 10
    assert not faults(made)
    assert _places([p for p in made.hides[0].placements if p.keep]) == _places(_kept(former))


def test_a_search_that_is_stopped_at_once_gives_no_fewer_either(kits: Layout) -> None:
    former = _former(kits)
    made = solve(case_of(BOARD, [Want(KIT)], QUICK, _kept(former), former), Watch(stop=lambda: True))
    assert made.counts[0].complete == kits.counts[0].complete
    assert made.stopped


def test_pieces_on_a_flaw_found_since_are_left_out_and_the_others_count(kits: Layout) -> None:
    former = _former(kits)
    x, y = next(p for p in former if not p.keep).outline[0]
    hole = Flaw("hole", ((x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5)), Grade.NONE)
    spoilt = replace(BOARD, flaws=(hole,))
    wrong = replace(kits, hides=(replace(kits.hides[0], hide=spoilt),))
    hit = {name for fault in faults(wrong) if fault.code == "flaw" for name in fault.pieces}
    kept = [each for each in _kept(former) if not any(f"no. {each.number}" in name for name in hit)]
    made = solve(case_of(spoilt, [Want(KIT)], QUICK, kept, former), Watch(stop=lambda: True))
    assert made.counts[0].complete >= kits.counts[0].complete - len(hit)
    assert not faults(made)


def test_what_may_lie_so_no_more_is_not_given(kits: Layout) -> None:
    """With a wider gap than they keep no two of the pieces may lie as they did, and the few that stay are apart."""
    kept = [replace(each, keep=True) for each in kits.hides[0].placements[:1]]
    wide = replace(QUICK, gap=6.0)
    made = solve(case_of(BOARD, [Want(KIT)], wide, kept, kits.hides[0].placements), Watch(stop=lambda: True))
    assert made.counts[0].complete < kits.counts[0].complete
    assert not faults(made)


def test_no_more_of_the_former_layout_than_is_wanted(kits: Layout) -> None:
    former = _former(kits)
    made = solve(case_of(BOARD, [Want(KIT, limit=12)], QUICK, _kept(former), former), Watch(stop=lambda: True))
    assert made.counts[0].complete == 12
    assert len(made.hides[0].placements) == 24
    assert not faults(made)


def test_what_does_not_hold_the_pieces_that_stay_is_no_former_layout(kits: Layout) -> None:
    first, *others = kits.hides[0].placements
    assert case_of(BOARD, [Want(KIT)], QUICK, [replace(first, keep=True)], others).former == ()
    assert case_of(BOARD, [Want(STRAPS)], QUICK, (), kits.hides[0].placements).former == ()


def test_what_was_begun_is_begun_still() -> None:
    """Thirty straps cover the board: a set and ten of another; a search that is stopped at once finds no more."""
    whole = lay_out(BOARD, [Want(STRAPS)], QUICK)
    former = tuple(replace(p, keep=n == 7) for n, p in enumerate(whole.hides[0].placements))
    made = solve(case_of(BOARD, [Want(STRAPS)], QUICK, _kept(former), former), Watch(stop=lambda: True))
    assert (made.counts[0].complete, made.counts[0].next) == (1, BegunProduct(10, 20, (("strap", 10),)))
    assert not faults(made)


def test_the_command_never_gives_fewer_than_the_layout_that_it_keeps_pieces_of(tmp_path: Path, kits: Layout) -> None:
    hide, project, before, after = (tmp_path / name for name in ("board.json", "kit.toml", "1.json", "2.json"))
    outline = [list(point) for point in BOARD.outline]
    hide.write_text(json.dumps({"format": "hideplan-hide-1", "name": "board", "cut": "hide", "outline": outline}))
    project.write_text(
        'format = "hideplan-project-1"\nname = "kit"\n'
        '[[piece]]\nname = "panel"\nshape = { rectangle = [70, 40] }\nnear = [{ piece = "tip", within = 75 }]\n'
        '[[piece]]\nname = "tip"\nshape = { polygon = [[0, 0], [90, 0], [20, 60]] }\n'
    )
    words = ["yield", str(hide), str(project), "--effort", "quick"]
    assert main([*words, "--out", str(before)]) == 0
    whole = read_layout(before)
    write_layout(before, replace(whole, hides=(replace(whole.hides[0], placements=_former(whole)),)))
    assert main([*words, "--keep", str(before), "--out", str(after)]) == 0
    made = read_layout(after)
    assert made.counts[0].complete >= whole.counts[0].complete > 10
    assert main(["check", str(after)]) == 0
