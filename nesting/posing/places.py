"""Parts of a hide that a piece may come from: off the backbone, and in named regions."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Hide, Segment
from nesting.geometry.overlay import joined


def backbone_strip(hide: Hide, off: float) -> BaseGeometry:
    """The strip on both sides of the backbone, which is drawn on beyond the hide; empty where none is stated."""
    if hide.backbone is None or off <= 0:
        return Polygon()
    return backbone_line(hide.backbone, hide).buffer(off, cap_style="flat")


def backbone_line(backbone: Segment, hide: Hide) -> LineString:
    """The backbone drawn on both ways as far as the hide could reach."""
    (ax, ay), (bx, by) = backbone
    long = math.dist((ax, ay), (bx, by))
    far = 2 * max(math.dist((ax, ay), point) for point in hide.outline) + long
    dx, dy = (bx - ax) / long * far, (by - ay) / long * far
    return LineString([(ax - dx, ay - dy), (ax + dx, ay + dy)])


def regions_named(hide: Hide, names: Sequence[str]) -> BaseGeometry | None:
    """The hide's zones of these names together; None where the hide is such a cut itself, or has no such zone."""
    wanted = {name.casefold() for name in names}
    if hide.cut.casefold() in wanted:
        return None
    zones = [Polygon(zone.outline) for zone in hide.zones if zone.name.casefold() in wanted]
    return joined(zones) if zones else None
