"""What a search hands out: tasks that stand alone in any process, from tables made there once."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from threading import Lock

import numpy as np

from nesting.model.problem import Problem
from nesting.model.settings import Stop
from nesting.search.arrays.arrays import Arrays, build
from nesting.search.arrays.goals import Goal, Partial, part_of, shortfall
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.large_neighbourhood import search_neighbourhoods
from nesting.search.filling.bottom_left_fill import bottom_left_fill
from nesting.search.filling.pairs import Paired
from nesting.search.filling.sequence_search import search_sequences, sequence, sweep
from nesting.search.separation.depth_maps import Atlas, atlas
from nesting.search.separation.guided_local_search import PulledApart, pull_apart


@lru_cache(maxsize=8)
def arrays_of(problem: Problem) -> Arrays:
    """The tables of a problem, made once a process."""
    return build(problem)


@lru_cache(maxsize=8)
def inner_fits_of(problem: Problem, angles: int) -> InnerFits:
    """The rotations of a problem at so many angles, made once a process."""
    return InnerFits(arrays_of(problem), angles)


@lru_cache(maxsize=8)
def paired_of(problem: Problem, angles: int, most: int) -> Paired | None:
    """The pairs of a problem, at most so many, made once a process; None where there are none."""
    paired = Paired(inner_fits_of(problem, angles), most)
    return paired if paired.pairs else None


@lru_cache(maxsize=4)
def depth_maps_of(problem: Problem, angles: int) -> Atlas:
    """The depth maps of a problem, made once a process."""
    return atlas(inner_fits_of(problem, angles))


MAKING = Lock()
"""Held while maps are drawn and pairs sought: tasks that ask for the same together are to make it once."""


def fill_task(problem: Problem, angles: int, goal: Goal, seed: int, number: int) -> tuple[Laid, ...] | None:
    """A goal laid one piece after the other, in an order and from a side of its number; None where some are left."""
    rng = np.random.default_rng((seed, number))
    order = sequence(problem, goal, rng, number)
    laid = bottom_left_fill(inner_fits_of(problem, angles), order, sweep(problem, rng, number), leave=0.0)
    return tuple(laid) if len(laid) == len(order) else None


def beside_task(
    problem: Problem, angles: int, laid: tuple[Laid, ...], product: int, most: int, seed: int, number: int
) -> tuple[Laid, ...]:
    """Pieces of complete products, at most so many, beside those laid."""
    rng = np.random.default_rng((seed, number))
    goal = tuple(int(p == product) for p in range(len(problem.wanted)))
    order = sequence(problem, goal, rng, number) * most
    found = bottom_left_fill(inner_fits_of(problem, angles), order, sweep(problem, rng, number), laid, leave=0.0)
    many = Counter(piece.kind for piece in found)
    whole = min(many[k] // problem.kinds[k].count for k in problem.kinds_of(product))
    return part_of(problem, found, tuple(n * whole for n in goal))


def sequences_task(
    problem: Problem, angles: int, pairs: int, goal: Goal, seed: int, rounds: int, stop: Stop
) -> Partial:
    """A goal laid in many orders, pairs as one in some; what lacks least."""
    with MAKING:
        paired = paired_of(problem, angles, pairs) if pairs else None
    return search_sequences(inner_fits_of(problem, angles), goal, seed, rounds, stop, paired)


def neighbourhoods_task(
    problem: Problem, angles: int, start: tuple[Laid, ...], goal: Goal, seed: int, budget: int, stop: Stop
) -> Partial:
    """Parts of a layout laid anew."""
    return search_neighbourhoods(inner_fits_of(problem, angles), start, goal, seed, budget, stop)


def pull_apart_task(
    problem: Problem, rotations: int, start: tuple[Laid, ...], goal: Goal, seed: int, budget: int, stop: Stop
) -> PulledApart:
    """A layout and what it lacks of a goal, pulled apart."""
    more = shortfall(problem, start, goal)
    with MAKING:
        maps = depth_maps_of(problem, rotations)
    return pull_apart(arrays_of(problem), maps, start, more, seed, budget, stop)
