"""The choice among many places: proven best within the pool, and never of places that overlap."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import in_box
from shapely.geometry import box

from nesting.model.problem import Problem
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.set_packing import ChosenPlaces, choose, most_leather
from nesting.search.filling.leftover import placed
from nesting.search.filling.spares import lay_spares
from nesting.search.finishing import Finishing

SIDE = 10.0
POOLS = st.lists(st.tuples(st.integers(0, 1), st.integers(0, 8), st.integers(0, 3)), min_size=1, max_size=9)


def kit(spare: bool = False, gap: float = 0.0) -> Problem:
    """One square of 10 and one of 20 to a product, in 100 × 50; the small one also as a spare."""
    problem = in_box(100, 50, [(box(0, 0, SIDE, SIDE), 1, [0.0]), (box(0, 0, 20, 20), 1, [0.0])], gap)
    small, large = problem.kinds
    return replace(problem, kinds=(replace(small, spare=spare), large))


def at(kind: int, x: float, y: float) -> Laid:
    half = (SIDE if kind == 0 else 20.0) / 2
    return Laid(kind, kind, x + half, y + half, 0.0)


@settings(max_examples=25, deadline=None)
@given(POOLS, st.booleans())
def test_the_choice_is_as_good_as_trying_every_subset(raw: list[tuple[int, int, int]], spare: bool) -> None:
    problem = kit(spare)
    pool = [at(kind, 10.0 * x, 10.0 * y) for kind, x, y in dict.fromkeys(raw)]
    chosen = choose(build(problem), pool, [9], 5.0)
    assert chosen.proven
    assert (chosen.goal[0], len(chosen.pieces)) == brute_force(problem, pool, spare)


@settings(max_examples=25, deadline=None)
@given(POOLS, st.integers(0, 4), st.integers(0, 4))
def test_the_most_leather_is_that_of_the_best_subset(raw: list[tuple[int, int, int]], small: int, large: int) -> None:
    problem = kit()
    fits = InnerFits(build(problem))
    arrays, pool = fits.arrays, [at(kind, 10.0 * x, 10.0 * y) for kind, x, y in dict.fromkeys(raw)]
    shapes = [placed(problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in pool]
    clash = {(i, j) for i, j in combinations(range(len(pool)), 2) if shapes[i].intersection(shapes[j]).area > 1e-6}
    best = 0.0
    for size in range(len(pool) + 1):
        for group in combinations(range(len(pool)), size):
            few = sum(pool[k].kind == 0 for k in group) <= small and sum(pool[k].kind == 1 for k in group) <= large
            if few and not clash.intersection(combinations(group, 2)):
                best = max(best, sum(shapes[k].area for k in group))
    overlaps = fits.ready({0, 1}).overlaps(fits, pool)
    assert {(i, j) for i, j in zip(*np.nonzero(overlaps), strict=True) if i < j} == clash
    chosen = most_leather(problem, pool, overlaps, {0: small, 1: large}, 5.0, 1)
    assert sum(problem.kinds[p.kind].area for p in chosen) == pytest.approx(best)


def brute_force(problem: Problem, pool: list[Laid], spare: bool) -> tuple[int, int]:
    """The most products, and with them the most pieces, over all subsets that lie apart."""
    arrays = build(problem)
    shapes = [placed(problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in pool]
    clash = {(i, j) for i, j in combinations(range(len(pool)), 2) if shapes[i].intersection(shapes[j]).area > 1e-6}
    best = (0, 0)
    for size in range(len(pool) + 1):
        for group in combinations(range(len(pool)), size):
            small = sum(pool[k].kind == 0 for k in group)
            fits = small >= size - small and (spare or 2 * small == size)
            if fits and not clash.intersection(combinations(group, 2)):
                best = max(best, (size - small, size))
    return best


def test_a_gap_keeps_neighbours_apart_that_could_touch() -> None:
    pool = [at(0, 0, 0), at(1, 10, 0), at(1, 13, 0)]
    assert choose(build(kit()), pool[:2], [9], 5.0).goal == (1,)
    assert choose(build(kit(gap=3.0)), pool[:2], [9], 5.0).goal == (0,)
    assert choose(build(kit(gap=3.0)), pool, [9], 5.0).goal == (1,)


def test_no_more_products_are_chosen_than_are_wanted() -> None:
    pool = [at(kind, 25.0 * n + 20 * (1 - kind), 0) for n in range(3) for kind in (0, 1)]
    assert choose(build(kit()), pool, [2], 5.0).goal == (2,)


def test_spares_fill_what_is_left_and_lie_apart() -> None:
    """Round one square of 20 a board of 100 × 50 holds 45 squares of 10 at most (areas), wherever it lies on tens."""
    problem = kit(spare=True)
    arrays = build(problem)
    laid = [at(1, 40, 10)]
    spares = lay_spares(InnerFits(arrays), laid)
    shapes = [placed(problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in [*laid, *spares]]
    assert len(spares) >= 43
    assert all(a.intersection(b).area < 1e-3 for a, b in combinations(shapes, 2))
    assert all(box(-1e-4, -1e-4, 100 + 1e-4, 50 + 1e-4).contains(shape) for shape in shapes)


def test_told_to_stop_one_filling_is_enough() -> None:
    laid = lay_spares(InnerFits(build(kit(spare=True))), [], stop=lambda: True)
    assert len(laid) == pytest.approx(50)


@pytest.mark.parametrize("stopped", [False, True])
def test_a_search_that_is_to_end_lays_no_spares(stopped: bool) -> None:
    """They would be hundreds, which somebody who has said when to end would wait for."""
    finishing = Finishing(InnerFits(build(kit(spare=True))), (0,), (), 1, lambda: stopped, 1)
    assert bool(finishing.finished([(at(1, 40, 10),)]).spares) is not stopped


def test_from_nothing_nothing_is_chosen() -> None:
    assert choose(build(kit()), [], [9], 5.0) == ChosenPlaces((0,), (), True)
    full = [at(1, 20.0 * x, 20.0 * y) for x in range(5) for y in range(2)]
    full += [at(0, 10.0 * x, 40.0) for x in range(10)]
    assert lay_spares(InnerFits(build(kit(spare=True))), full) == ()
