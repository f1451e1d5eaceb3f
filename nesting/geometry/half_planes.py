"""A convex polygon as half-planes, exactly enough for proofs: what a buffer loses when little is left is kept here."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

SHORT = 1e-3
"""Edges shorter than this (mm) tell no direction for sure; leaving one out only makes the result larger."""

EPSILON = 1e-7
"""Points this little (mm) outside a half-plane count as inside, so that rounding never makes the result smaller."""

Points = NDArray[np.float64]


def inside_by(hull: Polygon, distance: float) -> Points:
    """The points of a convex polygon at least `distance` (mm) from every side, as corners of a convex polygon.

    A polygon that shrinks to a segment or a point gives its ends or that point; (0, 2) where nothing is left. Never
    smaller than the true set: it may be larger by some 1e-7 mm.

    >>> from shapely.geometry import box
    >>> len(inside_by(box(0, 0, 4, 2), 0.5))
    4
    >>> inside_by(box(0, 0, 4, 2), 1.1).shape
    (0, 2)
    """
    ring = np.asarray(orient(hull).exterior.coords)[:-1]
    left: Points = ring
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        along = end - start
        long = float(np.hypot(*along))
        if long >= SHORT and len(left):
            normal = np.array([along[1], -along[0]]) / long
            left = _clipped(left, normal, float(normal @ start) - distance + EPSILON)
    return left


def common(normals: Points, most: Points) -> bool:
    """Whether the half-planes normal · p ≤ most, unit normals in order round a convex polygon, have a point in common.

    Half-planes that miss one another by less than `EPSILON` count as meeting.
    """
    size = 4 * float(np.abs(most).max()) + 1.0
    left = [(-size, -size), (size, -size), (size, size), (-size, size)]
    for (a, b), bound in zip(normals.tolist(), most.tolist(), strict=True):
        left = cut(left, a, b, bound + EPSILON)
        if not left:
            return False
    return True


def cut(ring: list[tuple[float, float]], a: float, b: float, most: float) -> list[tuple[float, float]]:
    """The part of a convex ring where a x + b y is at most `most`: of plain numbers, quick for rings of few corners."""
    if not ring:
        return ring
    over = [a * x + b * y - most for x, y in ring]
    if max(over) <= 0:
        return ring
    kept = []
    for k, ((x, y), height) in enumerate(zip(ring, over, strict=True)):
        (x0, y0), under = ring[k - 1], over[k - 1]
        if (height <= 0) != (under <= 0):
            share = under / (under - height)
            kept.append((x0 + (x - x0) * share, y0 + (y - y0) * share))
        if height <= 0:
            kept.append((x, y))
    return kept


def _clipped(ring: Points, normal: Points, most: float) -> Points:
    """The part of a convex ring where normal · p is at most `most` (Sutherland and Hodgman 1974)."""
    over = ring @ normal - most
    kept: list[Points] = []
    for k, (point, height) in enumerate(zip(ring, over, strict=True)):
        before, under = ring[k - 1], over[k - 1]
        if (height <= 0) != (under <= 0) and under != height:
            kept.append(before + (point - before) * (under / (under - height)))
        if height <= 0:
            kept.append(point)
    return np.array(kept, dtype=np.float64).reshape(-1, 2)


def area_of(ring: Points) -> float:
    """Area of a convex ring, mm²; nought for a segment or a point."""
    if len(ring) < 3:
        return 0.0
    x, y = (ring - ring[0]).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def around(ring: Points) -> float:
    """Perimeter of a convex ring, mm; of a segment twice its length."""
    return float(np.hypot(*(ring - np.roll(ring, -1, axis=0)).T).sum()) if len(ring) else 0.0
