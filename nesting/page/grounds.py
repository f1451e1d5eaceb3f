"""What each kind of piece asks of a hide beyond its grade, as rings for the page: so that a piece moved by hand stops
where the check would refuse it.

The check has the last word; here its rules are told as shapes. Rings are counter-clockwise, openings clockwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from hides.hide import Grade, Hide, bearing
from nesting.model.layout import Layout
from nesting.model.product import Piece

SEAM = 1e-4
"""Covered parts are taken this much larger, mm, so that no sliver is left where they end at the piece's edge."""
CRACK = 0.005
"""Half of the widest crack between zones that parts nothing, mm."""


def grounds(layout: Layout) -> dict[str, Any]:
    """For every kind of piece of a layout (of one hide): `parts`, what of it asks for good leather where another part
    is covered; `inside`, areas it is to stay in; `off`, areas it is to stay out of; `turned`, zones with a backbone of
    their own."""
    hide = layout.hides[0].hide
    return {
        "kinds": {piece.name: _kind(hide, piece) for product in layout.products for piece in product.pieces},
        "turned": [{"name": z.name, "rings": _rings(Polygon(z.outline)), "bearing": bearing(z.backbone)}
                   for z in hide.zones if z.backbone],
        "elsewhere": _rings(_joined([Polygon(z.outline) for z in hide.zones if z.backbone])),
    }  # fmt: skip


def _kind(hide: Hide, piece: Piece) -> dict[str, Any]:
    inside, off = [], []
    if piece.regions and hide.cut.casefold() not in _folded(piece):
        zones = [Polygon(zone.outline) for zone in hide.zones if zone.name.casefold() in _folded(piece)]
        if zones:
            inside.append({"rings": _rings(_joined(zones)), "words": f"the end of the {' and '.join(piece.regions)}"})
    if piece.thickness is not None:
        thick = [(zone, Polygon(zone.outline)) for zone in hide.zones if zone.thickness]
        off += [
            {"rings": _rings(area), "words": f"leather of another thickness ({zone.name})"}
            for zone, area in thick
            if zone.thickness and not zone.thickness.inside(piece.thickness)
        ]
        if hide.thickness is None or not hide.thickness.inside(piece.thickness):
            rings = _rings(_joined([area for _, area in thick]))
            inside.append({"rings": rings, "words": "leather of another thickness"})
    return {"parts": _parts(piece), "inside": inside, "off": off, "off_backbone": piece.off_backbone}


def _parts(piece: Piece) -> dict[str, list[list[list[float]]]]:
    """By grade of the leather met: the rings of what asks for better, in the piece's own frame; only where part of it
    is covered."""
    if not piece.covered:
        return {}
    own = Polygon(piece.outline)
    found = {}
    for grade in Grade:
        covers = [cover for cover in piece.covered if cover.grade >= grade]
        if piece.grade < grade and covers:
            grown = [Polygon(cover.outline).buffer(SEAM, join_style="mitre") for cover in covers]
            found[grade.label] = _rings(own.difference(shapely.union_all(grown)))
    return found


def _joined(areas: Sequence[Polygon]) -> BaseGeometry:
    """Areas as one; a crack that is narrower than the check's tolerance parts nothing."""
    if len(areas) < 2:
        return shapely.union_all(areas)
    closed = shapely.union_all(areas).buffer(CRACK, join_style="mitre").buffer(-CRACK, join_style="mitre")
    return shapely.union_all([*areas, closed])


def _rings(shape: BaseGeometry) -> list[list[list[float]]]:
    """The rings of an area: outlines counter-clockwise, openings clockwise."""
    found = []
    for part in _polygons(shape):
        for ring in (orient(part).exterior, *orient(part).interiors):
            found.append([[float(x), float(y)] for x, y in ring.coords[:-1]])
    return found


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [] if shape.is_empty or shape.area == 0 else [shape]
    return [part for each in getattr(shape, "geoms", ()) for part in _polygons(each)]


def _folded(piece: Piece) -> set[str]:
    return {name.casefold() for name in piece.regions}
