"""Every bound against the truth in small worlds, and against a second reckoning of its theorem (tests/exact.py).

What is proven is never below what there is; and it is no more than its theorem gives in exact arithmetic, so that a
bound cannot pass by saying nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product

import exact
import numpy as np
import pytest
from exact import CELL, Tile, World, best, random_world
from problems import plain_hide
from shapely.geometry import Point, box

from hides.hide import Hide, Price
from nesting.batch.bound import least
from nesting.batch.demand import ProductDemand
from nesting.batch.limits import Limits
from nesting.batch.order import OrderLine
from nesting.batch.task import make_task
from nesting.bound.chords import chord_limits
from nesting.bound.discs import most_of_kind
from nesting.bound.hall import hall_limits
from nesting.bound.islands import most_on_islands
from nesting.bound.limits import at_most
from nesting.bound.line_measure import MeasureBudget, line_limits
from nesting.bound.remaining import most_beside_given
from nesting.laying.lay_out import lay_out
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules
from nesting.model.want import Want
from nesting.search.arrays.fitting_angles import fitting

MANY = 10**6

LIGHT = MeasureBudget(together=3, rounds=4, steps=40, sampled=2000, cut=4000, hope=1.0, boxes=60_000)


def world(kind: int, seed: int, grounds: int = 1, turns: bool = True) -> World:
    return random_world(np.random.default_rng([kind, seed]), grounds, turns)


def told(limits: list[int | None]) -> int:
    return min((n for n in limits if n is not None), default=MANY)


@pytest.mark.parametrize("seed", range(30))
def test_areas_over_regions_say_what_halls_condition_says(seed: int) -> None:
    case = world(1, seed, grounds=1 + seed % 3)
    most = told([limit.at_most(0) for limit in hall_limits(case.problem())])
    assert best(case) <= most == exact.hall(case)


@pytest.mark.parametrize("seed", range(30))
def test_lines_say_no_less_than_there_is_and_no_more_than_whole_lengths_do(seed: int) -> None:
    case = world(2, seed, turns=bool(seed % 2))
    most = told([limit.at_most(0) for limit in chord_limits(case.problem())])
    own = exact.chords(case)
    assert best(case) <= (MANY if own is None else own)
    assert best(case) <= most <= (MANY if own is None else own)


@pytest.mark.parametrize("seed", range(30))
def test_weights_on_lines_say_no_less_than_tiles_in_shares_and_hardly_more(seed: int) -> None:
    """No weights can prove less than shares; in worlds of cells there are weights that prove no more."""
    case = world(9, seed, grounds=1 + seed % 2, turns=seed % 3 > 0)
    found = list(line_limits(case.problem(), [MANY], LIGHT))
    shares = [exact.in_shares(World(case.grounds, tiles)) for tiles in _by_leather(case.tiles)]
    assert best(case) <= told([limit.at_most(0) for limit in found])
    for limit, share in zip(found, shares, strict=False):
        assert share - 1e-6 <= limit.room / limit.uses[0] <= 1.4 * share + 0.2


def _by_leather(tiles: Sequence[Tile]) -> list[tuple[Tile, ...]]:
    """The tiles that take most, one more each time."""
    order = sorted(tiles, key=lambda t: -t.area * t.count)
    return [tuple(order[: n + 1]) for n in range(len(order))]


@pytest.mark.parametrize("seed", range(20))
def test_whole_pieces_on_islands_are_those_that_trying_all_gives(seed: int) -> None:
    """Two to three islands, which fall apart into more where cells are gone."""
    parts = [world(3, 3 * seed + n) for n in range(2 + seed % 2)]
    cells = frozenset((x + 9 * n, y) for n, part in enumerate(parts) for x, y in part.leather if x < 3 and y < 3)
    case = World((cells,), parts[0].tiles[:2])
    most = most_on_islands(case.problem(), 0, 0 if exact.islands(case) == 0 else MANY)
    assert best(case) <= exact.islands(case)
    assert most is None or most == exact.islands(case)


@pytest.mark.parametrize("seed", range(20))
def test_all_bounds_together_are_never_below_what_there_is(seed: int) -> None:
    case = world(4, seed, grounds=1 + seed % 2)
    assert best(case) <= at_most(case.problem(), 0) <= exact.hall(case)


@pytest.mark.parametrize("seed", range(16))
def test_beside_pieces_that_stay_no_more_is_proven_than_what_cells_leave(seed: int) -> None:
    """A tile of each kind lies there, wherever it found room; what is left is reckoned anew."""
    case = world(5, seed)
    taken: frozenset[tuple[int, int]] = frozenset()
    given = []
    for tile in case.tiles:
        free = [p for p in exact._places(tile, case.grounds) if not p & taken]
        taken |= free[seed % len(free)] if free else frozenset()
        given.append(len(free) > 0)
    left = World((case.leather - taken,), case.tiles) if case.leather - taken else case
    if left is case:
        return
    most = most_beside_given(left.problem([int(n) for n in given]), 0)
    free_cells = len(case.leather - taken)
    too_many = next(n for n in range(1, MANY) if _needs(case, given, n) > free_cells)
    assert best(case, [int(n) for n in given], taken) <= most < too_many


def _needs(case: World, given: list[bool], number: int) -> int:
    return sum(tile.area * max(0, tile.count * number - n) for tile, n in zip(case.tiles, given, strict=True))


@pytest.mark.parametrize(
    ("wide", "high", "size"), [(9, 7, 2), (10, 4, 4), (11, 11, 3), (5, 3, 3), (20, 3, 3), (4, 4, 5)]
)
def test_discs_say_what_olers_inequality_says(wide: int, high: int, size: int) -> None:
    """Rows of discs, square and staggered, are there; the inequality in fractions is what the bound comes to."""
    disc = Point(0, 0).buffer(CELL * size / 2, quad_segs=64)
    room = box(0, 0, CELL * wide, CELL * high)
    kind = Kind("disc", 0, disc, (disc,), 1, (Orientation(False, 0.0, 0.0, (0,)),))
    most = most_of_kind(Problem((room,), (room,), (kind,), (Wanted("discs"),)), 0)
    square = (wide // size) * (high // size)
    assert max(square, staggered(wide, high, size)) <= most
    inside = Fraction(size * CELL, 2) * Fraction(9990, 10000)  # a polygon of 256 sides, and what may be shared of it
    exactly = [exact.oler(Fraction(wide * CELL), Fraction(high * CELL), r) for r in (Fraction(size * CELL, 2), inside)]
    assert exactly[0] <= most <= exactly[1]


def staggered(wide: int, high: int, size: int) -> int:
    """Discs in rows of which every second one is set off by half a disc."""
    rows = 1 + math.floor((high - size) / (size * math.sqrt(3) / 2) + 1e-12) if high >= size else 0
    return sum((2 * wide - size * (row % 2)) // (2 * size) for row in range(rows))


@pytest.mark.parametrize("seed", range(60))
def test_never_at_any_angle_is_what_halving_in_fractions_says(seed: int) -> None:
    rng = np.random.default_rng([6, seed])
    room = (Fraction(int(rng.integers(60, 400))), Fraction(int(rng.integers(60, 400))))
    piece = (Fraction(int(rng.integers(20, 200))), Fraction(int(rng.integers(100, 460))))
    found = fitting(box(0, 0, *map(float, room)), box(0, 0, *map(float, piece)), 0.0, math.pi / 2)
    steps = [Fraction(n, 400) for n in range(401)]
    lies = any(exact.lies_at(piece, room, t) for t in steps)
    assert not (lies and found.never)
    if exact.never_lies(piece, tuple(side + Fraction(1, 100) for side in room), Fraction(0), Fraction(1)):  # type: ignore[arg-type]
        assert found.never
    assert all(exact.never_lies(piece, room, t, t, 0) != exact.lies_at(piece, room, t) for t in steps[::50])


@pytest.mark.parametrize("seed", range(10))
def test_no_strips_give_more_than_the_bound_of_strips(seed: int) -> None:
    rng = np.random.default_rng([7, seed])
    wide, high = (int(v) for v in rng.integers(5, 9, 2))
    tiles = [Tile(int(rng.integers(2, 5)), 1 + n, int(rng.integers(1, 3))) for n in range(int(rng.integers(1, 3)))]
    pieces = tuple(
        Piece(f"{n}", tuple(box(0, 0, t.wide * CELL, t.high * CELL).exterior.coords[:-1]), t.count, angles=(0.0,))
        for n, t in enumerate(tiles)
    )
    hide = replace(plain_hide(wide * CELL, high * CELL), backbone=((0.0, 0.0), (0.0, 1.0)))
    layout = lay_out(hide, [Want(Product("kit", pieces))], Settings(effort="quick", straight=StraightRules()))
    most = exact.best_strips(wide, high, tiles)
    across = exact.best_strips(high, wide, [replace(t, wide=t.high, high=t.wide) for t in tiles])
    straight = layout.hides[0].straight
    if straight is not None and straight.at_most is not None:
        assert layout.counts[0].complete <= straight.at_most
        assert max(most, across) <= straight.at_most
    assert max(most, across) <= layout.counts[0].at_most


@pytest.mark.parametrize("seed", range(12))
def test_a_batchs_bound_is_the_cheapest_of_all_choices_of_hides_and_mixes(seed: int) -> None:
    """Two products, up to three hides, limits made up: every mix on every hide is tried."""
    rng = np.random.default_rng([8, seed])
    names = ["a", "b"]
    square = Product("", (Piece("p", ((0, 0), (10, 0), (10, 10), (0, 10))),))
    wanted = [int(n) for n in rng.integers(1, 4, 2)]
    prices = [int(n) for n in rng.integers(1, 9, int(rng.integers(1, 4)))]
    hides = [
        Hide(f"H{n}", ((0, 0), (100 + n, 0), (100 + n, 100), (0, 100)), price=Price(p / 1e4, "EUR", p, "m2"))
        for n, p in enumerate(prices)
    ]
    demands = [
        ProductDemand(name, (OrderLine(f"{name}.toml", n),), ((None, replace(square, name=name)),))
        for name, n in zip(names, wanted, strict=True)
    ]
    task = make_task(demands, hides)
    tops = [tuple(int(n) for n in rng.integers(0, 4, 2)) for _ in task.groups]
    shares = [(float(rng.integers(1, 3)), float(rng.integers(1, 3))) for _ in task.groups]
    limits = [Limits(top, ((share, 4.0),)) for top, share in zip(tops, shares, strict=True)]
    mixes = [[m for m in product(range(4), range(4)) if limit.allow(m)] for limit in limits]
    plans = [
        (sum(g.cost for g, mix in zip(task.groups, chosen, strict=True) if any(mix)), sum(map(any, chosen)))
        for chosen in product(*mixes)
        if all(sum(mix[i] for mix in chosen) >= need for i, need in enumerate(wanted))
    ]
    assert all(group.many == 1 for group in task.groups)
    bound = least(task, limits, wanted)
    assert bound.possible == bool(plans)
    if plans:
        assert bound.hides == min(many for _, many in plans)
        assert bound.cost == pytest.approx(min(cost for cost, _ in plans), abs=1e-4)
