"""Lines on a piece that are not cut through: folds, creases, stitch lines, skived edges, notches and other marks."""

from __future__ import annotations

import math

import shapely
from shapely.geometry import LineString, Polygon

from hides.errors import InputError
from hides.fields import Fields
from hides.hide import Point
from nesting.model.product import LINE_KINDS, InnerLine
from nesting.project.course import Course, edge_course, written
from nesting.project.folding import Drawn
from nesting.project.measures import Measures
from nesting.project.row_reader import read_course
from nesting.project.shapes import PieceShape

FIELDS = ("kind", "points", "edge", "inset", "width", "left", "name", "one_side")
NOTCH_FIELDS = ("edge", "at", "depth", "width", "one_side")
INSIDE = 0.05
"""Millimetres by which a line may overstep the polygon that stands for the piece."""


def read_lines(fields: Fields, measures: Measures, shape: PieceShape) -> list[Drawn[InnerLine]]:
    """The lines and notches that a piece's table describes."""
    found: list[Drawn[InnerLine]] = []
    for index, value in enumerate(fields.items("lines", ())):
        table = Fields.of(value, FIELDS, fields.where, f"{fields.path}.lines[{index}]")
        line, crosses = _line(table, measures, shape)
        _refuse_outside(table, line, shape)
        found.append(Drawn(line, not crosses and not table.flag("one_side", False)))
    for index, value in enumerate(fields.items("notches", ())):
        table = Fields.of(value, NOTCH_FIELDS, fields.where, f"{fields.path}.notches[{index}]")
        notch, crosses = _notch(table, measures, shape)
        found.append(Drawn(notch, not crosses and not table.flag("one_side", False)))
    return found


def _line(table: Fields, measures: Measures, shape: PieceShape) -> tuple[InnerLine, bool]:
    kind = table.choice("kind", LINE_KINDS)
    width, left = (_size(table, name, measures) for name in ("width", "left"))
    if kind != "skive":
        for name in ("width", "left"):
            if table.has(name):
                raise table.wrong(name, f"does not go with a {kind} line", 'leave it out, or write kind = "skive"')
    if left is not None and measures.t is not None and left >= measures.t:
        problem = f"{left:g} mm is not less than the leather's {measures.t:g} mm"
        raise table.wrong("left", problem, "say how much of the thickness is left")
    if kind == "skive" and table.has("edge"):
        if width is None:
            raise table.wrong("width", "is missing", "say how far from the edge the skiving reaches")
        if table.has("inset"):
            raise table.wrong("inset", "does not go with a skived edge", "leave it out: width says how far it reaches")
        table = Fields({**table.data, "inset": f"{width!r} mm"}, table.where, table.path)
    course = read_course(table, measures, shape, "points")
    return InnerLine(kind, _rounded(course), width, left, table.text("name", "")), course.crosses


def _rounded(course: Course) -> tuple[Point, ...]:
    """The line with fewer points, true to a hundredth of a millimetre."""
    kept = shapely.simplify(LineString(course.points), 0.01).coords
    return tuple(written((float(x), float(y))) for x, y in kept)


def _size(table: Fields, name: str, measures: Measures) -> float | None:
    if not table.has(name):
        return None
    with table.reading(name) as value:
        return measures.size(value, 0.0)


def _refuse_outside(table: Fields, line: InnerLine, shape: PieceShape) -> None:
    over = LineString(line.points).difference(Polygon(shape.outline).buffer(INSIDE, join_style="mitre"))
    if over.length > INSIDE:
        x, y = over.representative_point().coords[0]
        field = "points" if table.has("points") else "edge"
        raise table.wrong(field, f"reaches out of the piece at ({x:.4g}, {y:.4g}) mm", "keep the line on the piece")


def _notch(table: Fields, measures: Measures, shape: PieceShape) -> tuple[InnerLine, bool]:
    """A notch in an edge: a slit, or with a `width` a V; it lies inside the piece and takes no leather beyond it."""
    with table.reading("edge") as names:
        course = edge_course(shape.edges, names)
    at = course.length / 2
    if table.has("at"):
        with table.reading("at") as value:
            at = measures.length(value)
            if not 0 <= at <= course.length:
                raise InputError(f"{at:g} mm lies beyond the edge", remedy=f"it is {course.length:.4g} mm long")
    with table.reading("depth") as value:
        depth = measures.size(value)
    half = (_size(table, "width", measures) or 0.0) / 2
    first, last = course.at(max(at - max(half, 0.05), 0)), course.at(min(at + max(half, 0.05), course.length))
    long = math.dist(first, last)
    inward = -(last[1] - first[1]) / long, (last[0] - first[0]) / long
    middle = course.at(at)
    tips = [(middle[0] + side * depth * inward[0], middle[1] + side * depth * inward[1]) for side in (1, -1)]
    tip = next((tip for tip in tips if Polygon(shape.outline).contains(shapely.Point(tip))), None)
    if tip is None:
        raise table.wrong("depth", f"{depth:g} mm reaches through the piece", "give a smaller one")
    points = (first, tip, last) if half else (middle, tip)
    return InnerLine("notch", tuple(map(written, points))), course.crosses and not table.has("at")
