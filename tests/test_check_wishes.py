"""What pieces wish of their places, as the check reckons it: distances and angles worked out by hand.

A square of 40 mm is laid by its middle. The backbone of `SKEW` runs 3 by 4, so that distances from it are whole.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from boards import EAST, board, box, lain
from shapely.geometry import Polygon

from hides.hide import Flaw, Grade, Hide, Thickness, Zone
from nesting.check.fault import Fault
from nesting.check.places import apart, misplaced_by_wish, unknown_regions
from nesting.model.layout import Areas, HideLayout, Placement
from nesting.model.product import Near, Piece

SQUARE = Piece("square", box(-20, -20, 40, 40))
LEFT = replace(SQUARE, name="ear left", hand="left", pair_within=10.0)
RIGHT = replace(SQUARE, name="ear right", hand="right", pair_within=10.0)
SKEW = ((100.0, 150.0), (400.0, 550.0))
IN_AND_OUT = pytest.mark.parametrize(("off", "wrong"), [(0.0, False), (0.010001, False), (0.010003, True)])
"""By 0.01 mm and what rounding makes of it, 0.000002 mm, a layout may be off."""


def at(piece: Piece, x: float, y: float, angle: float = 0.0, number: int = 1) -> Placement:
    return lain(piece, x, y, angle, number=number)


def own(hide: Hide, placement: Placement, piece: Piece) -> list[Fault]:
    return list(misplaced_by_wish(hide, placement, Polygon(placement.outline), piece))


def together(hide: Hide, pieces: list[Piece], *laid: Placement) -> list[Fault]:
    described = {("goods", piece.name): piece for piece in pieces}
    return list(apart(HideLayout(hide, laid, Areas(0, 0, 0, 0, 0, 0, 0)), described))


# --- off the backbone


@IN_AND_OUT
@pytest.mark.parametrize("side", [1, -1])
def test_a_piece_keeps_off_the_backbone_on_either_side(side: int, off: float, wrong: bool) -> None:
    """The square's nearest side is 20 mm from its middle."""
    piece = replace(SQUARE, off_backbone=50.0)
    found = own(board(), at(piece, 500, 300 + side * (70 - off)), piece)
    assert [(f.code, round(f.by or 0, 6), f.where) for f in found] == (
        [("off backbone", off, pytest.approx((500, 300 + side * (70 - off))))] if wrong else []
    )
    assert all(f.text.endswith("is 0.010 mm too near the backbone, to be kept 50 mm off") for f in found)


@IN_AND_OUT
def test_the_backbone_may_run_askew_and_ends_nowhere(off: float, wrong: bool) -> None:
    """(100, 150) + 2 (300, 400) + 70 (-0.8, 0.6) lies 70 mm from the line through both points, beyond them."""
    angle = math.degrees(math.atan2(4, 3))
    piece = replace(SQUARE, off_backbone=50.0)
    place = at(piece, 700 - 0.8 * (70 - off), 950 + 0.6 * (70 - off), angle)
    found = own(board(backbone=SKEW), place, piece)
    assert [round(f.by or 0, 6) for f in found] == ([off] if wrong else [])


def test_a_piece_across_the_backbone_is_nought_off_it() -> None:
    piece = replace(SQUARE, off_backbone=0.5)
    assert [f.by for f in own(board(), at(piece, 500, 310), piece)] == [0.5]
    assert own(board(), at(piece, 500, 320.5), piece) == []
    assert own(board(), at(SQUARE, 500, 300), SQUARE) == []


def test_to_keep_off_a_backbone_it_must_be_stated() -> None:
    piece = replace(SQUARE, off_backbone=0.5)
    (fault,) = own(board(backbone=None), at(piece, 500, 100), piece)
    assert (fault.code, fault.text) == (
        "backbone",
        "“square” of goods no. 1 keeps off the backbone, and the hide states none",
    )


# --- regions


ZONES = (Zone("Butt", box(0, 0, 300, 600)), Zone("bend", box(300, 0, 200, 600)), Zone("belly", box(700, 0, 300, 600)))


@IN_AND_OUT
def test_a_piece_comes_from_the_regions_it_names_taken_together(off: float, wrong: bool) -> None:
    piece = replace(SQUARE, regions=("butt", "Bend"))
    assert own(board(zones=ZONES), at(piece, 300, 300), piece) == []
    found = own(board(zones=ZONES), at(piece, 480 + off, 300), piece)
    assert [(f.code, round(f.by or 0, 6)) for f in found] == ([("region", off)] if wrong else [])
    assert all("reaches 0.010 mm out of butt and Bend, where it is to come from" in f.text for f in found)
    assert all(f.where and f.where[0] == pytest.approx(500 + off) for f in found)


def test_a_region_is_asked_only_where_the_hide_knows_it() -> None:
    asks = replace(SQUARE, regions=("shoulder", "neck"))
    place = at(asks, 500, 300)
    pieces = {("goods", "square"): asks, ("goods", "other"): replace(asks, name="other")}
    assert own(board(zones=ZONES), place, asks) == []
    assert unknown_regions(board(zones=ZONES), pieces, [place]) == [
        "hide “board” names no shoulder or neck, so where “square” lies was not checked"
    ]
    shoulder = board(zones=ZONES, cut="Shoulder")
    assert own(shoulder, place, asks) == []
    assert unknown_regions(shoulder, pieces, [place]) == []
    assert own(board(zones=ZONES, cut="butt"), place, replace(asks, regions=("butt",))) == []
    assert own(board(zones=ZONES), place, replace(asks, regions=("butt",))) != []
    assert unknown_regions(board(), {("goods", "square"): SQUARE}, [place]) == []
    assert unknown_regions(board(zones=ZONES), {("goods", "square"): replace(asks, regions=("butt",))}, [place]) == []


# --- near


@IN_AND_OUT
def test_a_piece_lies_near_the_nearest_of_its_product(off: float, wrong: bool) -> None:
    """3-4-5: from (200, 200) to (500, 600) are 500 mm from middle to middle."""
    tab = replace(SQUARE, name="tab", near=(Near("square", 500.0),))
    share = 1 + off / 500
    laid = at(tab, 200 + 300 * share, 200 + 400 * share), at(SQUARE, 200, 200), at(SQUARE, 100, 100)
    found = together(board(), [SQUARE, tab], *laid)
    assert [(f.code, round(f.by or 0, 6)) for f in found] == ([("near", off)] if wrong else [])
    assert all(f.text.endswith("lies 500.0 mm from its “square”, and is to lie within 500 mm") for f in found)
    assert all(f.where == pytest.approx((200 + 300 * share, 200 + 400 * share)) for f in found)


def test_only_pieces_of_one_product_are_to_be_near_and_spares_need_not() -> None:
    tab = replace(SQUARE, name="tab", near=(Near("square", 50.0),))
    assert together(board(), [SQUARE, tab], at(tab, 100, 100), at(SQUARE, 800, 500, number=2)) == []
    assert together(board(), [SQUARE, tab], at(tab, 100, 100, number=0), at(SQUARE, 800, 500, number=0)) == []
    assert together(board(), [tab], at(SQUARE, 800, 500), at(tab, 100, 100)) != []
    assert together(board(), [SQUARE], at(tab, 100, 100), at(SQUARE, 800, 500)) == []


# --- pairs, mirrored in the backbone y = 300


def pair(hide: Hide, x: float = 500, y: float = 200, angle: float = 0.0) -> list[Fault]:
    """A left ear at (500, 400) and a right one."""
    return together(hide, [LEFT, RIGHT], at(LEFT, 500, 400), at(RIGHT, x, y, angle))


@IN_AND_OUT
@pytest.mark.parametrize("way", [(0.6, 0.8), (-0.6, -0.8), (1, 0)])
def test_a_right_piece_lies_within_of_the_lefts_mirrored_place(
    way: tuple[float, float], off: float, wrong: bool
) -> None:
    found = pair(board(), 500 + (10 + off) * way[0], 200 + (10 + off) * way[1])
    assert [(f.code, f.where) for f in found] == ([("pair", pytest.approx((500, 400)))] if wrong else [])
    assert all("has no partner within 10 mm of its mirrored place" in f.text for f in found)


def test_places_are_mirrored_in_a_backbone_that_runs_askew() -> None:
    """(400, 200) mirrored in the line through (100, 150) along (3, 4): its foot is (232, 326), so (64, 452)."""
    hide = board(backbone=SKEW, outline=box(-500, -500, 2000, 2000))
    left, turn = at(LEFT, 400, 200), math.degrees(2 * math.atan2(4, 3))
    assert together(hide, [LEFT, RIGHT], left, at(RIGHT, 64, 452, turn)) == []
    for x, y, angle in ((64, 463, turn), (53, 452, turn), (64, 452, turn + 15), (64, 452, turn - 15), (64, 452, 0)):
        assert together(hide, [LEFT, RIGHT], left, at(RIGHT, x, y, angle)) != []


@pytest.mark.parametrize(
    ("angle", "wrong"),
    [(9.9, False), (-9.9, False), (10.2, True), (-10.2, True), (180, False), (189.9, False), (170, False), (90, True)],
)
def test_a_pair_lies_in_like_direction_to_ten_degrees(angle: float, wrong: bool) -> None:
    assert bool(pair(board(), angle=angle)) == wrong


def test_ten_degrees_and_an_ounce_are_still_like() -> None:
    assert pair(board(), angle=10.0) == []
    lower = Zone("lower", box(0, 0, 1000, 300), thickness=Thickness(0.8, 0.8))
    assert 0.8 - 0.4 == 0.4  # to the last bit
    assert pair(board(zones=(lower,), thickness=Thickness(0.4, 0.4))) == []


@pytest.mark.parametrize(("low", "wrong"), [(2.9, False), (2.88, True), (3.69, False), (3.71, True)])
def test_a_pair_lies_on_leather_as_thick(low: float, wrong: bool) -> None:
    """The hide is 3.3 mm thick, and the zone under half of the right piece twice as far off as the piece."""
    far = 3.3 + 2 * (low - 3.3)
    half = Zone("half", box(0, 0, 500, 250), thickness=Thickness(far - 0.1, far + 0.1))
    assert bool(pair(board(zones=(half,), thickness=Thickness(3.2, 3.4)))) == wrong


def test_a_pair_on_leather_of_which_only_one_half_is_stated_is_unlike() -> None:
    lower = Zone("lower", box(0, 0, 1000, 300), thickness=Thickness(2, 3))
    assert pair(board(zones=(lower,))) != []
    assert pair(board(zones=(lower,), thickness=Thickness(2.4, 2.6))) == []
    both = replace(lower, outline=box(0, 0, 1000, 600))
    assert pair(board(zones=(both,))) == []
    most = replace(lower, outline=box(0, 0, 519, 300))
    assert pair(board(zones=(both, most)[1:])) == []


@pytest.mark.parametrize(("wide", "wrong"), [(0.03, False), (0.05, True)])
def test_a_pair_lies_on_leather_as_good(wide: float, wrong: bool) -> None:
    """A worse strip under 40 mm of a border of 160 counts from 0.01 mm along all of it: 1.6 mm², 0.04 mm wide."""
    scar = Flaw("scar", box(480, 100, wide, 200), Grade.C)
    zone = Zone("poor", scar.outline, Grade.C)
    assert bool(pair(board(flaws=(scar,)))) == wrong
    assert bool(pair(board(zones=(zone,)))) == wrong
    assert pair(board(flaws=(scar,), grade=Grade.C)) == []
    assert pair(board(flaws=(replace(scar, outline=box(0, 0, 100, 100)),))) == []


def test_every_left_has_a_right_of_its_own() -> None:
    """The nearest partner of the first left is the only one of the second: each gets one all the same."""
    lefts = at(LEFT, 500, 400), at(LEFT, 508, 400)
    both = *lefts, at(RIGHT, 499, 200), at(RIGHT, 491, 200)
    assert together(board(), [LEFT, RIGHT], *both) == []
    (alone,) = together(board(), [LEFT, RIGHT], *lefts, at(RIGHT, 500, 200))
    assert alone.code == "pair"
    found = together(board(), [LEFT, RIGHT], *lefts)
    assert [f.where for f in found] == [pytest.approx((500, 400)), pytest.approx((508, 400))]
    assert together(board(), [LEFT], *lefts) == []


def test_a_pair_asks_for_a_backbone_and_loose_ears_for_nothing() -> None:
    (fault,) = pair(board(backbone=None))
    assert fault.code == "backbone"
    assert fault.text == "“ear left” of goods no. 1 is one of a mirrored pair, and the hide states no backbone"
    loose: list[Any] = [replace(LEFT, pair_within=None), replace(RIGHT, pair_within=None)]
    assert together(board(backbone=EAST), loose, at(LEFT, 500, 400), at(RIGHT, 100, 100)) == []
