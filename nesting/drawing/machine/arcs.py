"""True arcs in outlines that were made of short straight edges.

Where a piece has a curve, its outline is a polygon that holds the curve and touches it with every edge (see
`nesting.project.contour`), so that no layout reserves less leather than the knife needs. The knife needs the curve: the
circle that all those edges touch, from where the edge before touches it to where the edge after does.
A run of corners is taken for an arc only where the corners lie on one circle and as far apart each, and stand off the
arc by no more than an outline may; so what is written is never further from the layout's outline than that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from hides.hide import Point, Ring
from nesting.drawing.machine.path import Path, Round
from nesting.project.contour import TOLERANCE

EXACT = 0.004
"""mm by which corners may stand beside the circle, edges beside touching it, and steps differ."""
STANDS_OFF = TOLERANCE + 0.01
LEAST_CORNERS = 3


def with_arcs(ring: Ring, stands_off: float = STANDS_OFF) -> Path | Round:
    """The outline with its arcs found: a whole circle where it is one."""
    whole = _circle(ring, stands_off)
    if whole:
        return whole
    start = _start(ring, stands_off)
    turned = (*ring[start:], *ring[:start])
    return _path(turned, _runs(turned, stands_off))


def _circle(ring: Ring, stands_off: float) -> Round | None:
    """The circle that a ring of like corners wraps."""
    if len(ring) < 2 * LEAST_CORNERS or not _is_run([*ring, ring[0]], stands_off):
        return None
    centre, outer = _through(ring[0], ring[len(ring) // 3], ring[2 * len(ring) // 3])
    return Round(centre, 2 * outer * math.cos(math.pi / len(ring)))


def _start(ring: Ring, stands_off: float) -> int:
    """A corner at which no arc is under way: neither in the midst of one nor its last."""
    for k in range(len(ring)):
        before, around = [ring[k - 2], ring[k - 1], ring[k]], [ring[k - 1], ring[k], ring[(k + 1) % len(ring)]]
        if not _is_run(around, stands_off) and not _is_run(before, stands_off):
            return k
    return 0


def _runs(ring: Ring, stands_off: float) -> list[tuple[int, int]]:
    """First and last corner of every arc, in order."""
    runs: list[tuple[int, int]] = []
    k = 0
    while k + LEAST_CORNERS <= len(ring):
        end = k + LEAST_CORNERS
        if not _is_run(ring[k:end], stands_off):
            k += 1
            continue
        while end < len(ring) and _is_run(ring[k : end + 1], stands_off):
            end += 1
        runs.append((k, end - 1))
        k = end
    return runs


def _is_run(points: Sequence[Point], stands_off: float) -> bool:
    """Whether corners lie on one circle in even steps that are short enough."""
    a, b, c = points[0], points[len(points) // 2], points[-1]
    if math.dist(a, c) < EXACT:
        b, c = points[len(points) // 3], points[2 * len(points) // 3]
    steps = [math.dist(p, q) for p, q in pairwise(points)]
    if max(steps) - min(steps) > EXACT or abs(_twice_area(a, b, c)) < 1e-9:
        return False
    centre, outer = _through(a, b, c)
    if any(abs(math.dist(centre, p) - outer) > EXACT for p in points):
        return False
    half = min(steps[0] / 2 / outer, 1.0)
    return outer * (1 - math.sqrt(1 - half * half)) <= stands_off and _one_way(points)


def _one_way(points: Sequence[Point]) -> bool:
    """Whether the corners turn all to one side."""
    turns = [_twice_area(p, q, r) > 0 for p, q, r in zip(points, points[1:], points[2:], strict=False)]
    return len(set(turns)) <= 1


def _path(ring: Ring, runs: Sequence[tuple[int, int]]) -> Path:
    points: list[Point] = []
    bulges: list[float] = []
    k = 0
    for first, last in [*runs, (len(ring), len(ring))]:
        points += ring[k:first]
        bulges += [0.0] * (first - k)
        if first < len(ring):
            begin, end, bulge = _arc(ring, first, last)
            points += [begin, end]
            bulges += [bulge, 0.0]
        k = last + 1
    return _without_repeats(points, bulges)


def _arc(ring: Ring, first: int, last: int) -> tuple[Point, Point, float]:
    """Where the arc of a run begins and ends, and its bulge."""
    run = ring[first : last + 1]
    centre, outer = _through(run[0], run[len(run) // 2], run[-1])
    step = 2 * math.asin(min(math.dist(run[0], run[1]) / 2 / outer, 1.0))
    inner = outer * math.cos(step / 2)
    way = 1 if _twice_area(*run[:3]) > 0 else -1
    begin = _touch(centre, inner, run[0], ring[first - 1], -way * step / 2)
    end = _touch(centre, inner, run[-1], ring[(last + 1) % len(ring)], way * step / 2)
    steps = len(run) - 1 + (1 if begin else -1) / 2 + (1 if end else -1) / 2
    begin = begin or _middle(run[0], run[1])
    end = end or _middle(run[-2], run[-1])
    return begin, end, way * math.tan(steps * step / 4)


def _touch(centre: Point, radius: float, corner: Point, beyond: Point, turn: float) -> Point | None:
    """Where the edge from a run's end corner to the one `beyond` touches the circle, if it does."""
    angle = math.atan2(corner[1] - centre[1], corner[0] - centre[0]) + turn
    spot = centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)
    long = math.dist(corner, beyond)
    off = abs(_twice_area(corner, beyond, spot)) / long
    along = ((spot[0] - corner[0]) * (beyond[0] - corner[0]) + (spot[1] - corner[1]) * (beyond[1] - corner[1])) / long
    return spot if off <= EXACT and -EXACT <= along <= long + EXACT else None


def _through(a: Point, b: Point, c: Point) -> tuple[Point, float]:
    """Centre and radius of the circle through three points."""
    d = 2 * _twice_area(a, b, c)
    (ux, uy), (vx, vy) = (b[0] - a[0], b[1] - a[1]), (c[0] - a[0], c[1] - a[1])
    uu, vv = ux * ux + uy * uy, vx * vx + vy * vy
    x, y = a[0] + (vy * uu - uy * vv) / d, a[1] + (ux * vv - vx * uu) / d
    return (x, y), math.dist((x, y), a)


def _twice_area(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _without_repeats(points: Sequence[Point], bulges: Sequence[float]) -> Path:
    """The closed path without edges of no length, as between two arcs that meet."""
    kept = [
        (p, bulge)
        for p, q, bulge in zip(points, (*points[1:], points[0]), bulges, strict=True)
        if math.dist(p, q) > EXACT
    ]
    return Path(tuple(p for p, _ in kept), tuple(bulge for _, bulge in kept), True)
