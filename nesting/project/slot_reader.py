"""Slots: long openings with round or square ends, and those for the tongue of a buckle."""

from __future__ import annotations

import math

from shapely.geometry import Polygon

from hides.fields import Fields
from hides.hide import Point, Ring
from nesting.project.folding import Drawn
from nesting.project.measures import Measures
from nesting.project.shapes import PieceShape, simple_ring, strap

FIELDS = ("at", "length", "width", "angle", "ends", "one_side")
BUCKLE_FIELDS = ("at", "length", "width")


def read_slots(fields: Fields, measures: Measures, shape: PieceShape) -> list[Drawn[Ring]]:
    """The openings that `slots` and `buckle_slots` cut, each inside the piece and clear of the others."""
    found: list[Drawn[Ring]] = []
    for index, value in enumerate(fields.items("slots", ())):
        table = Fields.of(value, FIELDS, fields.where, f"{fields.path}.slots[{index}]")
        with table.reading("at") as at:
            middle = measures.point(at)
        angle = table.number("angle", 90.0, low=-360, high=360)
        ring = _slot(table, measures, middle, angle, table.choice("ends", ("round", "square"), "round"))
        _refuse_outside(table, ring, shape, [drawn.thing for drawn in found])
        found.append(Drawn(ring, not table.flag("one_side", False)))
    west, _, east, _ = Polygon(shape.outline).bounds
    for index, value in enumerate(fields.items("buckle_slots", ())):
        table = Fields.of(value, BUCKLE_FIELDS, fields.where, f"{fields.path}.buckle_slots[{index}]")
        with table.reading("at") as at:
            middle = ((west + east) / 2, measures.length(at))
        ring = _slot(table, measures, middle, 90.0, "round")
        _refuse_outside(table, ring, shape, [drawn.thing for drawn in found])
        found.append(Drawn(ring))
    return found


def _slot(table: Fields, measures: Measures, middle: Point, angle: float, ends: str) -> Ring:
    """A slot about its middle; `angle` is that of its long side, degrees counter-clockwise from +x."""
    with table.reading("length") as value:
        long = measures.size(value)
    with table.reading("width") as value:
        wide = measures.size(value)
    if wide > long:
        raise table.wrong(
            "width", f"{wide:g} mm is more than the slot is long, {long:g} mm", "give the longer as length"
        )
    turn = math.radians(angle - 90)
    c, s = math.cos(turn), math.sin(turn)
    points = [(x - wide / 2, y - long / 2) for x, y in strap(wide, long, (ends, ends))]
    return simple_ring([(middle[0] + c * x - s * y, middle[1] + s * x + c * y) for x, y in points])


def _refuse_outside(table: Fields, ring: Ring, shape: PieceShape, others: list[Ring]) -> None:
    opening = Polygon(ring)
    if not Polygon(shape.outline).contains_properly(opening):
        west, south, east, north = Polygon(shape.outline).bounds
        remedy = f"the piece reaches from ({west:g}, {south:g}) to ({east:g}, {north:g}) mm"
        raise table.wrong("at", "the slot reaches out of the piece", remedy)
    if any(opening.intersects(Polygon(other)) for other in (*shape.cutouts, *others)):
        raise table.wrong("at", "the slot runs into another opening", "move one of them")
