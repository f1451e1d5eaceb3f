"""Where a piece lies, as a maker marks it: distances along and across a datum line, measured with a tape.

Terms. *Datum line*: the line through the hide's backbone (without a backbone: level, through the outline's lowest
point). *Zero*: where a square set on the datum line just touches the hide's end. *Marks*: the points of a piece that
fix how it lies (see `mark_points`). A piece that looks the same after half a turn is marked as if it lay the way that
has its foot to the left or below, so that like pieces in a row bear like marks.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

from hides.hide import Hide, Point, Ring, bearing
from nesting.drawing.mark_points import mark_points
from nesting.drawing.scene import turned_by
from nesting.model.layout import Placement
from nesting.model.product import Piece

ALIKE = 0.011
"""mm by which a piece may differ from itself turned by half a turn."""


@dataclass(frozen=True)
class Datum:
    """The datum line: its zero and its direction, degrees."""

    zero: Point
    angle: float

    def measured(self, point: Point) -> Point:
        """How far along and across (positive to the left of the line) a point lies."""
        return turned_by((point[0] - self.zero[0], point[1] - self.zero[1]), -self.angle)

    def at(self, along: float, across: float) -> Point:
        """The point with these distances."""
        x, y = turned_by((along, across), self.angle)
        return self.zero[0] + x, self.zero[1] + y


def datum_of(hide: Hide) -> Datum:
    """The hide's datum line."""
    through = hide.backbone[0] if hide.backbone else min(hide.outline, key=lambda p: p[1])
    angle = bearing(hide.backbone) if hide.backbone else 0.0
    line = Datum(through, angle)
    start = min(line.measured(point)[0] for point in hide.outline)
    return Datum(line.at(start, 0.0), angle)


def marks(piece: Piece, placement: Placement) -> tuple[Point, ...]:
    """The marks of a piece where it lies on a hide whose backbone is level: one for a circle, else two or three."""
    way = foot_left(placement, _box_middle(piece)) if half_turn_alike(piece) else placement
    return tuple(carried(mark.at, way) for mark in mark_points(piece))


def foot_left(placement: Placement, middle: Point) -> Placement:
    """The placement, or the one half a turn about the piece's `middle` further, whose foot lies left or below."""
    angle = (placement.angle + 135) % 180 - 135
    if abs((angle - placement.angle) % 360) < 1e-9:
        return placement
    (x, y), still = carried(middle, placement), replace(placement, angle=angle, x=0.0, y=0.0)
    dx, dy = carried(middle, still)
    return replace(still, x=x - dx, y=y - dy)


def carried(point: Point, placement: Placement) -> Point:
    """A point of the piece's frame where it lies on the hide."""
    x, y = turned_by((-point[0] if placement.mirrored else point[0], point[1]), placement.angle)
    return x + placement.x, y + placement.y


@cache
def half_turn_alike(piece: Piece) -> bool:
    """Whether a piece with all its holes, openings and covered parts looks the same after half a turn."""
    x, y = _box_middle(piece)

    def turned(points: Iterable[Point]) -> tuple[Point, ...]:
        return tuple((2 * x - a, 2 * y - b) for a, b in points)

    holes = [(hole.at, hole.diameter) for hole in piece.holes]
    rings: list[tuple[Ring, object]] = [(cover.outline, cover.grade) for cover in piece.covered]
    rings += [(ring, "cutout") for ring in piece.cutouts] + [(line.points, line.kind) for line in piece.lines]
    return (
        _same_points(piece.outline, turned(piece.outline))
        and all(any(d == e and _same_points([at], turned([b])) for b, e in holes) for at, d in holes)
        and all(any(g == f and _same_points(ring, turned(other)) for other, f in rings) for ring, g in rings)
    )


def _same_points(some: Iterable[Point], others: Iterable[Point]) -> bool:
    """Whether two sets of points are the same but for `ALIKE`."""
    here, there = sorted(_rounded(some)), sorted(_rounded(others))
    return len(here) == len(there) and all(
        abs(a - c) <= ALIKE and abs(b - d) <= ALIKE for (a, b), (c, d) in zip(here, there, strict=True)
    )


def _rounded(points: Iterable[Point]) -> list[Point]:
    return [(round(x, 2), round(y, 2)) for x, y in points]


def _box_middle(piece: Piece) -> Point:
    left, low, right, high = piece.polygon.bounds
    return (left + right) / 2, (low + high) / 2
