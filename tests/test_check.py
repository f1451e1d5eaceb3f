"""The check: one right and one wrong layout a rule, each at the edge of the tolerance of 0.01 mm.

The tolerance and the rules are those of the layout file's description in nesting/FORMATS.md.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from boards import board, box, codes, laid, lain, reckoned
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import assert_layout_valid, laid_by_hand
from shapely.geometry import Polygon
from shapely.geometry import box as rectangle

from hides.hide import Flaw, Grade, Hide, Ring, Thickness, Zone
from nesting.check import Fault, faults, unchecked
from nesting.check.fault import CODES
from nesting.check.neighbours import near_pairs
from nesting.model.layout import Areas, Layout, Placement, ProductCount
from nesting.model.product import Along, Cover, Piece

IN, OUT = 0.009, 0.012
"""Off by less and by more than the tolerance."""

PANEL = Piece("panel", box(0, 0, 100, 200))
POINTED = Piece("pointed", ((0, 0), (60, 0), (60, 170), (30, 200), (0, 170)))
CIRCLE = Piece("disc", tuple((50 * math.cos(a / 20 * math.pi), 50 * math.sin(a / 20 * math.pi)) for a in range(40)))


def one(piece: Piece, x: float, y: float, angle: float = 0, mirrored: bool = False, **hide: Any) -> Layout:
    """A board with one piece."""
    return laid(board(**hide), [piece], [lain(piece, x, y, angle, mirrored)])


def two(first: Placement, second: Placement, gap: float = 0.0) -> Layout:
    pieces = {"panel": PANEL, "pointed": POINTED, "disc": CIRCLE}
    kinds = [
        replace(pieces[name], count=(first.piece, second.piece).count(name)) for name in {first.piece, second.piece}
    ]
    return laid(board(), kinds, [first, second], gap)


def only(layout: Layout) -> Fault:
    found = faults(layout)
    assert len(found) == 1, [str(fault) for fault in found]
    return found[0]


# --- the outline and the edge


def test_a_piece_that_touches_the_outline_is_right() -> None:
    assert_layout_valid(one(PANEL, 0, 0))
    assert_layout_valid(one(PANEL, 900, 400))


@pytest.mark.parametrize(("off", "wrong"), [(IN, False), (OUT, True)])
@pytest.mark.parametrize(("x", "y"), [(-1, 100), (901, 100), (300, -1), (300, 401)])
def test_a_piece_may_not_reach_over_the_outline(off: float, wrong: bool, x: float, y: float) -> None:
    inward = {-1: -off, 901: 900 + off, 401: 400 + off}
    layout = one(PANEL, inward.get(x, x), inward.get(y, y) if y != -1 else -off)
    assert codes(layout) == ({"outside"} if wrong else set())


@pytest.mark.parametrize(("off", "wrong"), [(IN, False), (OUT, True)])
def test_a_tip_may_not_poke_over_the_outline(off: float, wrong: bool) -> None:
    """The tip's overlap is tiny in area; its depth counts."""
    layout = one(POINTED, 300, 400 + off)
    assert codes(layout) == ({"outside"} if wrong else set())
    if wrong:
        assert only(layout).by == pytest.approx(off, abs=1e-6)
        assert only(layout).where == pytest.approx((330, 600 + off), abs=1e-6)


def test_a_piece_off_the_hide_altogether_is_found() -> None:
    assert codes(one(PANEL, 5000, 5000)) == {"outside"}


def test_a_piece_over_a_bay_of_the_outline_is_found() -> None:
    """All its corners lie on the hide; the bay's tip runs in under its side."""
    bay = ((0, 0), (480, 0), (500, 300), (520, 0), (1000, 0), (1000, 600), (0, 600))
    layout = one(PANEL, 450, 300 - OUT, outline=bay)
    assert codes(layout) == {"outside"}
    assert_layout_valid(one(PANEL, 450, 300 - IN, outline=bay))


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
@pytest.mark.parametrize("angle", [0, 30])
def test_the_edge_is_kept_clear(off: float, wrong: bool, angle: float) -> None:
    low = min(y for _, y in lain(PANEL, 400, 0, angle).outline)
    layout = one(PANEL, 400, 10 - low - off, angle, edge=10)
    assert codes(layout) == ({"outside"} if wrong else set())


def test_the_edge_is_measured_round_a_corner_without_a_buffers_error() -> None:
    """A reflex corner of the hide: the strip's border is round there, and an inscribed arc would let 0.02 mm pass."""
    step = ((0, 0), (500, 0), (500, 200), (1000, 200), (1000, 600), (0, 600))
    reach = 10 / math.sqrt(2)
    right = one(PANEL, 400 - reach, 200 + reach - 0, outline=step, edge=10)
    assert codes(right) == set()
    corner = (500 - 10 * math.cos(math.radians(20)), 200 + 10 * math.sin(math.radians(20)))
    for off, wrong in ((IN, False), (OUT, True)):
        spot = (corner[0] + off * math.cos(math.radians(20)), corner[1] - off * math.sin(math.radians(20)))
        diamond = Piece("panel", ((0, 0), (0, 80), (-60, 60), (-60, 20)))
        layout = laid(board(outline=step, edge=10), [diamond], [lain(diamond, spot[0], spot[1], 0)])
        assert codes(layout) == ({"outside"} if wrong else set()), off


# --- flaws, holes, grades


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
@pytest.mark.parametrize("clearance", [0, 5])
def test_a_piece_keeps_a_flaws_clearance(off: float, wrong: bool, clearance: float) -> None:
    scar = Flaw("scar", box(500, 100, 40, 40), Grade.B, clearance)
    layout = one(PANEL, 400 - clearance + off, 0, flaws=(scar,))
    assert codes(layout) == ({"flaw"} if wrong else set())
    if wrong:
        assert only(layout).by == pytest.approx(off, abs=1e-6)
        assert "scar" in only(layout).text


def test_clearance_is_round_at_a_flaws_corner() -> None:
    """Measured by distance: (3, 4) from the corner is 5 away."""
    scar = Flaw("scar", box(500, 200, 40, 40), Grade.NONE, 5)
    assert_layout_valid(one(PANEL, 397, -4 + 0.001, flaws=(scar,), outline=box(0, -50, 1000, 600)))
    assert codes(one(PANEL, 397 + OUT, -4 + OUT, flaws=(scar,), outline=box(0, -50, 1000, 600))) == {"flaw"}


def test_each_flaw_has_its_own_clearance() -> None:
    near, far = Flaw("tick", box(520, 100, 5, 5), Grade.NONE, 2), Flaw("scar", box(530, 100, 5, 5), Grade.NONE, 40)
    fault = only(one(PANEL, 400, 50, flaws=(near, far)))
    assert (fault.code, fault.by) == ("flaw", pytest.approx(10))
    assert fault.text.endswith("is 10.000 mm too near a flaw (scar), grade none, which is to be kept 40 mm clear")


@pytest.mark.parametrize(("wish", "found"), [("A", {"flaw"}), ("B", set()), ("C", set())])
def test_a_piece_lies_on_flaws_no_worse_than_its_grade(wish: str, found: set[str]) -> None:
    scar = Flaw("scar", box(420, 100, 20, 20), Grade.B, 3)
    assert codes(one(replace(PANEL, grade=Grade[wish]), 400, 50, flaws=(scar,))) == found


def test_a_flaw_inside_a_piece_is_found_though_no_outline_meets_it() -> None:
    pin = Flaw("tick", box(450, 100, 0.5, 0.5), Grade.NONE)
    assert codes(one(PANEL, 400, 50, flaws=(pin,))) == {"flaw"}


def test_a_flaw_that_covers_the_piece_altogether_is_found() -> None:
    assert codes(one(PANEL, 400, 50, flaws=(Flaw("burn", box(300, 10, 400, 400)),))) == {"flaw"}


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_a_hole_in_the_hide_is_a_flaw_of_grade_none(off: float, wrong: bool) -> None:
    layout = one(replace(PANEL, grade=Grade.D), 400 + off, 0, holes=(box(500, 100, 40, 40),))
    assert codes(layout) == ({"flaw"} if wrong else set())


@pytest.mark.parametrize(("grade", "wish", "wrong"), [("B", "A", True), ("B", "B", False), ("D", "C", True)])
def test_the_hides_own_grade_holds_everywhere(grade: str, wish: str, wrong: bool) -> None:
    layout = one(replace(PANEL, grade=Grade[wish]), 400, 50, grade=Grade[grade])
    assert codes(layout) == ({"grade"} if wrong else set())


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_a_weaker_zone_is_kept_off(off: float, wrong: bool) -> None:
    belly = Zone("belly", box(500, 0, 500, 600), Grade.C)
    layout = one(replace(PANEL, grade=Grade.B), 400 + off, 50, zones=(belly,))
    assert codes(layout) == ({"grade"} if wrong else set())
    if wrong:
        assert only(layout).text.endswith("asks for grade B and lies 0.012 mm deep in the zone “belly”, grade C")


def test_a_better_zone_does_not_mend_a_worse_flaw() -> None:
    """Where several lie on one another the worst grade holds."""
    best, scar = Zone("bend", box(0, 0, 900, 600), Grade.A), Flaw("scar", box(420, 100, 20, 20), Grade.C)
    assert codes(one(PANEL, 400, 50, zones=(best,), flaws=(scar,))) == {"flaw"}


LAP = replace(PANEL, covered=(Cover(box(0, 0, 100, 50), Grade.C),))


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
@pytest.mark.parametrize("angle", [0, 90, 17])
def test_a_covered_part_may_lie_on_worse_leather_and_the_rest_may_not(off: float, wrong: bool, angle: float) -> None:
    """The bad strip begins where the covered part ends, or `off` further."""
    place = lain(LAP, 400, 250, angle)
    strip = lain(replace(LAP, outline=box(-20, -20, 140, 70 + off)), 400, 250, angle).outline
    scar = Flaw("scar", strip, Grade.C)
    layout = laid(board(flaws=(scar,)), [LAP], [place])
    assert codes(layout) == ({"flaw"} if wrong else set())


def test_a_covered_part_keeps_to_its_own_grade() -> None:
    scar = Flaw("scar", box(420, 70, 20, 20), Grade.D)
    assert codes(one(LAP, 400, 50, flaws=(scar,))) == {"flaw"}
    assert codes(one(LAP, 400, 50, flaws=(replace(scar, grade=Grade.C),))) == set()


def test_the_uncovered_part_keeps_a_flaws_clearance() -> None:
    scar = Flaw("scar", box(420, 70, 20, 20), Grade.C, clearance=10)
    assert codes(one(LAP, 400, 50, flaws=(scar,))) == set()
    assert codes(one(LAP, 400, 50, flaws=(replace(scar, clearance=10 + OUT),))) == {"flaw"}


def test_covered_parts_turn_over_with_the_piece() -> None:
    half = replace(PANEL, mirror=True, covered=(Cover(box(0, 0, 40, 200), Grade.D),))
    scar = Flaw("scar", box(465, 100, 20, 20), Grade.D)
    assert codes(one(half, 500, 50, mirrored=True, flaws=(scar,))) == set()
    assert codes(one(half, 400, 50, flaws=(scar,))) == {"flaw"}


# --- thickness


THICK = replace(PANEL, thickness=Thickness(3.0, 4.0))


@pytest.mark.parametrize(
    ("stated", "wrong"),
    [(Thickness(3.0, 4.0), False), (Thickness(3.2, 3.5), False), (Thickness(3.5, 4.2), True), (None, True)],
)
def test_a_piece_lies_only_on_leather_stated_to_be_as_thick(stated: Thickness | None, wrong: bool) -> None:
    assert codes(one(THICK, 400, 50, thickness=stated)) == ({"thickness"} if wrong else set())


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_a_zones_own_thickness_stands_in_place_of_the_hides(off: float, wrong: bool) -> None:
    thin, thick = Zone("belly", box(500, 0, 500, 600), thickness=Thickness(2, 2.5)), Thickness(3.2, 3.8)
    assert codes(one(THICK, 400 + off, 50, thickness=thick, zones=(thin,))) == ({"thickness"} if wrong else set())
    good = replace(thin, thickness=thick)
    layout = one(THICK, 500 - off, 50, thickness=Thickness(2, 2.5), zones=(good,))
    assert codes(layout) == ({"thickness"} if wrong else set())


# --- direction


def strap(**changes: Any) -> Piece:
    return replace(PANEL, along=Along.BACKBONE, **changes)


def middled(piece: Piece, angle: float, mirrored: bool = False, **hide: Any) -> Layout:
    return one(piece, 500, 300, angle, mirrored, **hide)


@pytest.mark.parametrize(
    ("piece", "angle", "wrong"),
    [
        (strap(), -90, False),  # +y lies at 90 degrees plus the angle: along +x
        (strap(), 0, True),
        (strap(), 90, False),
        (strap(), 270, False),
        (strap(turn=False), 90, True),
        (strap(turn=False), -90, False),
        (strap(turn=False), 270, False),
        (strap(tolerance=10), -80, False),
        (strap(tolerance=10), -100, False),
        (strap(tolerance=10), -79.9, True),
        (strap(tolerance=10), 100, False),
        (strap(tolerance=10, turn=False), 100, True),
        (strap(tolerance=180, turn=False), 33, False),
        (replace(PANEL, along=Along.ACROSS), 0, False),
        (replace(PANEL, along=Along.ACROSS), 180, False),
        (replace(PANEL, along=Along.ACROSS, turn=False), 180, True),
        (replace(PANEL, along=Along.ACROSS), 90, True),
        (replace(PANEL, angles=(0, 45)), -90, False),
        (replace(PANEL, angles=(0, 45)), -45, False),
        (replace(PANEL, angles=(0, 45)), 90, True),
        (replace(PANEL, angles=(-315,)), -45, False),
        (PANEL, 12.3, False),
    ],
)
def test_a_piece_lies_only_the_ways_round_it_may(piece: Piece, angle: float, wrong: bool) -> None:
    assert codes(middled(piece, angle)) == ({"angle"} if wrong else set())


@pytest.mark.parametrize(("share", "wrong"), [(0.9, False), (1.2, True)])
def test_an_angle_may_be_off_by_what_moves_the_farthest_corner_a_hundredth(share: float, wrong: bool) -> None:
    """The panel's corners are √(50² + 100²) mm from its middle."""
    angle = math.degrees(0.01 / math.hypot(50, 100))
    assert codes(middled(strap(), -90 + share * angle)) == ({"angle"} if wrong else set())


def test_the_farthest_corner_sets_how_far_an_angle_may_be_off() -> None:
    """A taper whose feet are 112 mm from its middle and whose top is 100 mm away."""
    taper = replace(strap(), outline=((0, 0), (100, 0), (55, 200), (45, 200)))
    assert codes(middled(taper, -90 + math.degrees(0.01 / 113))) == set()
    assert codes(middled(taper, -90 + math.degrees(0.01 / 105))) == {"angle"}


def test_a_backbone_that_runs_askew_turns_what_is_allowed() -> None:
    askew = ((0, 0), (100, 100))
    assert codes(middled(strap(), -45, backbone=askew)) == set()
    assert codes(middled(strap(), -90, backbone=askew)) == {"angle"}


def test_a_direction_asks_for_a_backbone() -> None:
    assert codes(middled(strap(), -90, backbone=None)) == {"backbone"}
    assert codes(middled(PANEL, 30, backbone=None)) == set()


def test_a_zone_with_its_own_backbone_replaces_the_hides_there() -> None:
    neck = Zone("neck", box(600, 0, 400, 600), backbone=((0, 0), (0, 1)))
    north = lain(strap(), 700, 100, 0)
    assert codes(laid(board(zones=(neck,)), [strap()], [north])) == set()
    assert codes(laid(board(zones=(neck,)), [strap()], [lain(strap(), 700, 200, -90)])) == {"angle"}


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_every_part_of_a_piece_obeys_the_backbone_that_holds_there(off: float, wrong: bool) -> None:
    neck = Zone("neck", box(600, 0, 400, 600), backbone=((0, 0), (0, 1)))
    layout = laid(board(zones=(neck,)), [strap()], [lain(strap(), 600 - off, 100, 0)])
    assert codes(layout) == ({"angle"} if wrong else set())


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_a_piece_may_touch_a_zone_whose_backbone_it_does_not_obey(off: float, wrong: bool) -> None:
    neck = Zone("neck", box(600, 0, 400, 600), backbone=((0, 0), (0, 1)))
    layout = laid(board(zones=(neck,)), [strap()], [lain(strap(), 400 + off, 300, -90)])
    assert codes(layout) == ({"angle"} if wrong else set())


def test_a_piece_is_turned_over_only_where_it_may_be() -> None:
    assert codes(middled(PANEL, 0, mirrored=True)) == {"mirrored"}
    assert codes(middled(replace(PANEL, mirror=True), 0, mirrored=True)) == set()


# --- neighbours


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
@pytest.mark.parametrize("angle", [0, 33.3])
def test_pieces_may_touch_along_an_edge_and_no_more(off: float, wrong: bool, angle: float) -> None:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    first = lain(PANEL, 400, 100, angle)
    second = lain(PANEL, 400 + (100 - off) * c, 100 + (100 - off) * s, angle)
    layout = two(first, second)
    assert codes(layout) == ({"overlap"} if wrong else set())
    if wrong:
        assert only(layout).by == pytest.approx(off, abs=1e-6)


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_a_tip_may_not_poke_into_a_neighbour(off: float, wrong: bool) -> None:
    """A point's overlap is a hundred times smaller in area than a side's of the same depth."""
    layout = two(lain(POINTED, 400, 100 + off), lain(PANEL, 380, 300))
    assert codes(layout) == ({"overlap"} if wrong else set())


def test_two_pieces_in_one_place_are_found() -> None:
    """Neither outline crosses the other; they lie on one another over their whole width."""
    fault = only(two(lain(PANEL, 400, 100), lain(PANEL, 400, 100)))
    assert (fault.code, fault.by) == ("overlap", pytest.approx(100, abs=0.1))


def test_crossed_pieces_are_found_though_no_corner_lies_in_the_other() -> None:
    assert codes(two(lain(PANEL, 400, 300), lain(PANEL, 550, 350, 90))) == {"overlap"}


def test_a_piece_inside_another_is_found() -> None:
    assert codes(two(lain(POINTED, 420, 100), lain(PANEL, 400, 100))) == {"overlap"}


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_the_gap_is_kept(off: float, wrong: bool) -> None:
    layout = two(lain(PANEL, 400, 100), lain(PANEL, 502 - off, 100), gap=2)
    assert codes(layout) == ({"gap"} if wrong else set())
    if wrong:
        assert only(layout).by == pytest.approx(off, abs=1e-6)


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_the_gap_is_a_distance_round_corners_too(off: float, wrong: bool) -> None:
    """Corner to corner (3, 4) is 5 apart; a gap grown by a mitre would refuse it, an inscribed arc let 0.05 mm pass."""
    layout = two(lain(PANEL, 400, 100), lain(PANEL, 503 - off * 0.6, 304 - off * 0.8), gap=5)
    assert codes(layout) == ({"gap"} if wrong else set())


# --- shape, counts, areas


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_the_stated_outline_is_the_piece_carried_there(off: float, wrong: bool) -> None:
    place = lain(POINTED, 400, 100, 20)
    layout = laid(board(), [POINTED], [replace(place, x=place.x + off)])
    assert codes(layout) == ({"shape"} if wrong else set())


def test_where_an_outline_begins_does_not_matter() -> None:
    place = lain(POINTED, 400, 100, 20)
    ring = place.outline
    assert codes(laid(board(), [POINTED], [replace(place, outline=ring[2:] + ring[:2])])) == set()


def test_an_outline_through_the_same_corners_in_another_order_is_found() -> None:
    piece = Piece("panel", ((0, 0), (100, 0), (100, 100), (50, 30), (0, 100)))
    place = lain(piece, 400, 100)
    a, b, c, d, e = place.outline
    other = laid(board(), [piece], [replace(place, outline=(a, d, b, c, e))])
    assert codes(other) & {"shape", "ring"}


@pytest.mark.parametrize(("off", "wrong"), [(IN, False), (OUT, True)])
def test_a_corner_that_is_cut_off_is_found(off: float, wrong: bool) -> None:
    """Every corner of the stated outline lies on the true one; the true corner is missing."""
    leg = off * math.sqrt(2)
    cut = Piece("panel", ((0, 0), (100, 0), (100, 200 - leg), (100 - leg, 200), (0, 200)))
    layout = laid(board(), [PANEL], [lain(cut, 400, 100)])
    assert codes(layout) == ({"shape"} if wrong else set())


def test_a_smaller_piece_than_the_projects_is_found() -> None:
    shrunk = lain(Piece("panel", box(0, 0, 99.9, 200)), 400, 100)
    assert codes(laid(board(), [PANEL], [shrunk])) == {"shape"}


def test_an_outline_that_crosses_itself_is_found() -> None:
    bad = replace(lain(PANEL, 400, 100), outline=((400, 100), (500, 300), (500, 100), (400, 300)))
    assert codes(laid(board(), [PANEL], [bad])) >= {"ring"}


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_number_that_is_not_finite_is_found(value: float) -> None:
    place = lain(PANEL, 400, 100)
    areas_of = laid(board(), [PANEL], [place]).hides[0]
    broken = replace(areas_of, placements=(replace(place, x=value),))
    assert "ring" in codes(replace(laid(board(), [PANEL], [place]), hides=(broken,)))


def complete(numbers: list[int], stated: int, at_most: int = 9, count: int = 2, spare: bool = False) -> Layout:
    piece = replace(PANEL, count=count, spare=spare)
    places = [lain(piece, 100 * index, 0, number=number) for index, number in enumerate(numbers)]
    layout = laid(board(), [piece], places, complete=stated)
    return replace(layout, counts=(replace(layout.counts[0], at_most=at_most),))


@pytest.mark.parametrize(
    ("numbers", "stated", "found"),
    [
        ([1, 1, 2, 2], 2, set()),
        ([1, 1, 2], 2, {"count"}),
        ([1, 1, 1], 1, {"count"}),
        ([1, 1, 2, 2], 1, {"count"}),
        ([1, 1, 0], 1, set()),
        ([], 0, set()),
        ([], 1, {"count"}),
        ([1, 1, 3, 3], 2, {"count"}),
    ],
)
def test_each_product_has_all_its_pieces_and_no_more(numbers: list[int], stated: int, found: set[str]) -> None:
    assert codes(complete(numbers, stated, spare=True)) == found


def test_no_more_products_than_the_bound() -> None:
    assert codes(complete([1, 1, 2, 2], 2, at_most=1)) == {"bound"}
    assert codes(complete([1, 1, 2, 2], 2, at_most=2)) == set()


def test_a_piece_that_the_product_does_not_have_is_found() -> None:
    stranger = replace(lain(PANEL, 400, 100), piece="gusset")
    assert codes(laid(board(), [PANEL], [lain(PANEL, 100, 100), stranger])) == {"unknown piece"}


def test_a_product_that_the_layout_does_not_count_is_found() -> None:
    stranger = replace(lain(PANEL, 400, 100), product="bag")
    assert codes(laid(board(), [PANEL], [lain(PANEL, 100, 100), stranger])) == {"unknown piece"}


@pytest.mark.parametrize("name", ["hide", "pieces", "edge", "flaws", "offcuts", "scrap", "usable"])
@pytest.mark.parametrize(("by", "wrong"), [(0.5, False), (2e6, True)])
def test_areas_add_up_and_agree_with_the_outlines(name: str, by: float, wrong: bool) -> None:
    layout = one(PANEL, 400, 100)
    own = layout.hides[0]
    off = replace(own, areas=Areas(**{**vars(own.areas), name: getattr(own.areas, name) + by}))
    assert codes(replace(layout, hides=(off,))) == ({"areas"} if wrong else set())


@pytest.mark.parametrize(("edge", "scrap"), [(math.nan, 0.0), (-5000.0, 5000.0)])
def test_areas_are_finite_and_not_below_nought(edge: float, scrap: float) -> None:
    layout = one(PANEL, 400, 100)
    own = layout.hides[0]
    areas = replace(own.areas, edge=own.areas.edge + edge, scrap=own.areas.scrap + scrap)
    assert codes(replace(layout, hides=(replace(own, areas=areas),))) == {"areas"}


def test_areas_that_add_up_but_are_not_the_outlines_are_found() -> None:
    layout = one(PANEL, 400, 100)
    own = layout.hides[0]
    more = replace(own.areas, pieces=own.areas.pieces + 50, scrap=own.areas.scrap - 50)
    assert codes(replace(layout, hides=(replace(own, areas=more),))) == {"areas"}


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_an_offcut_is_free_leather(off: float, wrong: bool) -> None:
    layout = one(PANEL, 400, 100)
    own = layout.hides[0]
    offcut = box(500 - off, 100, 300, 300)
    kept = Polygon(offcut).area
    areas = replace(own.areas, offcuts=kept, scrap=own.areas.scrap - kept)
    changed = replace(layout, hides=(replace(own, areas=areas, offcuts=(offcut,)),))
    assert codes(changed) == ({"offcut"} if wrong else set())


def test_offcuts_do_not_lie_on_one_another() -> None:
    layout = one(PANEL, 400, 100)
    own = layout.hides[0]
    rings = (box(600, 100, 200, 300), box(700, 100, 200, 300))
    areas = replace(own.areas, offcuts=120000.0, scrap=own.areas.scrap - 120000)
    fault = only(replace(layout, hides=(replace(own, areas=areas, offcuts=rings),)))
    assert fault.text == "offcut 2 lies 100.000 mm under offcut 1"


def of_offcut(offcut: Ring, **hide: Any) -> Layout:
    """A panel and an offcut on a board, areas as the outlines make them."""
    layout = one(PANEL, 400, 100, **hide)
    return replace(layout, hides=(reckoned(replace(layout.hides[0], offcuts=(offcut,))),))


@pytest.mark.parametrize(("off", "wrong"), [(0, False), (IN, False), (OUT, True)])
def test_an_offcut_keeps_off_holes_useless_flaws_and_zones_and_the_edge(off: float, wrong: bool) -> None:
    """Usable leather only: what the maker keeps has no hole in it."""
    ring, found = box(600 - off, 100, 200, 300), {"offcut"} if wrong else set()
    assert codes(of_offcut(ring, holes=(box(550, 150, 50, 50),))) == found
    assert codes(of_offcut(ring, flaws=(Flaw("hole", box(550, 150, 46, 50), Grade.NONE, 4),))) == found
    assert codes(of_offcut(ring, zones=(Zone("burnt", box(550, 150, 50, 50), Grade.NONE),))) == found
    assert codes(of_offcut(ring, flaws=(Flaw("scar", box(550, 150, 50, 50), Grade.D, 4),))) == set()
    assert codes(of_offcut(box(10 - off, 100, 200, 300), edge=10)) == found


def test_an_offcut_across_a_hole_or_an_unusable_flaw_is_found() -> None:
    ring = box(600, 100, 200, 300)
    assert codes(of_offcut(ring, holes=(box(650, 150, 50, 50),))) >= {"offcut"}
    assert codes(of_offcut(ring, flaws=(Flaw("hole", box(650, 150, 0.5, 0.5), Grade.NONE),))) == {"offcut"}


@pytest.mark.parametrize(
    ("by", "wrong"), [(0.5, False), (-0.5, False), (1, False), (-1, False), (2, True), (math.nan, True)]
)
def test_an_offcuts_own_area_is_that_of_its_outline(by: float, wrong: bool) -> None:
    layout = of_offcut(box(600, 100, 200, 300))
    own = replace(layout.hides[0], offcut_areas=(60_000 + by,))
    assert codes(replace(layout, hides=(own,))) == ({"offcut"} if wrong else set())


@pytest.mark.parametrize("names", [("usable", ""), ("edge", "scrap"), ("flaws", "scrap"), ("edge", "flaws")])
@pytest.mark.parametrize(("by", "wrong"), [(0.5, False), (-0.5, False), (3, True), (-3, True)])
def test_areas_that_are_made_up_are_found_though_they_add_up(names: tuple[str, str], by: float, wrong: bool) -> None:
    flaws = (Flaw("hole", box(700, 300, 40, 40), Grade.NONE, 5),)
    layout = one(PANEL, 400, 100, edge=10, flaws=flaws, holes=(box(100, 100, 50, 50),))
    own = layout.hides[0]
    moved = {name: getattr(own.areas, name) + sign * by for name, sign in zip(names, (1, -1), strict=True) if name}
    assert codes(replace(layout, hides=(replace(own, areas=replace(own.areas, **moved)),))) == (
        {"areas"} if wrong else set()
    )


@pytest.mark.parametrize(("by", "wrong"), [(0.5, False), (3, True), (-3, True), (-60_000, True)])
def test_the_area_of_offcuts_is_that_of_their_outlines(by: float, wrong: bool) -> None:
    """An attack found that less could be stated: what lacked was told as scrap."""
    own = of_offcut(box(600, 100, 200, 300)).hides[0]
    areas = replace(own.areas, offcuts=own.areas.offcuts + by, scrap=own.areas.scrap - by)
    layout = of_offcut(box(600, 100, 200, 300))
    assert codes(replace(layout, hides=(replace(own, areas=areas),))) == ({"areas"} if wrong else set())


@pytest.mark.parametrize("corners", [16, 200])
def test_round_borders_may_be_drawn_as_arcs_or_as_chords_of_64_corners(corners: int) -> None:
    """A ring of 300 mm clearance: its area by closed form, and by chords of a circle of 64 corners."""
    spot = Flaw("brand", box(480, 280, 2, 2), Grade.NONE, 150)
    layout = one(PANEL, 50, 50, flaws=(spot,))
    own = layout.hides[0]
    circle = math.pi * 150**2 if corners > 16 else 32 * 150**2 * math.sin(math.pi / 32)
    taken = 4 + 4 * 2 * 150 + circle
    areas = replace(own.areas, usable=600_000 - taken, flaws=taken, scrap=600_000 - 20_000 - taken)
    assert codes(replace(layout, hides=(replace(own, areas=areas),))) == set()
    less = replace(areas, usable=areas.usable + 200, flaws=areas.flaws - 200, scrap=areas.scrap + 200)
    assert codes(replace(layout, hides=(replace(own, areas=less),))) == {"areas"}


def test_products_that_are_neither_described_nor_placed_are_not_complete() -> None:
    bare = replace(one(PANEL, 400, 100), products=())
    assert codes(replace(bare, counts=(replace(bare.counts[0], complete=2),))) == {"count"}
    ghost = ProductCount("ghosts", 3, 9)
    assert codes(replace(bare, counts=(*bare.counts, ghost))) == {"count"}
    assert codes(replace(bare, counts=(*bare.counts, replace(ghost, complete=0)))) == set()


@pytest.mark.parametrize(("wide", "wrong"), [(0.004, False), (0.5, True)])
def test_a_crack_between_zones_that_the_tolerance_closes_parts_nothing(wide: float, wrong: bool) -> None:
    """Two zones that state the thickness, or the backbone, beside one another as they are traced."""
    thick = Thickness(2.0, 2.4)
    halves = [box(0, 0, 500, 600), box(500 + wide, 0, 500 - wide, 600)]
    zones = tuple(Zone(f"{k}", half, thickness=thick) for k, half in enumerate(halves))
    asks = replace(PANEL, thickness=thick)
    assert codes(one(asks, 450, 100, zones=zones)) == ({"thickness"} if wrong else set())
    ways = tuple(Zone(f"{k}", half, backbone=((0, 0), (0, 1))) for k, half in enumerate(halves))
    across = replace(PANEL, along=Along.BACKBONE)
    assert codes(one(across, 450, 100, zones=ways)) == ({"angle"} if wrong else set())


@pytest.mark.parametrize("large", [0.0065, -0.0065])
def test_a_piece_drawn_large_or_small_within_the_tolerance_has_areas_that_are_right(large: float) -> None:
    """0.0065 mm all round 600 mm of border are 4 mm², beyond what an area may be off: measured on the leather."""
    place = lain(PANEL, 0, 0)
    drawn = replace(place, outline=box(-large, -large, 100 + 2 * large, 200 + 2 * large))
    layout = laid(board(outline=box(0, 0, 100, 200)), [PANEL], [drawn])
    assert codes(layout) == set()
    own = layout.hides[0]
    as_described = replace(own.areas, pieces=20_000.0, scrap=0.0)
    assert codes(replace(layout, hides=(replace(own, areas=as_described),))) == set()


def test_what_the_layout_does_not_describe_is_said() -> None:
    layout = replace(one(strap(), 400, 100, 7), products=())
    assert codes(layout) == set()
    (said,) = unchecked(layout)
    assert "goods" in said
    assert "angles" in said


def test_undescribed_pieces_still_keep_off_holes_and_each_other() -> None:
    hole = Flaw("hole", box(450, 150, 10, 10))
    bare = replace(two(lain(PANEL, 400, 100), lain(PANEL, 450, 120)), products=())
    assert codes(bare) == {"overlap"}
    assert codes(replace(one(PANEL, 400, 100, flaws=(hole,)), products=())) == {"flaw"}


def test_every_fault_has_a_code_that_is_explained_and_tells_where() -> None:
    fault = only(two(lain(PANEL, 400, 100), lain(PANEL, 450, 120)))
    assert fault.code in CODES
    assert fault.hide == "board"
    assert fault.where is not None
    assert str(fault).startswith("overlap: board: “panel” of goods no. 1 and")
    assert fault.to_data()["pieces"] == ["“panel” of goods no. 1"] * 2


# --- the whole


def grid(kind: Piece, columns: int, rows: int, pitch: tuple[float, float]) -> Layout:
    """Pieces in rows on a hide that just holds them."""
    piece = replace(kind, count=1)
    hide = Hide("field", box(-60, -60, columns * pitch[0] + 60, rows * pitch[1] + 60))
    places = [
        lain(piece, column * pitch[0], row * pitch[1], number=row * columns + column + 1)
        for row in range(rows)
        for column in range(columns)
    ]
    return laid(hide, [piece], places, complete=rows * columns)


def test_of_four_hundred_pieces_only_neighbours_are_held_against_each_other() -> None:
    layout = grid(CIRCLE, 20, 20, (100, 100))
    flaws = tuple(Flaw("tick", box(100 * i + 49, 100 * j + 49, 2, 2)) for i in range(10) for j in range(20))
    own = layout.hides[0]
    layout = replace(layout, hides=(reckoned(replace(own, hide=replace(own.hide, flaws=flaws))),))
    assert_layout_valid(layout)
    lie = [Polygon(placement.outline) for placement in own.placements]
    assert len(near_pairs(lie, 30)) <= 2 * 20 * 19 < len(near_pairs(lie, 60))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 11), st.floats(0, 360), st.floats(0.02, 40))
def test_one_piece_moved_into_its_neighbours_is_always_found(index: int, way: float, by: float) -> None:
    """A planted fault: discs that touch their neighbours on four sides; moving one of them makes it overlap."""
    layout = grid(CIRCLE, 4, 3, (100, 100))
    own = layout.hides[0]
    moved = own.placements[index]
    x, y = moved.x + by * math.cos(math.radians(way)), moved.y + by * math.sin(math.radians(way))
    places = list(own.placements)
    places[index] = replace(lain(CIRCLE, x, y), number=moved.number)
    deep = max(
        Polygon(places[index].outline).intersection(Polygon(other.outline)).area
        for other in places
        if other is not places[index]
    )
    found = codes(replace(layout, hides=(replace(own, placements=tuple(places)),)))
    if deep > 1.0:
        assert "overlap" in found
    if deep == 0 and rectangle(*Polygon(own.hide.outline).bounds).contains(Polygon(places[index].outline)):
        assert "overlap" not in found


def test_a_side_laid_by_hand_is_right() -> None:
    """Many pieces, grades, clearances and an edge at once, laid by a plain grid of places."""
    assert_layout_valid(laid_by_hand())
