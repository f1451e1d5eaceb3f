"""In which order pieces are laid, and from which side: at random at first, then by what did well.

A search of orders (the sequence is what is searched, a construction says what it is worth: Jakobs 1996; Burke,
Hellier, Kendall, Whitwell 2006). Pieces of a kind mostly come together, because equal pieces interlock in rows; so it
is kinds that change places, and now and then some pieces of one that part from the others. What does little worse is
kept early on: threshold accepting (Dueck and Scheuer 1990, J. Computational Physics 90).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from nesting.model.problem import Problem
from nesting.model.settings import Stop
from nesting.search.arrays.goals import Goal, Partial, leather_of, needed, shortfall
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill
from nesting.search.filling.pairs import Paired

NOISE = ((0.0, 0.0), (0.4, 0.0), (0.0, 0.3), (0.8, 0.0), (0.3, 0.6), (1.2, 0.1), (0.0, 1.0))
"""How far the order of pieces strays from large to small: spread of kinds and of single pieces, by turns."""

BEGINNINGS, SPREAD = 20, 0.4
"""Orders begun with, at most, and how far their kinds stray from large to small, in e-folds of size."""

TURN, PART, REJOIN = 0.2, 0.3, 0.3
"""How often a change is of the side laid from; of some pieces of a kind; and how often of these all come together."""

JOINED, JOIN = 0.4, 0.2
"""How often a pair is laid as one in an order begun with, and how often a change is of that, where there are pairs."""

FURTHER = 0.8
"""How far a kind moves that changes its place alone, in e-folds of size."""

PATIENCE = 0.05
"""How much worse than the order before a new one may be at first, in shares of a product; less and less later."""

ROUNDING = 1e-3
"""Sums of areas nearer than this (mm²) are the same."""


@dataclass(frozen=True)
class PieceSequence:
    """Heavy pieces first: the weight of every kind, what each piece weighs beyond its kind, and the side laid from.

    `pairs`: those that are laid as one piece.
    """

    of_kind: np.ndarray
    of_piece: np.ndarray
    sweep: Sweep
    pairs: frozenset[int] = frozenset()


def search_sequences(
    fits: InnerFits, goal: Goal, seed: int, rounds: int, stop: Stop, paired: Paired | None = None
) -> Partial:
    """Lay a goal in up to so many orders, each changed from one that did well; ends with the first that lays all."""
    problem, rng = fits.arrays.problem, np.random.default_rng(seed)
    kinds = np.array([i for i, many in needed(problem, goal).items() for _ in range(many)], dtype=np.int64)
    unit = sum(problem.kinds[i].area for i in kinds) / max(sum(goal), 1)
    first, begin = int(rng.integers(4)), max(1, min(BEGINNINGS, rounds // 3))
    pairs = len(paired.pairs) if paired else 0
    best, missing = Partial((), float("inf"), 0), float("inf")
    held: PieceSequence | None = None
    for number in range(rounds):
        if held is None or number < begin:
            order, patience = _begun(problem, kinds, rng, first + number, pairs), 0.0
        else:
            order = _changed(problem, kinds, held, rng, pairs)
            patience = PATIENCE * unit * (1 - number / rounds)
        leave = missing + patience + ROUNDING
        sequence = kinds[np.argsort(-(order.of_kind[kinds] + order.of_piece), kind="stable")].tolist()
        if paired and order.pairs:
            laid = paired.bottom_left_fill(sequence, order.pairs, order.sweep)
        else:
            laid = bottom_left_fill(fits, sequence, order.sweep, leave=leave)
        lacking = leather_of(problem, shortfall(problem, laid, goal))
        if lacking < best.missing:
            best = Partial(tuple(laid), lacking, 0)
        if lacking <= leave:
            held, missing = order, lacking
        if not lacking or stop():
            break
    return replace(best, tried=(number + 1) * len(kinds))


def _begun(problem: Problem, kinds: np.ndarray, rng: np.random.Generator, number: int, pairs: int) -> PieceSequence:
    """Large kinds first, more or less, from one of the four sides by turns."""
    size = np.array([_size(problem, kind) for kind in range(len(problem.kinds))])
    weight = size + SPREAD * rng.standard_normal(len(size))
    side = sweep(problem, rng, number)
    joined = frozenset(np.flatnonzero(rng.random(pairs) < JOINED).tolist())
    return PieceSequence(weight, np.zeros(len(kinds)), side, joined)


def _changed(
    problem: Problem, kinds: np.ndarray, order: PieceSequence, rng: np.random.Generator, pairs: int
) -> PieceSequence:
    """An order with one thing changed."""
    if pairs and rng.random() < JOIN:
        return replace(order, pairs=order.pairs ^ {int(rng.integers(pairs))})
    chance, many = rng.random(), len(order.of_kind)
    if chance < TURN:
        return replace(order, sweep=sweep(problem, rng, int(rng.integers(4))))
    if chance < TURN + PART:
        piece, mine = order.of_piece.copy(), np.flatnonzero(kinds == rng.choice(kinds))
        piece[mine] = 0.0
        if rng.random() >= REJOIN:
            piece[mine[: int(rng.integers(1, len(mine) + 1))]] = rng.standard_normal()
        return replace(order, of_piece=piece)
    kind = order.of_kind.copy()
    if many > 1 and rng.random() < 0.5:
        a, b = rng.choice(many, 2, replace=False)
        kind[[a, b]] = kind[[b, a]]
    else:
        kind[int(rng.integers(many))] += FURTHER * rng.standard_normal()
    return replace(order, of_kind=kind)


def sequence(problem: Problem, goal: Goal, rng: np.random.Generator, number: int) -> list[int]:
    """The kinds of all pieces of a goal, large ones first, more and more shuffled as `number` grows."""
    of_kind, of_piece = NOISE[number % len(NOISE)]
    pieces = []
    for i, many in needed(problem, goal).items():
        size = _size(problem, i) + of_kind * rng.standard_normal()
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
