"""Hole patterns fall together or the misplaced holes are named."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from nesting.making.pattern import best_fit

L_SHAPE = np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 25.0), (90.0, 25.0), (90.0, 70.0)])


def moved(points: np.ndarray, angle: float, shift: tuple[float, float], over: bool = False) -> np.ndarray:
    """The points carried by scipy's own rotation, which shares nothing with the fit."""
    flipped = points * (-1, 1) if over else points
    turned = Rotation.from_euler("z", angle, degrees=True).apply(np.column_stack([flipped, np.zeros(len(points))]))
    return turned[:, :2] + shift


@settings(max_examples=30, deadline=None)
@given(st.floats(-180, 180), st.floats(-500, 500), st.floats(-500, 500), st.booleans(), st.permutations(range(5)))
def test_a_pattern_carried_elsewhere_in_any_order_falls_on_itself(
    angle: float, x: float, y: float, over: bool, order: list[int]
) -> None:
    fit = best_fit(moved(L_SHAPE, angle, (x, y), over)[order], L_SHAPE, 0.5)
    assert max(fit.off) < 1e-6
    assert fit.turned_over is over
    assert list(fit.onto) == order


@pytest.mark.parametrize("hole", range(5))
def test_one_misplaced_hole_is_named_alone_and_by_its_distance(hole: int) -> None:
    other = moved(L_SHAPE, 33.0, (5, -7))
    other[hole] += (2.0, 1.5)
    fit = best_fit(other, L_SHAPE, 0.5)
    assert fit.wrong(0.5) == (hole,)
    assert fit.off[hole] == pytest.approx(2.5, abs=1e-6)


def test_a_spacing_that_is_off_names_a_hole_beyond_the_tolerance_only() -> None:
    row, wide = np.array([(0, 0), (44, 0), (88, 0)], float), np.array([(0, 0), (44, 0), (88.9, 0)], float)
    assert len(best_fit(wide, row, 0.5).wrong(0.5)) <= 1
    assert max(best_fit(wide, row, 0.5).off) < 0.91
    assert best_fit(wide, row, 1.0).wrong(1.0) == ()
    assert len(best_fit(wide * 1.1, row, 0.5).wrong(0.5)) >= 1


def test_a_part_of_a_pattern_falls_on_the_whole() -> None:
    grid = np.array([(x, y) for x in (26, 70, 114) for y in (38, 262)], float)
    assert max(best_fit(np.array([(16.0, 280.0), (16.0, 504.0)]), grid, 0.5).off) < 1e-6
    assert len(best_fit(np.array([(16.0, 280.0), (16.0, 524.0)]), grid, 0.5).wrong(0.5)) >= 1


def test_a_symmetric_pattern_is_not_said_to_be_turned_over() -> None:
    ring = np.array([(math.cos(a), math.sin(a)) for a in np.linspace(0, 2 * math.pi, 7)[:-1]]) * 30
    assert not best_fit(ring[::-1], ring, 0.5).turned_over


def test_large_patterns_are_answered_too() -> None:
    holes = np.array([(7.0 * k, 3.0 * (k * k % 5)) for k in range(60)])
    assert max(best_fit(moved(holes, 70, (3, 4)), holes, 0.5).off) < 1e-5
