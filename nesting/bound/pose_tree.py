"""All poses of a kind, parted into boxes that are cut up finer and finer where that tells."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nesting.bound.line_ground import FINE, LineGround, Table, table
from nesting.bound.line_kernel import may_lie, places, take_least
from nesting.bound.pose_boxes import Stance

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

NARROW = 1e-9
"""An interval of angles (degrees) no wider than this is one angle."""

EMPTY = 30
"""How many times as many boxes as there may be are looked at."""


@dataclass(frozen=True)
class Rows:
    """Tables one after another: way w has rows `take_from[w]` to `take_from[w + 1]`, and its own of what it asks."""

    take_from: Whole
    take: Whole
    asked_from: Whole
    asked: Whole
    chords: Array


@dataclass
class Ways:
    """The tables of all boxes that were looked at, each made once."""

    ground: LineGround
    tables: list[Table] = field(default_factory=list)
    _rows: Rows | None = None

    def add(self, stance: Stance, low: float, high: float, offset: float, half: float) -> int:
        """The number of a box's table."""
        self.tables.append(table(self.ground, stance, low, high, offset, half))
        self._rows = None
        return len(self.tables) - 1

    def rows(self) -> Rows:
        """All tables as the kernels want them."""
        if self._rows is None:
            before = _ends([len(t.chords) for t in self.tables])
            take, asked = [t.take.copy() for t in self.tables], [t.asked.copy() for t in self.tables]
            for start, own, ask in zip(before.tolist(), take, asked, strict=False):
                own[:, 1] += start
                ask[:, 2] += start
            chords = np.concatenate([t.chords for t in self.tables])
            self._rows = Rows(
                _ends([len(t) for t in take]), np.concatenate(take),
                _ends([len(t) for t in asked]), np.concatenate(asked), chords,
            )  # fmt: skip
        return self._rows


def _ends(sizes: list[int]) -> Whole:
    return np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)


@dataclass(frozen=True)
class Cut:
    """A way to lie: its stance, how often it was halved, and which of the angles and offsets that made it is."""

    stance: int
    depth: int
    angle: int
    offset: int


@dataclass
class PoseTree:
    """The boxes of one kind that some pose may lie in: each the number of its way, and its centre's line, y and half.

    Together they hold every pose in which the kind lies where it must.
    """

    ways: Ways
    stances: list[Stance]
    size: float
    most: int
    whole: bool = True
    way: Whole = field(init=False)
    line: Whole = field(init=False)
    y: Array = field(init=False)
    half: Array = field(init=False)
    _cuts: dict[int, Cut] = field(default_factory=dict)
    _numbers: dict[Cut, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Boxes of `size` cells along the lines, a cell across, and of angles that move no corner farther than `size`.

        Where there are more than `most`, or far more to look at, not all are here, and it is not `whole`.
        """
        ground = self.ways.ground
        many = math.ceil(ground.high / self.size)
        ways, lines, ys = [], [], []
        cuts = [Cut(n, 0, a, 0) for n in range(len(self.stances)) for a in range(max(1, self._angles(n)))]
        self.whole = ground.lines * many * len(cuts) <= EMPTY * self.most
        count = 0
        for cut in cuts if self.whole else cuts[:1]:
            way = self._way(cut)
            own, out = self.ways.tables[way], np.empty((ground.lines, many), dtype=np.bool_)
            places(ground.stretches, FINE, own.asked, own.chords, self.size, out)
            line, step = np.nonzero(out)
            ways.append(np.full(len(line), way, dtype=np.int64))
            lines.append(line.astype(np.int64))
            ys.append((step + 0.5) * self.size)
            count += len(line)
            if count > self.most:
                self.whole = False
                break
        self.way, self.line, self.y = np.concatenate(ways), np.concatenate(lines), np.concatenate(ys)
        self.half = np.full(len(self.way), self.size / 2)

    def __len__(self) -> int:
        return len(self.way)

    def least(self, sums: Array) -> Array:
        """What every box takes at least of weights on lines (lines, cells and one), as sums from the beginning."""
        rows, out = self.ways.rows(), np.empty(len(self))
        take_least(sums, rows.take_from, rows.take, rows.chords, self.way, self.line, self.y, self.half, out)
        return out

    def cut(self, chosen: Whole) -> None:
        """Cut chosen boxes in two every way; those of the parts that no pose may lie in are gone."""
        left = np.ones(len(self), dtype=np.bool_)
        left[chosen] = False
        numbers, place = np.unique(self.way[chosen], return_inverse=True)
        finer = [self._finer(self._cuts[number]) for number in numbers.tolist()]
        most = max((len(each) for each in finer), default=0)
        parts = np.array([each + [-1] * (most - len(each)) for each in finer], dtype=np.int64).reshape(-1, most)
        found = [(self.way[left], self.line[left], self.y[left], self.half[left])]
        for n in range(most):
            way = parts[place, n]
            has = way >= 0
            for side in (-0.5, 0.5):
                half = self.half[chosen][has]
                box = way[has], self.line[chosen][has], self.y[chosen][has] + side * half, half / 2
                kept = self._open(*box)
                found.append((box[0][kept], box[1][kept], box[2][kept], box[3][kept]))
        self.way, self.line = np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])
        self.y, self.half = np.concatenate([f[2] for f in found]), np.concatenate([f[3] for f in found])

    def _open(self, way: Whole, line: Whole, y: Array, half: Array) -> NDArray[np.bool_]:
        rows, out = self.ways.rows(), np.empty(len(way), dtype=np.bool_)
        may_lie(self.ways.ground.stretches, FINE, rows.asked_from, rows.asked, rows.chords, way, line, y, half, out)
        return out

    def _angles(self, stance: int) -> int:
        """How many parts its interval of angles has at first; nought where it is one angle."""
        own = self.stances[stance]
        reach = float(np.hypot(*own.whole.T).max())
        part = math.degrees(self.ways.ground.cell * self.size / reach)
        return math.ceil((own.high - own.low) / part) if own.high - own.low > NARROW else 0

    def _finer(self, cut: Cut) -> list[int]:
        angles = (2 * cut.angle, 2 * cut.angle + 1) if self._angles(cut.stance) else (cut.angle,)
        offsets = 2 * cut.offset, 2 * cut.offset + 1
        return [self._way(Cut(cut.stance, cut.depth + 1, angle, offset)) for angle in angles for offset in offsets]

    def _way(self, cut: Cut) -> int:
        if cut not in self._numbers:
            own, cell = self.stances[cut.stance], self.ways.ground.cell
            parts, offsets = self._angles(cut.stance) << cut.depth, 1 << cut.depth
            wide = (own.high - own.low) / parts if parts else 0.0
            low = own.low + cut.angle * wide
            offset = ((cut.offset + 0.5) / offsets - 0.5) * cell
            number = self.ways.add(own, low, low + wide, offset, cell / offsets / 2)
            self._numbers[cut], self._cuts[number] = number, cut
        return self._numbers[cut]
