"""Where strips can begin when they butt: the sums of their widths, and the worth of the best sequence of strips.

Worths are Lagrange multipliers of the pieces: with a worth λ of each kind of which one product takes 1 in all, a plan
of n products is worth n at least, so the dearest sequence of strips is a bound on n; the least such bound over λ is
sought by turning worths against what the dearest sequence has too much of (cutting stock by Lagrangian relaxation;
Held, Wolfe, Crowder: Validation of subgradient optimization. Mathematical Programming 6, 1974).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nesting.search.straight.ground import Ground
from nesting.search.straight.lattice_kernel import StripGraph, dearest, onward_from, picked, strips_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

MOST_NODES = 5000
ROUNDS = 24
STEP = 0.7


@dataclass(frozen=True)
class StripLattice:
    """Sums of widths (with a cut's kerf each) up to a height. `following[i, w]`: the node after a strip, or −1.

    `whole` is False where there were too many sums, so that the highest are left out.
    """

    sums: Floats
    following: Ints
    whole: bool


def lattice(widths: Sequence[float], kerf: float, height: float) -> StripLattice:
    """All sums up to `height` at which a strip may begin or the last one end."""
    steps = [round((w + kerf) * 1e4) for w in widths]
    top = round((height + kerf) * 1e4)
    sums: set[int] = {0}
    frontier = [0]
    whole = True
    while frontier and whole:
        ahead = {s + step for s in frontier for step in steps if s + step <= top} - sums
        sums |= ahead
        frontier = sorted(ahead)
        whole = len(sums) <= MOST_NODES
    ordered = sorted(sums)[:MOST_NODES]
    place = {s: i for i, s in enumerate(ordered)}
    following = [[place.get(s + step, -1) for step in steps] for s in ordered]
    return StripLattice(np.array(ordered) / 1e4, np.array(following, np.int64).reshape(len(ordered), -1), whole)


@dataclass
class Relaxed:
    """Strips at a grid of offsets, each standing for all that begin within two steps above it.

    `bound[b]`: no plan whose line lies within a step above base b gives more products; `worth` are the multipliers
    that say so, sought until the bound is below `enough`. Bases are `low + b * step`.
    """

    ground: Ground
    need: tuple[int, ...]
    step: float
    enough: float = 0.0
    worth: Floats = field(default_factory=lambda: np.zeros(0))
    bound: Floats = field(default_factory=lambda: np.zeros(0))
    table: Floats = field(default_factory=lambda: np.zeros((0, 0)))

    def __post_init__(self) -> None:
        ground = self.ground
        lowest = ground.low - ground.slack.turn - min(ground.widths, default=0.0)
        self.low = math.floor(lowest / self.step) * self.step
        self.rows = max(0, math.ceil((ground.high - self.low) / self.step))
        widths = np.arange(len(ground.widths))
        offsets = np.repeat(self.low + np.arange(self.rows) * self.step, len(widths))
        self.yields = ground.strips(np.tile(widths, self.rows), offsets, 2 * self.step)
        self._span()
        self._settle()

    def _span(self) -> None:
        """The lattice; widths at which no strip gives anything have no part in it."""
        several = np.diff(self.yields.first) > 1
        busy: Bools = np.asarray(several.reshape(self.rows, -1).any(axis=0))
        wide = [w for w, is_busy in zip(self.ground.widths, busy, strict=True) if is_busy]
        thin = lattice(wide, self.ground.kerf, self.ground.high + self.ground.slack.turn - self.low)
        following = np.full((len(thin.sums), len(busy)), -1, np.int64)
        following[:, busy] = thin.following
        self.lattice = StripLattice(thin.sums, following, thin.whole)

    def _settle(self) -> None:
        need = np.array(self.need, dtype=float)
        used = need > 0
        area = np.zeros(len(need))
        for form in self.ground.forms:
            area[form.kind] = form.width * form.length
        worth = np.where(used, area, 0.0)
        worth /= max(float(worth @ need), 1e-12)
        least = math.inf
        mixes, first, _ = self.yields
        if not mixes[:, used].any(axis=0).all():  # of some kind not one goes
            self.worth, self.bound, self.table = np.zeros(len(need)), np.zeros(0), np.zeros((0, 0))
            return
        following = self.lattice.following
        skips = self.skips = (self.lattice.sums / self.step + 1e-9).astype(np.int64)
        for turn in range(ROUNDS if self.rows else 0):
            worths = np.asarray(mixes @ worth, float)
            table = np.maximum.reduceat(worths, first[:-1]).reshape(self.rows, -1)
            bound = onward_from(table, skips, following)
            top = float(bound.max())
            if top < least - 1e-9:
                least, self.worth, self.bound, self.table = top, worth, bound, table
            if used.sum() == 1 or top <= 0 or top < self.enough - 1e-6:
                break
            best = dearest(worths, first, table, skips, int(bound.argmax()), following)
            off = mixes[best].sum(axis=0) / np.maximum(need, 1) / max(top, 1e-9) - 1.0
            worth = np.where(used, worth * np.exp(-STEP / (1 + 0.3 * turn) * np.clip(off, -2, 2)), 0.0)
            worth = np.where(used, np.maximum(worth, 1e-9), 0.0)
            worth /= float(worth @ need)

    def strips(self, base: int, target: float) -> StripGraph:
        """The strips from a base that a plan of `target` products can contain."""
        edges = strips_of(self.table, self.skips, base, self.lattice.following, float(target))
        which = (base + self.skips[edges[:, 0]]) * len(self.ground.widths) + edges[:, 1]
        return StripGraph(edges, *picked(self.yields.mixes, self.yields.first, which))
