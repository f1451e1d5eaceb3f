"""Every sentence that claims is known: made where its condition is checked, and silent, by a test, where that fails.

What is proven of layouts and plans, what cannot be, and what a stop has left is said by `nesting.result.claims` and
`nesting.result.stopped` alone. What else has a word of a claim in it is listed here: a new one is noticed.
"""

from __future__ import annotations

import ast
import math
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from boards import board, box, laid, lain
from claim_words import CLAIMS, claiming

from hides.hide import Grade, Hide, Ring, Zone
from nesting.drawing.cutting_list import _arrows, _beside
from nesting.drawing.facts import marking_text
from nesting.making.pick import pick
from nesting.model.making import Fastener, Size
from nesting.model.product import Piece, Product
from nesting.model.want import Want
from nesting.posing.pose_problem import pose_problem
from nesting.result import claims
from nesting.result.answer import answer_text
from nesting.result.claims import (
    best_straight,
    has_no_leather,
    is_best_straight,
    no_leather,
    no_more_than,
    no_place,
    right_layout,
    too_narrow,
)
from nesting.result.cutting_order import SIDES, Parting, PieceCut

ROOT = Path(__file__).parent.parent
HOME = {"nesting/result/claims.py", "nesting/result/stopped.py"}

LIST = tomllib.loads((ROOT / "tests" / "claims.toml").read_text(encoding="utf-8"))


def test_every_sentence_that_claims_is_listed() -> None:
    """A new one belongs into `nesting.result.claims` with a test there, or into one of the lists above."""
    claimed = [(entry["file"], entry["text"]) for entry in (*LIST["said"], *LIST["guarded"])]
    known = [*claimed, *((file, text) for file, texts in LIST["other"].items() for text in texts)]
    found = {(file, text) for file, text in claiming(ROOT) if file not in HOME}

    def stands(entry: tuple[str, str], said: tuple[str, str]) -> bool:
        return entry[0] == said[0] and entry[1] in said[1]

    assert sorted(said for said in found if not any(stands(entry, said) for entry in known)) == []
    assert sorted(entry for entry in claimed if not any(stands(entry, said) for said in found)) == []  # gone by now


@pytest.mark.parametrize("said", [
    "Proven: it is so.", "this cannot be cut", "nothing was written", "no layout can give more", "it is the best",
    "too large for it", "every piece fits", "not one was laid", "at any angle",
])  # fmt: skip
def test_words_of_claims_are_noticed(said: str) -> None:
    assert CLAIMS.search(said)


def test_every_claim_that_is_listed_names_a_test_that_there_is() -> None:
    for entry in LIST["said"]:
        file, name = (named := entry["test"]).split("::")
        tree = ast.parse((ROOT / "tests" / file).read_text(encoding="utf-8"))
        assert any(isinstance(node, ast.FunctionDef) and node.name == name for node in tree.body), named


def test_every_claim_of_the_module_of_claims_is_asked_for_by_a_test() -> None:
    files = [ROOT / "tests" / f"test_{name}.py" for name in ("claims", "claims_listed", "straight")]
    said = "".join(file.read_text(encoding="utf-8") for file in files)
    tree = ast.parse(Path(claims.__file__).read_text(encoding="utf-8"))
    public = [node.name for node in tree.body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")]
    assert [name for name in public if not re.search(rf"\b{name}\b", said)] == []


@pytest.mark.parametrize("entry", LIST["guarded"], ids=lambda entry: str(entry["text"])[:40])
def test_what_the_page_says_of_an_answer_stands_behind_its_condition(entry: dict[str, str]) -> None:
    lines = (ROOT / entry["file"]).read_text(encoding="utf-8").splitlines()
    words = entry["text"].split("{")[0]
    saying = [number for number, line in enumerate(lines) if words in line]
    assert saying
    for number in saying:
        before = "\n".join([*lines[max(0, number - 4) : number], lines[number].partition(words)[0]])
        assert entry["behind"] in before


@pytest.mark.parametrize(("complete", "at_most"), [(2, 2), (2, 3), (0, 1)])
def test_a_straight_plan_is_called_the_best_only_where_it_reaches_its_bound(complete: int, at_most: int) -> None:
    said = best_straight(complete, at_most)
    assert ("Proven best" in said) == (complete == at_most) == is_best_straight(complete, at_most)
    assert said.endswith(("can give more.", f"more than {at_most}."))
    assert no_more_than(at_most) == f"proven: no more than {at_most}"


@pytest.mark.parametrize(("zone", "none"), [(box(0, 0, 1000, 600), True), (box(0, 0, 1000, 599), False)])
def test_leather_is_said_to_be_missing_only_where_there_is_not_a_strip_of_it(zone: Ring, none: bool) -> None:
    hide = Hide("h", box(0, 0, 1000, 600), zones=(Zone("all", zone, Grade.C),))
    problem = pose_problem(hide, [Want(Product("p", (Piece("tab", box(0, 0, 40, 40)),)))], 0.0)
    assert has_no_leather(problem, 0) == none
    said = too_narrow(problem, 0, "leather of grade A or better", "it")
    assert (said == no_leather("leather of grade A or better")) == none
    assert ("wide enough" in said) != none
    assert no_place("it") == "no place was found for it at the angles that were tried"


def test_a_check_says_right_only_of_what_it_checked() -> None:
    assert right_layout(0) == ("the layout is right", "no distance is off by more than 0.01 mm")
    what, exact = right_layout(2)
    assert "right" not in what
    assert exact.startswith("of that ")


def test_an_answer_says_that_it_was_stopped_or_gave_none_only_where_that_is_so() -> None:
    piece = Piece("tab", box(0, 0, 40, 40))
    one = laid(board(), [piece], [lain(piece, 10, 10)])
    none = replace(laid(board(), [piece], [], complete=0), stopped=True)
    assert "Not one complete" not in answer_text(one)
    assert "Stopped before" not in answer_text(one)
    assert "Not one complete “goods” was laid." in answer_text(none)
    assert "Stopped before the search was done" in answer_text(none)


def test_waste_beside_a_cut_is_denied_only_where_there_is_none() -> None:
    line = ((0.0, 0.0), (10.0, 0.0))
    assert _beside(Parting(line, (), ()), []) == "clear of every piece"
    assert _beside(Parting(line, (0,), ()), ["a"]) == "the edge of a; no waste beside it"
    assert "no waste" not in _beside(Parting(line, (0,), ("above",)), ["a"])
    assert _arrows(PieceCut(0, 0, ())) == "–"
    assert _arrows(PieceCut(0, 0, ("left",))) == "←"
    assert _arrows(PieceCut(0, 0, SIDES)) == "○"


def test_what_a_slip_of_the_marks_does_is_said_only_where_it_is_known() -> None:
    """An arch of a cord has no two points that keep it within a millimetre: it gets three."""
    middle = [(400 * math.cos(a), 400 * math.sin(a)) for a in np.linspace(0.15, 2.2, 40)]
    cord = shapely.LineString(middle).buffer(6, quad_segs=12)
    arch = Piece("arch", tuple((float(x), float(y)) for x, y in cord.exterior.coords[:-1]))

    def told(*pieces: Piece) -> str:
        layout = laid(board(), list(pieces), [lain(piece, 100, 100) for piece in pieces])
        return marking_text(layout, layout.hides[0], "mm")

    square = Piece("square", box(0, 0, 80, 80))
    assert "no point of a piece is off by more than 1 mm" in told(square)
    assert "is off by more" not in told(square, arch)


def test_the_shortest_rivet_that_serves_is_the_one_picked() -> None:
    rivets = Fastener("rivet", "rivet", tuple(Size(f"{n} mm", float(n)) for n in (6, 8, 10, 12)), proud=3.0)
    found = pick(rivets, 7.5)
    assert found
    assert found.name == "8 mm"
    assert pick(rivets, 20.0) is None
    snaps = Fastener("snap", "snap", tuple(Size(f"{n}", float(n), grip=(2.0, 2.0 + n)) for n in (1, 3)))
    held = pick(snaps, 2.5)
    assert held
    assert held.name == "1"
