"""The planner's steps, each by itself, on bars: prices, filling, choosing, finishing."""

from __future__ import annotations

import itertools
import threading
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from bars import bar, bar_limits, cut_bar, demand
from hypothesis import given, settings
from hypothesis import strategies as st

from hides.hide import Hide
from nesting.batch.choice import choose
from nesting.batch.demand import ProductDemand
from nesting.batch.finishing import cuts
from nesting.batch.guided import Guide
from nesting.batch.limits import Limits, task_limits
from nesting.batch.pattern import CuttingPattern, Pool
from nesting.batch.planner import choose_patterns
from nesting.batch.pricing import exact_call, improving_round, net_worths, pricing_calls
from nesting.batch.restricted_master import prices
from nesting.batch.searching import Call, Here, Searcher, even_worths
from nesting.batch.starting import Filling, capped
from nesting.batch.task import make_task
from nesting.batch.workers import workers
from nesting.model.layout import Layout
from nesting.model.settings import Settings, Watch, never

QUICK = Settings(effort="quick")


def searcher(demands: Sequence[ProductDemand], hides: Sequence[Hide]) -> tuple[Searcher, tuple[Limits, ...]]:
    task = make_task(demands, hides)
    limits = task_limits([group.hide for group in task.groups], task.products, QUICK, bar_limits)
    made = Searcher(task, QUICK, Watch(), cut_bar)
    made.budget = 100
    return made, limits


def call_all(search: Searcher) -> Call:
    items = tuple(range(len(search.task.items)))
    return Call(0, items, tuple(search.task.area(i) for i in items), (None,) * len(items), "quick")


def test_product_by_product_takes_each_demand_in_turn() -> None:
    search, limits = searcher([demand("a", [40], 3), demand("b", [30], 2)], [bar(100, f"B{n}", 1.0) for n in range(5)])
    filling = Filling(search, limits, "quick")
    assert filling.surely_needed() == 3
    filling = Filling(search, limits, "quick")
    filling.product_by_product()
    assert [pattern.counts for pattern in filling.taken] == [(2, 0), (2, 0), (0, 2)]  # finishing takes off the one over
    assert not filling.open
    assert filling.free == [2]


def test_a_mixed_fill_uses_what_one_demand_leaves() -> None:
    search, limits = searcher([demand("a", [60], 2), demand("b", [40], 2)], [bar(100, f"B{n}", 1.0) for n in range(5)])
    filling = Filling(search, limits, "quick")
    filling.mixed([0], [60.0, 40.0])
    assert [pattern.counts for pattern in filling.taken] == [(1, 1), (1, 1)]


def test_a_guide_tries_each_product_alone_on_each_kind_of_hide_and_then_asks_for_what_is_hoped() -> None:
    """Bars of 100 take one of 60 and three of 30: with 24 of each wanted both on one bar is hoped for."""
    bars = [bar(100, f"B{n}", 1.0 + n / 100) for n in range(30)]
    search, limits = searcher([demand("a", [60], 24), demand("b", [30], 24)], bars)
    guide = Guide(search, limits, "quick")
    guide.learn(8)
    assert [(got.call.items, got.counts) for got in guide.got] == [((0,), (1, 0)), ((1,), (0, 3))]
    guide.run()
    assert search.made <= 40
    assert choose(search.task, search.pool.patterns).filled == (24, 24)
    assert choose(search.task, search.pool.patterns).hides == 24


def test_a_plan_over_many_hides_keeps_within_its_searches_and_mixes_from_the_start() -> None:
    """16 long and 16 short go on 16 bars mixed; product by product they would take 24."""
    bars = [bar(100 + n / 100, f"B{n}", 10.0 + n / 100) for n in range(26)]
    search, limits = searcher([demand("long", [66], 16), demand("short", [34], 16)], bars)
    plan = choose_patterns(search, limits)
    assert plan.choice.filled == (16, 16)
    assert plan.choice.hides == 16
    assert search.made <= search.budget


def test_a_limit_that_cannot_bind_is_not_told() -> None:
    assert (capped(5, 3), capped(3, 3), capped(2, 3), capped(-1, 3)) == (None, None, 2, 0)


def test_worths_are_even_and_none_is_nought() -> None:
    assert even_worths([0.0, 2.0, 4.0]) == (1e-4, 0.5, 1.0)


def test_a_round_of_pricing_finds_the_mix_that_single_cuts_waste() -> None:
    """70 and 30 on bars of 100: alone each wastes 30 or 10; at the prices of both the mix is dearest."""
    search, limits = searcher([demand("a", [70], 4), demand("b", [30], 4)], [bar(100, f"B{n}", 1.0) for n in range(9)])
    search.many([exact_call(search, 0, (1, 0), "quick"), exact_call(search, 0, (0, 3), "quick")])
    before = prices(search.task, search.pool.patterns)
    assert before.items == pytest.approx((1.0, 1 / 3))
    (call,) = pricing_calls(search, limits, before, "quick")
    assert call.worths == (1.0, pytest.approx(1 / 3, abs=1e-4))
    told, new = improving_round(search, limits, "quick")
    assert told == before
    assert new
    assert (1, 1) in [pattern.counts for pattern in search.pool.patterns]
    after = prices(search.task, search.pool.patterns)
    assert sum(after.used) == pytest.approx(4.0)
    assert not pricing_calls(search, limits, after, "quick")
    assert net_worths(search, after, 0) == after.items


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(1, 9)), min_size=1, max_size=5),
    st.integers(1, 4),
    st.integers(1, 4),
)
def test_the_choice_is_as_good_as_trying_every_use(found: list[tuple[int, int, int]], a: int, b: int) -> None:
    """Most leather first, then least cost: against every number of uses of every pattern."""
    search, _ = searcher([demand("a", [20], a), demand("b", [30], b)], [bar(200, f"B{n}", 1.0) for n in range(4)])
    layout = search.one(call_all(search)).layout  # type: ignore[union-attr]
    pool = Pool()
    for first, second, cost in found:
        pool.add(CuttingPattern(0, (first, second), float(cost), 0.0, layout))
    patterns = pool.patterns

    def told(uses: Sequence[int]) -> tuple[float, float]:
        given = [sum(n * p.counts[i] for n, p in zip(uses, patterns, strict=True)) for i in range(2)]
        filled = min(given[0], a) * 20 + min(given[1], b) * 30
        return -filled, sum(n * p.cost for n, p in zip(uses, patterns, strict=True))

    best = min(
        (told(uses) for uses in itertools.product(range(5), repeat=len(patterns)) if sum(uses) <= 4), default=(0.0, 0.0)
    )
    assert told(choose(search.task, patterns).uses) == pytest.approx(best)


def test_a_choice_is_called_the_cheapest_only_where_that_is_settled() -> None:
    search, _ = searcher([demand("a", [20], 9)], [bar(200, f"B{n}", 1.0) for n in range(4)])
    layout = search.one(call_all(search)).layout  # type: ignore[union-attr]
    patterns = [CuttingPattern(0, (n,), 1.0 + 0.37 * n, 0.0, layout) for n in range(1, 6)]
    assert choose(search.task, patterns).cheapest
    assert not choose(search.task, patterns, effort=0.0).cheapest


def test_finishing_leaves_nothing_beyond_the_order_and_numbers_products_from_one() -> None:
    search, limits = searcher([demand("a", [40], 3)], [bar(100, f"B{n}", 1.0) for n in range(4)])
    chosen = choose_patterns(search, limits)
    done = cuts(search.task, chosen, QUICK, bar_limits, lambda group, counts: None)
    assert [cut.on.hide.name for cut in done] == ["B0", "B1"]
    assert Counter(cut.layout.counts[0].complete for cut in done) == {2: 1, 1: 1}
    assert all(sorted(p.number for p in cut.on.placements)[0] == 1 for cut in done)
    assert sum(cut.cost for cut in done) == pytest.approx(2.0)


def test_a_search_that_a_stop_meets_elsewhere_hands_in_its_best() -> None:
    stop = threading.Event()

    def cut_at_the_stop(*asked: Any) -> Layout:
        stop.set()
        time.sleep(0.3)  # longer than the planner waits between two looks at the stop
        return cut_bar(*asked)

    search, _ = searcher([demand("a", [40], 3)], [bar(100, price=1.0)])
    with ThreadPoolExecutor(1) as elsewhere:
        met = Searcher(search.task, QUICK, Watch(stop=stop.is_set, executor=elsewhere), cut_at_the_stop)
        found = met.one(call_all(met))
    assert found is not None
    assert found.counts == (2,)
    assert [pattern.counts for pattern in met.pool.patterns] == [(2,)]


def test_an_executor_that_works_at_once_keeps_results_and_errors() -> None:
    assert list(Here().map(abs, [-1, 2])) == [1, 2]
    assert isinstance(Here().submit(int, "x").exception(), ValueError)


def test_one_worker_is_this_process_and_two_are_others() -> None:
    with workers("1", never) as none:
        assert none is None
    with workers("2", never) as pool:
        assert pool is not None
        assert pool.submit(abs, -3).result(timeout=120) == 3
