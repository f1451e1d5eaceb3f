"""Where one outline meets another as it is shifted: Minkowski sums of polygons.

B shifted by t overlaps A exactly when t lies strictly inside A ⊕ (−B), the no-fit polygon (Lozano-Pérez 1983).
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import Polygon

from nesting.geometry.convex import Array, convex_parts, polygons, ring_of
from nesting.lattice.minkowski import no_fit

STEPS = 16
"""Chords of a quarter of a round corner."""


def no_fit_polygon(a: Polygon, b: Polygon, gap: float = 0.0) -> Polygon:
    """Shifts of b at which it overlaps a, or is nearer than `gap`: A ⊕ (−B), holes included.

    Round corners of a gap are drawn outside the circle, so that the gap is surely kept.

    >>> from shapely.geometry import box
    >>> no_fit_polygon(box(0, 0, 2, 1), box(0, 0, 3, 1)).bounds
    (-3.0, -1.0, 2.0, 1.0)
    """
    sums = [_convex(p, q) for p in convex_parts(a) for q in convex_parts(b)]
    union = sums[0] if len(sums) == 1 else shapely.union_all(sums)
    if gap > 0:
        # A chord spans at most one and a half of the buffer's steps, for an arc is cut into a whole number of them.
        union = union.buffer(gap / math.cos(0.75 * math.pi / 2 / STEPS), quad_segs=STEPS)
    return max(polygons(union), key=lambda polygon: polygon.area)


def _convex(a: Array, b: Array) -> Polygon:
    out = np.zeros((len(a) + len(b), 2))
    many = no_fit(np.ascontiguousarray(a), np.ascontiguousarray(b), out)
    return Polygon(ring_of(Polygon(out[:many])))
