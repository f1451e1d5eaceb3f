"""A piece's outline as named edges, before it becomes a polygon: what rows of holes, seams and allowances speak of.

Terms. *Edge*: a stretch of outline with a name. *Contour*: the edges of a whole outline in turn, counter-clockwise. The
curve of a rounded corner, or the cut of a cut one, is an edge without a name: it goes with the edges beside it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import shapely
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.hide import Point, Ring
from nesting.geometry.simplify import outer
from nesting.project.curves import FINE

TOLERANCE = 0.05
CORNER = 15.0
"""Degrees by which an outline without names turns at least where one edge ends and the next begins."""
SAME = 1e-6


@dataclass(frozen=True)
class Edge:
    """A stretch of outline through points of the true curve; a straight one has two. `crosses` tells that it meets the
    line the piece is folded on.
    """

    name: str
    points: tuple[Point, ...]
    crosses: bool = False

    @property
    def length(self) -> float:
        """Its length, mm."""
        return sum(math.dist(a, b) for a, b in pairwise(self.points))

    @property
    def straight(self) -> bool:
        """Whether it is one straight line."""
        return len(self.points) == 2

    def turned_back(self) -> Edge:
        """The same stretch walked the other way."""
        return replace(self, points=self.points[::-1])


@dataclass(frozen=True)
class Contour:
    """The edges of a closed outline, each beginning where the one before ends."""

    edges: tuple[Edge, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of its edges in turn, none twice."""
        return tuple(dict.fromkeys(edge.name for edge in self.edges if edge.name))

    @property
    def points(self) -> list[Point]:
        """All points of the true outline in turn, the first not repeated."""
        return [point for edge in self.edges for point in edge.points[:-1]]

    def ring(self) -> Ring:
        """The polygon that stands for the outline: its curves stand out of it by at most `FINE`, and it off them by at
        most `TOLERANCE`. Raises InputError where the outline crosses itself.
        """
        whole = Polygon(self.points)
        if not whole.is_valid or whole.area < 0.01:
            raise InputError(self._fault(whole), remedy="look at the points and curves there")
        if all(edge.straight for edge in self.edges):
            return tuple(self.points)
        grown = outer(whole, TOLERANCE - FINE)
        return tuple((float(x), float(y)) for x, y in shapely.get_coordinates(grown.exterior)[:-1])

    def _fault(self, whole: Polygon) -> str:
        found = re.search(r"\[([^ \]]+) ([^ \]]+)", shapely.is_valid_reason(whole))
        if not found:
            return "encloses nothing"
        at = shapely.Point(float(found[1]), float(found[2]))
        near = [edge.name for edge in self.edges if shapely.LineString(edge.points).distance(at) < 0.01 and edge.name]
        which = f" (edges {', '.join(f'“{name}”' for name in dict.fromkeys(near))})" if near else ""
        return f"crosses or touches itself near [{at.x:.4g}, {at.y:.4g}] mm{which}"

    def counter_clockwise(self) -> Contour:
        """The same outline walked counter-clockwise."""
        points = self.points
        twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True))
        return self if twice >= 0 else Contour(tuple(edge.turned_back() for edge in reversed(self.edges)))

    def mirrored(self, axis: int, suffix: str = "") -> Contour:
        """The outline mirrored in the line where coordinate `axis` is nought, again counter-clockwise."""
        edges = [
            Edge(edge.name and edge.name + suffix, _mirrored(edge.points[::-1], axis), edge.crosses)
            for edge in reversed(self.edges)
        ]
        return Contour(tuple(edges))

    def folded(self, axis: int) -> Contour:
        """The whole outline of which this is the half on one side of that line; edges on the line go.

        An edge that meets the line and its mirror image have one name; of others the image is “NAME mirrored”.
        """
        half = [edge for edge in self.edges if not all(abs(point[axis]) < SAME for point in edge.points)]
        start = next((i for i, edge in enumerate(half) if math.dist(half[i - 1].points[-1], edge.points[0]) > SAME), 0)
        half = half[start:] + half[:start]
        meeting = [any(abs(p[axis]) < SAME for p in (edge.points[0], edge.points[-1])) for edge in half]
        half = [replace(edge, crosses=edge.crosses or meets) for edge, meets in zip(half, meeting, strict=True)]
        other = Contour(tuple(half)).mirrored(axis).edges
        named = [
            edge if edge.crosses or not edge.name else replace(edge, name=f"{edge.name} mirrored") for edge in other
        ]
        return Contour((*half, *named))

    def shifted(self, dx: float, dy: float) -> Contour:
        """The outline moved."""
        return Contour(tuple(replace(e, points=tuple((x + dx, y + dy) for x, y in e.points)) for e in self.edges))


def straight_contour(points: Sequence[Point], names: Sequence[str] | None = None) -> Contour:
    """The contour of a plain polygon (counter-clockwise); edges are named by number where no names are given."""
    ends = [*points[1:], points[0]]
    called = names or [str(number) for number in range(1, len(points) + 1)]
    return Contour(tuple(Edge(name, (a, b)) for name, a, b in zip(called, points, ends, strict=True)))


def plain_contour(points: Sequence[Point]) -> Contour:
    """The contour of a polygon as it is drawn: edge 1 leads from the first point to the second; no repeated points."""
    kept = [p for i, p in enumerate(points) if i == 0 or math.dist(p, points[i - 1]) > 1e-3]
    if len(kept) > 1 and math.dist(kept[0], kept[-1]) <= 1e-3:
        kept.pop()
    return straight_contour(kept).counter_clockwise()


def contour_of(ring: Sequence[Point]) -> Contour:
    """The contour of an outline without names: a new edge, by number, wherever it turns by `CORNER` or more."""
    n = len(ring)
    corners = [i for i in range(n) if _turn(ring[i - 1], ring[i], ring[(i + 1) % n]) >= CORNER]
    if len(corners) < 2:
        begin = corners[0] if corners else 0
        return Contour((Edge("1", (*ring[begin:], *ring[:begin], ring[begin])),))
    edges = []
    for number, (a, b) in enumerate(zip(corners, [*corners[1:], corners[0] + n], strict=True), 1):
        edges.append(Edge(str(number), tuple(ring[i % n] for i in range(a, b + 1))))
    return Contour(tuple(edges))


def _turn(a: Point, b: Point, c: Point) -> float:
    """By how many degrees the way from a over b to c turns, either way."""
    first, second = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
    return abs(math.degrees(math.remainder(second - first, math.tau)))


def _mirrored(points: Sequence[Point], axis: int) -> tuple[Point, ...]:
    return tuple((-x, y) if axis == 0 else (x, -y) for x, y in points)
