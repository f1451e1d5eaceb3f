"""A layout that lacks some pieces of its goal, part of it laid anew again and again.

The pieces about a place where leather lies free are lifted; they and some of those that are missing are laid in
several ways among the rest; and CP-SAT chooses the most leather out of all those exact places and the old ones (large
neighbourhood search, Shaw 1998). Of choices equally good another one is taken, so that room comes together. Where the
search may stray, pieces weigh a little more or less than they are, other ones every time (the noising method, Charon
and Hurry 1993, Operations Research Letters 14): so a layout may become a little worse. The best is kept.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from nesting.model.settings import Stop
from nesting.search.arrays.goals import Goal, Partial, leather_of, shortfall
from nesting.search.arrays.inner_fits import Box, InnerFits, Laid
from nesting.search.choosing.free_leather import FreeLeather
from nesting.search.choosing.set_packing import distinct, most_leather
from nesting.search.filling.bottom_left_fill import fill_among
from nesting.search.filling.sequence_search import sequence_of, sweep

LIFTED, MORE = 12, 6
"""Pieces lifted at a time, and missing ones tried with them, at most."""

BEYOND = 1.5
"""How far beyond the centres of the pieces lifted others may have theirs, in radii of the largest."""

WAYS = 4
"""Ways in which they are laid."""

TIME = 0.5
"""CP-SAT's deterministic time for a neighbourhood."""

COST = 1000
"""What a neighbourhood costs, in moves of a separation."""


def search_neighbourhoods(
    fits: InnerFits, start: Sequence[Laid], goal: Goal, seed: int, budget: int, stop: Stop, stray: float = 0.0
) -> Partial:
    """What neighbourhoods make of a layout in about `budget` moves; ends when nothing is missing.

    `stray` is the spread of what pieces weigh, in shares of their area.
    """
    problem, rng = fits.arrays.problem, np.random.default_rng(seed)
    laid, tried, free = list(start), 0, FreeLeather(fits.arrays)
    missing = shortfall(problem, laid, goal)
    best = Partial(tuple(laid), leather_of(problem, missing), 0)
    while tried < budget and not stop() and missing and laid:
        middle = free.point(laid, int(rng.choice(missing)), rng) or _anywhere(laid, rng)
        laid = _neighbourhood(fits, laid, missing, middle, stray, rng)
        missing = shortfall(problem, laid, goal)
        tried += COST
        if (lacking := leather_of(problem, missing)) <= best.missing:
            best = Partial(tuple(laid), lacking, 0)
    return replace(best, tried=tried)


def _anywhere(laid: Sequence[Laid], rng: np.random.Generator) -> tuple[float, float]:
    piece = laid[int(rng.integers(len(laid)))]
    return piece.x, piece.y


def _neighbourhood(
    fits: InnerFits,
    laid: Sequence[Laid],
    missing: Sequence[int],
    middle: tuple[float, float],
    stray: float,
    rng: np.random.Generator,
) -> list[Laid]:
    """The layout with one neighbourhood laid anew."""
    away = np.array([np.hypot(p.x - middle[0], p.y - middle[1]) for p in laid])
    lifted = set(np.argsort(away, kind="stable")[:LIFTED].tolist())
    rest, old = ([p for n, p in enumerate(laid) if (n in lifted) == inside] for inside in (False, True))
    more = rng.permutation(np.array(missing))[:MORE].tolist()
    kinds = [*(p.kind for p in old), *more]
    crowd = fits.ready({p.kind for p in laid} | set(kinds)).crowded(fits, rest, set(kinds), _box(fits, old, kinds))
    pool: list[Laid] = []
    for way in range(WAYS):
        order = sequence_of(fits.arrays.problem, kinds, rng, 0.3 * way)
        pool += fill_among(crowd, order, sweep(fits.arrays.problem, rng, int(rng.integers(4))))
    places = distinct(fits.arrays, [*old, *pool])
    clash, seed = crowd.overlaps(fits, places), int(rng.integers(1 << 31))
    return [*rest, *most_leather(fits.arrays.problem, places, clash, Counter(kinds), TIME, seed, len(old), stray)]


def _box(fits: InnerFits, old: Sequence[Laid], kinds: Sequence[int]) -> Box:
    """Where centres may lie: about those of the pieces lifted, and a piece's length beyond."""
    t = fits.arrays.tables
    margin = BEYOND * max(float(t.radius[t.orientation_shape[t.kind_orientations[kind]]]) for kind in kinds)
    at = np.array([(p.x, p.y) for p in old])
    (x0, y0), (x1, y1) = at.min(axis=0) - margin, at.max(axis=0) + margin
    return float(x0), float(y0), float(x1), float(y1)
