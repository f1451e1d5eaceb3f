"""Contacts between laid pieces, and small overlaps settled by a linear programme: against plain distances."""

from __future__ import annotations

import numpy as np
import pytest
from problems import assert_apart, in_box
from shapely.geometry import Polygon, box

from nesting.search.arrays.arrays import Arrays, build
from nesting.search.arrays.inner_fits import Laid
from nesting.search.arrays.overlap_kernel import State
from nesting.search.separation.contacts import contacts
from nesting.search.separation.linear_programme import MOST_CONTACTS, settle

SQUARE = box(0, 0, 20, 20)


def lying(arrays: Arrays, *centres: tuple[float, float]) -> State:
    state = arrays.state([0] * len(centres), 1)
    state.pose[:, :2] = centres
    arrays.relay(state)
    return state


def met(arrays: Arrays, state: State, near: float, gap: float = 0.0) -> np.ndarray:
    rows = np.zeros((MOST_CONTACTS, 7))
    return rows[: contacts(arrays.tables, state, gap, near, rows)]


@pytest.mark.parametrize(("apart", "gap"), [(1.5, 0.0), (-0.5, 0.0), (1.5, 4.0)])
def test_squares_beside_each_other_meet_along_the_line_between_them(apart: float, gap: float) -> None:
    arrays = build(in_box(200, 200, [(SQUARE, 2, [0.0])], gap))
    state = lying(arrays, (100, 100), (120 + apart, 100))
    rows = met(arrays, state, 3.0, gap)
    assert len(rows) == 2
    assert rows[:, :2].tolist() == [[0, 1], [0, 1]]
    assert rows[:, 2:4] == pytest.approx(np.array([[1, 0], [1, 0]]))
    assert rows[:, 4] == pytest.approx(apart - gap)
    assert not len(met(arrays, state, apart - gap, gap))


def test_a_square_by_the_border_meets_it_with_its_two_corners() -> None:
    arrays = build(in_box(200, 200, [(SQUARE, 1, [0.0])]))
    rows = met(arrays, lying(arrays, (11, 100)), 2.0)
    assert rows[:, 1].tolist() == [-1, -1]
    assert rows[:, 4] == pytest.approx(1.0)
    assert not len(met(arrays, lying(arrays, (100, 100)), 2.0))


@pytest.mark.parametrize("gap", [0.0, 2.0])
def test_small_overlaps_in_a_row_that_just_fits_are_settled(gap: float) -> None:
    problem = in_box(60.2 + 2 * gap, 20.2, [(SQUARE, 3, [0.0])], gap)
    arrays = build(problem)
    state = lying(arrays, (10.3, 10.0), (29.6 + gap, 10.3), (50.4 + 2 * gap, 10.1))
    settle(arrays, state, 2.0)
    laid = [Laid(0, int(state.orientation[k]), *map(float, state.pose[k])) for k in range(3)]
    assert_apart(problem, laid)


def test_what_cannot_come_apart_is_left_no_worse_than_it_was() -> None:
    problem = in_box(35.0, 20.2, [(SQUARE, 2, [0.0])])
    arrays = build(problem)
    state = lying(arrays, (10.0, 10.1), (25.0, 10.1))
    settle(arrays, state, 1.0)
    rows = met(arrays, state, 2.0)
    assert -rows[:, 4].min() <= 5.0 + 1e-6
    assert not np.isnan(state.pose).any()


def test_a_turn_stays_within_what_the_piece_may_have() -> None:
    wedge = Polygon([(0, 0), (40, 0), (0, 20)])
    problem = in_box(60, 30, [(wedge, 2, [0.0])])
    arrays = build(problem)
    state = lying(arrays, (15, 8), (17, 9))
    settle(arrays, state, 3.0)
    assert np.abs(state.pose[:, 2]).max() == 0.0
