"""The `[[piece]]` tables of a project file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import shapely
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.fields import Fields, told
from hides.finding import Finding
from hides.hide import Grade, Thickness
from hides.units import thickness
from nesting.model.choice import Choice
from nesting.model.product import Along, Cover, Piece, PunchHole
from nesting.project.choices import taken
from nesting.project.measures import Measures
from nesting.project.shape_reader import KINDS, read_shape
from nesting.project.shapes import PieceShape, simple_ring

PIECE_FIELDS = (
    "name", "count", "grade", "along", "tolerance", "turn", "mirror", "angles", "shape", "holes", "thickness",
    "spare", "covered", "when",
)  # fmt: skip
SHAPE_FIELDS = (*KINDS, *(name for names in KINDS.values() for name in names))
USABLE = ("A", "B", "C", "D")
MOST_PIECES = 10_000
MOST_ANGLES = 360
INSIDE = 0.01
"""Millimetres by which a covered part may overstep the piece."""


def read_piece(
    value: object,
    index: int,
    measures: Measures,
    where: str,
    choices: Sequence[Choice] = (),
    findings: list[Finding] | None = None,
) -> Piece | None:
    """One piece, from its table; `index` (from 1) serves messages until the piece's name is known.

    None where this variant has no such piece: by its `when`, or since its count comes to nought.
    """
    fields = Fields.of(value, PIECE_FIELDS, where, f"piece {index}")
    name = fields.text("name")
    fields = Fields(fields.data, where, f"piece “{name}”")
    least = 0 if isinstance(fields.data.get("count"), str) else 1
    if not taken(choices, fields) or measures.whole(fields, "count", 1, least, MOST_PIECES) == 0:
        return None
    return described(fields, measures, _shape(fields, measures, Path(where).parent, findings))


def described(fields: Fields, measures: Measures, shape: PieceShape) -> Piece:
    """The piece of that shape that the other fields of its table describe."""
    grade = _grade(fields)
    along, tolerance, turn, angles = _directions(fields)
    return Piece(
        name=fields.text("name"),
        outline=shape.outline,
        count=measures.whole(fields, "count", 1, 1, MOST_PIECES),
        grade=grade,
        along=along,
        tolerance=tolerance,
        turn=turn,
        mirror=fields.flag("mirror", False),
        angles=angles,
        holes=(*shape.holes, *_holes(fields, measures, shape)),
        cutouts=shape.cutouts,
        thickness=_thickness(fields),
        spare=fields.flag("spare", False),
        covered=_covered(fields, measures, shape, grade),
    )


def _shape(fields: Fields, measures: Measures, folder: Path, findings: list[Finding] | None) -> PieceShape:
    table = Fields.of(fields.required("shape"), SHAPE_FIELDS, fields.where, f"{fields.path}.shape")
    return read_shape(table, measures, folder, findings)


def _grade(fields: Fields) -> Grade:
    return Grade[fields.choice("grade", USABLE, "A")]


def _directions(fields: Fields) -> tuple[Along, float, bool, tuple[float, ...] | None]:
    if fields.has("angles"):
        clash = next((name for name in ("along", "tolerance", "turn") if fields.has(name)), None)
        if clash:
            raise fields.wrong(
                clash, "cannot stand beside angles", "give either the angles or along, tolerance and turn"
            )
        return Along.ANY, 0.0, True, _angles(fields)
    if not fields.has("along") and (fields.data.get("tolerance") or fields.data.get("turn") is False):
        name = "tolerance" if fields.data.get("tolerance") else "turn"
        raise fields.wrong(name, "says how far the piece may turn, but along is not given", 'add along = "backbone"')
    along = Along(fields.choice("along", [each.value for each in Along], "any"))
    return along, fields.number("tolerance", 0.0, low=0, high=180), fields.flag("turn", True), None


def _angles(fields: Fields) -> tuple[float, ...]:
    given = fields.items("angles")
    if not 0 < len(given) <= MOST_ANGLES:
        raise fields.wrong("angles", f"holds {len(given)} angles", f"give from 1 to {MOST_ANGLES}")
    names = {f"[{i}]": each for i, each in enumerate(given)}
    each = Fields(names, fields.where, f"{fields.path}.angles")
    return tuple(each.number(name, low=-360, high=360) for name in names)


def _holes(fields: Fields, measures: Measures, shape: PieceShape) -> tuple[PunchHole, ...]:
    area = Polygon(shape.outline, shape.cutouts)
    found = []
    for index, value in enumerate(fields.items("holes", ())):
        table = Fields.of(value, ("at", "diameter", "group"), fields.where, f"{fields.path}.holes[{index}]")
        hole = _hole(table, measures)
        if not area.contains(Spot(hole.at)):
            raise table.wrong("at", f"({hole.at[0]:g}, {hole.at[1]:g}) mm lies outside the piece", _frame(shape))
        found.append(hole)
    return tuple(found)


def _hole(table: Fields, measures: Measures) -> PunchHole:
    with table.reading("at") as value:
        at = measures.point(value)
    with table.reading("diameter") as value:
        diameter = measures.size(value)
    return PunchHole(at, diameter, table.text("group", ""))


def _frame(shape: PieceShape) -> str:
    west, south, east, north = Polygon(shape.outline).bounds
    return f"the piece reaches from ({west:g}, {south:g}) to ({east:g}, {north:g}) mm"


def _thickness(fields: Fields) -> Thickness | None:
    if not fields.has("thickness"):
        return None
    with fields.reading("thickness") as value:
        return thickness(value)


def _covered(fields: Fields, measures: Measures, shape: PieceShape, grade: Grade) -> tuple[Cover, ...]:
    found = []
    for index, value in enumerate(fields.items("covered", ())):
        table = Fields.of(value, ("outline", "grade"), fields.where, f"{fields.path}.covered[{index}]")
        found.append(_cover(table, measures, shape, grade))
    return tuple(found)


def _cover(table: Fields, measures: Measures, shape: PieceShape, grade: Grade) -> Cover:
    own = Grade[table.choice("grade", USABLE)]
    if own < grade:
        raise table.wrong(
            "grade", f"{own.label} is better than the piece's own {grade.label}", "a covered part may lie on worse"
        )
    with table.reading("outline") as value:
        ring = simple_ring(measures.points(value), measures.unit)
        outside = [corner for corner in ring if Polygon(shape.outline).distance(Spot(corner)) > INSIDE]
        over = shapely.difference(Polygon(ring), Polygon(shape.outline).buffer(INSIDE, join_style="mitre"))
        if outside or over.area > INSIDE:
            x, y = outside[0] if outside else over.representative_point().coords[0]
            raise InputError(f"reaches out of the piece at ({x:g}, {y:g}) mm", remedy=_frame(shape))
    return Cover(ring, own)


def refuse_doubles(pieces: tuple[Piece, ...], where: str) -> None:
    """Two pieces of one name cannot be told apart on the sheet."""
    seen: set[str] = set()
    for piece in pieces:
        if piece.name in seen:
            raise InputError(
                f"two pieces are named {told(piece.name)}", where=where, field="piece", remedy="give each its own name"
            )
        seen.add(piece.name)
