"""Straight edges and true arcs in one path, by points and bulges as DXF keeps them.

Terms. *Bulge*: the tangent of a quarter of an arc's angle, positive counter-clockwise; 0 is a straight edge.
`bulges[i]` belongs to the edge from point i to the next one.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from hides.hide import Point

FLAT = 1e-9


@dataclass(frozen=True)
class Path:
    """A path in mm. A closed one runs on from its last point to its first, so it has as many bulges as points; an open
    one has one bulge fewer.
    """

    points: tuple[Point, ...]
    bulges: tuple[float, ...]
    closed: bool = True

    def edges(self) -> list[tuple[Point, Point, float]]:
        """Every edge: from, to, bulge."""
        ends = (*self.points[1:], self.points[0]) if self.closed else self.points[1:]
        return list(zip(self.points, ends, self.bulges, strict=False))

    def carried(self, move: Callable[[Point], Point], over: bool) -> Path:
        """The path where `move` takes it; `over` tells that this turns it over."""
        bulges = tuple(-bulge for bulge in self.bulges) if over else self.bulges
        return Path(tuple(map(move, self.points)), bulges, self.closed)

    def backwards(self) -> Path:
        """An open path from its end to its beginning."""
        return Path(self.points[::-1], tuple(-bulge for bulge in reversed(self.bulges)), self.closed)

    @property
    def length(self) -> float:
        """mm along the path."""
        return sum(edge_length(*edge) for edge in self.edges())


@dataclass(frozen=True)
class Round:
    """A whole circle by its centre and diameter, mm."""

    centre: Point
    diameter: float


@dataclass(frozen=True)
class ArcEdge:
    """An edge's circle: centre, radius, the angle it begins at and the one it sweeps (radians, negative clockwise)."""

    centre: Point
    radius: float
    start: float
    sweep: float

    def at(self, part: float) -> Point:
        """The point after `part` (0 to 1) of the arc."""
        turn = self.start + part * self.sweep
        return self.centre[0] + self.radius * math.cos(turn), self.centre[1] + self.radius * math.sin(turn)


def arc_edge(a: Point, b: Point, bulge: float) -> ArcEdge:
    """The circle of the edge from a to b with a bulge other than 0.

    >>> arc_edge((1, 0), (-1, 0), 1.0).radius   # half a circle
    1.0
    """
    sweep = 4 * math.atan(bulge)
    chord = math.dist(a, b)
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    # From the chord's middle to the centre, leftwards.
    off = chord / 2 * (1 - bulge * bulge) / (2 * bulge)
    ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    centre = (a[0] + b[0]) / 2 - uy * off, (a[1] + b[1]) / 2 + ux * off
    return ArcEdge(centre, radius, math.atan2(a[1] - centre[1], a[0] - centre[0]), sweep)


def edge_length(a: Point, b: Point, bulge: float) -> float:
    """mm along an edge."""
    if abs(bulge) < FLAT:
        return math.dist(a, b)
    arc = arc_edge(a, b, bulge)
    return arc.radius * abs(arc.sweep)


def flattened(path: Path, off: float = 0.005) -> list[Point]:
    """The path as points no arc is further from than `off` mm, the first one again at the end of a closed path."""
    found: list[Point] = [path.points[0]]
    for a, b, bulge in path.edges():
        if abs(bulge) >= FLAT:
            arc = arc_edge(a, b, bulge)
            step = 2 * math.acos(max(1 - off / arc.radius, 0.0)) or 1.0
            parts = max(2, math.ceil(abs(arc.sweep) / step))
            found += [arc.at(k / parts) for k in range(1, parts)]
        found.append(b)
    return found
