"""In which order pieces are laid, and from which side: at random at first, then by what found no room.

Squeaky wheel optimisation (Joslin, Clements 1999): the pieces that an order leaves out come earlier in the next one,
which lays from another side. What is learnt is which pieces are hard to place here, whatever their size.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from nesting.problem import Problem
from nesting.search.construct import Sweep, construct
from nesting.search.goals import Goal, Partial
from nesting.search.yard import Laid, Yard
from nesting.settings import Stop

NOISE = ((0.0, 0.0), (0.4, 0.0), (0.0, 0.3), (0.8, 0.0), (0.3, 0.6), (1.2, 0.1), (0.0, 1.0))
"""How far the order of pieces strays from large to small: spread of kinds and of single pieces, by turns."""

SQUEAK = 0.3
"""How much earlier a piece comes that found no room, in e-folds of size."""


def reorder(yard: Yard, goal: Goal, seed: int, rounds: int, stop: Stop) -> Partial:
    """Lay a goal in up to so many orders, each learning from the last; ends with the first that lays all."""
    problem, rng = yard.book.problem, np.random.default_rng(seed)
    kinds = [i for i, kind in enumerate(problem.kinds) for _ in range(kind.count * goal[kind.product])]
    first = int(rng.integers(4))
    weight = np.array([_size(problem, i) for i in kinds])
    best = Partial((), float("inf"), 0)
    tried = 0
    for number in range(rounds):
        order = np.argsort(-weight, kind="stable").tolist()
        laid = construct(yard, [kinds[n] for n in order], sweep(problem, rng, first + number))
        tried += len(kinds)
        lost = _left_out(kinds, order, laid)
        missing = sum(problem.kinds[kinds[n]].area for n in lost)
        if missing < best.missing:
            best = Partial(tuple(laid), missing, tried)
        if not lost or stop():
            break
        weight[lost] += SQUEAK
    return Partial(best.pieces, best.missing, tried)


def _left_out(kinds: Sequence[int], order: Sequence[int], laid: Sequence[Laid]) -> list[int]:
    """The pieces of an order that were not laid: of equal ones the last."""
    many = Counter(piece.kind for piece in laid)
    out = []
    for n in order:
        if many[kinds[n]] > 0:
            many[kinds[n]] -= 1
        else:
            out.append(n)
    return out


def sequence(problem: Problem, goal: Goal, rng: np.random.Generator, number: int) -> list[int]:
    """The kinds of all pieces of a goal, large ones first, more and more shuffled as `number` grows."""
    of_kind, of_piece = NOISE[number % len(NOISE)]
    pieces = []
    for i, kind in enumerate(problem.kinds):
        size = _size(problem, i) + of_kind * rng.standard_normal()
        many = kind.count * goal[kind.product]
        pieces += [(-float(size + of_piece * rng.standard_normal()), i) for _ in range(many)]
    return [i for _, i in sorted(pieces)]


def sequence_of(problem: Problem, kinds: Sequence[int], rng: np.random.Generator, noise: float) -> list[int]:
    """Single pieces of these kinds, large ones first, shuffled by so many e-folds of size."""
    return [i for _, i in sorted((-_size(problem, i) - noise * float(rng.standard_normal()), i) for i in kinds)]


def _size(problem: Problem, kind: int) -> float:
    outline = problem.kinds[kind].outline
    return float(np.log(outline.area) + 0.5 * np.log(outline.length))


def sweep(problem: Problem, rng: np.random.Generator, number: int) -> Sweep:
    """From one of four sides, by turns; the rest of it at random."""
    side = 1.0 if rng.random() < 0.5 else -1.0
    lean = 0.0 if rng.random() < 0.6 else float(rng.uniform(0.0, 0.4))
    return Sweep(np.radians(problem.bearing + 90.0 * (number % 4)), side, float(rng.random() < 0.7), lean)
