"""One more product: pieces that overlap are pulled apart until none does.

Guided local search (Voudouris, Tsang 1999) over layouts with overlaps: Egeblad, Nielsen, Odgaard 2007; Umetani et al.
2009; layouts that stay short of it are kept, and the search goes on from the better ones with two large pieces
changed over, as in Gardeyn et al. 2025. First on depth maps, to a share of the maps' step; what
comes apart there is settled exactly, at any angle a piece may have, by a linear programme and a short search of the
same kind. Pieces that may turn do so a little at every move (`turning_kernel`), between maps at angles close together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nesting.model.settings import Stop, never
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.inner_fits import Laid
from nesting.search.arrays.overlap_kernel import State, measure, put, separate
from nesting.search.separation.depth_maps import Atlas
from nesting.search.separation.linear_programme import settle
from nesting.search.separation.moving_kernel import part_all

CHUNK = 2_000
"""Moves between two looks at the stop rule: a quarter of a second or so."""

PATIENCE = 200
"""Rounds without progress until a strike."""
STRIKES = 3
"""Strikes until the layout is put by and the search goes on from another."""
SCANNED = 4
"""Rotations of a piece scanned at a move."""

NEARLY = 2.0
"""Depth left in all, in steps of the maps, from which a layout is worth settling all the same."""
SETTLING, WIDE, NEAR, RESTLESS = 60_000, 5, 15, 50
"""Poses that settling may try, how many at a move over all the leather and near by, and its patience."""
POSES_A_MOVE = 50
"""What a move on the maps costs, in exact poses."""
TURNED = 1.7
"""What a move costs where kinds may turn, in moves where none may."""


@dataclass(frozen=True)
class PulledApart:
    """The pieces as they lie at least overlap, whether they are a layout, that overlap on the maps, the moves tried."""

    pieces: tuple[Laid, ...]
    apart: bool
    overlap: float
    tried: int


def pull_apart(
    arrays: Arrays,
    atlas: Atlas,
    start: Sequence[Laid],
    more: Sequence[int],
    seed: int,
    budget: int,
    stop: Stop = never,
) -> PulledApart:
    """Seek a layout of the pieces in `start` and one more of each kind in `more`, in about `budget` moves."""
    rng = np.random.default_rng(seed)
    pieces = [*start, *(_anywhere(atlas, kind, rng) for kind in more)]
    going = _Separation(arrays, atlas, pieces, rng)
    while going.tried < budget and not stop() and not going.done:
        going.work(min(CHUNK, budget - going.tried))
    return PulledApart(going.kept, going.done, float(going.kept_overlap), int(going.tried))


@dataclass(frozen=True)
class _PutBy:
    """A layout that would not come apart."""

    overlap: float
    at: np.ndarray
    rotation: np.ndarray


class _Separation:
    """A separation as it goes."""

    def __init__(self, arrays: Arrays, atlas: Atlas, pieces: Sequence[Laid], rng: np.random.Generator) -> None:
        self.arrays, self.atlas, self.rng = arrays, atlas, rng
        self.kinds = [p.kind for p in pieces]
        self.state = atlas.rough(pieces, int(rng.integers(1 << 62)))
        self.board = atlas.board()
        self.at, self.rotation = self.state.at.copy(), self.state.rotation.copy()
        self.pace = np.array([np.inf, 0.0])
        self.strikes, self.struck_at = 0, np.inf
        self.pool: list[_PutBy] = []
        self.kept, self.kept_overlap = tuple(pieces), float("inf")
        self.tried, self.done = 0, False
        self.price = TURNED if len(atlas.turning.start) else 1.0

    def work(self, chunk: int) -> None:
        """Make some moves on the maps; settle what comes apart, go on elsewhere from what does not."""
        state, chunk = self.state, max(1, int(chunk / self.price))
        overlap, moves, tired = part_all(
            self.atlas.maps,
            self.atlas.turning,
            state,
            chunk,
            PATIENCE,
            SCANNED,
            self.board,
            self.at,
            self.rotation,
            self.pace,
        )
        self.tried += int(moves * self.price) + 1
        if overlap < self.kept_overlap:
            self.kept_overlap, self.kept = overlap, self.atlas.laid(self.kinds, self.rotation, self.at)
        if overlap == 0.0:
            self._settle()
            self._strike(NEARLY * float(self.atlas.maps.step[0]))
        elif tired:
            state.at[:], state.rotation[:] = self.at, self.rotation
            self._strike(overlap)

    def _strike(self, overlap: float) -> None:
        """No progress for long: go on from the best with the weights as they are; after some strikes, elsewhere."""
        self.strikes = 0 if overlap < 0.98 * self.struck_at else self.strikes + 1
        self.struck_at = min(overlap, self.struck_at)
        self.pace[1] = 0.0
        if self.done or self.strikes < STRIKES:
            return
        if 0.0 < overlap < NEARLY * self.atlas.maps.step[0]:
            self._settle()
        self.pool.append(_PutBy(self.struck_at, self.at.copy(), self.rotation.copy()))
        self._elsewhere()

    def _elsewhere(self) -> None:
        """Take a layout put by, the less overlap the likelier, change two large pieces over, forget the weights."""
        state = self.state
        self.pool.sort(key=lambda p: p.overlap)
        which = self.pool[min(int(abs(self.rng.normal(0, 0.25)) * len(self.pool)), len(self.pool) - 1)]
        state.at[:], state.rotation[:] = which.at, which.rotation
        size = self.atlas.maps.mass[state.rotation]
        large = np.argsort(-size, kind="stable")[: max(2, len(size) // 2)]
        if len(size) > 1:
            i, j = self.rng.choice(large, 2, replace=False)
            state.at[[i, j], :2] = state.at[[j, i], :2]
        state.pairs[:], state.walls[:] = 1.0, 1.0
        self.pace[:] = np.inf, 0.0
        self.strikes, self.struck_at = 0, np.inf

    def _settle(self) -> None:
        """Take the maps' error out of the best layout; where that fails go on from what came of it."""
        laid = self.atlas.laid(self.kinds, self.rotation, self.at)
        seed = int(self.rng.integers(1 << 62))
        settled, apart, poses = settle_exactly(self.arrays, laid, float(self.atlas.maps.step[0]), seed)
        self.tried += poses // POSES_A_MOVE
        if apart:
            self.kept, self.done = settled, True
            return
        self.state.rotation[:], self.state.at[:] = self.atlas.lying(settled)
        self.pace[0] = np.inf


def settle_exactly(
    arrays: Arrays, pieces: Sequence[Laid], step: float, seed: int
) -> tuple[tuple[Laid, ...], bool, int]:
    """Pieces that overlap by a step of the maps or so, pulled apart; whether they are, and the poses tried.

    What does not come apart as it stands may on outlines that lose next to nothing.
    """
    state = _laid(arrays, pieces, seed)
    settle(arrays, state, step)
    tried = 0
    if not _apart(arrays, state):
        pose, orientation = state.pose.copy(), state.orientation.copy()
        _, tried = separate(arrays.tables, state, arrays.problem.gap, SETTLING, RESTLESS, WIDE, NEAR, pose, orientation)
        state.pose[:], state.orientation[:] = pose, orientation
        arrays.relay(state)
        settle(arrays, state, step)
    apart = _apart(arrays, state)
    if not apart and arrays.loses:
        close = _laid(arrays.close, _as_laid(state), seed)
        settle(arrays.close, close, step)
        if _apart(arrays.close, close):
            return _as_laid(close), True, tried
    return _as_laid(state), apart, tried


def _laid(arrays: Arrays, pieces: Sequence[Laid], seed: int) -> State:
    state = arrays.state([p.kind for p in pieces], seed)
    for i, p in enumerate(pieces):
        put(arrays.tables, state, i, p.orientation, p.x, p.y, p.angle)
    return state


def _apart(arrays: Arrays, state: State) -> bool:
    many = len(state.kind)
    return measure(arrays.tables, state, arrays.problem.gap, np.zeros(many), np.zeros((many, many))) == 0.0


def _as_laid(state: State) -> tuple[Laid, ...]:
    laid = zip(state.kind, state.orientation, state.pose, strict=True)
    return tuple(Laid(int(k), int(s), float(x), float(y), float(a)) for k, s, (x, y, a) in laid)


def _anywhere(atlas: Atlas, kind: int, rng: np.random.Generator) -> Laid:
    """A piece anywhere in its inner-fit region's box."""
    m = atlas.maps
    a = int(rng.integers(m.of_kind[kind], m.of_kind[kind + 1]))
    x, y = m.origin[m.wall[a]] + rng.uniform(0, 1, 2) * (m.size[m.wall[a]] - 1) * m.step[0]
    v = atlas.rotations[a]
    return Laid(kind, v.orientation, float(x), float(y), v.angle)
