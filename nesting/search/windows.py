"""A layout that lacks some pieces of its goal, part of it laid anew again and again.

The pieces about a place are lifted; they and some of those that are missing are laid in several ways among the rest;
and CP-SAT chooses the most leather out of all those exact places and the old ones (large neighbourhood search, Shaw
1998). Nothing is ever lost, and of choices equally good another one is taken, so that room comes together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from nesting.search.choose import distinct, most_leather
from nesting.search.construct import construct_among
from nesting.search.goals import Goal, Partial, shortfall
from nesting.search.orders import sequence_of, sweep
from nesting.search.yard import Box, Laid, Yard
from nesting.settings import Stop

LIFTED, MORE = 12, 6
"""Pieces lifted at a time, and missing ones tried with them, at most."""

BEYOND = 1.5
"""How far beyond the centres of the pieces lifted others may have theirs, in radii of the largest."""

WAYS = 4
"""Ways in which they are laid."""

TIME = 0.5
"""CP-SAT's deterministic time for a window."""

COST = 1000
"""What a window costs, in moves of a squeeze."""


def relay_windows(yard: Yard, start: Sequence[Laid], goal: Goal, seed: int, budget: int, stop: Stop) -> Partial:
    """What windows make of a layout in about `budget` moves; ends when nothing is missing."""
    problem, rng = yard.book.problem, np.random.default_rng(seed)
    laid, tried = list(start), 0
    while tried < budget and not stop() and (missing := shortfall(problem, laid, goal)) and laid:
        laid = _window(yard, laid, missing, rng)
        tried += COST
    lacking = sum(problem.kinds[kind].area for kind in shortfall(problem, laid, goal))
    return Partial(tuple(laid), lacking, tried)


def _window(yard: Yard, laid: Sequence[Laid], missing: Sequence[int], rng: np.random.Generator) -> list[Laid]:
    """The layout with one window laid anew."""
    middle = laid[int(rng.integers(len(laid)))]
    away = np.array([np.hypot(p.x - middle.x, p.y - middle.y) for p in laid])
    lifted = set(np.argsort(away, kind="stable")[:LIFTED].tolist())
    rest, old = ([p for n, p in enumerate(laid) if (n in lifted) == inside] for inside in (False, True))
    more = rng.permutation(np.array(missing))[:MORE].tolist()
    kinds = [*(p.kind for p in old), *more]
    crowd = yard.ready({p.kind for p in laid} | set(kinds)).crowded(yard, rest, set(kinds), _box(yard, old, kinds))
    pool: list[Laid] = []
    for way in range(WAYS):
        order = sequence_of(yard.book.problem, kinds, rng, 0.3 * way)
        pool += construct_among(crowd, order, sweep(yard.book.problem, rng, int(rng.integers(4))))
    places = distinct(yard.book, [*old, *pool])
    clash, seed = crowd.overlaps(yard, places), int(rng.integers(1 << 31))
    return [*rest, *most_leather(yard.book.problem, places, clash, Counter(kinds), TIME, seed, len(old))]


def _box(yard: Yard, old: Sequence[Laid], kinds: Sequence[int]) -> Box:
    """Where centres may lie: about those of the pieces lifted, and a piece's length beyond."""
    t = yard.book.tables
    margin = BEYOND * max(float(t.radius[t.stance_shape[t.kind_stances[kind]]]) for kind in kinds)
    at = np.array([(p.x, p.y) for p in old])
    (x0, y0), (x1, y1) = at.min(axis=0) - margin, at.max(axis=0) + margin
    return float(x0), float(y0), float(x1), float(y1)
