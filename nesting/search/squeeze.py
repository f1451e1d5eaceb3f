"""One more product: pieces that overlap are pulled apart until none does.

Guided local search over layouts with overlaps: Egeblad, Nielsen, Odgaard 2007; Umetani et al. 2009; restarts from
the least overlap so far with two large pieces changed over, as in Gardeyn et al. 2025.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nesting.search.construct import Laid
from nesting.search.kernel import State, put, separate
from nesting.search.tables import Book
from nesting.settings import Stop, never

CHUNK = 100_000
"""Poses tried between two looks at the stop rule: a fifth of a second or so."""

PATIENCE = 150
WIDE, NEAR = 30, 15


@dataclass(frozen=True)
class Squeezed:
    """The pieces as they lie at least overlap, that overlap (0: a layout), and the poses tried."""

    pieces: tuple[Laid, ...]
    overlap: float
    tried: int


def squeeze(
    book: Book, start: Sequence[Laid], more: Sequence[int], seed: int, budget: int, stop: Stop = never
) -> Squeezed:
    """Seek a layout of the pieces in `start` and one more of each kind in `more`, trying about `budget` poses."""
    kinds = [piece.kind for piece in start] + list(more)
    state = book.state(kinds, seed)
    rng = np.random.default_rng(seed)
    for i, piece in enumerate(start):
        put(book.tables, state, i, piece.stance, piece.x, piece.y, piece.angle)
    for i in range(len(start), len(kinds)):
        _scatter(book, state, i, rng)
    best_pose, best_stance = state.pose.copy(), state.stance.copy()
    kept_pose, kept_stance, kept = state.pose.copy(), state.stance.copy(), np.inf
    tried = 0
    gap = book.problem.gap
    while tried < budget and not stop():
        chunk = min(CHUNK, budget - tried)
        least, used = separate(book.tables, state, gap, chunk, PATIENCE, WIDE, NEAR, best_pose, best_stance)
        tried += used
        if least < kept:
            kept, kept_pose, kept_stance = least, best_pose.copy(), best_stance.copy()
        if kept == 0.0:
            break
        if used < chunk:
            _shake(book, state, kept_pose, kept_stance, rng)
    return Squeezed(_pieces(kinds, kept_pose, kept_stance), float(kept), tried)


def _scatter(book: Book, state: State, i: int, rng: np.random.Generator) -> None:
    """Lay piece i anywhere in its region's box."""
    t = book.tables
    stance = int(rng.integers(t.kind_stances[state.kind[i]], t.kind_stances[state.kind[i] + 1]))
    x0, y0, x1, y1 = t.region_box[t.stance_region[stance, 0]]
    low, high = t.stance_angles[stance]
    put(t, state, i, stance, rng.uniform(x0, x1), rng.uniform(y0, y1), rng.uniform(low, high))


def _shake(book: Book, state: State, pose: np.ndarray, stance: np.ndarray, rng: np.random.Generator) -> None:
    """Go back to the least overlap so far, change two large pieces over, and forget the weights."""
    state.pose[:], state.stance[:] = pose, stance
    size = book.tables.span[book.tables.stance_shape[stance]]
    large = np.argsort(-size, kind="stable")[: max(2, len(size) // 2)]
    if len(size) > 1:
        i, j = rng.choice(large, 2, replace=False)
        state.pose[[i, j], :2] = state.pose[[j, i], :2]
    state.pairs[:], state.walls[:] = 1.0, 1.0
    book.relay(state)


def _pieces(kinds: Sequence[int], pose: np.ndarray, stance: np.ndarray) -> tuple[Laid, ...]:
    return tuple(
        Laid(kind, int(s), float(x), float(y), float(a)) for kind, s, (x, y, a) in zip(kinds, stance, pose, strict=True)
    )
