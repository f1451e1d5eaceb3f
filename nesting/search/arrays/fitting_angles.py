"""At which angles a piece can lie on leather at all, and which of them the leather's own edges ask for.

A convex polygon P fits into a convex polygon Q at an angle when the half-planes of Q, each drawn in by how far P
reaches that way, have a point in common (the inner-fit polygon of convex shapes; Bennell and Oliveira 2008). Turned by
δ no point of P moves by more than δ times its farthest corner's distance from the centre. So where P does not fit into
Q grown by that much, it fits at no angle within δ: intervals are halved until each is ruled out or gives a fit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import Array, normals, polygons, ring_of
from nesting.geometry.half_planes import common

FINEST = math.radians(0.002)
"""Half-width of the narrowest interval of angles that is looked at."""

COARSE = math.radians(1)
"""Half-width down to which intervals are looked at where the piece fits."""

MOST_LOOKS = 4000
"""Angles looked at for one piece and one part of the leather."""

LONG = 0.5
"""Edges of the leather count from this share of the piece's longest side on,"""

STRAIGHT = 0.3
"""and from this share of the leather's own length on."""

MOST_EDGES = 4
"""Angles that the leather's edges may add."""

SAME = 1e-9


@dataclass(frozen=True)
class Fits:
    """Angles (radians) at which a convex hull fits into another, and whether it is proven that no others do."""

    angles: tuple[float, ...]
    never: bool


def fitting(region: BaseGeometry, outline: Polygon, low: float, high: float) -> Fits:
    """Where in an interval of angles the piece's hull fits into the hull of some part of the region.

    `never` is proven: then the piece itself fits nowhere in the region at any of these angles.
    """
    piece = _centred(outline)
    told = [_fitting_one(part, piece, low, high) for part in polygons(region)]
    return Fits(tuple(a for fits in told for a in fits.angles), all(fits.never for fits in told))


def _fitting_one(part: Polygon, piece: Array, low: float, high: float) -> Fits:
    ring = ring_of(part.convex_hull)
    planes = normals(ring)
    reach = (planes * ring).sum(axis=1)
    radius = float(np.hypot(*piece.T).max())
    found: list[float] = []
    never, looks = True, 0
    intervals = [(low, high)]
    while intervals:
        a, b = intervals.pop()
        middle, half = (a + b) / 2, (b - a) / 2
        looks += 1
        if not _meet(planes, reach, piece, middle, radius * half):
            continue
        never = False if half <= FINEST or looks > MOST_LOOKS else never
        fits = _meet(planes, reach, piece, middle, 0.0)
        if fits:
            found.append(middle)
        if half > (COARSE if fits else FINEST) and looks <= MOST_LOOKS:
            intervals += [(middle, b), (a, middle)]
    return Fits(tuple(_spread(sorted(found))), never and not found)


def _meet(planes: Array, reach: Array, piece: Array, angle: float, grown: float) -> bool:
    """Whether the piece at an angle fits into the half-planes, each moved out by `grown`."""
    c, s = math.cos(angle), math.sin(angle)
    turned = piece @ np.array([[c, s], [-s, c]])
    return common(planes, reach - (turned @ planes.T).max(axis=0) + grown)


def _spread(found: list[float]) -> list[float]:
    """The middles of the stretches of angles found, then their ends."""
    stretches: list[list[float]] = []
    for angle in found:
        if stretches and angle - stretches[-1][-1] < 4 * COARSE:
            stretches[-1].append(angle)
        else:
            stretches.append([angle])
    middles = [stretch[len(stretch) // 2] for stretch in stretches]
    return [*middles, *(end for stretch in stretches for end in (stretch[0], stretch[-1]) if len(stretch) > 1)]


def _centred(outline: Polygon) -> Array:
    """The hull's corners about the middle of its bounding box, which keeps the farthest of them near."""
    ring = ring_of(outline.convex_hull)
    middle: Array = (ring.min(axis=0) + ring.max(axis=0)) / 2
    return np.asarray(ring - middle)


def edge_angles(region: BaseGeometry, outline: Polygon, low: float, high: float) -> list[float]:
    """Angles (radians) in an interval at which a long side of the piece runs along a long edge of the leather.

    The longest edges first. Edges are those of the outside and of holes; a piece of leather that is all short edges has
    none, and neither has a piece without two long parallel sides.
    """
    sides = _sides(outline)
    if not sides:
        return []
    least = max(LONG * sides[0][1], STRAIGHT * _length(region))
    found: dict[float, tuple[float, float]] = {}
    for ring in (r for part in polygons(region) for r in (part.exterior, *part.interiors)):
        for edge, long in _edges(np.asarray(ring.coords)):
            for angle in _turns(edge - sides[0][0], low, high) if long >= least else ():
                key = round(angle, 6)
                found[key] = max(found.get(key, (0.0, 0.0)), (long, angle))
    return [angle for _, angle in sorted(found.values(), key=lambda each: (-each[0], each[1]))][:MOST_EDGES]


def _length(region: BaseGeometry) -> float:
    x0, y0, x1, y1 = region.bounds
    return float(max(x1 - x0, y1 - y0))


def _edges(ring: Array) -> Iterator[tuple[float, float]]:
    """Direction and length of every edge."""
    for x, y in np.diff(ring, axis=0):
        yield math.atan2(y, x), math.hypot(x, y)


def _sides(outline: Polygon) -> list[tuple[float, float]]:
    """The longest side of the piece's hull, where another runs alongside it: direction and length."""
    edges = sorted(_edges(np.vstack([ring := ring_of(outline.convex_hull), ring[:1]])), key=lambda e: -e[1])
    first, long = edges[0]
    partner = any(abs(math.remainder(e - first, math.pi)) < 1e-6 and n > LONG * long for e, n in edges[1:])
    return [(first, long)] if partner else []


def _turns(angle: float, low: float, high: float) -> list[float]:
    """The angle and those a half turn away that lie in an interval."""
    first = math.ceil((low - SAME - angle) / math.pi)
    return [
        min(max(angle + math.pi * k, low), high)
        for k in range(first, first + 5)
        if angle + math.pi * k < high + (SAME if high - low < 2 * math.pi - SAME else -SAME)
    ]
