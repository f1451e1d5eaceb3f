"""Rings: refused with the points named, or mended where only one reading is possible."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon
from strategies import star_rings

from hides.errors import InputError
from hides.hide import Point
from hides.rings import closed, mend_ring

SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]


def codes(points: list[Point]) -> list[str]:
    return [finding.code for finding in mend_ring(points).findings]


def test_a_proper_ring_stays_as_it_is() -> None:
    mended = mend_ring(SQUARE)
    assert (mended.ring, mended.findings) == (tuple(SQUARE), ())


def test_a_closed_ring_loses_its_last_point_and_nothing_is_said() -> None:
    assert mend_ring([*SQUARE, SQUARE[0]]) == mend_ring(SQUARE)


def test_a_clockwise_ring_is_turned_round() -> None:
    assert mend_ring(SQUARE[::-1]).ring == tuple(SQUARE)


def test_repeated_points_are_left_out_and_named() -> None:
    mended = mend_ring([*SQUARE[:2], SQUARE[1], *SQUARE[2:], SQUARE[3], SQUARE[0], SQUARE[0]])
    assert mended.ring == tuple(SQUARE)
    assert [str(each) for each in mended.findings] == [
        "3 repeated points were left out: point 3 [100, 0], point 6 [0, 100], point 7 [0, 0]"
    ]


def test_a_spike_without_width_is_left_out() -> None:
    mended = mend_ring([*SQUARE[:3], (160.0, 160.0), SQUARE[2], SQUARE[3]])
    assert Polygon(mended.ring).equals(Polygon(SQUARE))
    assert "point 4 [160, 160]" in mended.findings[0].message


def test_a_spike_of_several_points_is_left_out() -> None:
    out = [(120.0, 100.0), (150.0, 120.0), (120.0, 100.0)]
    mended = mend_ring([*SQUARE[:3], *out, SQUARE[2], SQUARE[3]])
    assert Polygon(mended.ring).equals(Polygon(SQUARE))


def test_an_edge_that_overshoots_and_comes_straight_back_is_cut_short() -> None:
    mended = mend_ring([(0.0, 0.0), (130.0, 0.0), *SQUARE[1:]])
    assert Polygon(mended.ring).equals(Polygon(SQUARE))
    assert [each.code for each in mended.findings] == ["spike"]


def test_a_stray_loop_is_cut_off_and_said() -> None:
    knot = [(49.8, 99.9), (50.0, 100.4), (50.2, 99.8)]
    mended = mend_ring([*SQUARE[:3], *knot, SQUARE[3]])
    assert [each.code for each in mended.findings] == ["stray-loop"]
    assert Polygon(mended.ring).is_valid
    assert Polygon(mended.ring).area == pytest.approx(1e4, abs=25)


@pytest.mark.parametrize(
    ("points", "named"),
    [
        ([(0, 0), (9, 9), (9, 0), (0, 9)], ["crosses itself near [4.5, 4.5]", "point 1 [0, 0] to point 2 [9, 9]"]),
        ([(0, 0), (90, 0), (90, 90), (45, 0), (0, 90)], ["touches itself near [45, 0]", "point 4 [45, 0]"]),
        ([(0, 0), (50, 50), (0, 100), (100, 100), (50, 50), (100, 0)], ["touches itself near [50, 50]"]),
        ([(0, 0), (1, 0)], ["has no area"]),
        ([(0, 0), (0, 0), (5, 5), (5, 5)], ["has no area"]),
        ([(0, 0), (5, 5), (10, 10)], ["has no area"]),
        ([], ["has no area"]),
        ([(0, 0), (0.05, 0), (0, 0.05)], ["has an area of 0.00125 mm²"]),
        ([(0, 0), (math.nan, 0), (0, 5)], ["point 2 is not finite"]),
        ([(0, 0), (9, 0), (0, math.inf)], ["point 3 is not finite"]),
        ([(0, 0), (1e9, 0), (0, 5)], ["point 2 [1e+09, 0] is more than a kilometre away"]),
        ([(i, i * i) for i in range(20_001)], ["has 20001 points"]),
    ],
)
def test_what_has_no_one_reading_is_refused_and_the_points_named(points: list[Point], named: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        mend_ring(points)
    for part in named:
        assert part in str(caught.value)


def test_points_are_told_in_the_files_own_unit() -> None:
    inches = [(x * 25.4, y * 25.4) for x, y in [(0, 0), (9, 9), (9, 0), (0, 9)]]
    with pytest.raises(InputError, match=r"near \[4.5, 4.5\]"):
        mend_ring(inches, unit=25.4)


def test_a_crossing_that_cuts_off_real_leather_is_never_mended() -> None:
    with pytest.raises(InputError, match="crosses itself"):
        mend_ring([(0, 0), (100, 0), (100, 100), (46, 98), (50, 108), (54, 96), (0, 100)])


def test_an_open_line_is_closed_within_the_gap_and_refused_beyond() -> None:
    assert closed([*SQUARE, (0.0, 0.0)], 0.1) == ()
    assert closed([*SQUARE, (0.0, 0.05)], 0.1)[0].code == "closed"
    with pytest.raises(InputError, match=r"is open: its ends \[0, 0\] and \[0, 100\] are 100 apart; close it"):
        closed(SQUARE, 0.1)


@given(star_rings(), st.booleans(), st.booleans(), st.integers(0, 5))
def test_a_star_reads_the_same_from_any_corner_either_way_closed_or_not(
    ring: tuple[Point, ...], backwards: bool, shut: bool, start: int
) -> None:
    points = [*ring[start:], *ring[:start]]
    points = points[::-1] if backwards else points
    mended = mend_ring([*points, points[0]] if shut else points)
    assert mended.findings == ()
    assert Polygon(mended.ring).equals(Polygon(ring))
    assert Polygon(mended.ring).exterior.is_ccw


@given(star_rings(), st.integers(0, 100), st.integers(0, 100))
def test_a_ring_with_two_corners_exchanged_is_refused_or_simple(ring: tuple[Point, ...], i: int, j: int) -> None:
    points = list(ring)
    i, j = i % len(points), j % len(points)
    points[i], points[j] = points[j], points[i]
    try:
        mended = mend_ring(points)
    except InputError:
        return
    assert Polygon(mended.ring).is_valid


@given(st.lists(st.tuples(st.integers(-4, 4), st.integers(-4, 4)), max_size=9))
def test_whatever_comes_out_is_a_simple_ring_and_mending_it_again_changes_nothing(points: list[Point]) -> None:
    try:
        ring = mend_ring(points).ring
    except InputError:
        return
    assert Polygon(ring).is_valid
    assert Polygon(ring).exterior.is_ccw
    assert mend_ring(ring).ring == ring
    assert mend_ring(ring).findings == ()
