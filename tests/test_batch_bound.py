"""The batch's lower bounds attacked with plans that exist: none may cost less or cut fewer hides than they say."""

from __future__ import annotations

from collections import Counter

from bars import WIDTH, bar, bar_limits, demand
from hypothesis import given, settings
from hypothesis import strategies as st

from hides.hide import Hide, Price
from nesting.batch.bound import least
from nesting.batch.demand import ProductDemand
from nesting.batch.limits import limits_of, task_limits
from nesting.batch.order import OrderLine
from nesting.batch.task import make_task
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings, never

CUTS = st.lists(st.lists(st.sampled_from((17, 23, 31, 44)), min_size=1, max_size=5), min_size=1, max_size=5)


@settings(max_examples=30, deadline=None)
@given(CUTS, st.lists(st.integers(0, 15), min_size=5, max_size=5), st.floats(0.1, 3), st.floats(0, 1))
def test_no_bound_is_above_a_plan_that_exists(
    cuts: list[list[int]], rests: list[int], price: float, share: float
) -> None:
    """Each bar is cut as planned and leaves its rest, for which the credit is paid in full."""
    lengths = [sum(cut) + rest for cut, rest in zip(cuts, rests, strict=False)]
    hides = [bar(n, f"bar {i}", n * price) for i, n in enumerate(lengths)]
    hides += [bar(90, "spare", 90 * price)]
    credit = Price(share * price / WIDTH, "USD", share * price / WIDTH, "mm2")
    wanted = Counter(length for cut in cuts for length in cut)
    task = make_task([demand(f"p{n}", [n], many) for n, many in sorted(wanted.items())], hides, credit)
    limits = task_limits([group.hide for group in task.groups], task.products, Settings(), bar_limits)
    bound = least(task, limits, [many for _, many in sorted(wanted.items())])
    planted = sum(n * price - share * price * r for n, r in zip(lengths, rests, strict=False))
    assert bound.possible
    assert bound.hides <= len(cuts)
    assert bound.cost <= planted + 1e-6


def test_hides_cut_without_any_waste_are_not_bounded_away() -> None:
    """Moroń's squared rectangle of order 9 (1925): squares of 1, 4, 7, 8, 9, 10, 14, 15 and 18 fill 32 × 33 exactly.

    Two hides that each hold the nine squares: two must be enough, and what fills two is not got from one.
    """

    def square(side: float) -> tuple[tuple[float, float], ...]:
        return ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side))

    outline = ((0.0, 0.0), (320.0, 0.0), (320.0, 330.0), (0.0, 330.0))
    hides = [Hide(f"H{n}", outline, price=Price(1e-5, "USD", 1e-5, "mm2")) for n in range(3)]
    products = [Product(f"s{n}", (Piece("square", square(10.0 * n)),)) for n in (1, 4, 7, 8, 9, 10, 14, 15, 18)]
    demands = [ProductDemand(p.name, (OrderLine(p.name, 2),), ((None, p),)) for p in products]
    task = make_task(demands, hides)
    limits = task_limits([group.hide for group in task.groups], task.products, Settings(), limits_of)
    bound = least(task, limits, [2] * 9)
    assert bound.possible
    assert bound.hides == 2
    assert bound.cost <= 2 * 320 * 330 * 1e-5 + 1e-6
    assert bound.cost > 0.99 * 2 * 320 * 330 * 1e-5


def test_more_than_the_hides_hold_is_proven_impossible() -> None:
    task = make_task([demand("a", [60], 3)], [bar(100, "one"), bar(110, "two")])
    limits = task_limits([group.hide for group in task.groups], task.products, Settings(), bar_limits)
    assert not least(task, limits, [3]).possible
    assert least(task, limits, [2]).hides == 2
    assert least(task, limits, [0]).hides == 0


def test_a_bound_that_is_stopped_is_no_sharper_and_holds() -> None:
    hides = [bar(n, f"bar {n}", float(n)) for n in (90, 110, 130, 170)]
    task = make_task([demand("a", [31], 6), demand("b", [44], 4)], hides)
    limits = task_limits([group.hide for group in task.groups], task.products, Settings(), bar_limits)
    whole, cut_short = (least(task, limits, [6, 4], stop) for stop in (never, lambda: True))
    assert 0 <= cut_short.hides <= whole.hides
    assert 0.0 <= cut_short.cost <= whole.cost
    assert cut_short.possible or not whole.possible
