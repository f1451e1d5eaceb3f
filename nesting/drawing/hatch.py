"""Hatching as plain lines, so that every back end and every printer shows it the same."""

from __future__ import annotations

import math

import shapely
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from nesting.drawing.scene import Line

MOST_LINES = 400


def hatch(layer: str, shape: BaseGeometry, spacing: float, angle: float) -> tuple[Line, ...]:
    """Lines through a shape, `spacing` apart at `angle` degrees."""
    if shape.is_empty:
        return ()
    level = rotate(shape, -angle, origin=(0, 0))
    left, low, right, high = level.bounds
    spacing = max(spacing, (high - low) / MOST_LINES)
    first = math.ceil(low / spacing)
    rows = range(first, math.floor(high / spacing) + 1)
    lines = shapely.MultiLineString([[(left - 1, k * spacing), (right + 1, k * spacing)] for k in rows])
    cut = rotate(level.intersection(lines), angle, origin=(0, 0))
    parts = getattr(cut, "geoms", [cut])
    return tuple(Line(layer, tuple((x, y) for x, y in part.coords)) for part in parts if part.length > 0)
