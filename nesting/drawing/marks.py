"""Where a piece lies, as a maker marks it: distances along and across a datum line, measured with a tape.

Terms. *Datum line*: the line through the hide's backbone (without a backbone: level, through the outline's lowest
point). *Zero*: where a square set on the datum line just touches the hide's end. *Marks*: two points of a piece
that fix how it lies. A piece with a straight edge between two sharp corners is marked by these: 1 is the sharp
corner nearest to the zero, 2 the other end of the longer straight edge from it. A circle is marked by its centre
alone. Any other piece is marked by the two ends of its grain line, drawn through it as on its pattern: 1 the foot,
2 the head.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon

from hides.hide import Hide, Point, Ring, Segment, bearing
from nesting.drawing.scene import turned_by
from nesting.model.layout import Placement
from nesting.model.product import Piece

SHARP = 30.0
"""Degrees by which the outline must turn at a corner."""
SHORTEST_EDGE = 8.0
"""mm of straight edge that give a direction."""
ROUND = 0.002
"""A ring whose radii differ by less than this share is a circle."""


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


def marks(piece: Piece, placement: Placement, datum: Datum) -> tuple[Point, ...]:
    """The marks of a piece as it lies: two points, or one for a circle."""
    if is_circle(piece.outline):
        return (carried(centre(piece.outline), placement),)
    corners = _corner_pair(placement.outline, datum)
    return corners or tuple(carried(point, placement) for point in grain_line(piece))


def grain_line(piece: Piece) -> Segment:
    """The grain line through the middle of a piece, foot and head on its outline, in the piece's frame."""
    polygon = piece.polygon
    x = (polygon.bounds[0] + polygon.bounds[2]) / 2
    tall = LineString([(x, polygon.bounds[1] - 1), (x, polygon.bounds[3] + 1)])
    cut = polygon.intersection(tall)
    parts = [part for part in getattr(cut, "geoms", [cut]) if part.length > 0]
    best = max(parts, key=lambda part: float(part.length))
    foot, head = sorted(((float(a), float(b)) for a, b in best.coords), key=lambda p: p[1])
    return foot, head


def carried(point: Point, placement: Placement) -> Point:
    """A point of the piece's frame where it lies on the hide."""
    x, y = turned_by((-point[0] if placement.mirrored else point[0], point[1]), placement.angle)
    return x + placement.x, y + placement.y


def is_circle(ring: Ring) -> bool:
    """Whether a ring of a dozen or more points is round."""
    middle = centre(ring)
    radii = [math.dist(middle, point) for point in ring]
    return len(ring) >= 12 and max(radii) - min(radii) <= ROUND * max(radii)


def centre(ring: Ring) -> Point:
    """The ring's middle."""
    at = Polygon(ring).centroid
    return float(at.x), float(at.y)


def _corner_pair(ring: Ring, datum: Datum) -> tuple[Point, ...]:
    """The two corner marks of a piece that has a straight edge between sharp corners, else none."""
    corners = _corners(ring)
    edges = [
        (a, b)
        for (a, a_sharp), (b, b_sharp) in zip(corners, corners[1:] + corners[:1], strict=True)
        if a_sharp and b_sharp and math.dist(a, b) >= SHORTEST_EDGE
    ]
    if not edges:
        return ()
    first = min((p for edge in edges for p in edge), key=lambda p: _nearness(p, datum))
    lines = [edge for edge in edges if first in edge]
    a, b = max(lines, key=lambda edge: round(math.dist(*edge), 3))
    return (a, b) if a == first else (b, a)


def _nearness(point: Point, datum: Datum) -> tuple[float, float]:
    along, across = datum.measured(point)
    return round(math.hypot(along, across), 3), round(along, 3)


def _corners(ring: Ring) -> list[tuple[Point, bool]]:
    """The ring's points where it turns at all, each with whether the turn is sharp."""
    found = []
    for before, at, after in zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True):
        turn = (bearing((at, after)) - bearing((before, at)) + 180) % 360 - 180
        if abs(turn) > 0.5:
            found.append((at, abs(turn) >= SHARP))
    return found
