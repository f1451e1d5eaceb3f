"""Steps of the check by themselves: distances, areas, titles, each at the edge of what it lets pass."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from boards import board, box, codes, laid, lain
from shapely.geometry import Polygon
from shapely.geometry import box as rectangle

from hides.hide import Grade, Ring, Zone
from nesting.check import faults
from nesting.check.areas import _grown
from nesting.check.depth import joined, over, overstep, shortfall
from nesting.check.fault import ROUNDING, TOLERANCE, Fault, title
from nesting.check.layout import _sound
from nesting.check.neighbours import crowded
from nesting.check.sums import miscounted
from nesting.model.layout import BegunProduct, Layout
from nesting.model.product import Along, Piece
from nesting.model.straight import CrossCut, StraightPlan, Strip

PANEL = Piece("panel", box(0, 0, 100, 200))
HERE = (3.0, 4.0)
MANY = "{} of {} pieces of “goods” no. 1 are stated, and 1 of 3 are placed"
LACKS = "what “goods” no. 1 is said to lack is not what it lacks"


def test_an_amount_counts_beyond_the_tolerance_and_a_millionth_of_rounding() -> None:
    assert over(TOLERANCE + ROUNDING, lambda: HERE) is None
    assert over(TOLERANCE + ROUNDING + 1e-9, lambda: HERE) == (TOLERANCE + ROUNDING + 1e-9, HERE)


def test_a_crack_that_is_closed_leaves_the_ground_as_it_is_elsewhere() -> None:
    """Two halves 0.004 mm apart: what lies across the crack is inside, and nothing has grown."""
    ground = joined([rectangle(0, 0, 50, 60), rectangle(50.004, 0, 100, 60)])
    assert ground.covers(rectangle(40, 10, 60, 50))
    assert ground.bounds == (0, 0, 100, 60)
    assert ground.area == pytest.approx(6000, abs=1e-3)
    assert not joined([rectangle(0, 0, 50, 60), rectangle(50.02, 0, 100, 60)]).covers(rectangle(40, 10, 60, 50))
    bay = Polygon([(0, 0), (50, 0), (50.002, 60), (50.004, 0), (100, 0), (100, 80), (0, 80)])
    assert joined([bay]).equals(bay)


@pytest.mark.parametrize(("wide", "wrong"), [(0.009, False), (0.012, True), (0.03, True)])
def test_slivers_that_lie_on_each_other_are_as_deep_as_they_are_wide(wide: float, wrong: bool) -> None:
    """All corners lie on both outlines; the widest place counts."""
    sliver = rectangle(0, 0, wide, 50)
    met = shortfall(sliver, sliver)
    assert (met is not None) == wrong
    assert met is None or met[0] == pytest.approx(wide, abs=0.01)


def test_a_distance_is_wanted_and_told_with_the_nearest_point() -> None:
    one, other = rectangle(0, 0, 10, 10), rectangle(13, 2, 20, 8)
    assert shortfall(one, other, 3.0) is None
    met = shortfall(one, other, 5.0)
    assert met is not None
    assert met[0] == pytest.approx(2)
    assert met[1][0] == 10
    touching = shortfall(one, rectangle(10, 2, 20, 8), 5.0)
    assert touching is not None
    assert touching[0] == pytest.approx(5)
    assert touching[1][0] == 10
    assert shortfall(one, Polygon(), 5.0) is shortfall(Polygon(), one, 5.0) is None
    deep = shortfall(one, rectangle(6, 2, 20, 8), 5.0)
    assert deep is not None
    assert deep[0] == pytest.approx(5 + 4)


def test_what_reaches_out_of_no_ground_reaches_out_by_all_of_its_border() -> None:
    met = overstep(rectangle(0, 0, 10, 20), Polygon())
    assert met is not None
    assert met[0] == 60
    assert overstep(Polygon(), Polygon()) is None
    assert overstep(rectangle(0, 0, 10, 20), rectangle(0, 0, 10, 20)) is None


def near(first: float, second: float, gap: float, kerf: float = 0.0, cut: tuple[int, ...] = ()) -> list[Fault]:
    places = [lain(PANEL, 0, 0), lain(PANEL, first, 0, number=0), lain(PANEL, second, 0, number=2)]
    return list(crowded("board", places, [Polygon(each.outline) for each in places], gap, cut, kerf))


def test_pieces_off_strips_keep_the_kerf_and_others_the_gap() -> None:
    assert near(102, 204, 2.0, 3.0) == []
    assert [f.pieces[1] for f in near(102, 204, 2.0, 3.0, (0, 1))] == ["“panel” of goods single"]
    assert near(101, 203, 2.0, 1.0, (0, 1)) == []
    assert len(near(101, 202, 2.0, 1.0, (0, 1))) == 1
    assert near(102, 203, 2.0, 1.0, (1, 2)) == []
    (fault,) = near(101.5, 203.5, 2.0)
    assert (fault.code, fault.by, fault.hide) == ("gap", pytest.approx(0.5), "board")
    assert (
        fault.text == "“panel” of goods no. 1 and “panel” of goods single are 1.500 mm apart, less than the gap of 2 mm"
    )
    (fault,) = near(96, 198, 2.0)
    assert (fault.code, fault.by) == ("overlap", pytest.approx(6))
    assert fault.text == "“panel” of goods no. 1 and “panel” of goods single overlap by 4.000 mm"


def test_a_fault_tells_its_place_to_the_millionth() -> None:
    fault = Fault("gap", "too near", "H", ("a",), (1.23456789, 2.0), 0.123456789)
    assert str(fault) == "gap: H: too near at (1.23, 2.00)"
    assert fault.to_data() == {
        "code": "gap", "hide": "H", "pieces": ["a"], "where": [1.234568, 2.0], "by": 0.123457, "text": "too near"
    }  # fmt: skip
    bare = Fault("bound", "too many")
    assert str(bare) == "bound: too many"
    assert (bare.to_data()["where"], bare.to_data()["by"]) == (None, None)
    assert (title(lain(PANEL, 0, 0)), title(lain(PANEL, 0, 0, number=0))) == (
        "“panel” of goods no. 1", "“panel” of goods single"
    )  # fmt: skip


def stated(layout: Layout, **areas: float) -> set[str]:
    """Codes of the layout with other areas stated; each is added to."""
    own = layout.hides[0]
    told = {name: getattr(own.areas, name) + by for name, by in areas.items()}
    return codes(replace(layout, hides=(replace(own, areas=replace(own.areas, **told)),)))


def test_a_square_millimetre_is_what_rounding_may_make_and_no_more() -> None:
    layout = laid(board(), [PANEL], [lain(PANEL, 400, 100)])
    for name in ("scrap", "pieces", "usable", "hide", "edge", "flaws"):
        assert stated(layout, **{name: 1.0}) == set(), name
        assert stated(layout, **{name: 1.001}) == {"areas"}, name
    assert stated(layout, edge=-1.0) == set()
    assert stated(layout, edge=-1.001) == {"areas"}


@pytest.mark.parametrize("large", [0.0065, -0.0065])
def test_pieces_count_as_drawn_or_as_described(large: float) -> None:
    """600 mm of border drawn 0.0065 mm off are 3.9 mm²: 20,000 of the description or that much beside it."""
    drawn = replace(lain(PANEL, 400, 100), outline=box(400 - large, 100 - large, 100 + 2 * large, 200 + 2 * large))
    layout = laid(board(), [PANEL], [drawn])
    off = 20_000 - layout.hides[0].areas.pieces
    assert abs(off) > 3.8
    assert stated(layout) == set()
    assert stated(layout, pieces=off, scrap=-off) == set()
    assert stated(layout, pieces=2 * off, scrap=-2 * off) == {"areas"}
    assert stated(layout, pieces=-off, scrap=off) == {"areas"}


def test_rings_of_two_points_are_none_and_small_ones_are_sound() -> None:
    crumb = Piece("crumb", box(0, 0, 0.5, 1))
    assert codes(laid(board(), [crumb], [lain(crumb, 400, 100)])) == set()
    layout = laid(board(), [PANEL], [lain(PANEL, 400, 100)])
    own = layout.hides[0]
    line = replace(own.placements[0], outline=((0.0, 0.0), (1.0, 1.0)))
    assert "ring" in codes(replace(layout, hides=(replace(own, placements=(line,)),)))
    assert codes(replace(layout, hides=(replace(own, offcuts=(((0.0, 0.0), (1.0, 1.0)),)),))) == {"ring"}


@pytest.mark.parametrize(
    ("laid_ones", "told", "said"),
    [
        (1, BegunProduct(1, 3, (("panel", 1), ("tab", 1))), set()),
        (2, BegunProduct(2, 3, (("tab", 1),)), set()),
        (0, BegunProduct(0, 3, (("panel", 2), ("tab", 1))), set()),
        (3, BegunProduct(3, 3, (("tab", 1),)), {"“goods” no. 1 has 3 of “panel”, and takes 2"}),
        (1, BegunProduct(2, 3, (("panel", 1), ("tab", 1))), {MANY.format(2, 3)}),
        (1, BegunProduct(1, 2, (("panel", 1), ("tab", 1))), {MANY.format(1, 2)}),
        (1, BegunProduct(1, 3, (("panel", 2), ("tab", 1))), {LACKS}),
        (2, BegunProduct(2, 3, (("panel", 0), ("tab", 1))), {LACKS}),
    ],
)  # fmt: skip
def test_a_product_begun_has_the_pieces_and_lacks_those_it_says(
    laid_ones: int, told: BegunProduct, said: set[str]
) -> None:
    """Two panels and a tab make one."""
    panel, tab = replace(PANEL, count=2), Piece("tab", box(0, 0, 10, 10))
    layout = laid(board(), [panel, tab], [lain(PANEL, 100 + 110 * k, 100) for k in range(laid_ones)], complete=0)
    layout = replace(layout, counts=(replace(layout.counts[0], next=told),))
    assert {fault.text for fault in miscounted(layout)} == said
    numbered = replace(layout, counts=(replace(layout.counts[0], next=None),))
    assert bool(list(miscounted(numbered))) == bool(laid_ones)


def test_products_are_counted_by_the_numbers_their_pieces_carry() -> None:
    def said(numbers: list[int], complete: int, at_most: int = 9, described: bool = True) -> list[str]:
        places = [lain(PANEL, 110 * k, 100, number=number) for k, number in enumerate(numbers)]
        layout = laid(board(), [PANEL], places, complete=complete)
        counts = (replace(layout.counts[0], at_most=at_most),)
        made = replace(layout, counts=counts, products=layout.products if described else ())
        return [fault.text for fault in miscounted(made)]

    assert said([1, 2, 3], 3) == said([1, 2], 2, 2) == said([1, 0, 0], 1) == said([], 0, 0) == []
    assert said([1, 2, 3], 2) == ["pieces carry the number 3 of “goods”, and 2 complete are stated"]
    assert said([1, -1], 1) == ["pieces carry the number -1 of “goods”, and 1 complete are stated"]
    assert said([1, 2], 2, 1) == ["2 complete “goods” are stated, and at most 1 are said to be possible"]
    assert said([], -1) == ["-1 complete “goods” are stated, and at most 9 are said to be possible"]
    assert said([1, 1], 2) == [
        "“goods” no. 1 has 2 of “panel”, and takes 1",
        "“goods” no. 2 has 0 of “panel”, and takes 1",
    ]
    assert said([1, 2, 0], 2, 9, False) == said([], 0, 9, False) == []
    assert said([1, 1, 0], 2, 9, False) == ["2 complete “goods” are stated, and pieces of 1 are placed"]
    assert len(said([1], 10**9)) == 2


def test_pieces_of_a_product_begun_are_no_part_of_the_areas() -> None:
    pair = replace(PANEL, count=2)
    places = [lain(PANEL, 100, 100), lain(PANEL, 210, 100), lain(PANEL, 400, 100, number=2)]
    layout = laid(board(), [pair], places, complete=1)
    told = replace(layout.counts[0], next=BegunProduct(1, 2, (("panel", 1),)))
    without = laid(board(), [pair], places[:2], complete=1).hides[0].areas
    assert codes(replace(layout, counts=(told,), hides=(replace(layout.hides[0], areas=without),))) == set()
    assert codes(replace(layout, counts=(told,))) == {"areas"}


def test_areas_that_are_no_numbers_or_below_nought_are_told() -> None:
    layout = laid(board(), [PANEL], [lain(PANEL, 400, 100)])
    own = layout.hides[0]

    def said(**areas: float) -> list[str]:
        told = replace(own, areas=replace(own.areas, **areas))
        return [fault.text for fault in faults(replace(layout, hides=(told,)))]

    assert said(scrap=math.nan) == ["areas.scrap is nan mm²"]
    assert said(scrap=math.inf) == ["areas.scrap is inf mm²"]
    assert said(flaws=-5.0, scrap=own.areas.scrap + 5.0) == ["areas.flaws is -5 mm²"]


def test_a_strip_of_less_than_a_millimetre_counts_in_the_areas() -> None:
    assert _grown(rectangle(0, 0, 100, 100), -0.9, 64).area == pytest.approx(98.2**2)


def test_a_crack_of_eight_thousandths_is_closed_too() -> None:
    assert joined([rectangle(0, 0, 50, 60), rectangle(50.008, 0, 100, 60)]).covers(rectangle(40, 10, 60, 50))


@pytest.mark.parametrize("first", [0, 1, 2])
def test_a_tip_is_as_deep_wherever_the_ring_begins(first: int) -> None:
    ring = [(5.0, -3.0), (8.0, 4.0), (2.0, 4.0)]
    met = shortfall(Polygon(ring[first:] + ring[:first]), rectangle(0, -20, 10, 0))
    assert met is not None
    assert met == (pytest.approx(3), (5.0, -3.0))


def test_an_overlap_of_half_a_millimetre_is_told_where_it_is_deepest() -> None:
    tip = Polygon([(5, -0.5), (8, 4), (2, 4)])
    met = shortfall(tip, rectangle(0, -20, 10, 0))
    assert met == (pytest.approx(0.5), (5.0, -0.5))


def test_rings_are_sound_from_three_corners_on_and_where_all_numbers_are_finite() -> None:
    triangle = ((0.0, 0.0), (5.0, 0.0), (0.0, 5.0))
    assert _sound(triangle)
    assert not _sound((*triangle[:2], (math.nan, 5.0)))
    assert not _sound((*triangle, (3.0, -4.0)))


def test_what_reaches_over_the_outline_is_told_once() -> None:
    layout = laid(board(edge=5.0), [PANEL], [lain(PANEL, -2, 100)])
    told = [fault for fault in faults(layout) if fault.code == "outside"]
    assert [fault.text for fault in told] == ["“panel” of goods no. 1 reaches 2.000 mm over the outline"]
    assert told[0].by == pytest.approx(2)


def test_a_strip_of_half_a_millimetre_along_the_edge_is_kept_clear_by_pieces_and_offcuts() -> None:
    hide = board(edge=0.5)
    assert "outside" in codes(laid(hide, [PANEL], [lain(PANEL, 0.2, 100)]))
    assert "outside" not in codes(laid(hide, [PANEL], [lain(PANEL, 0.5, 100)]))
    layout = laid(hide, [PANEL], [lain(PANEL, 400, 100)])
    own = replace(layout.hides[0], offcuts=(box(0.2, 100, 300, 300),))
    assert "offcut" in codes(replace(layout, hides=(own,)))


def test_an_offcut_may_touch_a_hole_and_a_zone_that_cannot_be_used_and_is_counted_from_one() -> None:
    zone = Zone("brand", box(150, 100, 50, 50), Grade.NONE)
    hide = board(holes=(box(100, 100, 50, 50),), zones=(zone,))
    layout = laid(hide, [PANEL], [lain(PANEL, 400, 100)])

    def said(ring: Ring, area: float) -> list[str]:
        own = replace(layout.hides[0], offcuts=(ring,), offcut_areas=(area,))
        return [fault.text for fault in faults(replace(layout, hides=(own,))) if fault.code == "offcut"]

    assert said(box(100, 150, 100, 100), 10_000.0) == []
    assert said(box(100, 150, 100, 100), 10_002.0) == [
        "offcut 1 is stated as 10002.0 mm², and its outline makes 10000.0 mm²"
    ]


def test_pieces_that_touch_lie_too_near_and_do_not_overlap() -> None:
    (fault,) = near(100, 300, 2.0)
    assert (fault.code, fault.by) == ("gap", pytest.approx(2))


def test_pieces_off_one_strip_keep_the_kerf_and_a_piece_beside_them_only_the_gap() -> None:
    """Two panels off a strip with a kerf of 2 mm, 1 mm apart; without the plan they keep the gap of nought."""
    layout = laid(board(), [PANEL], [lain(PANEL, 0, 0), lain(PANEL, 101, 0, number=2)], complete=2)
    strip = Strip(200, 0, (0, 1), (CrossCut(1, 0, 100), CrossCut(1, 102, 202)))
    plan = StraightPlan(((0, 0), (1000, 0)), 0, (strip,), 2)
    assert "gap" not in codes(layout)
    assert "gap" in codes(replace(layout, hides=(replace(layout.hides[0], straight=plan),)))
    other = replace(strip, pieces=(0,), cuts=strip.cuts[:1])
    beside = replace(layout.hides[0], straight=replace(plan, strips=(other,)))
    assert "gap" not in codes(replace(layout, hides=(beside,)))


def test_a_shape_and_an_angle_are_told_with_how_far_they_are_off() -> None:
    shifted = replace(lain(PANEL, 400, 100), outline=box(403, 100, 100, 200))
    (shape,) = (f for f in faults(laid(board(), [PANEL], [shifted])) if f.code == "shape")
    assert shape.by == pytest.approx(3)
    along = replace(PANEL, along=Along.BACKBONE, tolerance=1.0)
    (angle,) = (f for f in faults(laid(board(), [along], [lain(along, 400, 100, -80)])) if f.code == "angle")
    assert angle.text == (
        "“panel” of goods no. 1 is turned 9° further than it may be from along the backbone (±1°) in the hide"
    )
    assert angle.by == pytest.approx(math.radians(9) * math.hypot(50, 100))
