"""How deep two shapes lie in one another, how far they lack of a distance. Measured, never buffered.

Round buffers are inscribed polygons and would let a few hundredths of a millimetre pass, so every distance is
taken between outlines. *Depth* of an overlap: the greatest distance from a point of it to the outline of either
shape, taken at the overlap's corners and the middles of its sides, and the width of its widest place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Point
from nesting.check.fault import ROUNDING, TOLERANCE

Measured = tuple[float, Point]
"""A length in mm and the point on the hide where it was met."""

NOTHING: Measured = (0.0, (0.0, 0.0))


def shortfall(shape: BaseGeometry, obstacle: BaseGeometry, wanted: float = 0.0) -> Measured | None:
    """How much too near `shape` is to `obstacle` when they must keep `wanted` apart; None where it is right."""
    if shape.is_empty or obstacle.is_empty:
        return None
    away = float(shapely.distance(shape, obstacle))
    if away > 0:
        return over(wanted - away, lambda: _nearest(shape, obstacle))
    deep, where = depth(shapely.intersection(shape, obstacle), shape.boundary, obstacle.boundary)
    return over(wanted + deep, lambda: where if deep > 0 else _nearest(shape, obstacle))


def overstep(shape: BaseGeometry, ground: BaseGeometry) -> Measured | None:
    """How far `shape` reaches out of `ground`; None where it lies inside."""
    if shape.is_empty:
        return None
    if ground.is_empty:
        return over(shapely.length(shape), lambda: _inside(shape))
    deep, where = depth(shapely.difference(shape, ground), shape.boundary, ground.boundary)
    return over(deep, lambda: where)


def joined(areas: Sequence[BaseGeometry]) -> BaseGeometry:
    """Areas as one ground: a crack between them that is narrower than the tolerance parts nothing."""
    apart = shapely.union_all(areas)
    if len(areas) < 2:
        return apart
    half = TOLERANCE / 2
    closed = apart.buffer(half, join_style="mitre").buffer(-half - ROUNDING, join_style="mitre")
    return shapely.union_all([apart, closed])


def over(amount: float, where: Callable[[], Point]) -> Measured | None:
    """The amount with its place, if it is beyond the tolerance."""
    return (amount, where()) if amount > TOLERANCE + ROUNDING else None


def depth(common: BaseGeometry, first: BaseGeometry, second: BaseGeometry) -> Measured:
    """How deep an overlap is, and where it is deepest; `first` and `second` are the outlines of the two shapes."""
    deepest = NOTHING
    for part in polygons(common):
        points = shapely.points(_samples(part))
        off = np.maximum(shapely.distance(points, first), shapely.distance(points, second))
        best = int(off.argmax())
        if off[best] > deepest[0]:
            deepest = float(off[best]), (float(points[best].x), float(points[best].y))
        if deepest[0] <= TOLERANCE and not part.buffer(-(TOLERANCE + ROUNDING) / 2).is_empty:
            circle = shapely.maximum_inscribed_circle(part, tolerance=TOLERANCE / 2)
            deepest = float(shapely.length(circle)) * 2, _first_point(circle)
    return deepest


def polygons(geometry: BaseGeometry) -> list[Polygon]:
    """The parts of a geometry that have an area."""
    if isinstance(geometry, Polygon):
        return [] if geometry.area == 0 else [geometry]
    return [part for each in getattr(geometry, "geoms", ()) for part in polygons(each)]


def solid(geometry: BaseGeometry) -> BaseGeometry:
    """What of a geometry has an area: overlays leave lines and points behind, and refuse them in turn."""
    return geometry if geometry.geom_type.endswith("Polygon") else shapely.MultiPolygon(polygons(geometry))


def _samples(part: Polygon) -> np.ndarray:
    rings = [shapely.get_coordinates(ring) for ring in (part.exterior, *part.interiors)]
    corners = np.concatenate([ring[:-1] for ring in rings])
    middles = np.concatenate([(ring[:-1] + ring[1:]) / 2 for ring in rings])
    return np.concatenate([corners, middles])


def _nearest(shape: BaseGeometry, obstacle: BaseGeometry) -> Point:
    return _first_point(shapely.shortest_line(shape, obstacle))


def _inside(shape: BaseGeometry) -> Point:
    return _first_point(shapely.point_on_surface(shape))


def _first_point(geometry: BaseGeometry) -> Point:
    x, y = shapely.get_coordinates(geometry)[0]
    return float(x), float(y)
