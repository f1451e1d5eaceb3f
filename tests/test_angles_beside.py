"""Pieces that lie suggest angles to others: sides alongside one another, within what a piece may turn."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from problems import in_box
from shapely.geometry import Polygon, box

from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.search.arrays.angles_beside import MOST, angles_beside
from nesting.search.arrays.inner_fits import Laid
from nesting.search.groundwork import Groundwork

WEDGE = Polygon([(0, 0), (60, 0), (40, 100), (0, 100)])
"""One side leans by atan(20 / 100), 11.31 degrees."""
LEANS = math.degrees(math.atan2(20, 100))


def turning(low: float, high: float) -> Problem:
    """A strap that stays as it is and a wedge that may turn within an interval of degrees."""
    kinds = (
        Kind("strap", 0, box(0, 0, 20, 200), (box(0, 0, 20, 200),), 4, (Orientation(False, 0.0, 0.0, (0,)),)),
        Kind("wedge", 0, WEDGE, (WEDGE,), 4, (Orientation(False, low, high, (0,)),)),
    )
    leather = box(0, 0, 400, 400)
    return Problem((leather,), (leather,), kinds, (Wanted("kit", limit=30),))


def beside(low: float, high: float) -> list[float]:
    """The angles, degrees, that one strap suggests to the wedge."""
    ways = angles_beside(Groundwork(turning(low, high)).inner_fits(4), [Laid(0, 0, 50.0, 200.0, 0.0)])
    return [math.degrees(angle) for orientation, angle in ways]


def test_a_leaning_side_is_laid_along_the_sides_of_what_lies() -> None:
    assert beside(-20.0, 20.0) == pytest.approx([-LEANS], abs=1e-3)


def test_no_angle_beyond_what_a_piece_may_turn_is_suggested() -> None:
    assert beside(-5.0, 5.0) == []


def test_a_piece_that_may_turn_freely_has_the_leaning_side_along_either_side() -> None:
    assert sorted(round(abs(math.remainder(a, 180.0)), 2) for a in beside(0.0, 360.0)) == [round(LEANS, 2)] * 2


def test_angles_that_are_tried_already_are_not_told_again() -> None:
    right = in_box(300, 300, [(box(0, 0, 50, 20), 4, [0.0, 90.0])])
    ground = Groundwork(right)
    assert angles_beside(ground.inner_fits(4), [Laid(0, 0, 100.0, 100.0, 0.0)]) == ()
    assert ground.inner_fits_beside(4, [Laid(0, 0, 100.0, 100.0, 0.0)]) is ground.inner_fits(4)


def test_rotations_at_the_angles_suggested_are_among_those_tried() -> None:
    ground = Groundwork(turning(-20.0, 20.0))
    usual, more = ground.inner_fits(4), ground.inner_fits_beside(4, [Laid(0, 0, 50.0, 200.0, 0.0)])
    known = {round(v.angle, 5) for v in usual.rotations(1)}
    assert {round(v.angle, 5) for v in more.rotations(1)} == known | {
        round(a, 5) for _, a in angles_beside(usual, [Laid(0, 0, 50.0, 200.0, 0.0)])
    }


@given(st.floats(-3.0, 3.0), st.floats(0.5, 40.0))
def test_every_angle_suggested_lays_some_side_along_one_that_lies(lie: float, tolerance: float) -> None:
    kinds = (
        Kind("strap", 0, box(0, 0, 20, 200), (box(0, 0, 20, 200),), 4, (Orientation(False, -180.0, 180.0, (0,)),)),
        Kind("wedge", 0, WEDGE, (WEDGE,), 4, (Orientation(False, -tolerance, tolerance, (0,)),)),
    )
    leather = box(0, 0, 400, 400)
    fits = Groundwork(Problem((leather,), (leather,), kinds, (Wanted("kit", limit=30),))).inner_fits(4)
    told = [(o, a) for o, a in angles_beside(fits, [Laid(0, 0, 50.0, 200.0, lie)]) if o == 1]
    assert len(told) <= MOST
    for _, angle in told:
        assert abs(math.degrees(angle)) <= tolerance + 1e-6
        own = [angle, angle + math.pi / 2, angle + math.pi / 2 + math.radians(LEANS)]
        assert any(abs(math.remainder(a - lie, math.pi / 2)) < 1e-4 for a in own)
