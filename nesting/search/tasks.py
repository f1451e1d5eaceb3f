"""What a search hands out: tasks that stand alone in any process, on the groundwork made there once."""

from __future__ import annotations

from collections import Counter

import numpy as np

from nesting.model.settings import Stop
from nesting.search.arrays.goals import Goal, Partial, part_of, shortfall
from nesting.search.arrays.inner_fits import Laid
from nesting.search.choosing.large_neighbourhood import search_neighbourhoods
from nesting.search.choosing.pooled_fillings import fillings
from nesting.search.filling.bottom_left_fill import bottom_left_fill
from nesting.search.filling.sequence_search import search_sequences, sequence, sweep
from nesting.search.groundwork import Groundwork
from nesting.search.separation.guided_local_search import PulledApart, pull_apart


def fill_task(ground: Groundwork, angles: int, goal: Goal, seed: int, number: int) -> tuple[Laid, ...] | None:
    """A goal laid one piece after the other, in an order and from a side of its number; None where some are left."""
    rng = np.random.default_rng((seed, number))
    order = sequence(ground.problem, goal, rng, number)
    laid = bottom_left_fill(ground.inner_fits(angles), order, sweep(ground.problem, rng, number), leave=0.0)
    return tuple(laid) if len(laid) == len(order) else None


def beside_task(
    ground: Groundwork, angles: int, laid: tuple[Laid, ...], product: int, most: int, seed: int, number: int
) -> tuple[Laid, ...]:
    """Pieces of complete products, at most so many, beside those laid."""
    rng = np.random.default_rng((seed, number))
    goal = tuple(int(p == product) for p in range(len(ground.problem.wanted)))
    order = sequence(ground.problem, goal, rng, number) * most
    found = bottom_left_fill(ground.inner_fits(angles), order, sweep(ground.problem, rng, number), laid, leave=0.0)
    many = Counter(piece.kind for piece in found)
    whole = min(many[k] // ground.problem.kinds[k].count for k in ground.problem.kinds_of(product))
    return part_of(ground.problem, found, tuple(n * whole for n in goal))


def sequences_task(
    ground: Groundwork, angles: int, pairs: int, goal: Goal, seed: int, rounds: int, stop: Stop
) -> Partial:
    """A goal laid in many orders, pairs as one in some; what lacks least."""
    paired = ground.paired(angles, pairs) if pairs else None
    return search_sequences(ground.inner_fits(angles), goal, seed, rounds, stop, paired)


def fillings_task(
    ground: Groundwork, angles: int, goal: Goal, seed: int, rounds: int, stop: Stop
) -> list[tuple[Laid, ...]]:
    """A goal laid in many orders; all of them."""
    return fillings(ground.inner_fits(angles), goal, seed, rounds, stop)


def neighbourhoods_task(
    ground: Groundwork,
    angles: int,
    beside: bool,
    stray: float,
    start: tuple[Laid, ...],
    goal: Goal,
    seed: int,
    budget: int,
    stop: Stop,
) -> Partial:
    """Parts of a layout laid anew; with `beside` also at angles that its own pieces suggest."""
    fits = ground.inner_fits_beside(angles, start) if beside else ground.inner_fits(angles)
    return search_neighbourhoods(fits, start, goal, seed, budget, stop, stray)


def pull_apart_task(
    ground: Groundwork, rotations: int, start: tuple[Laid, ...], goal: Goal, seed: int, budget: int, stop: Stop
) -> PulledApart:
    """A layout and what it lacks of a goal, pulled apart."""
    more = shortfall(ground.problem, start, goal)
    maps = ground.depth_maps(rotations)
    return pull_apart(ground.arrays, maps, start, more, seed, budget, stop)
