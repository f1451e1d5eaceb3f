"""Lines across the leather of a problem, cut into cells, and the stretches of them that each region holds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from nesting.bound.pose_boxes import Stance, core_chords
from nesting.geometry.crossings import TOUCH, crossings
from nesting.model.problem import Problem

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

FINE = 0.25
"""Where a stretch ends is looked up from points so far apart, in cells."""


@dataclass(frozen=True)
class LineGround:
    """Lines along y at x = west + i · cell, their cells beginning at `south`; `stretches` as the kernel wants it.

    `inside` says which cells (lines, cells) have leather that any piece may lie on.
    """

    west: float
    south: float
    cell: float
    stretches: Array
    inside: NDArray[np.bool_]

    @property
    def lines(self) -> int:
        """How many there are."""
        return int(self.stretches.shape[1])

    @property
    def high(self) -> float:
        """How long each is, in cells."""
        return float(self.inside.shape[1])


@dataclass(frozen=True)
class Table:
    """Ways to lie as the kernel wants them: rows of `take` and `asked`, and the chords they name, in cells."""

    take: Whole
    asked: Whole
    chords: Array


def line_ground(problem: Problem, kinds: Sequence[int], cell: float) -> LineGround:
    """The ground of some kinds, in cells of a size: their centres and pieces lie well within it."""
    used = sorted({r for k in kinds for orientation in problem.kinds[k].orientations for r in orientation.regions})
    bounds = shapely.total_bounds([problem.outer[r] for r in used])
    west, south, east, north = (bounds + cell * np.array([-1, -1, 1, 1])).tolist()
    lines, high = math.ceil((east - west) / cell), math.ceil((north - south) / cell)
    stretches = np.full((len(problem.outer), lines, math.ceil(high / FINE) + 1), -np.inf)
    at = west + cell * (np.arange(lines) + 0.5)
    for region in (r for r in used if not problem.outer[r].is_empty):
        for line, begin, end in crossings(problem.outer[region], at):
            first, last = (begin - TOUCH - south) / cell, (end + TOUCH - south) / cell
            stretches[region, line, max(0, math.ceil(first / FINE)) : max(0, math.floor(last / FINE) + 1)] = last
    step = round(1 / FINE)
    there = np.isfinite(stretches).max(axis=0)[:, :-1].reshape(lines, high, step).max(axis=2)
    return LineGround(west + cell / 2, south, cell, stretches, np.asarray(there, dtype=np.bool_))


def table(ground: LineGround, stance: Stance, low: float, high: float, offset: float, half: float) -> Table:
    """How a stance between two angles meets the lines, its centre `offset` mm beside one, give or take `half` mm."""
    chords: list[tuple[float, float]] = []

    def rows(ring: Array, *names: int) -> list[tuple[int, ...]]:
        reach = float(np.hypot(*ring.T).max()) + half
        first, last = math.ceil((offset - reach) / ground.cell), math.floor((offset + reach) / ground.cell)
        beside = np.arange(first, last + 1)
        lower, upper = core_chords(ring, low, high, half, np.float64(ground.cell) * beside.astype(np.float64) - offset)
        found = []
        for line, a, b in zip(beside.tolist(), lower.tolist(), upper.tolist(), strict=True):
            if b > a:
                found.append((*names, line, len(chords)))
                chords.append((a / ground.cell, b / ground.cell))
        return found

    take = rows(stance.whole)
    asked = [row for region, ring in stance.asks for row in rows(ring, region)]
    return Table(
        np.array(take, dtype=np.int64).reshape(-1, 2),
        np.array(asked, dtype=np.int64).reshape(-1, 3),
        np.array(chords, dtype=np.float64).reshape(-1, 2),
    )
