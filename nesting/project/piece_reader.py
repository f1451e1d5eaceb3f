"""The `[[piece]]` tables of a project file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import shapely
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.fields import Fields, told, unknown
from hides.finding import Finding
from hides.hide import Grade, Thickness
from hides.units import thickness
from nesting.model.choice import Choice
from nesting.model.product import Along, Cover, Piece, PunchHole
from nesting.project.allowance_reader import with_allowances
from nesting.project.choices import taken
from nesting.project.contour import Contour
from nesting.project.folding import (
    NEAR,
    Drawn,
    carried,
    cover_points,
    folded_shape,
    hole_points,
    line_points,
    mirrored_cover,
    mirrored_hole,
    mirrored_line,
    mirrored_ring,
    ring_points,
    turned_over,
)
from nesting.project.line_reader import read_lines
from nesting.project.measures import Measures
from nesting.project.place_reader import FIELDS as PLACES
from nesting.project.place_reader import read_places
from nesting.project.row_reader import read_rows
from nesting.project.shape_reader import KINDS, read_shape
from nesting.project.shapes import FOLD_AXES, FOLDS, PieceShape, simple_ring
from nesting.project.slot_reader import read_slots
from nesting.project.splice_reader import spliced

PIECE_FIELDS = (
    "name", "count", "grade", "along", "tolerance", "turn", "mirror", "angles", "shape", "holes", "thickness",
    "spare", "covered", "when", "fold", "hand", "rows", "belt_holes", "slots", "buckle_slots", "lines", "notches",
    "allowances", "finished", "leather", "splice",
    *PLACES,
)  # fmt: skip
SHAPE_FIELDS = (*KINDS, *(name for names in KINDS.values() for name in names))
USABLE = ("A", "B", "C", "D")
BOTH = "both"
HANDS = ("left", "right", BOTH)
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
    contours: dict[str, Contour] | None = None,
) -> tuple[Piece, ...]:
    """One piece, from its table; `index` (from 1) serves messages until the piece's name is known.

    Two where it is made for both hands; none where this variant has no such piece: by its `when`, or since its count
    comes to nought. `contours` takes the outline of each as named edges.
    """
    fields = Fields.of(value, PIECE_FIELDS, where, f"piece {index}")
    name = fields.text("name")
    fields = Fields(fields.data, where, f"piece “{name}”")
    least = 0 if isinstance(fields.data.get("count"), str) else 1
    if not taken(choices, fields) or measures.whole(fields, "count", 1, least, MOST_PIECES) == 0:
        return ()
    refuse_finished(fields)
    fold = fields.choice("fold", FOLDS, "none")
    shape = finished_shape(fields, measures, where, findings)
    kept = contours if contours is not None else {}
    contour = kept[name] = shape.edges  # known where what follows is faulty too
    shape = with_allowances(fields, measures, shape)
    west, _, east, _ = Polygon(shape.outline).bounds
    kept |= {name: contour, f"{name} left": contour, f"{name} right": contour.mirrored(0).shifted(west + east, 0)}
    piece = described(fields, measures, shape, fold)
    _tell_unfolded_holes(fields, piece, findings)
    if piece.hand != BOTH:
        return spliced(fields, measures, piece)
    if fields.has("splice"):
        raise fields.wrong("splice", "cannot stand beside hand", "write the left and the right piece by themselves")
    if piece.mirror:
        raise fields.wrong(
            "hand", "makes a left and a right, and mirror lets either be turned over", "leave mirror out"
        )
    left = replace(piece, name=f"{name} left", hand="left")
    return (left, turned_over(piece, f"{name} right", "right"))


def _tell_unfolded_holes(fields: Fields, piece: Piece, findings: list[Finding] | None) -> None:
    """`fold` in the shape folds the outline alone, as it always has; a hole that has no mirror image may be a slip."""
    way = fields.data["shape"].get("fold", "none")
    if findings is None or way == "none":
        return
    axis = FOLD_AXES[way][0]
    for hole in piece.holes:
        image = mirrored_hole(hole, axis).at
        if not any(Spot(image).distance(Spot(other.at)) < 0.01 for other in piece.holes):
            text = "the fold in shape carries the outline only, not the holes; fold beside shape carries everything"
            findings.append(Finding("unfolded-holes", f"{fields.path}: {text}"))
            return


def finished_shape(fields: Fields, measures: Measures, where: str, findings: list[Finding] | None) -> PieceShape:
    """The shape of a piece as it is when it is made, folded open, without allowances."""
    fold = fields.choice("fold", FOLDS, "none")
    own = fields.data.get("shape")
    if fold != "none" and isinstance(own, dict) and own.get("fold", "none") != "none":
        raise fields.wrong("fold", "cannot stand beside the fold in shape", "leave that one out: this one carries all")
    with _folding(fields, fold):
        return folded_shape(_shape(fields, measures, Path(where).parent, findings), fold)


@contextmanager
def _folding(fields: Fields, fold: str) -> Iterator[None]:
    """Faults of a fold, told with the field that asks for it."""
    try:
        yield
    except InputError as error:
        if fold == "none" or error.field:
            raise
        raise fields.wrong("fold", error.problem, error.remedy) from error


def refuse_finished(fields: Fields) -> None:
    """Where the finished edge lies follows from allowances; only a layout states it."""
    if fields.has("finished"):
        raise fields.wrong("finished", "follows from the allowances", "leave it out")


def described(fields: Fields, measures: Measures, shape: PieceShape, fold: str = "none") -> Piece:
    """The piece of that shape that the other fields of its table describe; what they add is folded with it."""
    grade = _grade(fields)
    slots = carried(read_slots(fields, measures, shape), fold, ring_points, mirrored_ring)
    shape = replace(shape, cutouts=(*shape.cutouts, *slots))
    drawn = _holes(fields, measures, shape)
    holes = carried(drawn, fold, hole_points, mirrored_hole)
    _refuse_on_own_image(fields, drawn, fold)
    lines = carried(read_lines(fields, measures, shape), fold, line_points, mirrored_line)
    covered = carried(_covered(fields, measures, shape, grade), fold, cover_points, mirrored_cover)
    along, tolerance, turn, angles = _directions(fields)
    places = read_places(fields, measures)
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
        holes=(*shape.holes, *holes),
        cutouts=shape.cutouts,
        thickness=_thickness(fields),
        spare=fields.flag("spare", False),
        covered=covered,
        lines=(*shape.lines, *lines),
        finished=shape.finished,
        leather=fields.text("leather", ""),
        off_backbone=places.off_backbone,
        regions=places.regions,
        near=places.near,
        pair_within=places.pair_within,
        hand=fields.choice("hand", HANDS, "") if fields.has("hand") else "",
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


def _holes(fields: Fields, measures: Measures, shape: PieceShape) -> list[Drawn[PunchHole]]:
    found = []
    for index, value in enumerate(fields.items("holes", ())):
        known = ("at", "diameter", "group", "purpose", "one_side")
        table = Fields.of(value, known, fields.where, f"{fields.path}.holes[{index}]")
        found.append(Drawn(_hole(table, measures), not table.flag("one_side", False)))
        _refuse_hole_outside(table, found[-1].thing, shape)
    return found + read_rows(fields, measures, shape)


def _refuse_on_own_image(fields: Fields, drawn: Sequence[Drawn[PunchHole]], fold: str) -> None:
    """A hole beside the line that a piece is folded on runs into its own mirror image."""
    for axis in FOLD_AXES[fold] if fold != "none" else ():
        for each in drawn:
            off = abs(each.thing.at[axis])
            if each.carry and NEAR < off < each.thing.diameter / 2 - NEAR:
                at = f"({each.thing.at[0]:g}, {each.thing.at[1]:g})"
                problem = f"the hole at {at} mm runs into its own image across the fold"
                raise fields.wrong("holes", problem, "put it on the fold, or further from it")


def _refuse_hole_outside(table: Fields, hole: PunchHole, shape: PieceShape) -> None:
    spot = Spot(hole.at)
    if any(Polygon(ring).contains(spot) for ring in shape.cutouts):
        problem = f"({hole.at[0]:g}, {hole.at[1]:g}) mm lies in an opening of the piece"
        raise table.wrong("at", problem, "move the hole or the opening")
    if not Polygon(shape.outline, shape.cutouts).contains(spot):
        problem = f"({hole.at[0]:g}, {hole.at[1]:g}) mm lies outside the piece"
        raise table.wrong("at", problem, _frame(shape))


def _hole(table: Fields, measures: Measures) -> PunchHole:
    with table.reading("at") as value:
        at = measures.point(value)
    with table.reading("diameter") as value:
        diameter = measures.size(value)
    return PunchHole(at, diameter, table.text("group", ""), table.text("purpose", ""))


def _frame(shape: PieceShape) -> str:
    west, south, east, north = (round(value, 3) + 0.0 for value in Polygon(shape.outline).bounds)
    return f"the piece reaches from ({west:g}, {south:g}) to ({east:g}, {north:g}) mm"


def _thickness(fields: Fields) -> Thickness | None:
    if not fields.has("thickness"):
        return None
    with fields.reading("thickness") as value:
        return thickness(value)


def _covered(fields: Fields, measures: Measures, shape: PieceShape, grade: Grade) -> list[Drawn[Cover]]:
    found = []
    for index, value in enumerate(fields.items("covered", ())):
        known = ("outline", "grade", "one_side")
        table = Fields.of(value, known, fields.where, f"{fields.path}.covered[{index}]")
        found.append(Drawn(_cover(table, measures, shape, grade), not table.flag("one_side", False)))
    return found


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


def refuse_lonely(pieces: tuple[Piece, ...], where: str) -> None:
    """What a piece is to lie near must be there, and the other of a pair."""
    names = [piece.name for piece in pieces]
    for piece in pieces:
        left = piece.hand == "left"
        stem = piece.name.removesuffix(" left" if left else " right")
        partners = [f"{stem} right"] if left else [f"{stem} left", stem]
        if piece.pair_within is not None and not any(name in names and name != piece.name for name in partners):
            field, remedy = f"piece “{piece.name}”.pair", 'write hand = "both", or draw that piece too'
            raise InputError(f"has no partner “{partners[0]}”", where=where, field=field, remedy=remedy)
        for near in piece.near:
            if near.piece == piece.name:
                problem = "names the piece itself"
                remedy = "name another piece of the product"
                raise InputError(problem, where=where, field=f"piece “{piece.name}”.near", remedy=remedy)
            if near.piece not in names:
                others = tuple(name for name in names if name != piece.name)
                raise unknown(f"piece “{near.piece}”", near.piece, others).within(where, f"piece “{piece.name}”.near")


def refuse_doubles(pieces: tuple[Piece, ...], where: str) -> None:
    """Two pieces of one name cannot be told apart on the sheet."""
    seen: set[str] = set()
    for piece in pieces:
        if piece.name in seen:
            raise InputError(
                f"two pieces are named {told(piece.name)}", where=where, field="piece", remedy="give each its own name"
            )
        seen.add(piece.name)
