"""A line that runs along edges of a piece at an inset: where holes are pricked, seams are sewn and creases run.

Terms. *Leg*: a stretch of such a line without a corner. *Course*: legs in turn. The line at an inset is the parallel of
the true edge; where edges meet in a corner their parallels are cut off or drawn on until they meet.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise

import numpy as np
import shapely
from shapely.geometry import LineString

from hides.errors import InputError
from hides.fields import told, unknown
from hides.hide import Point
from nesting.project.contour import SAME, Contour, Edge

SHARP = math.radians(5)
"""Where a line turns by more, there is a corner."""
FARTHEST = 20.0
"""Lines are drawn on to where they meet by at most so many times the gap between their ends."""
SMOOTH, CLOSE = math.radians(0.5), 0.01
"""Ends no further apart (mm) where the line hardly turns are one point."""
ALL = "all"
DEEP = 0.1
"""Millimetres by which a line may be nearer to its edges than its inset: chords for arcs."""


@dataclass(frozen=True)
class Leg:
    """A stretch of a course without a corner."""

    points: tuple[Point, ...]

    @property
    def length(self) -> float:
        """Its length, mm."""
        return self.sums[-1]

    @cached_property
    def sums(self) -> list[float]:
        """How far along it each of its points lies."""
        return list(accumulate((math.dist(a, b) for a, b in pairwise(self.points)), initial=0.0))

    def at(self, distance: float) -> Point:
        """The point so far along it."""
        sums = self.sums
        i = min(max(bisect.bisect_right(sums, distance) - 1, 0), len(sums) - 2)
        step = sums[i + 1] - sums[i]
        share = (distance - sums[i]) / step if step > 0 else 0.0
        (ax, ay), (bx, by) = self.points[i], self.points[i + 1]
        return ax + share * (bx - ax), ay + share * (by - ay)


@dataclass(frozen=True)
class Course:
    """Legs in turn; `closed` where the last ends at the beginning of the first. `crosses`: it meets the fold line."""

    legs: tuple[Leg, ...]
    closed: bool = False
    crosses: bool = False

    @property
    def length(self) -> float:
        """Its length over all legs, mm."""
        return sum(leg.length for leg in self.legs)

    @property
    def points(self) -> tuple[Point, ...]:
        """All its points in turn."""
        first = self.legs[0].points[:1]
        return (*first, *(point for leg in self.legs for point in leg.points[1:]))

    def at(self, distance: float) -> Point:
        """The point so far along it."""
        for leg in self.legs[:-1]:
            if distance <= leg.length:
                return leg.at(distance)
            distance -= leg.length
        return self.legs[-1].at(distance)


def written(point: Point) -> Point:
    """A point as files hold it, to a millionth of a millimetre."""
    return round(point[0], 6) + 0.0, round(point[1], 6) + 0.0


def edge_course(contour: Contour, names: object, inset: float = 0.0) -> Course:
    """The course along the named edges of a contour, `inset` mm inside them, in the order they are named.

    Raises InputError for a name that is not there, for edges that do not follow one another, and for an inset that a
    curve of the outline is too narrow for.
    """
    edges, closed, back = _chain(contour, _names(names, contour))
    lines = _joined([parallel(edge, inset) for edge in edges], edges, closed)
    _refuse_too_deep(lines, edges, inset)
    if back:
        lines = [line[::-1] for line in reversed(lines)]
    return Course(tuple(_legs(lines, closed)), closed, any(edge.crosses for edge in edges))


def _refuse_too_deep(lines: Sequence[Sequence[Point]], edges: Sequence[Edge], inset: float) -> None:
    """Where edges face one another, a line further inside than half their distance comes nearer to one than it may."""
    if inset <= 0 or len(edges) < 2:
        return
    along = shapely.union_all([LineString(edge.points) for edge in edges])
    near = min(along.distance(shapely.Point(point)) for line in lines for point in line)
    if near < inset - DEEP:
        problem = f"its line at an inset of {inset:g} mm comes within {near:.4g} mm of the edges it runs along"
        raise InputError(problem, remedy="give a smaller inset")


def line_course(points: Sequence[Point]) -> Course:
    """The course through given points."""
    if len(points) < 2 or any(math.dist(a, b) < SAME for a, b in pairwise(points)):
        raise InputError("is no line", remedy="give at least two different points: [[x, y], [x, y]]")
    closed = math.dist(points[0], points[-1]) < SAME and len(points) > 3
    return Course(tuple(_legs([list(pair) for pair in pairwise(points)], closed)), closed)


def way_course(lines: Sequence[Sequence[Point]]) -> Course:
    """The course along stretches in turn, each of which begins where the one before ends."""
    return Course(tuple(_legs(lines, False)))


def _names(value: object, contour: Contour) -> list[str]:
    given = value if isinstance(value, (list, tuple)) else [value]
    names = [str(each) for each in given if isinstance(each, (int, str)) and not isinstance(each, bool)]
    if not names or len(names) < len(given):
        raise InputError(f"is {told(value)}", remedy=f"name edges of the piece: {', '.join(contour.names)}")
    for name in names:
        if name not in (*contour.names, ALL):
            raise unknown(f"edge “{name}”", name, (*contour.names, ALL))
    if ALL in names and len(names) > 1:
        raise InputError("names “all” beside other edges", remedy="leave the others out")
    if len(set(names)) < len(names):
        raise InputError("names an edge twice", remedy="name each once")
    return names


def _chain(contour: Contour, names: Sequence[str]) -> tuple[list[Edge], bool, bool]:
    """The edges counter-clockwise, corners between them included; are they all; are they named backwards."""
    if names == [ALL] or set(names) == set(contour.names):
        start = next(i for i, edge in enumerate(contour.edges) if edge.name in (names[0], *contour.names[:1]))
        start = next((i for i, edge in enumerate(contour.edges) if edge.name == names[0]), start)
        return [*contour.edges[start:], *contour.edges[:start]], True, False
    for back in (False, True):
        found = _follow(contour, names[::-1] if back else names)
        if found is not None:
            return found, False, back
    problem = f"{', '.join(f'“{name}”' for name in names)} do not follow one another"
    raise InputError(problem, remedy=f"name edges in turn round the piece: {', '.join(contour.names)}")


def _follow(contour: Contour, names: Sequence[str]) -> list[Edge] | None:
    """The edges from the first named to the last, counter-clockwise; None where others lie between."""
    edges, n = contour.edges, len(contour.edges)
    start = next(i for i in range(n) if edges[i].name == names[0] and edges[i - 1].name != names[0])
    found, wanted = [edges[start]], list(names)
    for k in range(1, n):
        edge = edges[(start + k) % n]
        if edge.name and edge.name != wanted[0]:
            if wanted[1:2] != [edge.name]:
                break
            wanted.pop(0)
        found.append(edge)
    while found and not found[-1].name:
        found.pop()
    return found if len(wanted) == 1 else None


def parallel(edge: Edge, inset: float) -> list[Point]:
    """The parallel of an edge, `inset` to the left of its way round the piece."""
    points = np.array(edge.points)
    if inset == 0:
        return list(edge.points)
    tangents = _tangents(points)
    moved = points + inset * np.column_stack([-tangents[:, 1], tangents[:, 0]])
    steps, old = np.diff(moved, axis=0), np.diff(points, axis=0)
    if ((steps * old).sum(axis=1) <= 0).any():
        name = f"edge “{edge.name}”" if edge.name else "a rounded corner"
        raise InputError(f"{abs(inset):g} mm is more than {name} is round by", remedy="give a smaller one")
    return [(float(x), float(y)) for x, y in moved]


def _tangents(points: np.ndarray) -> np.ndarray:
    """Unit tangents at the points of a smooth line; at its ends drawn on as a circle would be."""
    angles = np.unwrap(np.arctan2(*np.diff(points, axis=0).T[::-1]))
    if len(angles) == 1:
        inner = np.array([angles[0], angles[0]])
    else:
        inner = np.concatenate(
            [[1.5 * angles[0] - 0.5 * angles[1]], (angles[:-1] + angles[1:]) / 2, [1.5 * angles[-1] - 0.5 * angles[-2]]]
        )
    return np.column_stack([np.cos(inner), np.sin(inner)])


def _joined(lines: list[list[Point]], edges: Sequence[Edge], closed: bool) -> list[list[Point]]:
    """The parallels cut off, or drawn on, so that each begins where the one before ends."""
    pairs = [(i, i + 1) for i in range(len(lines) - 1)] + ([(len(lines) - 1, 0)] if closed and len(lines) > 1 else [])
    for i, k in pairs:
        _meet(lines, i, k)
    for line, edge in zip(lines, edges, strict=True):
        if len(line) < 2:
            raise InputError(f"leaves nothing of edge “{edge.name}”", remedy="give a smaller inset")
    return lines


def _meet(lines: list[list[Point]], i: int, k: int) -> None:
    a, b = lines[i], lines[k]
    if math.dist(a[-1], b[0]) < 1e-6 or (_turn(a, b) < SMOOTH and math.dist(a[-1], b[0]) < CLOSE):
        b[0] = a[-1]
        return
    met = drawn_to_meeting(a, b, FARTHEST * math.dist(a[-1], b[0]))
    lines[i], lines[k] = met or (a, [a[-1], *b])


def drawn_to_meeting(a: list[Point], b: list[Point], far: float) -> tuple[list[Point], list[Point]] | None:
    """Two lines cut off, or drawn on straight by at most `far`, where the first is to end and the second to begin."""
    long_a = [*a, _drawn_on(a[-2], a[-1], far)]
    long_b = [_drawn_on(b[1], b[0], far), *b]
    found = shapely.get_parts(shapely.intersection(LineString(long_a), LineString(long_b)))
    spots = [(part.x, part.y) for part in found if part.geom_type == "Point"]
    if not spots:
        return None
    at = min(spots, key=lambda spot: math.dist(spot, a[-1]) + math.dist(spot, b[0]))
    return [*_before(long_a, at), at], [at, *_before(long_b[::-1], at)[::-1]]


def _drawn_on(a: Point, b: Point, far: float) -> Point:
    """The point `far` beyond b on the way from a."""
    share = far / math.dist(a, b)
    return b[0] + share * (b[0] - a[0]), b[1] + share * (b[1] - a[1])


def _before(line: list[Point], at: Point) -> list[Point]:
    """The points of a line before a spot on it."""
    where = LineString(line).project(shapely.Point(at))
    sums = accumulate((math.dist(a, b) for a, b in pairwise(line)), initial=0.0)
    return [point for point, far in zip(line, sums, strict=True) if far < where - 1e-9]


def _legs(lines: Sequence[Sequence[Point]], closed: bool) -> list[Leg]:
    """Lines in turn put together where they run on without a corner."""
    legs = [list(lines[0])]
    for line in lines[1:]:
        if _turn(legs[-1], line) > SHARP:
            legs.append(list(line))
        else:
            legs[-1] += line[1:]
    if closed and len(legs) > 1 and _turn(legs[-1], legs[0]) <= SHARP:
        legs[0] = [*legs.pop(), *legs[0][1:]]
    return [Leg(tuple(leg)) for leg in legs]


def _turn(before: Sequence[Point], after: Sequence[Point]) -> float:
    (ax, ay), (bx, by) = before[-2:]
    (cx, cy), (dx, dy) = after[:2]
    return abs(math.remainder(math.atan2(dy - cy, dx - cx) - math.atan2(by - ay, bx - ax), math.tau))
