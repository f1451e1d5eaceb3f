"""One more product: pieces that overlap are pulled apart until none does.

Guided local search over layouts with overlaps: Egeblad, Nielsen, Odgaard 2007; Umetani et al. 2009; restarts from
the least overlap so far with two large pieces changed over, as in Gardeyn et al. 2025. A slack that shrinks to
nought keeps the last hairs from hiding the large overlaps; a linear programme takes them out at the end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nesting.search.construct import Laid
from nesting.search.kernel import State, measure, put, separate
from nesting.search.settle import settle
from nesting.search.tables import Book
from nesting.settings import Stop, never

CHUNK = 100_000
"""Poses tried between two looks at the stop rule: a fifth of a second or so."""

PATIENCE = 150
WIDE, NEAR = 30, 15

FIRST_SLACK = 0.03
"""The slack that a squeeze begins with, as a share of the middling piece's width."""
SETTLED, LAST_SLACK = 0.6, 0.1
"""Slacks (mm) from which the linear programme is tried, and after which none is left."""


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
    hunt = _Hunt(book, state, rng)
    while hunt.tried < budget and not stop() and not hunt.done:
        hunt.work(min(CHUNK, budget - hunt.tried))
    return Squeezed(_pieces(kinds, hunt.kept_pose, hunt.kept_stance), 0.0 if hunt.done else hunt.kept, hunt.tried)


class _Hunt:
    """A squeeze as it goes: overlaps first up to a slack, then up to half of it, and so on down to none."""

    def __init__(self, book: Book, state: State, rng: np.random.Generator) -> None:
        self.book, self.state, self.rng = book, state, rng
        self.pose, self.stance = state.pose.copy(), state.stance.copy()
        self.kept_pose, self.kept_stance, self.kept = state.pose.copy(), state.stance.copy(), float("inf")
        self.tried, self.done = 0, False
        spans = book.tables.span[book.tables.stance_shape[state.stance]]
        state.slack[0] = FIRST_SLACK * float(np.median(spans))

    def work(self, chunk: int) -> None:
        """Try some poses; then go on to less slack, or shake, where that is due."""
        t, gap = self.book.tables, self.book.problem.gap
        least, used = separate(t, self.state, gap, chunk, PATIENCE, WIDE, NEAR, self.pose, self.stance)
        self.tried += used
        if least < self.kept:
            self.kept, self.kept_pose, self.kept_stance = least, self.pose.copy(), self.stance.copy()
        if least == 0.0:
            self._tighten()
        elif used < chunk:
            _shake(self.book, self.state, self.kept_pose, self.kept_stance, self.rng)

    def _tighten(self) -> None:
        """Everything lies apart but for the slack: let the programme settle it, or ask for half the slack."""
        state = self.state
        slack = float(state.slack[0])
        state.slack[0] = 0.0
        if 0.0 < slack <= SETTLED:
            settle(self.book, state, max(4 * slack, 0.5))
        if self._apart():
            self.kept_pose, self.kept_stance, self.done = state.pose.copy(), state.stance.copy(), True
            return
        state.slack[0] = slack / 2 if slack > LAST_SLACK else 0.0
        state.pairs[:], state.walls[:], self.kept = 1.0, 1.0, float("inf")

    def _apart(self) -> bool:
        count = len(self.state.kind)
        loads, worst = np.zeros(count), np.zeros((count, count))
        return float(measure(self.book.tables, self.state, self.book.problem.gap, loads, worst)) == 0.0


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
