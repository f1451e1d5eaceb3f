"""What a search hands out: tasks that stand alone in any process, from tables made there once."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from threading import Lock

import numpy as np

from nesting.problem import Problem
from nesting.search.construct import construct
from nesting.search.depth_maps import Atlas, atlas
from nesting.search.goals import Goal, Partial, part_of, shortfall
from nesting.search.orders import reorder, sequence, sweep
from nesting.search.pairs import Paired
from nesting.search.squeeze import Squeezed, squeeze
from nesting.search.tables import Book, build
from nesting.search.windows import relay_windows
from nesting.search.yard import Laid, Yard
from nesting.settings import Stop


@lru_cache(maxsize=8)
def book_of(problem: Problem) -> Book:
    """The tables of a problem, made once a process."""
    return build(problem)


@lru_cache(maxsize=8)
def yard_of(problem: Problem, angles: int) -> Yard:
    """The variants of a problem at so many angles, made once a process."""
    return Yard(book_of(problem), angles)


@lru_cache(maxsize=8)
def paired_of(problem: Problem, angles: int, most: int) -> Paired | None:
    """The pairs of a problem, at most so many, made once a process; None where there are none."""
    paired = Paired(yard_of(problem, angles), most)
    return paired if paired.pairs else None


@lru_cache(maxsize=4)
def atlas_of(problem: Problem, angles: int) -> Atlas:
    """The depth maps of a problem, made once a process."""
    return atlas(yard_of(problem, angles))


MAKING = Lock()
"""Held while maps are drawn and pairs sought: tasks that ask for the same together are to make it once."""


def construct_task(problem: Problem, angles: int, goal: Goal, seed: int, number: int) -> tuple[Laid, ...] | None:
    """A goal laid one piece after the other, in an order and from a side of its number; None where some are left."""
    rng = np.random.default_rng((seed, number))
    order = sequence(problem, goal, rng, number)
    laid = construct(yard_of(problem, angles), order, sweep(problem, rng, number), leave=0.0)
    return tuple(laid) if len(laid) == len(order) else None


def beside_task(
    problem: Problem, angles: int, laid: tuple[Laid, ...], product: int, most: int, seed: int, number: int
) -> tuple[Laid, ...]:
    """Pieces of complete products, at most so many, beside those laid."""
    rng = np.random.default_rng((seed, number))
    goal = tuple(int(p == product) for p in range(len(problem.wanted)))
    order = sequence(problem, goal, rng, number) * most
    found = construct(yard_of(problem, angles), order, sweep(problem, rng, number), laid, leave=0.0)
    many = Counter(piece.kind for piece in found)
    whole = min(many[k] // problem.kinds[k].count for k in problem.kinds_of(product))
    return part_of(problem, found, tuple(n * whole for n in goal))


def reorder_task(problem: Problem, angles: int, pairs: int, goal: Goal, seed: int, rounds: int, stop: Stop) -> Partial:
    """A goal laid in many orders, pairs as one in some; what lacks least."""
    with MAKING:
        paired = paired_of(problem, angles, pairs) if pairs else None
    return reorder(yard_of(problem, angles), goal, seed, rounds, stop, paired)


def windows_task(
    problem: Problem, angles: int, start: tuple[Laid, ...], goal: Goal, seed: int, budget: int, stop: Stop
) -> Partial:
    """Parts of a layout laid anew."""
    return relay_windows(yard_of(problem, angles), start, goal, seed, budget, stop)


def squeeze_task(
    problem: Problem, attitudes: int, start: tuple[Laid, ...], goal: Goal, seed: int, budget: int, stop: Stop
) -> Squeezed:
    """A layout and what it lacks of a goal, pulled apart."""
    more = shortfall(problem, start, goal)
    with MAKING:
        maps = atlas_of(problem, attitudes)
    return squeeze(book_of(problem), maps, start, more, seed, budget, stop)
