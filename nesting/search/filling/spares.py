"""Spares from what is left: laid from all sides, and the best choice among all those places."""

from __future__ import annotations

import math
from collections.abc import Sequence

from nesting.model.settings import Stop, never
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.set_packing import choose
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill

ROUNDS = 8
"""Fillings that are pooled: from four sides, large kinds first, then small ones first."""

MOST_POOLED = 1200
"""A pool larger than this is not chosen from; the best single filling serves."""

MOST_OF_A_KIND = 500
TIME = 3.0
"""CP-SAT's deterministic time."""


def lay_spares(
    fits: InnerFits, laid: Sequence[Laid], seed: int = 1, stop: Stop = never, rounds_at_most: int = ROUNDS
) -> tuple[Laid, ...]:
    """Pieces marked `spare` among those laid: the greatest area found; the first filling alone where told to stop."""
    problem = fits.arrays.problem
    kinds = sorted((i for i, k in enumerate(problem.kinds) if k.spare), key=lambda i: -problem.kinds[i].area)
    if not kinds:
        return ()
    rounds: list[list[Laid]] = []
    for number in range(rounds_at_most):
        if rounds and stop():
            break
        order = kinds if number < ROUNDS // 2 else kinds[::-1]
        rounds.append(_filling(fits, laid, order, Sweep(math.radians(problem.bearing + 90.0 * (number % 4)))))
    best = max(rounds, key=lambda pieces: _area(fits, pieces))
    pool = [piece for pieces in rounds for piece in pieces]
    if len(rounds) == 1 or len(pool) > MOST_POOLED or stop():
        return tuple(best)
    chosen = choose(fits.arrays, pool, [0] * len(problem.wanted), TIME, seed, best, stop)
    return chosen.pieces if _area(fits, chosen.pieces) > _area(fits, best) else tuple(best)


def _filling(fits: InnerFits, laid: Sequence[Laid], kinds: Sequence[int], sweep: Sweep) -> list[Laid]:
    problem = fits.arrays.problem
    out: list[Laid] = []
    for kind in kinds:
        room = int(problem.outer[0].area / max(problem.kinds[kind].area, 1.0)) + 1
        out += bottom_left_fill(fits, [kind] * min(room, MOST_OF_A_KIND), sweep, [*laid, *out])
    return out


def _area(fits: InnerFits, pieces: Sequence[Laid]) -> float:
    return sum(fits.arrays.problem.kinds[piece.kind].area for piece in pieces)
