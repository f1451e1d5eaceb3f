"""Of several products those that go beside what lies are laid there, and nothing that lies is moved for them."""

from __future__ import annotations

import pytest
from problems import assert_apart
from shapely.geometry import Point, box

from nesting.batch.searching import Here
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.settings import Watch, never
from nesting.search.arrays.inner_fits import Laid
from nesting.search.effort import BUDGETS
from nesting.search.groundwork import Groundwork
from nesting.search.search import Search

FIXED = (Orientation(False, 0.0, 0.0, (0,)),)


def discs(limit: int) -> Problem:
    """Two products of a disc each, one of 30 mm across the middle and one of 7, on leather for six large ones."""
    large, small = (Point(0, 0).buffer(radius, quad_segs=6) for radius in (30, 7))
    kinds = (Kind("large", 0, large, (large,), 1, FIXED), Kind("small", 1, small, (small,), 1, FIXED))
    leather = box(0, 0, 184, 124)
    return Problem((leather,), (leather,), kinds, (Wanted("large"), Wanted("small", worth=0.01, limit=limit)))


@pytest.mark.parametrize(("limit", "least"), [(40, 2), (1, 1), (0, 0)])
def test_what_goes_beside_a_layout_is_laid_up_to_what_is_wanted(limit: int, least: int) -> None:
    ground = Groundwork(discs(limit))
    going = Search(ground, (), BUDGETS["quick"], 1, Watch(), Here(), never)
    laid = tuple(Laid(0, 0, 31.0 + 61 * column, 31.0 + 61 * row, 0.0) for row in range(2) for column in range(3))
    going.take((6, 0), laid)
    going.round_off()
    assert going.best[0] == 6
    assert least <= going.best[1] <= limit
    assert set(laid) <= set(going.laid)
    assert_apart(ground.problem, going.laid)
