"""How a search shares out its budget."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from problems import plain_hide, product, rectangle

from nesting.bound.limits import limits
from nesting.model.problem import Problem
from nesting.model.settings import Watch, never
from nesting.model.want import Want
from nesting.posing.pose_problem import pose_problem
from nesting.search.arrays.goals import Partial
from nesting.search.effort import BUDGETS
from nesting.search.groundwork import Groundwork
from nesting.search.search import LEAST_ORDERS, MOVES_A_PIECE, ORDERS, Search


def begun(problem: Problem, effort: str) -> Search:
    return Search(Groundwork(problem), limits(problem), BUDGETS[effort], 1, Watch(), ThreadPoolExecutor(1), never)


def straps_and_tabs() -> Problem:
    kit = product(rectangle("strap", 30, 300), rectangle("tab", 20, 50, count=3))
    return pose_problem(plain_hide(2000, 1000), [Want(kit)], 0.0)


@pytest.mark.parametrize("effort", ["normal", "thorough"])
@pytest.mark.parametrize("kits", [10, 170, 750, 2500])
def test_orders_of_any_number_of_pieces_leave_a_share_to_neighbourhoods_and_separation(effort: str, kits: int) -> None:
    going = begun(straps_and_tabs(), effort)
    orders, pieces = going._orders((kits,)), 4 * kits
    spent = orders * going.budget.runs * pieces * MOVES_A_PIECE
    assert orders == LEAST_ORDERS or spent <= ORDERS * going.budget.moves


def test_a_goal_that_lacks_nearly_a_whole_product_is_given_up() -> None:
    going = begun(straps_and_tabs(), "normal")
    unit = 30 * 300 + 3 * 20 * 50
    going.partial[(5,)] = [Partial((), 0.95 * unit, 0), Partial((), 0.99 * unit, 0)]
    going.partial[(6,)] = [Partial((), 0.95 * unit, 0), Partial((), 0.5 * unit, 0)]
    assert going._hopeless((5,))
    assert not going._hopeless((6,))


def test_a_goal_of_few_pieces_takes_few_moves_at_quick() -> None:
    going = begun(straps_and_tabs(), "quick")
    assert going._left((1,)) == 4 * going.budget.moves_a_piece < going.budget.moves
    going.moves_left -= 4 * going.budget.moves_a_piece
    assert going._left((1,)) <= 0 < going._left((40,))
