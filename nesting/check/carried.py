"""The piece's own frame carried onto the hide, and whether the outline stated there is what arrives."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LinearRing, Polygon

from hides.hide import Point
from nesting.check.depth import Measured, over
from nesting.check.fault import TOLERANCE
from nesting.model.layout import Placement


def carried(ring: Sequence[Point], placement: Placement) -> np.ndarray:
    """Points of the piece's frame where they lie on the hide: mirrored, then turned, then shifted."""
    points = np.asarray(ring, dtype=float)
    x, y = (-points[:, 0] if placement.mirrored else points[:, 0]), points[:, 1]
    angle = math.radians(placement.angle)
    c, s = math.cos(angle), math.sin(angle)
    return np.column_stack([c * x - s * y + placement.x, s * x + c * y + placement.y])


def misplaced(ring: Sequence[Point], placement: Placement) -> Measured | None:
    """How far the stated outline is off the carried one; None where they agree.

    Where they begin and which way round they run does not matter.
    """
    expected, stated = LinearRing(carried(ring, placement)), LinearRing(placement.outline)
    off = _farthest(stated, expected)
    if off[0] <= TOLERANCE:
        off = max(off, _farthest(expected, stated))
    if off[0] <= TOLERANCE:
        off = max(off, _thick_difference(expected, stated))
    return over(off[0], lambda: off[1])


def _farthest(ring: LinearRing, other: LinearRing) -> Measured:
    corners = shapely.points(shapely.get_coordinates(ring))
    shapely.prepare(other)
    if shapely.dwithin(other, corners, TOLERANCE).all():  # of many corners, far sooner told than how far
        return 0.0, (0.0, 0.0)
    off = shapely.distance(corners, other)
    worst = int(off.argmax())
    return float(off[worst]), (float(corners[worst].x), float(corners[worst].y))


def _thick_difference(expected: LinearRing, stated: LinearRing) -> Measured:
    """Two rings through the same corners may still enclose different ground."""
    differing = shapely.symmetric_difference(Polygon(expected), Polygon(stated))
    core = differing.buffer(-2 * TOLERANCE)
    if core.is_empty:
        return 0.0, (0.0, 0.0)
    x, y = core.representative_point().coords[0]
    return math.sqrt(differing.area), (x, y)
