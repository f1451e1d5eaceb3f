"""Limits from parallel lines, for pieces that keep their angle: a line takes only so many lengths.

Validity. Draw lines a distance s apart across the leather. A convex piece that lies at one known angle is met by them
in intervals. Where its cross-section is at least j·u long over a height h_j, at least floor(h_j / s) lines meet
it there, so its intervals hold Σ_j floor(h_j / s) whole units u in all, wherever it lies. Intervals of different
pieces do not overlap, and within a stretch C of a line on the leather Σ floor(c_i / u) ≤ floor(Σ c_i / u) ≤
floor(C / u): rounding down is superadditive (Fekete and Schepers 2004, "A general framework for bounds for
higher-dimensional orthogonal packing problems", Mathematical Methods of Operations Research 60, use such functions
for rectangles in boxes). Hence Σ over pieces ≤ Σ floor(C / u) over all stretches, whatever s, u and the first line's
place. Pieces of several angles count the least of them, those that turn freely or are not convex count nothing.
Pieces are first taken smaller by what they may share within a layout's tolerance; with a gap g, pieces and leather
are grown by g/2. The angle may be off within the tolerance (0.01 mm at the farthest corner): pieces are taken smaller
by that too.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.bound.limit import Limit
from nesting.geometry.convex import ring_of
from nesting.geometry.crossings import TOUCH, crossings
from nesting.model.problem import Kind, Problem
from nesting.model.settings import Stop, never
from nesting.model.tolerance import SHARED, TURNED

CLOSE = 1e-9
WIDEST_KINDS = 4
"""Kinds (the largest) whose lengths and widths are tried as units and as distances of lines."""

PHASES = (None, 0.0, 0.25, 0.5, 0.75)
"""Where the first line lies: just one distance above the ground's lowest point, or at shares of the distance from 0."""

MOST_LINES = 400

MOST_TRIED = 80
"""Units, and distances of lines, that are tried along one heading."""


@dataclass(frozen=True)
class Sections:
    """Cross-sections of one convex piece: their lengths at some heights, linear between."""

    heights: NDArray[np.float64]
    lengths: NDArray[np.float64]

    @property
    def key(self) -> tuple[bytes, bytes]:
        """The same for cross-sections that differ by less than is taken off every length."""
        return np.round(self.heights - self.heights[0], 7).tobytes(), np.round(self.lengths, 7).tobytes()

    @property
    def high(self) -> float:
        return float(self.heights[-1] - self.heights[0])

    @property
    def long(self) -> float:
        return float(self.lengths.max())

    def units(self, unit: float, apart: NDArray[np.float64]) -> NDArray[np.int64]:
        """Whole units that lines so far `apart` from one another surely meet in the piece, for each distance."""
        most = math.floor(self.long / unit + CLOSE)
        heights = self._where(unit * np.arange(1.0, most + 1.0))
        whole: NDArray[np.int64] = np.floor(heights[:, None] / apart + CLOSE).astype(np.int64).sum(axis=0)
        return whole

    def _where(self, lengths: NDArray[np.float64]) -> NDArray[np.float64]:
        """The heights over which sections are at least so long, for lengths above nought; shape (n,)."""
        y, c = self.heights, self.lengths
        low, high = np.minimum(c[:-1], c[1:]), np.maximum(c[:-1], c[1:])
        share = (high - lengths[:, None]) / np.maximum(high - low, 1e-12)
        whole: NDArray[np.float64] = np.clip(share, 0.0, 1.0) @ np.diff(y)
        return whole


def chord_limits(problem: Problem, stop: Stop = never) -> Iterator[Limit]:
    """The sharpest limit from lines for each product and for all together, where pieces keep their angles.

    Those of the headings looked at before `stop` says so; what is told holds all the same.
    """
    for heading in headings(problem):
        if stop():
            return
        pieces = {k: got for k, kind in enumerate(problem.kinds) if (got := _sections(problem, kind, heading))}
        if pieces:
            yield from _best(problem, list(_along(problem, pieces, heading, stop)))


def _best(problem: Problem, found: Sequence[Limit]) -> Iterator[Limit]:
    wishes = [[float(p == q) for q in range(len(problem.wanted))] for p in range(len(problem.wanted))]
    for wish in [*wishes, [1.0] * len(problem.wanted)]:
        told = [(limit.room / use, i) for i, limit in enumerate(found) if (use := float(np.dot(limit.uses, wish))) > 0]
        if told:
            yield found[min(told)[1]]


def headings(problem: Problem) -> list[float]:
    """Ways that lines may run: along and across the angles of pieces that keep theirs."""
    angles = {
        round(orientation.low + turn, 9) % 180.0
        for kind in problem.kinds
        if _keeps(kind)
        for orientation in kind.orientations
        for turn in (0.0, 90.0)
    }
    return sorted(angles)[:4]


def _keeps(kind: Kind) -> bool:
    fixed = bool(kind.orientations) and all(
        orientation.high - orientation.low < 1e-9 for orientation in kind.orientations
    )
    return fixed and not nearly_round(kind)


def nearly_round(kind: Kind) -> bool:
    """Whether a piece may stand in the problem at one angle only because turning it gains next to nothing."""
    return float(kind.outline.area) >= 0.96 * float(shapely.minimum_bounding_circle(kind.outline).area)


def _sections(problem: Problem, kind: Kind, heading: float) -> list[Sections]:
    """Cross-sections of a kind in every orientation, lines being level; none where it turns or is not convex."""
    outline = kind.outline
    if not _keeps(kind) or outline.area < outline.convex_hull.area * (1 - 1e-9):
        return []
    found = []
    for angle, mirrored in {(round(s.low, 9), s.mirrored) for s in kind.orientations}:
        shape = affinity.scale(outline, -1, 1, origin=(0, 0)) if mirrored else outline
        shape = affinity.rotate(shape, angle - heading, origin=(0, 0))
        shape = shape.buffer(problem.gap / 2 - SHARED - TURNED, join_style="mitre" if not problem.gap else "round")
        if shape.is_empty:
            return []
        found.append(_cut(shape))
    return list({sections.key: sections for sections in found}.values())


def _cut(shape: Polygon) -> Sections:
    ring = ring_of(shape)
    heights = np.unique(ring[:, 1])
    west, _, east, _ = shape.bounds
    inner = heights.copy()
    inner[0], inner[-1] = inner[0] + 1e-7, inner[-1] - 1e-7
    lines = shapely.linestrings([[(west - 1, y), (east + 1, y)] for y in inner])
    return Sections(heights, np.maximum(shapely.length(shapely.intersection(lines, shape)) - 1e-6, 0.0))


def _along(problem: Problem, pieces: dict[int, list[Sections]], heading: float, stop: Stop) -> Iterator[Limit]:
    ground = _ground(problem, pieces, heading)
    if not ground:
        return
    largest = [s for k in sorted(pieces, key=lambda k: -problem.kinds[k].area)[:WIDEST_KINDS] for s in pieces[k]]
    units = _apart(s.long / part - 1e-6 for part in (1, 2, 3) for s in largest)
    distances = np.array(_apart(s.high / part - 1e-6 for part in (1, 2) for s in largest))
    uses = {unit: _uses(problem, pieces, unit, distances) for unit in units}
    for n, distance in enumerate(distances.tolist()):
        if stop():
            return
        stretches = [stretch for phase in PHASES if (stretch := _stretches(ground, distance, phase)) is not None]
        for unit in units if stretches else ():
            if uses[unit][:, n].any():
                room = min(int(np.floor(stretch / unit + CLOSE).sum()) for stretch in stretches)
                yield Limit(tuple(uses[unit][:, n].tolist()), float(room), "whole lengths of pieces across the leather")


def _apart(values: Iterable[float]) -> list[float]:
    """Different values, rising, at most `MOST_TRIED` of them, the first first: of those as good as equal the least."""
    kept: list[float] = []
    for value in sorted(islice(dict.fromkeys(round(v, 6) for v in values), MOST_TRIED)):
        if not kept or value > kept[-1] + 2e-6:
            kept.append(value)
    return kept


def _ground(problem: Problem, pieces: dict[int, list[Sections]], heading: float) -> list[BaseGeometry]:
    """The regions that the pieces may lie in, turned so that lines run along y and rise with falling x.

    `crossings` takes a line along a border for one of what begins there; so it is the upper border that counts, as the
    first line asks that lies one distance above the lowest point.
    """
    used = {r for k in pieces for orientation in problem.kinds[k].orientations for r in orientation.regions}
    regions = [problem.outer[r] for r in sorted(used) if not problem.outer[r].is_empty]
    if problem.gap:
        regions = [region.buffer(problem.gap / 2 * 1.0005, quad_segs=32) for region in regions]
    return [affinity.rotate(region, 90.0 - heading, origin=(0, 0)) for region in regions]


def _stretches(ground: Sequence[BaseGeometry], apart: float, phase: float | None) -> NDArray[np.float64] | None:
    """Lengths of the stretches of lines on the leather; None where there would be too many lines.

    Those that regions share, or that only touch, are one: no overlay is asked for what regions hold together.
    """
    low, _, high, _ = shapely.total_bounds(ground)
    south, north = -high, -low
    first = south + apart if phase is None else (math.ceil(south / apart - phase) + phase) * apart
    count = max(0, math.floor((north - first) / apart + CLOSE) + 1)
    if count > MOST_LINES:
        return None
    at = -(first + apart * np.arange(count))[::-1]
    return np.array(list(_joined(sorted(part for region in ground for part in crossings(region, at)))))


def _joined(parts: list[tuple[int, float, float]]) -> Iterator[float]:
    """Lengths of the stretches that (line, start, end) parts make, those that only touch taken together."""
    line, start, end = -1, 0.0, 0.0
    for number, west, east in parts:
        if number != line or west > end + TOUCH:
            if end > start:
                yield end - start
            line, start, end = number, west, east
        end = max(end, east)
    if end > start:
        yield end - start


def _uses(
    problem: Problem, pieces: dict[int, list[Sections]], unit: float, distances: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Whole units that each product surely takes of lines at each distance; shape (products, distances)."""
    uses = np.zeros((len(problem.wanted), len(distances)))
    for k, orientations in pieces.items():
        kind = problem.kinds[k]
        uses[kind.product] += kind.count * np.min([s.units(unit, distances) for s in orientations], axis=0)
    return uses
