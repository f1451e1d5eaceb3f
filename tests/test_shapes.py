"""Shapes against their textbook areas, and curves against the true curve."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon

from hides.errors import InputError
from nesting.project.shapes import TOLERANCE, circle, folded, rectangle, simple_ring, strap

SIZES = st.floats(1, 2000)
ENDS = st.sampled_from(["square", "round", "point"])


def area(ring: tuple[tuple[float, float], ...]) -> float:
    polygon = Polygon(ring)
    assert polygon.is_valid
    assert polygon.exterior.is_ccw
    return float(polygon.area)


def test_plain_shapes_have_their_textbook_areas() -> None:
    """w·l; less (4 − π)r² for round corners; a half circle at a round end, a triangle w²/4 at a pointed one."""
    assert area(rectangle(150, 560)) == 84000
    assert area(rectangle(100, 80, 10)) == pytest.approx(8000 - (4 - math.pi) * 100, abs=2)
    assert area(strap(40, 300)) == 12000
    assert area(strap(40, 300, ("point", "point"))) == pytest.approx(12000 - 2 * 400)
    assert area(strap(40, 300, ("round", "round"))) == pytest.approx(260 * 40 + math.pi * 400, abs=5)
    assert area(circle(100)) == pytest.approx(math.pi * 2500, abs=8)


def test_the_first_end_of_a_strap_is_the_lower_one() -> None:
    ring = strap(40, 300, ("square", "point"))
    assert (20, 300) in ring
    assert (0, 0) in ring


@settings(max_examples=60, deadline=None)
@given(SIZES)
def test_a_circles_polygon_contains_the_circle_within_tolerance(diameter: float) -> None:
    """Every side is at least the radius from the centre, every corner at most the radius and the tolerance."""
    ring = circle(diameter)
    assert Polygon(ring).exterior.distance(shapely.Point(0, 0)) >= diameter / 2 - 1e-9
    assert max(math.hypot(x, y) for x, y in ring) <= diameter / 2 + TOLERANCE + 1e-9
    assert Polygon(ring).bounds == pytest.approx((-diameter / 2, -diameter / 2, diameter / 2, diameter / 2), abs=1e-9)
    area(ring)


@settings(max_examples=60, deadline=None)
@given(SIZES, SIZES, st.floats(0, 1))
def test_round_corners_contain_the_true_corner_and_keep_the_box(width: float, length: float, share: float) -> None:
    r = min(width, length) / 2 * share
    ring = Polygon(rectangle(width, length, r))
    assert ring.is_valid
    assert ring.bounds == pytest.approx((0, 0, width, length), abs=1e-9)
    for a in range(0, 91, 5):
        x, y = width - r + r * math.cos(math.radians(a)), length - r + r * math.sin(math.radians(a))
        assert ring.distance(shapely.Point(x, y)) < 1e-6
        assert ring.exterior.distance(shapely.Point(x, y)) <= TOLERANCE + 1e-9


@settings(max_examples=60, deadline=None)
@given(
    st.floats(1, 200),
    st.floats(1, 20),
    st.sampled_from(["square", "round", "point"]),
    st.sampled_from(["square", "round", "point"]),
)
def test_a_strap_keeps_its_box_whatever_its_ends(width: float, times: float, low: str, high: str) -> None:
    ring = strap(width, width * times, (low, high))
    assert Polygon(ring).bounds == pytest.approx((0, 0, width, width * times), abs=1e-9)
    assert area(ring) <= width * width * times + 1e-6


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(5, 300), st.floats(0.05, 1)), min_size=1, max_size=8), st.sampled_from(["x", "y"]))
def test_a_fold_doubles_the_area_and_is_symmetric(steps: list[tuple[float, float]], fold: str) -> None:
    """Half outlines of growing height; the whole equals its mirror image."""
    half, height = [(0.0, 0.0)], 0.0
    for width, part in steps:
        half += [(width, height), (width * part + 1, height + 10)]
        height += 11
    half.append((0.0, height))
    if fold == "x":
        half = [(y, x) for x, y in half]
    if not Polygon(half).is_valid:
        return
    whole = Polygon(folded(half, fold))
    flipped = affinity.scale(whole, -1 if fold == "y" else 1, -1 if fold == "x" else 1, origin=(0, 0))
    assert whole.area == pytest.approx(2 * Polygon(half).area)
    assert whole.symmetric_difference(flipped).area < 1e-6


def test_folding_both_ways_makes_four_quarters_and_leaves_no_points_on_straight_edges() -> None:
    assert set(folded([(0, 0), (30, 0), (30, 20), (0, 20)], "both")) == {(30, 20), (-30, 20), (-30, -20), (30, -20)}


def test_a_corner_on_the_fold_line_is_kept() -> None:
    assert (0, 30) in folded([(0, 0), (20, 0), (20, 20), (0, 30)], "y")


@pytest.mark.parametrize(
    ("points", "fold", "told"),
    [
        ([(-5, 0), (20, 0), (20, 20)], "y", "both sides"),
        ([(5, 0), (20, 0), (20, 20)], "y", "does not meet"),
        ([(0, 0), (20, -10), (20, 10)], "y", "does not meet"),
        ([(0, 0), (30, 0), (30, 60), (0, 60), (0, 40), (20, 40), (20, 20), (0, 20)], "y", "does not meet"),
        ([(0, 0), (10, 10), (10, 0), (0, 10)], "none", "crosses"),
        ([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)], "none", "touches"),
        ([(0, 0), (10, 0)], "none", "three"),
        ([(0, 0), (10, 0), (20, 0)], "none", "no area"),
        ([(0, 0), (10, 0), (10, 0), (0, 0)], "none", "three"),
    ],
)
def test_an_outline_that_makes_no_piece_is_refused(points: list[tuple[float, float]], fold: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        folded(points, fold)


def test_rings_run_counter_clockwise_and_are_not_closed() -> None:
    assert simple_ring([(0, 0), (0, 10), (10, 10), (10, 0), (0, 0)]) == ((10, 0), (10, 10), (0, 10), (0, 0))
