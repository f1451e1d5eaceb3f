"""Fewer corners, surely on one side: outlines that only grow, regions that only shrink.

Long straight edges stay where they are, so that exact fits survive; only curves are drawn with fewer corners.
"""

from __future__ import annotations

import heapq
import math

import numpy as np
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import Array, polygons, ring_of

Corner = tuple[float, float]


def outer(polygon: Polygon, tolerance: float) -> Polygon:
    """A polygon that holds `polygon` (without holes) and strays from it by at most `tolerance`.

    >>> from shapely.geometry import Point
    >>> circle = Point(0, 0).buffer(20, quad_segs=32)
    >>> grown = outer(circle, 0.2)
    >>> grown.buffer(1e-9).contains(circle), len(circle.exterior.coords), len(grown.exterior.coords) < 50
    (True, 129, True)
    """
    made = Polygon(_grown(ring_of(polygon), tolerance))
    return made if made.is_valid and made.area >= polygon.area else Polygon(polygon.exterior)


def inner(region: BaseGeometry, tolerance: float) -> BaseGeometry:
    """A region inside `region` that strays from it by at most `tolerance`: rings shrink, holes grow."""
    shrunk = [_shrunk(polygon, tolerance) for polygon in polygons(region)]
    return shrunk[0] if len(shrunk) == 1 else MultiPolygon(shrunk)


def _shrunk(polygon: Polygon, tolerance: float) -> Polygon:
    shell = _grown(ring_of(polygon)[::-1], tolerance)
    holes = [_grown(ring_of(Polygon(hole)), tolerance) for hole in polygon.interiors]
    made = Polygon(shell, holes)
    return made if made.is_valid and made.area <= polygon.area * (1 + 1e-12) else polygon


def _grown(ring: Array, tolerance: float) -> Array:
    """A ring moved only to its right-hand side, with fewer corners (a clockwise ring is thereby shrunk).

    Two ways: an edge between two left turns is dropped and its neighbours are drawn out till they meet; a right
    turn is cut short by its chord. The cheapest first, each within what is left of the tolerance there.
    """
    work = _Ring(ring)
    heap = [(cost, i, 0) for i in range(len(ring)) if (cost := work.cost(i)) is not None and cost <= tolerance]
    heapq.heapify(heap)
    while heap and work.count > 4:
        cost, i, stamp = heapq.heappop(heap)
        if work.gone[i] or work.stamp[i] != stamp:
            continue
        for k in work.drop(i, cost):
            again = work.cost(k)
            if again is not None and again <= tolerance:
                heapq.heappush(heap, (again, k, work.stamp[k]))
    return work.points()


class _Ring:
    """A ring under simplification: links, and how far the outline near each corner has strayed already."""

    def __init__(self, ring: Array) -> None:
        self.at: list[Corner] = [(float(x), float(y)) for x, y in ring]
        n = self.count = len(self.at)
        self.before = [(i - 1) % n for i in range(n)]
        self.after = [(i + 1) % n for i in range(n)]
        self.gone, self.stamp, self.strayed = [False] * n, [0] * n, [0.0] * n

    def cost(self, i: int) -> float | None:
        """How far the outline strays if corner i is dropped (right turn) or the edge after it (left turns)."""
        a, b, c, d = self._four(i)
        if _turn(a, b, c) < 0:
            far = _off(b, a, c)
            return far + max(self.strayed[i], self.strayed[self.before[i]], self.strayed[self.after[i]])
        if _turn(a, b, c) > 0 and _turn(b, c, d) > 0:
            meet = _meet(a, b, c, d)
            if meet is not None:
                return _off(meet, b, c) + max(self.strayed[i], self.strayed[self.after[i]])
        return None

    def _four(self, i: int) -> tuple[Corner, Corner, Corner, Corner]:
        j = self.after[i]
        return self.at[self.before[i]], self.at[i], self.at[j], self.at[self.after[j]]

    def drop(self, i: int, cost: float) -> list[int]:
        """Carry it out; the corners whose cost must be worked out anew."""
        a, b, c, d = self._four(i)
        if _turn(a, b, c) < 0:
            left, right = self.before[i], self.after[i]
            self._unlink(i)
            self.strayed[left] = max(self.strayed[left], cost)
            self.strayed[right] = max(self.strayed[right], cost)
            near = [self.before[self.before[left]], self.before[left], left, right, self.after[right]]
        else:
            meet = _meet(a, b, c, d)
            assert meet is not None
            self.at[i] = meet
            self.strayed[i] = cost
            self._unlink(self.after[i])
            left = self.before[i]
            near = [self.before[left], left, i, self.after[i]]
        for k in near:
            self.stamp[k] += 1
        return near

    def _unlink(self, i: int) -> None:
        self.gone[i] = True
        self.count -= 1
        self.after[self.before[i]], self.before[self.after[i]] = self.after[i], self.before[i]

    def points(self) -> Array:
        return np.array([p for p, gone in zip(self.at, self.gone, strict=True) if not gone])


def _turn(a: Corner, b: Corner, c: Corner) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _off(p: Corner, a: Corner, b: Corner) -> float:
    """Distance of p from the line through a and b."""
    long = math.hypot(b[0] - a[0], b[1] - a[1])
    return abs(_turn(a, b, p)) / long if long > 0 else math.hypot(p[0] - a[0], p[1] - a[1])


def _meet(a: Corner, b: Corner, c: Corner, d: Corner) -> Corner | None:
    """Where the line a→b, drawn on, meets d→c drawn on; None where they part."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - d[0], c[1] - d[1]
    det = ux * vy - uy * vx
    if abs(det) < 1e-12:
        return None
    s = ((d[0] - a[0]) * vy - (d[1] - a[1]) * vx) / det
    r = ((d[0] - a[0]) * uy - (d[1] - a[1]) * ux) / det
    return (a[0] + s * ux, a[1] + s * uy) if s >= 1.0 and r >= 1.0 else None
