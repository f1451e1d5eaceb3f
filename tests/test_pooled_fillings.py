"""Beside pieces that stay the best of many fillings is taken pocket by pocket."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from problems import assert_apart, in_box
from shapely.geometry import box

from nesting.model.problem import Problem
from nesting.model.settings import never
from nesting.search.arrays.arrays import build
from nesting.search.arrays.goals import needed
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.pooled_fillings import MOST, fillings, most_products, nearest, pooled
from nesting.search.filling.leftover import placed

SIDE = 10.0
POOLS = st.lists(st.tuples(st.integers(0, 1), st.integers(0, 8), st.integers(0, 3)), min_size=1, max_size=9)


def kit(given: tuple[int, int] = (0, 0)) -> Problem:
    """Two squares of 10 and one of 20 to a product, in 100 × 50; so many of each lie there already."""
    problem = in_box(100, 50, [(box(0, 0, SIDE, SIDE), 2, [0.0]), (box(0, 0, 20, 20), 1, [0.0])])
    return replace(problem, kinds=tuple(replace(k, given=n) for k, n in zip(problem.kinds, given, strict=True)))


def at(kind: int, x: float, y: float) -> Laid:
    half = (SIDE if kind == 0 else 20.0) / 2
    return Laid(kind, kind, x + half, y + half, 0.0)


@settings(max_examples=25, deadline=None)
@given(POOLS, st.tuples(st.integers(0, 3), st.integers(0, 2)))
def test_no_choice_from_the_pool_makes_more_products(raw: list[tuple[int, int, int]], given: tuple[int, int]) -> None:
    problem = kit(given)
    arrays, pool = build(problem), [at(kind, 10.0 * x, 10.0 * y) for kind, x, y in dict.fromkeys(raw)]
    held = (min(given[0] // 2, given[1]),)
    goal, laid = most_products(arrays, pool, held, 0, 9, 1, 0, never)
    shapes = [placed(problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in pool]
    clash = {(i, j) for i, j in combinations(range(len(pool)), 2) if shapes[i].intersection(shapes[j]).area > 1e-6}
    best = 0
    for size in range(len(pool) + 1):
        for group in combinations(range(len(pool)), size):
            if not clash.intersection(combinations(group, 2)):
                small, large = (given[k] + sum(pool[n].kind == k for n in group) for k in (0, 1))
                best = max(best, min(small // 2, large))
    assert goal == (best,)
    assert {k: sum(p.kind == k for p in laid) for k in (0, 1)} == needed(problem, goal)
    assert_apart(problem, laid)


def test_each_pocket_has_what_did_best_in_it() -> None:
    """One filling is good on the left and bad on the right, the other the other way round."""
    problem = kit()
    left, right = ([at(1, x, 0), at(0, x, 20), at(0, x + 10, 20)] for x in (0.0, 60.0))
    bad = {name: [at(1, x + 5, 10)] for name, x in (("left", 0.0), ("right", 60.0))}
    filled = [(*left, *bad["right"]), (*bad["left"], *right)]
    arrays = build(problem)
    goal, laid = most_products(arrays, pooled(arrays, filled, left), (1,), 0, 9, 1, 3, never)
    assert goal == (2,)
    assert set(laid) == {*left, *right}


def test_what_is_held_of_other_products_stays_held() -> None:
    """Two products of one square each and room for four squares: the other's one is not given up."""
    small, large = kit().kinds
    kinds = (replace(small, count=1), replace(large, product=1))
    problem = replace(kit(), kinds=kinds, wanted=kit().wanted * 2)
    pool = [at(1, 0, 0), at(0, 0, 0), at(0, 10, 0), at(0, 30, 0)]
    goal, laid = most_products(build(problem), pool, (0, 1), 0, 9, 1, 1, never)
    assert goal == (1, 1)
    assert set(laid) == {at(1, 0, 0), at(0, 30, 0)}


def test_a_choice_that_was_known_comes_back_where_nothing_more_goes() -> None:
    problem, known = kit(), [at(1, 0, 0), at(0, 20, 0), at(0, 30, 0)]
    arrays = build(problem)
    places = pooled(arrays, [(at(1, 5, 5),)], known)
    assert most_products(arrays, places, (1,), 0, 9, 1, 3, never) == ((1,), tuple(known))
    lacking = nearest(arrays, places, (2,), 1, 3)
    assert lacking.missing == 20 * 20 + 2 * SIDE * SIDE
    assert set(lacking.pieces) == set(known)


def test_a_pool_holds_every_place_once_the_most_frequent_first_and_no_more_than_are_chosen_among() -> None:
    arrays = build(kit())
    once, often, known = at(0, 50, 0), at(0, 70, 0), at(0, 0, 0)
    assert pooled(arrays, [(once, often), (often, known)], [known]) == [known, often, once]
    many = [(Laid(0, 0, 5 + 0.05 * (n % 1700), 5 + n // 1700, 0.0),) for n in range(MOST + 100)]
    assert len(pooled(arrays, many, [])) == MOST


def test_fillings_are_the_same_by_the_same_seed_and_end_with_a_stop() -> None:
    fits = InnerFits(build(kit()))
    first = fillings(fits, (3,), 5, 4, never)
    assert fillings(fits, (3,), 5, 4, never) == first
    assert len(first) == 4
    assert fillings(fits, (3,), 5, 4, lambda: True) == []
