"""A polygon as a union of convex parts.

Constrained Delaunay triangles, merged across diagonals while the merged part stays convex.
Hertel, Mehlhorn: Fast triangulation of simple polygons. FCT 1983 (at most four times the least number of parts).
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

Array = NDArray[np.float64]

FLAT = 1e-9
"""Cross products below this share of the edge lengths' product count as straight."""


GRIDS = (0.0, 1e-7, 1e-6, 1e-5)
"""Grids (mm) on which a polygon is cut into triangles, the first that serves; far below the tolerance of a layout."""


def convex_parts(region: BaseGeometry) -> list[Array]:
    """Counter-clockwise convex rings, shape (n, 2), whose union is `region` (holes allowed).

    >>> parts = convex_parts(Polygon([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]))
    >>> sum(Polygon(part).area for part in parts)
    3.0
    >>> convex_parts(Polygon())
    []
    """
    parts: list[Array] = []
    for polygon in polygons(region):
        ring = ring_of(polygon)
        parts.extend([ring] if not polygon.interiors and is_convex(ring) else _merged_triangles(polygon))
    return parts


def polygons(region: BaseGeometry) -> list[Polygon]:
    """The polygons in a geometry that have area, in its own order."""
    if isinstance(region, Polygon):
        return [] if region.is_empty else [region]
    if isinstance(region, MultiPolygon) or hasattr(region, "geoms"):
        return [polygon for part in region.geoms for polygon in polygons(part)]
    return []


def ring_of(polygon: Polygon) -> Array:
    """The outer ring, counter-clockwise, not closed, without points on straight edges; shape (n, 2)."""
    ring = np.asarray(polygon.exterior.coords, dtype=np.float64)[:-1, :2]
    if not polygon.exterior.is_ccw:
        ring = ring[::-1]
    return without_straight_points(ring)


def without_straight_points(ring: Array) -> Array:
    """The ring less repeated points and points on straight edges."""
    while len(ring) > 3:
        before, after = _edges(ring)
        turn = _cross(before, after)
        scale = np.hypot(before[:, 0], before[:, 1]) * np.hypot(after[:, 0], after[:, 1])
        keep = np.abs(turn) > FLAT * scale
        if keep.all() or keep.sum() < 3:
            break
        first = int(np.argmin(keep))  # one at a time where two lie side by side
        drop = ~keep & ~np.roll(~keep & (np.arange(len(ring)) != first), 1)
        drop[first] = True
        ring = ring[~drop]
    return np.ascontiguousarray(ring)


def is_convex(ring: Array) -> bool:
    """Whether a counter-clockwise ring turns left everywhere."""
    before, after = _edges(ring)
    scale = np.hypot(before[:, 0], before[:, 1]) * np.hypot(after[:, 0], after[:, 1])
    return bool((_cross(before, after) >= -FLAT * scale).all())


def _edges(ring: Array) -> tuple[Array, Array]:
    """The edges into and out of every corner."""
    after = ring[np.arange(1 - len(ring), 1)] - ring
    return after[np.arange(-1, len(ring) - 1)], after


def _cross(a: Array, b: Array) -> Array:
    out: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return out


def _merged_triangles(polygon: Polygon) -> list[Array]:
    rings = [list(map(tuple, ring_of(t))) for t in _triangles(polygon) if t.area > 0]
    return [without_straight_points(np.array(ring)) for ring in _merge(rings)]


def _triangles(polygon: Polygon) -> list[Polygon]:
    """Triangles whose union is the polygon; where GEOS finds no corner to cut off, of the polygon on a fine grid.

    Should that fail as well, its hull: larger, so that a piece still keeps off its neighbours and bad leather.
    """
    for grid in GRIDS:
        try:
            whole = polygon if grid == 0 else shapely.set_precision(polygon, grid)
            return polygons(shapely.constrained_delaunay_triangles(whole))
        except shapely.errors.GEOSException:
            continue
    hull = ring_of(polygon.convex_hull)
    return [Polygon([hull[0], hull[k], hull[k + 1]]) for k in range(1, len(hull) - 1)]


def _merge(rings: list[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
    """Join rings across shared edges, longest edge first, wherever the union is convex."""
    owner: dict[tuple[tuple[float, float], tuple[float, float]], int] = {}
    for index, ring in enumerate(rings):
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
            owner[a, b] = index
    alive: list[list[tuple[float, float]] | None] = list(rings)
    diagonals = sorted((edge for edge in owner if edge < edge[::-1] and edge[::-1] in owner), key=_edge_order)
    for a, b in diagonals:
        left, right = owner.get((a, b)), owner.get((b, a))
        if left is None or right is None or left == right:
            continue
        joined = _joined(alive[left] or [], alive[right] or [], a, b)
        if joined is None:
            continue
        alive[left], alive[right] = joined, None
        del owner[a, b], owner[b, a]
        for p, q in zip(joined, joined[1:] + joined[:1], strict=True):
            owner[p, q] = left
    return [ring for ring in alive if ring is not None]


def _edge_order(edge: tuple[tuple[float, float], tuple[float, float]]) -> tuple[float, object]:
    (x0, y0), (x1, y1) = edge
    return (-((x1 - x0) ** 2 + (y1 - y0) ** 2), edge)


def _joined(
    left: list[tuple[float, float]], right: list[tuple[float, float]], a: tuple[float, float], b: tuple[float, float]
) -> list[tuple[float, float]] | None:
    """The union of two rings over left's edge a→b (right's b→a), or None where it is not convex."""
    i, j = left.index(b), right.index(a)
    joined = left[i:] + left[:i] + (right[j:] + right[:j])[1:-1]
    return joined if is_convex(np.array(joined)) and len(set(joined)) == len(joined) else None


def offsets(rings: list[Array]) -> Any:
    """Where each ring begins in their concatenation, and the end."""
    return np.concatenate([[0], np.cumsum([len(ring) for ring in rings])]).astype(np.int64)


def normals(ring: Array) -> Array:
    """Outward unit normals of a counter-clockwise ring's edges; row k is the edge from vertex k."""
    edge = np.roll(ring, -1, axis=0) - ring
    long = np.hypot(edge[:, 0], edge[:, 1])
    return np.column_stack([edge[:, 1], -edge[:, 0]]) / np.where(long > 0, long, 1.0)[:, None]
