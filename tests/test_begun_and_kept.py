"""A product only begun, pieces that stay, leather that is gone, parts of a product, lesser leather first."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import Polygon, box

from hides.errors import InputError
from hides.hide import Grade, Hide, Zone
from nesting.check import faults
from nesting.commands import main
from nesting.laying.case import case_of
from nesting.laying.lay_out import lay_out, solve
from nesting.model.layout import BegunProduct, Layout
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.result.answer import answer_data, answer_text
from nesting.result.begun import with_begun_cut, without_begun
from nesting.result.kept import lain_on, without_cut
from nesting.result.layout_file import layout_from_data, layout_to_data

QUICK = Settings(effort="quick")
BOARD = Hide("board", ((0, 0), (500, 0), (500, 300), (0, 300)))


def _box(width: float, height: float) -> tuple[tuple[float, float], ...]:
    return ((0, 0), (width, 0), (width, height), (0, height))


SET = Product("strap set", (Piece("strap", _box(100, 50), 20),))
"""Thirty straps cover the board, so one set is complete and ten pieces of another go."""
COASTER = Product("coaster", (Piece("square", _box(100, 100)),))


@pytest.fixture(scope="module")
def begun() -> Layout:
    return lay_out(BOARD, [Want(SET)], QUICK)


def test_what_goes_of_one_more_product_is_laid_and_told(begun: Layout) -> None:
    count = begun.counts[0]
    assert (count.complete, count.next) == (1, BegunProduct(10, 20, (("strap", 10),)))
    assert sorted(p.number for p in begun.hides[0].placements) == [1] * 20 + [2] * 10
    assert not faults(begun)
    assert "Of one more strap set 10 of 20 pieces are laid; it lacks 10 strap." in answer_text(begun).replace("\n ", "")
    assert answer_data(begun)["products"][0]["next"] == {"laid": 10, "of": 20, "missing": {"strap": 10}}


def test_seventeen_of_twenty_are_told_where_not_one_product_is_complete() -> None:
    narrow = Hide("narrow", ((0, 0), (1700, 0), (1700, 50), (0, 50)))
    layout = lay_out(narrow, [Want(SET)], QUICK)
    assert layout.counts[0].complete == 0
    assert layout.counts[0].next == BegunProduct(17, 20, (("strap", 3),))


def test_areas_and_offcuts_leave_out_what_is_only_begun(begun: Layout) -> None:
    areas = begun.hides[0].areas
    assert areas.pieces == pytest.approx(20 * 5000)
    assert areas.offcuts + areas.scrap == pytest.approx(10 * 5000)


def test_the_file_brings_back_what_is_begun(begun: Layout) -> None:
    data = layout_to_data(begun)
    assert data["products"][0]["next"] == {"laid": 10, "of": 20, "missing": {"strap": 10}}
    assert layout_from_data(json.loads(json.dumps(data))).counts == begun.counts


@pytest.mark.parametrize(
    "told",
    [None, BegunProduct(11, 20, (("strap", 9),)), BegunProduct(10, 20, ()), BegunProduct(10, 19, (("strap", 10),))],
)
def test_the_check_refuses_a_wrong_word_of_what_is_begun(begun: Layout, told: BegunProduct | None) -> None:
    wrong = replace(begun, counts=(replace(begun.counts[0], next=told),))
    assert "count" in {fault.code for fault in faults(wrong)}


def test_what_is_begun_is_left_out_or_taken_whole(begun: Layout) -> None:
    left, taken = without_begun(begun), with_begun_cut(begun)
    assert [len(x.hides[0].placements) for x in (left, taken)] == [20, 30]
    assert not faults(left)
    assert not faults(taken)
    assert taken.hides[0].areas.pieces == pytest.approx(30 * 5000)


def test_nothing_goes_beyond_what_is_ordered() -> None:
    layout = lay_out(BOARD, [Want(SET, limit=1)], QUICK)
    assert layout.counts[0].next is None
    assert len(layout.hides[0].placements) == 20


def test_pieces_that_stay_come_back_unchanged_and_the_rest_is_filled() -> None:
    first = lay_out(BOARD, [Want(COASTER)], QUICK)
    kept = tuple(replace(p, keep=True) for p in first.hides[0].placements[::2])
    again = solve(case_of(BOARD, [Want(COASTER)], QUICK, kept))
    stayed = {(p.x, p.y, p.angle, p.mirrored, p.outline) for p in again.hides[0].placements if p.keep}
    assert stayed == {(p.x, p.y, p.angle, p.mirrored, p.outline) for p in kept}
    assert again.counts[0].complete >= first.counts[0].complete == 15
    assert not faults(again)


def test_the_bound_is_that_of_what_is_left() -> None:
    """Five squares in a row leave strips of 99.5 and 100.5 mm, whose areas hold four and five, not ten together."""
    middle = [replace(_laid(100.0 * n, 99.5), keep=True) for n in range(5)]
    layout = solve(case_of(BOARD, [Want(COASTER)], QUICK, middle))
    assert (layout.counts[0].complete, layout.counts[0].at_most) == (10, 5 + 4 + 5)


def _laid(x: float, y: float) -> Any:
    from nesting.model.layout import Placement

    outline = ((x, y), (x + 100, y), (x + 100, y + 100), (x, y + 100))
    return Placement("square", "coaster", 1, x, y, 0.0, False, outline)


def test_pieces_that_lie_wrong_cannot_stay() -> None:
    two = [replace(_laid(0, 0), keep=True), replace(_laid(50, 0), keep=True)]
    with pytest.raises(InputError, match="overlap"):
        case_of(BOARD, [Want(COASTER)], QUICK, two)
    with pytest.raises(InputError, match="coaster"):
        case_of(BOARD, [Want(SET)], QUICK, two[:1])


def test_nothing_is_laid_on_leather_that_is_gone() -> None:
    first = lay_out(BOARD, [Want(COASTER, limit=6)], QUICK)
    rest = without_cut(BOARD, first)
    layout = lay_out(rest, [Want(COASTER)], QUICK)
    gone = [Polygon(p.outline) for p in first.hides[0].placements]
    laid = [Polygon(p.outline) for p in layout.hides[0].placements if p.number]
    assert all(a.intersection(b).area < 1 for a in gone for b in laid)
    assert 0 < layout.counts[0].complete <= 9
    with pytest.raises(InputError, match="outlines differ"):
        without_cut(Hide("other", ((0, 0), (90, 0), (90, 90))), first)


def test_all_pieces_stay_where_none_is_marked() -> None:
    layout = lay_out(BOARD, [Want(COASTER, limit=3)], QUICK)
    assert [each.keep for each in lain_on(layout, BOARD)] == [True] * 3
    one = replace(
        layout.hides[0], placements=(replace(layout.hides[0].placements[0], keep=True), *layout.hides[0].placements[1:])
    )
    assert [each.keep for each in lain_on(replace(layout, hides=(one,)), BOARD)] == [True, False, False]


def test_lesser_leather_is_used_before_better() -> None:
    """Half the board is of grade C and holds all ten squares that grade C serves: none lies on the better half."""
    belly = Zone("belly", ((0, 0), (500, 0), (500, 200), (0, 200)), Grade.C)
    hide = Hide("board", BOARD.outline, zones=(belly,))
    mixed = Product("mixed", (Piece("fine", _box(100, 100), 1), Piece("coarse", _box(100, 100), 2, Grade.C)))
    layout = lay_out(hide, [Want(mixed, limit=4)], QUICK)
    assert layout.counts[0].complete == 4
    better = box(0, 200, 500, 300)
    coarse = [Polygon(p.outline) for p in layout.hides[0].placements if p.piece == "coarse"]
    assert all(piece.intersection(better).area < 1 for piece in coarse)


HIDE = {
    "format": "hideplan-hide-1",
    "name": "board",
    "cut": "hide",
    "outline": [[0, 0], [500, 0], [500, 300], [0, 300]],
}
PROJECT = """format = "hideplan-project-1"
name = "rack"
[[piece]]
name = "strap"
count = 3
shape = { rectangle = [50, 100] }
[[piece]]
name = "panel"
shape = { rectangle = [200, 200] }
"""


def test_the_command_keeps_loses_and_makes_parts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hide, project = tmp_path / "board.json", tmp_path / "rack.toml"
    hide.write_text(json.dumps(HIDE))
    project.write_text(PROJECT)
    words = ["yield", str(hide), str(project), "--effort", "quick"]
    first, second, third = (tmp_path / f"{n}.json" for n in range(3))
    assert main([*words, "--out", str(first)]) == 0
    capsys.readouterr()
    assert main([*words, "--keep", str(first), "--out", str(second)]) == 0
    assert "beside the pieces that stay" in capsys.readouterr().out.replace("\n", " ").replace("  ", " ")
    before, after = (json.loads(path.read_text())["hides"][0]["placements"] for path in (first, second))
    places = {tuple(map(tuple, p["outline"])) for p in after if p.get("keep")}
    assert places == {tuple(map(tuple, p["outline"])) for p in before}
    assert main([*words, "--gone", str(first), "--pieces", "strap=1", "--out", str(third)]) == 0
    assert "gone already" in capsys.readouterr().out
    part = json.loads(third.read_text())
    assert part["products"][0]["name"] == "rack: 1 strap"
    assert part["products"][0]["complete"] <= 1
    for path in (first, second, third):
        assert main(["check", str(path)]) == 0
    assert main([*words, "--pieces", "starp=1"]) == 2
    assert "strap" in capsys.readouterr().err


def test_an_order_line_asks_for_a_part(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hides = tmp_path / "hides"
    hides.mkdir()
    (hides / "board.json").write_text(json.dumps(HIDE))
    (tmp_path / "rack.toml").write_text(PROJECT)
    order = tmp_path / "order.toml"
    line = '[[line]]\nproject = "rack.toml"\nquantity = 1\npieces = { strap = 2 }\n'
    order.write_text(f'format = "hideplan-order-1"\n{line}')
    assert main(["batch", str(order), "--hides", str(hides), "--effort", "quick", "--json"]) == 0
    plan = json.loads(capsys.readouterr().out)
    assert plan["products"][0]["name"] == "rack: 2 strap"
    assert sum(len(h["placements"]) for x in plan["layouts"] for h in x["hides"]) == 2
    order.write_text(f'format = "hideplan-order-1"\n{line.replace("strap = 2", "starp = 2")}')
    assert main(["batch", str(order), "--hides", str(hides)]) == 2
    assert "line[1]" in capsys.readouterr().err
