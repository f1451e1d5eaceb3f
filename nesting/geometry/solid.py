"""What has area: overlays leave lines, points and crossings of a ring with itself behind, and refuse them in turn."""

from __future__ import annotations

import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry


def solid(geometry: BaseGeometry) -> BaseGeometry:
    """The polygons of a geometry, valid.

    >>> from shapely.geometry import GeometryCollection, LineString, box
    >>> solid(GeometryCollection([box(0, 0, 2, 1), LineString([(0, 0), (5, 5)])])).area
    2.0
    """
    valid = geometry if geometry.is_valid else shapely.make_valid(geometry)
    if valid.geom_type in ("Polygon", "MultiPolygon"):
        return valid
    parts = [part for part in shapely.get_parts(valid) if part.geom_type.endswith("Polygon")]
    apart = MultiPolygon([one for part in parts for one in shapely.get_parts(part)])
    return apart if apart.is_valid else shapely.union_all(parts)
