"""Sentences that claim: each is said where its condition holds, and is silent where it fails."""

from __future__ import annotations

import ast
import math
from dataclasses import replace
from pathlib import Path

import pytest
from boards import box
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon

from hides.hide import Flaw, Grade, Hide, Thickness, Zone
from nesting.drawing.facts import product_lines
from nesting.laying.case import case_of
from nesting.laying.lay_out import lay_out, solve
from nesting.laying.shortage import shortages, why_not
from nesting.model.layout import Growing, Placement, ProductCount
from nesting.model.product import Along, Cover, Piece, Product
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules
from nesting.model.want import Want
from nesting.page.by_hand import growing_data
from nesting.posing.pose_problem import pose_problem
from nesting.result.answer import answer_data, answer_text
from nesting.result.claims import (
    best_count,
    cannot_fill,
    cut_whole,
    fits_nowhere,
    no_better_plan,
    too_large,
    too_narrow,
)

EAST = ((0.0, 0.0), (1.0, 0.0))


def ell(arm: float) -> Hide:
    """An L of leather, each arm 1,000 mm long and `arm` wide."""
    return Hide("ell", ((0, 0), (1000, 0), (1000, arm), (arm, arm), (arm, 1000), (0, 1000)), backbone=EAST)


def nowhere(hide: Hide, piece: Piece) -> bool:
    return fits_nowhere(pose_problem(hide, [Want(Product("p", (piece,)))], 0.0), 0)


@pytest.mark.parametrize(
    ("complete", "at_most", "said"),
    [
        (0, 0, "Proven: no layout can give one."),
        (0, 1, "No layout can give more than 1."),
        (2, 2, "Proven best: no layout can give more."),
        (2, 3, "No layout can give more than 3."),
        (3, 2, "No layout can give more than 2."),
    ],
)
def test_best_is_said_only_where_the_count_is_the_bound(complete: int, at_most: int, said: str) -> None:
    assert best_count(complete, at_most) == said


@pytest.mark.parametrize("filled", [True, False])
@pytest.mark.parametrize(("hides", "least"), [(2, 2), (3, 2)])
@pytest.mark.parametrize(("cost", "least_cost"), [(90.0, 90.0), (95.0, 90.0)])
def test_none_costs_less_is_said_only_where_the_cost_is_the_least(
    filled: bool, hides: int, least: int, cost: float, least_cost: float
) -> None:
    said = no_better_plan(filled, hides, least, cost, least_cost, "EUR")
    assert ("none costs less" in said) == (cost == least_cost)
    assert ("Proven" in said) == (hides == least)
    assert ("that gives as much" in said) == (not filled)  # a plan that gives less does cost less
    assert "cost" not in no_better_plan(filled, hides, least, cost, least_cost, "")


def test_an_order_is_said_to_be_impossible_only_where_a_bound_says_so() -> None:
    assert cannot_fill(False) == "Proven: these hides cannot fill it."
    assert cannot_fill(True) == ""


@pytest.mark.parametrize(
    ("wide", "long", "proven"), [(50.03, 990.0, False), (60.0, 1300.0, True), (60.0, 1600.0, True)]
)
def test_too_large_at_any_angle_is_said_only_where_it_is_proven(wide: float, long: float, proven: bool) -> None:
    """On an L the hull is no proof: a strip of 1,300 would lie in the hull, and lies nowhere in the L.

    Boxes of its poses find that out; not so of one that only a layout's tolerance might let through.
    """
    piece = Piece("strip", box(0, 0, wide, long))
    problem = pose_problem(ell(50.0), [Want(Product("p", (piece,)))], 0.0)
    said = too_large(problem, 0, f"{wide:g} × {long:g} mm")
    assert ("at any angle" in said) == proven
    assert ("tried" in said) == (not proven)


@settings(max_examples=150, deadline=None)
@given(
    st.floats(20, 400), st.floats(20, 1200), st.floats(-180, 180), st.floats(0, 20), st.booleans(),
    st.sampled_from([0.0, 0.009]),
)  # fmt: skip
def test_nothing_is_called_too_large_for_leather_that_is_drawn_round_it(
    wide: float, long: float, turn: float, tolerance: float, covered: bool, tight: float
) -> None:
    piece = Piece(
        "p", box(0, 0, wide, long), along=Along.BACKBONE, tolerance=tolerance,
        covered=(Cover(box(0, 0, wide, long / 3), Grade.C),) if covered else (),
    )  # fmt: skip
    shape = affinity.rotate(Polygon(piece.outline), turn, origin=(0, 0)).buffer(-tight, join_style="mitre")
    way = math.radians(turn + 90)
    hide = Hide("h", tuple(shape.exterior.coords[:-1]), backbone=((0.0, 0.0), (math.cos(way), math.sin(way))))
    assert not nowhere(hide, piece)


def test_a_wide_piece_on_narrow_leather_of_its_grade_is_told_as_that() -> None:
    belly = Zone("belly", box(0, 100, 1000, 500), Grade.C)
    hide = Hide("h", box(0, 0, 1000, 600), backbone=EAST, zones=(belly,))
    piece = Piece("panel", box(0, 0, 150, 400), along=Along.BACKBONE)
    assert why_not(hide, piece, "mm") == (
        "no leather of grade A or better is wide enough for 150 × 400 mm at the angles it may take"
    )
    scars = tuple(Flaw("scar", box(100 * k, 0, 2, 600), Grade.B) for k in range(1, 10))
    cut = Hide("h", box(0, 0, 1000, 600), backbone=EAST, flaws=scars)
    assert "no leather of grade A" in why_not(cut, piece, "mm")


def test_a_thickness_that_is_nowhere_wide_enough_is_told_as_that() -> None:
    thick = Thickness(3.0, 3.4)
    zone = Zone("butt", box(0, 0, 1000, 100), thickness=thick)
    hide = Hide("h", box(0, 0, 1000, 600), backbone=EAST, zones=(zone,), thickness=Thickness(2.0, 2.4))
    piece = Piece("panel", box(0, 0, 150, 400), thickness=thick)
    assert why_not(hide, piece, "mm").startswith("no leather of its thickness is wide enough")


WIDE_B = Zone("belly", box(0, 100, 1000, 600), Grade.B)


def test_leather_of_its_thickness_is_said_to_be_missing_only_where_there_is_none_whatever_its_grade() -> None:
    """Thick leather is of grade B, leather of grade A is thin: neither alone is missing, both together are."""
    thick, thin = Thickness(3.0, 3.4), Thickness(1.0, 1.4)
    zones = replace(WIDE_B, thickness=thick), Zone("strip", box(0, 0, 1000, 100), thickness=thin)
    hide = Hide("h", box(0, 0, 1000, 600), backbone=EAST, zones=zones, thickness=thin)
    small = Piece("tab", box(0, 0, 40, 80), thickness=thick)
    assert why_not(hide, small, "mm") == "no leather of grade A or better, of its thickness on this hide"
    assert why_not(hide, replace(small, grade=Grade.C, thickness=Thickness(6, 7)), "mm") == (
        "no leather of its thickness on this hide"
    )
    assert why_not(replace(hide, grade=Grade.B), small, "mm") == "no leather of grade A or better on this hide"


def test_where_a_piece_must_lie_is_not_told_as_its_size_or_its_grade() -> None:
    """A panel goes on the hide, and not on the narrow butt that it must come from, nor so far off the backbone."""
    hide = Hide("h", box(0, 0, 1000, 600), backbone=((0, 300), (1000, 300)), zones=(Zone("butt", box(0, 0, 1000, 90)),))
    panel = Piece("panel", box(0, 0, 150, 400), along=Along.BACKBONE)
    assert why_not(hide, replace(panel, regions=("butt",)), "mm") == (
        "no leather in “butt” is wide enough for 150 × 400 mm at the angles it may take"
    )
    assert why_not(hide, replace(panel, off_backbone=200.0), "mm") == (
        "no leather 200 mm off the backbone is wide enough for 150 × 400 mm at the angles it may take"
    )


@pytest.mark.parametrize(("wide", "said"), [(101.0, True), (99.9, False)])
def test_leather_is_said_to_be_too_narrow_only_where_that_is_proven(wide: float, said: bool) -> None:
    """What no search has found a place for is not said to be too large where the hulls would let it lie."""
    hide = Hide("h", box(0, 0, 1000, 600), backbone=EAST, zones=(Zone("belly", box(0, 100, 1000, 600), Grade.C),))
    piece = Piece("panel", box(0, 0, wide, 400), along=Along.BACKBONE)
    problem = pose_problem(hide, [Want(Product("p", (piece,)))], 0.0)
    told = too_narrow(problem, 0, "leather of grade A or better", "it")
    assert told == (
        "no leather of grade A or better is wide enough for it at the angles it may take" if said
        else "no place was found for it at the angles that were tried on leather of grade A or better"
    )  # fmt: skip


def test_layouts_are_said_not_to_fit_better_only_where_no_better_choice_among_them_is_left() -> None:
    assert "none of the layouts found fits better" in cut_whole(True)
    assert "could be chosen better" in cut_whole(False)


def test_what_was_not_asked_for_is_not_said_to_be_impossible() -> None:
    """Six squares go on the board; two were asked for, also off one struck line."""
    board = Hide("board", box(0, 0, 300, 200), backbone=EAST)
    asked = Want(Product("coaster", (Piece("square", box(0, 0, 100, 100), along=Along.BACKBONE),)), limit=2)
    for straight in (None, StraightRules()):
        layout = lay_out(board, [asked], Settings(effort="quick", straight=straight))
        (told,) = answer_data(layout)["products"]
        assert (told["complete"], told["at_most"], told["proven_best"]) == (2, 6, False)
        assert told["claim"] == "No layout can give more than 6."
        assert "Proven" not in answer_text(layout)
        assert not shortages(case_of(board, [asked], Settings(effort="quick")), layout)


def test_what_a_sheet_says_beside_pieces_that_stay_is_said_of_such_layouts_alone() -> None:
    board = Hide("board", box(0, 0, 300, 200), backbone=EAST)
    want = Want(Product("coaster", (Piece("square", box(0, 0, 100, 100)),)))
    whole = lay_out(board, [want], Settings(effort="quick"))
    assert [said for _, said in product_lines(whole, whole.hides[0])] == ["Proven best: no layout can give more."]
    first = replace(whole.hides[0].placements[0], keep=True)
    stays = solve(case_of(board, [want], Settings(effort="quick"), (first,)))
    assert [said for _, said in product_lines(stays, stays.hides[0])] == [
        "Proven best: no layout can give more beside the pieces that stay."
    ]


def test_claims_stand_in_one_module() -> None:
    """A sentence that says "proven", "at any angle" or "none costs less" is made where its condition is checked."""
    words = ("proven:", "proven best", "at any angle", "costs less", "no layout can", "no plan")
    for path in sorted(Path("nesting").rglob("*.py")):
        if path.name == "claims.py":
            continue
        tree = ast.parse(path.read_text())
        docs = {ast.get_docstring(n, clean=False) for n in ast.walk(tree)
                if isinstance(n, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)}  # fmt: skip
        for node in ast.walk(tree):
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
                docs.add(str(node.value.value))
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value not in docs:
                said = node.value.lower()
                assert not any(word in said for word in words), (path, node.value)


def test_the_page_makes_no_claim_of_its_own() -> None:
    """What is proven comes to the page as a sentence, from where its condition is checked."""
    words = ("proven", "no layout", "can give", "no plan", "costs less", "at any angle", "nothing was written")
    for path in sorted(Path("nesting/page/static").rglob("*.js")):
        lines = [line for line in path.read_text().splitlines() if not line.lstrip().startswith(("//", "*", "/*"))]
        said = [line for line in lines if any(word in line.lower() for word in words)]
        assert not said, (path, said)


@pytest.mark.parametrize(("complete", "kept", "said"), [
    (2, False, "Proven best: no layout can give more."),
    (1, False, "No layout can give more than 2."),
    (2, True, "Proven best: no layout can give more beside the pieces that stay."),
])  # fmt: skip
def test_what_the_page_says_while_pieces_are_laid_is_what_is_proven(complete: int, kept: bool, said: str) -> None:
    lies = Placement("p", "P", 1, 0, 0, 0, False, ((0, 0), (1, 0), (1, 1)), keep=kept)
    told = growing_data(Growing((ProductCount("P", complete, 2),), (lies,)))
    assert [product["claim"] for product in told["products"]] == [said]
