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

from nesting.search.straight.ground import Ground, Slack
from nesting.search.straight.strip_kernel import onward, onward_from

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

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
    that say so. Bases are `low + b * step`.
    """

    ground: Ground
    need: tuple[int, ...]
    step: float
    turn: float = 0.0
    short: float = 0.0
    worth: Floats = field(default_factory=lambda: np.zeros(0))
    bound: Floats = field(default_factory=lambda: np.zeros(0))
    table: Floats = field(default_factory=lambda: np.zeros((0, 0)))

    def __post_init__(self) -> None:
        ground = self.ground
        lowest = ground.low - min(ground.widths, default=0.0)
        self.low = math.floor(lowest / self.step) * self.step
        self.rows = max(0, math.ceil((ground.high - self.low) / self.step))
        slack = Slack(2 * self.step, self.turn, self.short)
        self.yields = [
            [ground.strip(self.low + k * self.step, w, slack) for w in range(len(ground.widths))]
            for k in range(self.rows)
        ]
        self._flat()
        self._span()
        self._settle()

    def _span(self) -> None:
        """The lattice; widths at which no strip gives anything have no part in it."""
        busy = [any(len(row[w].mixes) for row in self.yields) for w in range(len(self.ground.widths))]
        wide = [w for w, is_busy in zip(self.ground.widths, busy, strict=True) if is_busy]
        thin = lattice(wide, self.ground.kerf, self.ground.high - self.low)
        following = np.full((len(thin.sums), len(busy)), -1, np.int64)
        following[:, np.array(busy, dtype=bool)] = thin.following
        self.lattice = StripLattice(thin.sums, following, thin.whole)

    def _flat(self) -> None:
        """All mixes in one matrix, by strip; every strip has the empty one too."""
        rows, first = [], [0]
        empty = np.zeros((1, len(self.need)), np.int64)
        for row in self.yields:
            for each in row:
                rows += [empty, each.mixes]
                first.append(first[-1] + 1 + len(each.mixes))
        self.mixes = np.vstack(rows) if rows else empty
        self.first = np.array(first[:-1], np.int64)

    def values(self, worth: Floats) -> Floats:
        """The worth of every strip (rows, widths)."""
        return np.asarray(np.maximum.reduceat(self.mixes @ worth, self.first).reshape(self.rows, -1))

    def _settle(self) -> None:
        need = np.array(self.need, dtype=float)
        used = need > 0
        area = np.zeros(len(need))
        for form in self.ground.forms:
            area[form.kind] = form.width * form.length
        worth = np.where(used, area, 0.0)
        worth /= max(float(worth @ need), 1e-12)
        least = math.inf
        if not self.mixes[:, used].any(axis=0).all():  # of some kind not one goes
            self.worth, self.bound, self.table = np.zeros(len(need)), np.zeros(0), np.zeros((0, 0))
            return
        skips = self.skips = (self.lattice.sums / self.step + 1e-9).astype(np.int64)
        for turn in range(ROUNDS if self.rows else 0):
            table = self.values(worth)
            bound = onward_from(table, skips, self.lattice.following, self.rows)
            top = float(bound.max())
            if top < least - 1e-9:
                least, self.worth, self.bound, self.table = top, worth, bound, table
            if used.sum() == 1 or top <= 0:
                break
            given = self._given(int(bound.argmax()), table, worth, skips) / np.maximum(need, 1)
            off = given / max(top, 1e-9) - 1.0
            worth = np.where(used, worth * np.exp(-STEP / (1 + 0.3 * turn) * np.clip(off, -2, 2)), 0.0)
            worth = np.where(used, np.maximum(worth, 1e-9), 0.0)
            worth /= float(worth @ need)

    def _given(self, base: int, table: Floats, worth: Floats, skips: Ints) -> Floats:
        """What the dearest sequence from a base gives of each kind."""
        best = self._onward(base, table, skips)
        node, out = 0, np.zeros(len(worth))
        following = self.lattice.following
        while True:
            row = base + skips[node]
            ahead = [
                (table[row, w] + best[j], w)
                for w in range(table.shape[1])
                if row < self.rows and (j := following[node, w]) >= 0
            ]
            if not ahead or max(ahead)[0] <= 1e-12:
                return out
            w = max(ahead)[1]
            each = self.yields[row][w].mixes
            if len(each):
                out += each[int(np.argmax(each @ worth))]
            node = following[node, w]

    def _onward(self, base: int, table: Floats, skips: Ints) -> Floats:
        """The worth of strips from every node on, the line at a base."""
        rows = base + skips
        there = np.where((rows < self.rows)[:, None], table[np.minimum(rows, self.rows - 1)], -1.0)
        return np.asarray(onward(there, self.lattice.following))

    def edges(self, base: int, target: float) -> list[tuple[int, int, int]]:
        """Strips (node, width, node after) from a base that a plan of `target` products can contain."""
        skips = self.skips
        best = self._onward(base, self.table, skips)
        there = np.full(len(skips), -math.inf)
        there[0] = 0.0
        out = []
        for i in range(len(skips)):
            row = base + skips[i]
            if there[i] == -math.inf or row >= self.rows:
                continue
            for w in range(self.table.shape[1]):
                j = self.lattice.following[i, w]
                if j >= 0 and there[i] + self.table[row, w] + best[j] >= target - 1e-9:
                    there[j] = max(there[j], there[i] + self.table[row, w])
                    out.append((i, w, int(j)))
        return out
