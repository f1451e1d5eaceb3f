"""A leftover of a hide as a hide of its own: whatever the parent knew about that leather goes with it.

Grade, thickness, price, leather, lot and the direction of the backbone are the parent's. Holes, flaws and zones
are clipped to the leftover. The edge strip is nought: a leftover begins inside its parent's strip. The marked area
is gone, since nobody marked the leftover. Coordinates stay the parent's, so that the two can be laid side by side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from hides.hide import Flaw, Hide, Point, Ring, Segment, Zone

SLIVER = 0.01
"""Parts of a clipped flaw or zone that are nowhere wider than this (mm) are left out."""


def offcut(parent: Hide, ring: Ring, name: str) -> Hide:
    """The leftover `ring` (the parent's coordinates, mm) of a hide, named `name`."""
    leather = Polygon(ring)
    return replace(
        parent,
        name=name,
        outline=tuple(ring),
        cut="offcut",
        holes=tuple(part for hole in parent.holes for part in _clipped(hole, leather)),
        backbone=parent.backbone and _carried(parent.backbone, leather),
        edge=0.0,
        area=None,
        flaws=tuple(_flaws(parent.flaws, leather)),
        zones=tuple(_zones(parent.zones, leather)),
        parent=parent.name,
    )


def offcuts(parent: Hide, rings: Sequence[Ring], least_area: float = 0.0) -> tuple[Hide, ...]:
    """Leftovers of at least `least_area` mm² as hides, named after the parent: “S-07.1”, “S-07.2”, ..."""
    kept = [ring for ring in rings if Polygon(ring).area >= least_area]
    return tuple(offcut(parent, ring, f"{parent.name}.{number}") for number, ring in enumerate(kept, 1))


def _flaws(flaws: Sequence[Flaw], leather: Polygon) -> Iterator[Flaw]:
    """A flaw is kept as far as its clearance reaches: leather near a flaw that is cut away is still near it."""
    for flaw in flaws:
        reach = leather.buffer(flaw.clearance, quad_segs=32, join_style="mitre") if flaw.clearance else leather
        for part in _clipped(flaw.outline, reach):
            yield replace(flaw, outline=part)


def _zones(zones: Sequence[Zone], leather: Polygon) -> Iterator[Zone]:
    for zone in zones:
        for part in _clipped(zone.outline, leather):
            yield replace(zone, outline=part)


def _clipped(ring: Ring, leather: BaseGeometry) -> list[Ring]:
    """The parts of a ring's inside that lie on the leather; gaps that a clearance leaves inside them are filled."""
    inside = Polygon(ring)
    if leather.covers(inside):
        return [ring]
    cut = inside.intersection(leather)
    parts = [part for part in getattr(cut, "geoms", [cut]) if isinstance(part, Polygon)]
    return [_ring(part) for part in parts if not part.buffer(-SLIVER / 2).is_empty]


def _ring(polygon: Polygon) -> Ring:
    plain = orient(Polygon(polygon.exterior)).simplify(1e-6)
    return tuple((float(x), float(y)) for x, y in plain.exterior.coords[:-1])


def _carried(backbone: Segment, leather: Polygon) -> Segment:
    """A segment of the same direction through the middle of the leftover, half as long as the leftover is there."""
    (x0, y0), (x1, y1) = backbone
    whole = math.hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / whole, (y1 - y0) / whole
    middle = leather.representative_point()
    along = [(x - middle.x) * ux + (y - middle.y) * uy for x, y in leather.exterior.coords]
    half = (max(along) - min(along)) / 4
    return _beyond(middle, ux, uy, -half), _beyond(middle, ux, uy, half)


def _beyond(point: BaseGeometry, ux: float, uy: float, by: float) -> Point:
    return float(point.x + ux * by), float(point.y + uy * by)
