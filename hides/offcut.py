"""A leftover of a hide as a hide of its own: whatever the parent knew about that leather goes with it.

Grade, thickness, price, leather, lot and the direction of the backbone are the parent's. Holes, flaws and zones
are clipped to the leftover. The edge strip is nought: a leftover begins inside its parent's strip. The marked area
is gone, since nobody marked the leftover. Coordinates stay the parent's, so that the two can be laid side by side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from shapely import get_parts
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.errors import InputError
from hides.hide import Flaw, Hide, Point, Ring, Segment, Zone
from hides.holes import settle_holes
from hides.rings import mend_ring

SLIVER = 0.01
"""Parts of a clipped flaw or zone that are nowhere wider than this (mm) are left out."""


def offcut(parent: Hide, ring: Ring, name: str) -> Hide:
    """The leftover `ring` (the parent's coordinates, mm) of a hide, named `name`."""
    outline = _sound(Polygon(ring))
    leather = Polygon(outline)
    holes, over = settle_holes(leather, [hole for hole in parent.holes if leather.intersects(Polygon(hole))], [])
    return replace(
        parent,
        name=name,
        outline=outline,
        cut="offcut",
        holes=holes,
        backbone=parent.backbone and _carried(parent.backbone, leather),
        edge=0.0,
        area=None,
        flaws=tuple(_flaws((*parent.flaws, *(Flaw("hole", hole) for hole in over)), leather)),
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
        for part in _clipped(flaw.outline, _grown(leather, flaw.clearance)):
            if leather.intersects(Polygon(part)):
                yield replace(flaw, outline=part)
            else:
                # The flaw itself is no longer there; what it forbids is drawn instead.
                forbidden = _sound(_grown(Polygon(part), flaw.clearance))
                yield from (replace(flaw, outline=shade, clearance=0.0) for shade in _clipped(forbidden, leather))


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
    return [_sound(part) for part in get_parts(cut) if part.area and not part.buffer(-SLIVER / 2).is_empty]


def _grown(shape: BaseGeometry, by: float) -> BaseGeometry:
    """Everything within `by` mm of the shape, round corners."""
    return shape.buffer(by, quad_segs=64) if by > 1e-3 else shape


def _sound(polygon: BaseGeometry) -> Ring:
    """The outside of a polygon as a ring that a hide file may hold; where it touches itself, the hull around it."""
    try:
        return mend_ring(polygon.exterior.coords).ring
    except InputError:
        return mend_ring(polygon.convex_hull.exterior.coords).ring


def _carried(backbone: Segment, leather: Polygon) -> Segment:
    """A segment of the same direction through a point of the leftover, half as long as the leftover is that way."""
    (x0, y0), (x1, y1) = backbone
    whole = math.hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / whole, (y1 - y0) / whole
    middle = leather.representative_point()
    along = [(x - middle.x) * ux + (y - middle.y) * uy for x, y in leather.exterior.coords]
    half = (max(along) - min(along)) / 4
    return _beyond(middle, ux, uy, -half), _beyond(middle, ux, uy, half)


def _beyond(point: BaseGeometry, ux: float, uy: float, by: float) -> Point:
    return float(point.x + ux * by), float(point.y + uy * by)
