"""Angles at which a piece's straight sides run along those of pieces that lie, where it may turn at all."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

import numpy as np

from nesting.geometry.convex import Array, ring_of
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.inner_fits import InnerFits, Laid, Rotation, Way

MOST = 4
"""Angles of a kind, those with the longest sides in common."""

LONG = 0.5
"""Sides of a piece count from this share of its longest on."""

STEPS = 1e5
"""Angles are the same where they are so in such parts of a radian."""


def angles_beside(fits: InnerFits, laid: Iterable[Laid]) -> tuple[Way, ...]:
    """For every kind that may turn the orientations and angles (radians) that lay most of it along pieces that lie.

    Two pieces share as much as the shorter of two sides that would run alongside each other. Ways in which a kind is
    laid already are not told.
    """
    arrays = fits.arrays
    lie = Counter((piece.orientation, piece.angle) for piece in laid)
    rows = []
    for (orientation, angle), many in sorted(lie.items()):
        direction, long = _sides(arrays, orientation).T
        rows.append(np.column_stack([direction + angle, long, np.full(len(long), many)]))
    there = np.concatenate(rows) if rows else np.zeros((0, 3))
    ways = [(kind, way) for kind in range(len(arrays.problem.kinds)) for way in _of_kind(arrays, kind, there)]
    return tuple(way for kind, way in ways if not any(_same(way, v) for v in fits.rotations(kind)))


def _same(way: Way, known: Rotation) -> bool:
    return way[0] == known.orientation and abs(math.remainder(way[1] - known.angle, 2 * math.pi)) < 1 / STEPS


def _of_kind(arrays: Arrays, kind: int, there: Array) -> list[Way]:
    t = arrays.tables
    shared, exact = Counter[tuple[int, int]](), dict[tuple[int, int], Way]()
    for orientation in range(t.kind_orientations[kind], t.kind_orientations[kind + 1]):
        low, high = (float(a) for a in t.orientation_angles[orientation])
        for direction, long in _sides(arrays, orientation) if high - low > 1 / STEPS else ():
            turn = np.mod(there[:, 0] + math.pi - direction - low, 2 * math.pi) + low
            for angle, other, many in zip(turn, there[:, 1], there[:, 2], strict=True):
                if angle <= high:
                    key = orientation, round(angle * STEPS)
                    exact.setdefault(key, (orientation, float(angle)))
                    shared[key] += many * min(long, other)
    return [exact[key] for key in sorted(shared, key=lambda key: (-shared[key], key))[:MOST]]


def _sides(arrays: Arrays, orientation: int) -> Array:
    """Directions and lengths of the long straight sides of an orientation's outline as it is drawn; shape (n, 2)."""
    ring = ring_of(arrays.outline_of(orientation))
    dx, dy = (np.roll(ring, -1, axis=0) - ring).T
    long = np.hypot(dx, dy)
    keep = long >= LONG * long.max()
    sides: Array = np.column_stack([np.arctan2(dy, dx), long])[keep]
    return sides
