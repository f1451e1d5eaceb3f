"""Plain hides with a piece or two, for tests of the check and of layout files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import shapely
from shapely import affinity
from shapely.geometry import Polygon

from hides.hide import Grade, Hide, Ring
from nesting.check import faults
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Piece, Product

BOARD: Ring = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 600.0), (0.0, 600.0))
EAST = ((0.0, 300.0), (1000.0, 300.0))


def codes(layout: Layout) -> set[str]:
    """The codes of a layout's faults."""
    return {fault.code for fault in faults(layout)}


def board(**changes: Any) -> Hide:
    """A plain hide 1000 mm long and 600 mm wide whose backbone runs along +x."""
    return replace(Hide("board", BOARD, cut="side", backbone=EAST), **changes)


def box(x: float, y: float, width: float, length: float) -> Ring:
    """A rectangle as a ring."""
    return ((x, y), (x + width, y), (x + width, y + length), (x, y + length))


def lain(piece: Piece, x: float, y: float, angle: float = 0.0, mirrored: bool = False, number: int = 1) -> Placement:
    """A piece carried to a place by shapely's own transforms, which share nothing with the check's."""
    shape = Polygon(piece.outline)
    if mirrored:
        shape = affinity.scale(shape, -1, 1, origin=(0, 0))
    shape = affinity.translate(affinity.rotate(shape, angle, origin=(0, 0)), x, y)
    ring = tuple((a, b) for a, b in shapely.geometry.polygon.orient(shape).exterior.coords[:-1])
    return Placement(piece.name, "goods", number, x, y, angle, mirrored, ring)


def laid(
    hide: Hide, pieces: Sequence[Piece], placements: Sequence[Placement], gap: float = 0.0, complete: int = 1
) -> Layout:
    """A layout of one product called “goods”, with areas that add up."""
    count = ProductCount("goods", complete, complete + 1)
    product = Product("goods", tuple(pieces))
    told = reckoned(HideLayout(hide, tuple(placements), Areas(0, 0, 0, 0, 0, 0, 0)))
    return Layout((count,), (product,), gap, 1, "normal", (told,))


def reckoned(layout: HideLayout) -> HideLayout:
    """The same with the areas that its outlines make, arcs drawn finely: what is lacking of the hide is scrap."""
    hide, lie = layout.hide, [Polygon(each.outline).buffer(0) for each in layout.placements]
    inner = hide.polygon & Polygon(hide.outline).buffer(-hide.edge, quad_segs=200)
    flaws = [Polygon(f.outline).buffer(f.clearance, quad_segs=200) for f in hide.flaws if f.grade is Grade.NONE]
    spoilt = [Polygon(zone.outline) for zone in hide.zones if zone.grade is Grade.NONE]
    bad = shapely.union_all([*flaws, *spoilt]).buffer(0)
    left = (hide.polygon - shapely.union_all([*lie, *(Polygon(ring) for ring in layout.offcuts)])).buffer(0)
    whole, worked = hide.measured_area, (hide.polygon & shapely.union_all(lie)).area
    kept = sum(Polygon(ring).area for ring in layout.offcuts)
    edge, useless = (left - inner).area, ((left & inner).buffer(0) & bad).area
    rest = whole - worked - edge - useless - kept
    return replace(layout, areas=Areas(whole, (inner - bad).area, worked, edge, useless, kept, rest))
