"""Layouts built piece by piece, each piece at a corner of its free positions.

Bottom-left filling (Jakobs 1996; Burke et al. 2006) over exact corners, in many orders and from many sides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from nesting.search.arrays.inner_fits import InnerFits, Laid, Ready, poses_of
from nesting.search.arrays.touching_positions import Ints
from nesting.search.filling.bottom_left_kernel import Shelf, fill


@dataclass(frozen=True)
class Sweep:
    """How a construction chooses among corners: least along `angle`, ties across; `far` weighs the far side in."""

    angle: float
    side: float = 1.0
    far: float = 1.0
    lean: float = 0.0

    def along(self) -> tuple[float, float, float, float]:
        c, s = math.cos(self.angle), math.sin(self.angle)
        vx, vy = -s * self.side, c * self.side
        return c + self.lean * vx, s + self.lean * vy, vx, vy


def bottom_left_fill(
    fits: InnerFits, sequence: Iterable[int], sweep: Sweep, given: Sequence[Laid] = (), leave: float = math.inf
) -> list[Laid]:
    """Lay pieces of the kinds in `sequence` one after the other among those `given`; what does not fit is left out.

    Returns the pieces laid, without those given. It ends early where more than `leave` (mm²) is left out; with 0 at
    the first piece that does not fit.
    """
    order = np.array(list(sequence), dtype=np.int64)
    kinds = set(order.tolist())
    if not any(fits.rotations(kind) for kind in kinds):
        return []
    ready = fits.ready({*kinds, *(p.kind for p in given)})
    return _laid(ready, order, sweep, given, *ready.about(fits, given, kinds), leave)


def fill_among(crowd: Ready, sequence: Sequence[int], sweep: Sweep) -> list[Laid]:
    """The same among pieces that were taken in before; quick for a few pieces in many ways."""
    nothing = np.zeros((len(crowd.rotations), 0), dtype=np.int64)
    return _laid(crowd, np.array(sequence, dtype=np.int64), sweep, (), crowd.shelf, nothing, math.inf)


def _laid(
    ready: Ready, order: Ints, sweep: Sweep, given: Sequence[Laid], shelf: Shelf, about: Ints, leave: float
) -> list[Laid]:
    ux, uy, vx, vy = sweep.along()
    far = np.array([sweep.far * v.reach(ux, uy) for v in ready.rotations])
    poses, which = np.zeros((len(given) + len(order), 3)), np.zeros(len(given) + len(order), dtype=np.int64)
    poses[: len(given)] = poses_of(given)
    ready.make_room_for(len(given) + len(order))
    while True:
        many, small = fill(
            ready.ground, shelf, ready.pair, about, ready.first, ready.angle, far, order, poses, which,
            np.array([ux, uy, vx, vy]), ready.area, leave, ready.room.copy(),
        )  # fmt: skip
        if small < 0:
            break
        ready.make_room(small)
    chosen = [ready.rotations[v] for v in which[len(given) : many]]
    return [
        Laid(v.kind, v.orientation, float(x), float(y), v.angle)
        for v, (_, x, y) in zip(chosen, poses[len(given) : many], strict=True)
    ]
