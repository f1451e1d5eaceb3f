"""The master problem on bars, where it is the cutting-stock problem: published optima, brute force, planted orders."""

from __future__ import annotations

import itertools
import math
import os
import random
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest
from bars import bar, bar_limits, cut_bar, demand

from hides.hide import Hide, Price
from nesting.batch.demand import ProductDemand
from nesting.batch.limits import task_limits
from nesting.batch.planner import ChosenPlan, choose_patterns
from nesting.batch.restricted_master import prices
from nesting.batch.searching import Searcher
from nesting.batch.task import Task, make_task
from nesting.model.settings import Settings, Watch


def planned(
    demands: Sequence[ProductDemand], hides: Sequence[Hide], effort: str = "normal", credit: Price | None = None
) -> tuple[Task, ChosenPlan]:
    task = make_task(demands, hides, credit)
    settings = Settings(effort=effort)
    limits = task_limits([group.hide for group in task.groups], task.products, settings, bar_limits)
    return task, choose_patterns(Searcher(task, settings, Watch(), cut_bar), limits)


def names(task: Task, chosen: ChosenPlan) -> set[str]:
    used = zip(chosen.choice.uses, chosen.patterns, strict=False)
    return {task.groups[p.group].hide.name for n, p in used if n}


def cost(chosen: ChosenPlan) -> float:
    return chosen.choice.cost(chosen.patterns)


def test_the_relaxation_of_chvatals_example_is_452_and_a_quarter() -> None:
    """Chvátal, Linear Programming (1983), chapter 13: raws 100 in wide, 97 of 45, 610 of 36, 395 of 31, 211 of 14 in.

    The relaxed optimum is 452.25 raws, the whole one 453 (from memory).
    """
    order = [demand("a", [45], 97), demand("b", [36], 610), demand("c", [31], 395), demand("d", [14], 211)]
    task, chosen = planned(order, [bar(100, price=1.0)] * 500)
    relaxed = prices(task, chosen.patterns)
    assert sum(relaxed.used) == pytest.approx(452.25, abs=1e-6)
    assert chosen.choice.filled == (97, 610, 395, 211)
    assert chosen.choice.hides == 453
    assert chosen.least.hides == 453
    assert cost(chosen) == pytest.approx(453)


def test_a_paper_mill_needs_73_rolls() -> None:
    """The worked example of the encyclopedia article on the cutting-stock problem: 5600 mm rolls, 13 widths.

    Its optimum is 73 rolls (from memory).
    """
    widths = [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200]
    numbers = [22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20]
    order = [demand(str(w), [w / 10], n) for w, n in zip(widths, numbers, strict=True)]
    _, chosen = planned(order, [bar(560, price=1.0)] * 100, "thorough")
    assert chosen.choice.hides == 73
    assert chosen.least.hides == 73


def brute_force(lengths: Sequence[int], numbers: Sequence[int], stock: Sequence[tuple[int, float]]) -> float:
    """The least cost of filling an order from a few bars, by trying every subset of bars and packing each exactly."""
    pieces = [n for n, many in zip(lengths, numbers, strict=True) for _ in range(many)]
    best = math.inf
    for size in range(len(stock) + 1):
        for subset in itertools.combinations(stock, size):
            total = sum(price for _, price in subset)
            if total < best and packs(sorted(pieces, reverse=True), [length for length, _ in subset]):
                best = total
    return best


def packs(pieces: Sequence[int], rooms: Sequence[int]) -> bool:
    if not pieces:
        return True
    tried = set()
    for place, room in enumerate(rooms):
        if room >= pieces[0] and room not in tried:
            tried.add(room)
            if packs(pieces[1:], [*rooms[:place], room - pieces[0], *rooms[place + 1 :]]):
                return True
    return False


@pytest.mark.parametrize("seed", range(12))
def test_small_orders_cost_what_brute_force_says(seed: int) -> None:
    chance = random.Random(seed)
    lengths = chance.sample(range(15, 60), 3)
    numbers = [chance.randint(1, 3) for _ in lengths]
    stock = [(chance.choice((60, 80, 100, 120)), float(chance.randint(5, 15))) for _ in range(6)]
    true = brute_force(lengths, numbers, stock)
    order = [demand(f"p{n}", [n], many) for n, many in zip(lengths, numbers, strict=True)]
    _, chosen = planned(order, [bar(length, f"bar {i}", price) for i, (length, price) in enumerate(stock)])
    if math.isinf(true):
        assert chosen.choice.filled != tuple(numbers)
        return
    assert chosen.choice.filled == tuple(numbers)
    assert chosen.least.cost <= true + 1e-6, "a bound above a plan that exists"
    assert cost(chosen) == pytest.approx(true)


@pytest.mark.parametrize("seed", range(8))
def test_a_planted_order_is_filled_within_three_per_cent_and_never_bounded_above(seed: int) -> None:
    """Bars cut up at random without a rest: a plan that uses exactly these bars exists."""
    chance = random.Random(seed)
    kinds = chance.sample(range(12, 50), 5)
    stock, wanted = [], dict.fromkeys(kinds, 0)
    for _ in range(chance.randint(4, 8)):
        cuts = [chance.choice(kinds) for _ in range(chance.randint(3, 6))]
        stock.append(sum(cuts))
        for cut in cuts:
            wanted[cut] += 1
    planted = float(sum(stock))
    hides = [bar(n, f"bar {i}", float(n)) for i, n in enumerate(stock)]
    spare = [bar(n, f"spare {i}", float(n)) for i, n in enumerate((150, 150, 200))]
    order = [demand(f"p{n}", [n], many) for n, many in wanted.items() if many]
    _, chosen = planned(order, hides + spare)
    assert chosen.choice.filled == tuple(many for many in wanted.values() if many)
    assert chosen.least.cost <= planted + 1e-6
    assert chosen.least.hides <= len(stock)
    assert planted * 1.03 >= cost(chosen) >= planted - 1e-6


@pytest.mark.parametrize("seed", range(8))
def test_never_more_hides_than_one_after_the_other_and_fewer_on_mixed_orders(seed: int) -> None:
    chance = random.Random(seed)
    lengths = [chance.randint(20, 45) for _ in range(3)]
    numbers = [chance.randint(2, 9) for _ in lengths]
    order = [demand(f"p{i}", [n], many) for i, (n, many) in enumerate(zip(lengths, numbers, strict=True))]
    simple = sum(math.ceil(many / (120 // n)) for n, many in zip(lengths, numbers, strict=True))
    _, chosen = planned(order, [bar(120, f"bar {i}", 10.0) for i in range(20)])
    assert chosen.choice.hides <= simple
    assert chosen.least.hides <= chosen.choice.hides


def test_offcuts_go_first_where_leather_costs_by_area() -> None:
    hides = [bar(200, "side", 200.0), bar(90, "rest 1", 90.0, "offcut"), bar(70, "rest 2", 70.0, "offcut")]
    task, chosen = planned([demand("a", [30], 5)], hides)
    assert names(task, chosen) == {"rest 1", "rest 2"}


def test_with_equal_cost_no_whole_hide_is_cut_where_an_offcut_serves() -> None:
    hides = [bar(100, "side", 50.0), bar(100, "rest", 50.0, "offcut")]
    task, chosen = planned([demand("a", [30], 3)], hides)
    assert names(task, chosen) == {"rest"}


def test_credit_for_offcuts_can_make_the_larger_hide_the_cheaper() -> None:
    """60 of leather costs 60 on the small bar; on the large one 100 less a credit of 0.9 × 40."""
    credit = Price(1.2 / 100.0, "USD", 1.2, "bar")
    hides = [bar(100, "large", 130.0), bar(60, "small", 90.0)]
    task, chosen = planned([demand("a", [30], 2)], hides, credit=credit)
    assert names(task, chosen) == {"large"}
    assert cost(chosen) == pytest.approx(130 - 1.2 * 40)
    assert chosen.least.cost <= cost(chosen) + 1e-6


def test_the_line_due_first_is_filled_first_when_leather_is_short() -> None:
    order = [demand("late", [30], 4, due=2), demand("early", [50], 4, due=1)]
    _, chosen = planned(order, [bar(100, f"bar {i}") for i in range(2)])
    assert chosen.choice.filled == (0, 4)
    assert not chosen.possible


def test_the_same_input_gives_the_same_plan() -> None:
    order = [demand("a", [45], 7), demand("b", [36], 9), demand("c", [31], 5)]
    hides = [bar(100 + i, f"bar {i}", 1.0 + i / 10) for i in range(12)]
    first, second = planned(order, hides)[1], planned(order, hides)[1]
    assert first.choice == second.choice
    assert first.patterns == second.patterns


def test_ctrl_c_still_reaches_its_handler_after_planning() -> None:
    """CP-SAT catches SIGINT by itself unless told not to, and leaves the handler that kills when it is done."""
    script = """
import os, signal
from test_planner import bar, demand, planned
heard = []
signal.signal(signal.SIGINT, lambda *_: heard.append(1))
planned([demand("a", [45], 7), demand("b", [36], 9)], [bar(100 + i, f"bar {i}", 1.0 + i / 10) for i in range(9)])
os.kill(os.getpid(), signal.SIGINT)
print("heard", len(heard))
"""
    tests = Path(__file__).parent
    paths = os.pathsep.join([str(tests), str(tests.parent)])
    told = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert told.stdout.strip() == "heard 1", told.stderr
