"""Rows of holes along an edge or a line: stitch holes at a pitch, rivets, the holes of a belt."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import shapely
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.fields import Fields, told
from hides.hide import Point
from nesting.model.product import PunchHole
from nesting.project.course import Course, Leg, edge_course, line_course, way_course, written
from nesting.project.folding import Drawn
from nesting.project.measures import Measures
from nesting.project.named import unknown_line
from nesting.project.outline_reader import is_plain, read_way
from nesting.project.shapes import PieceShape

FIELDS = (
    "edge", "line", "inset", "pitch", "number", "ends", "even", "corners", "diameter", "group", "purpose", "one_side",
)  # fmt: skip
BELT_FIELDS = ("middle", "number", "pitch", "diameter", "group", "purpose")
CORNERS = ("shared", "spaced", "round")
MOST_HOLES = 5000
SLACK = 1e-6
NEARER = 0.01
"""Millimetres by which holes of a row may be nearer than they are wide: rounding, and chords for arcs."""


def read_rows(fields: Fields, measures: Measures, shape: PieceShape) -> list[Drawn[PunchHole]]:
    """The holes of a piece's `rows` and `belt_holes`; a row on an edge that meets the fold is whole already."""
    found: list[Drawn[PunchHole]] = []
    for index, value in enumerate(fields.items("rows", ())):
        row = Fields.of(value, FIELDS, fields.where, f"{fields.path}.rows[{index}]")
        course = read_course(row, measures, shape, "line", fields)
        carry = not course.crosses and not row.flag("one_side", False)
        with row.reading("diameter") as size:
            diameter = measures.size(size)
        told_as = row.text("group", ""), row.text("purpose", "")
        spots = [written(at) for at in _spots(row, measures, course)]
        _refuse_run_together(row, "pitch" if row.has("pitch") else "number", spots, diameter)
        _refuse_beyond(row, _course_field(row), spots, shape)
        found += [Drawn(PunchHole(at, diameter, *told_as), carry) for at in spots]
        if len(found) > MOST_HOLES:
            raise row.wrong("pitch", f"makes more than {MOST_HOLES} holes", "give a longer one")
    if fields.has("belt_holes"):
        found += _belt(fields, measures, shape)
    return found


def _refuse_run_together(row: Fields, field: str, spots: Sequence[Point], diameter: float) -> None:
    """Neighbours in a row that are nearer than the holes are wide leave a slit where leather should hold the thread."""
    near = min((math.dist(a, b) for a, b in pairwise(spots)), default=math.inf)
    if near < diameter - NEARER:
        problem = f"holes {diameter:g} mm across stand {near:.4g} mm apart and run into one another"
        raise row.wrong(field, problem, "set them further apart, or give a smaller diameter")


def _refuse_beyond(row: Fields, field: str, spots: Sequence[Point], shape: PieceShape) -> None:
    """Raises InputError where a row leads out of the leather, into a cutout too."""
    solid = Polygon(shape.outline, shape.cutouts)
    shapely.prepare(solid)
    beyond = next((at for at in spots if not solid.contains(Spot(at))), None)
    if beyond is not None:
        remedies = {"inset": "give a smaller one", "edge": "give an inset"}
        problem = f"leads to ({beyond[0]:g}, {beyond[1]:g}) mm, outside the piece"
        raise row.wrong(field, problem, remedies.get(field, "keep it on the piece"))


def _course_field(row: Fields) -> str:
    """The field that says how far in a row runs."""
    return "line" if row.has("line") else "inset" if row.has("inset") else "edge"


def read_course(row: Fields, measures: Measures, shape: PieceShape, points: str, piece: Fields | None = None) -> Course:
    """The line that a table names: edges at an inset, points, or the name of one of the `piece`'s own lines."""
    if row.has("edge") == row.has(points):
        raise row.wrong("edge", f"or {points} is given, and not both", "give one of them")
    if row.has(points):
        if row.has("inset"):
            raise row.wrong("inset", "goes with an edge", "leave it out")
        with row.reading(points) as value:
            if isinstance(value, str) and piece is not None:
                return named_line(piece, value, measures, shape)
            if isinstance(value, (list, tuple)) and value and not is_plain(value):
                return way_course(read_way(value, measures))
            return line_course(measures.points(value))
    inset = 0.0
    if row.has("inset"):
        with row.reading("inset") as value:
            inset = measures.length(value)
            if inset < 0:
                raise InputError(f"comes to {inset:g} mm", remedy="give how far inside the edge it runs")
    with row.reading("edge") as names:
        course = edge_course(shape.edges, names)
    if inset == 0:
        return course
    with row.reading("inset"):  # what is wrong now is how far inside it runs
        return edge_course(shape.edges, names, inset)


def named_line(piece: Fields, name: str, measures: Measures, shape: PieceShape) -> Course:
    """The course of the line of that name among a piece's `lines`."""
    rows = {i: row for i, row in enumerate(piece.items("lines", ())) if isinstance(row, dict) and row.get("name")}
    found = [i for i, row in rows.items() if row["name"] == name]
    if not found:
        raise unknown_line(f"line “{name}”", name, [str(row["name"]) for row in rows.values()])
    if len(found) > 1:
        raise InputError(f"{len(found)} lines are called “{name}”", remedy="give each a name of its own")
    table = Fields(rows[found[0]], piece.where, f"{piece.path}.lines[{found[0]}]")
    return read_course(table, measures, shape, "points")


def _spots(row: Fields, measures: Measures, course: Course) -> list[Point]:
    corners = row.choice("corners", CORNERS, "shared")
    pitch = None
    if row.has("pitch"):
        with row.reading("pitch") as value:
            pitch = measures.size(value)
    number = measures.whole(row, "number", 0, 1, MOST_HOLES) if row.has("number") else None
    if pitch is None and number is None:
        raise row.wrong("pitch", "is missing", "give pitch, number, or both")
    if pitch is not None and pitch > course.length + SLACK:
        line = f"{pitch:g} mm is longer than the line, {course.length:.4g} mm"
        raise row.wrong("pitch", line, "give a shorter one, or a longer edge")
    first, last, given = _ends(row, measures, course)
    bent = len(course.legs) > 1 and corners != "round"
    if number is not None:
        if bent and row.has("corners"):
            raise row.wrong("number", "goes with a line without corners", 'leave it out, or write corners = "round"')
        return _so_many(row, course, number, pitch, (first, last), given)
    assert pitch is not None
    if not bent:
        return _as_many(row, course, pitch, (first, last), given)
    return _shared(course, pitch, first, last) if corners == "shared" else _spaced(row, course, pitch, first, last)


def _ends(row: Fields, measures: Measures, course: Course) -> tuple[float, float, bool]:
    """How far the first and the last hole lie from the ends of the line, and whether the file says so."""
    if not row.has("ends"):
        with_inset = 0.0
        if row.has("inset") and not course.closed:
            with row.reading("inset") as value:
                with_inset = measures.length(value)
        return (with_inset, with_inset, False)
    if course.closed:
        raise row.wrong("ends", "goes with a line that ends", "leave it out: this one goes round")
    with row.reading("ends") as value:
        both = value if isinstance(value, (list, tuple)) else [value, value]
        if len(both) != 2:
            raise InputError(f"is {told(value)}", remedy="give one length, or two: [first, last]")
        first, last = (measures.length(each) for each in both)
        if min(first, last) < 0 or first + last > course.length + SLACK:
            problem = f"takes {first + last:.4g} of the line's {course.length:.4g} mm"
            raise InputError(problem, remedy="let them leave something")
    return first, last, True


def _so_many(
    row: Fields, course: Course, number: int, pitch: float | None, ends: tuple[float, float], given: bool
) -> list[Point]:
    """A number of holes: at a pitch (amid the line, or from the first end where `ends` says it), else evenly."""
    if course.closed:
        return [course.at(course.length * k / number) for k in range(number)]
    room = course.length - sum(ends) if given else course.length
    long = (number - 1) * pitch if pitch is not None else course.length - sum(ends)
    if pitch is not None and long > room + SLACK:
        problem = f"{number} holes at {pitch:g} mm take {long:.4g} mm, and the line has {room:.4g}"
        raise row.wrong("number", problem, "ask for fewer, or leave number out for as many as go")
    start = ends[0] if given or pitch is None else (course.length - long) / 2
    if number == 1:
        return [course.at(start if given else course.length / 2)]
    return [course.at(start + long * k / (number - 1)) for k in range(number)]


def _as_many(row: Fields, course: Course, pitch: float, ends: tuple[float, float], given: bool) -> list[Point]:
    """As many holes as go: at the pitch itself, what is left over at both ends (at the last where `ends` is given), or
    with `even` at the pitch nearest to it that fills the line. A line that goes round is always filled evenly.
    """
    if course.closed:
        number = max(round(course.length / pitch), 1)
        return [course.at(course.length * k / number) for k in range(number)]
    room = course.length - sum(ends)
    if room < pitch - SLACK:
        problem = f"{pitch:g} mm is longer than the {max(room, 0):.4g} mm between the ends of the row"
        raise row.wrong("pitch", problem, "give a shorter one, or nearer ends")
    if row.flag("even", False):
        number = max(round(room / pitch), 1)
        return [course.at(ends[0] + room * k / number) for k in range(number + 1)]
    number = math.floor(room / pitch + SLACK)
    start = ends[0] if given else ends[0] + (room - number * pitch) / 2
    return [course.at(start + pitch * k) for k in range(number + 1)]


def _shared(course: Course, pitch: float, first: float, last: float) -> list[Point]:
    """A hole in every corner; on every leg the pitch nearest to the one asked for that fills it."""
    spots: list[Point] = []
    legs = course.legs
    for i, leg in enumerate(legs):
        low = first if i == 0 and not course.closed else 0.0
        high = leg.length - (last if i == len(legs) - 1 and not course.closed else 0.0)
        number = max(round((high - low) / pitch), 1)
        spots += [leg.at(low + (high - low) * k / number) for k in range(number)]
        if i == len(legs) - 1 and not course.closed:
            spots.append(leg.at(high))
    return spots


def _spaced(row: Fields, course: Course, pitch: float, first: float, last: float) -> list[Point]:
    """No hole in a corner: amid every leg as many as go at the pitch, at least half a pitch off the corners."""
    spots: list[Point] = []
    for i, leg in enumerate(course.legs):
        low = first if i == 0 and not course.closed else pitch / 2
        high = leg.length - (last if i == len(course.legs) - 1 and not course.closed else pitch / 2)
        if high < low - SLACK:
            problem = f"{pitch:g} mm leaves no hole on a stretch of {leg.length:.4g} mm between two corners"
            raise row.wrong("pitch", problem, 'give a shorter one, or write corners = "round"')
        spots += _filled(leg, pitch, low, high)
    return spots


def _filled(leg: Leg, pitch: float, low: float, high: float) -> list[Point]:
    number = math.floor((high - low) / pitch + SLACK)
    start = low + (high - low - number * pitch) / 2
    return [leg.at(start + pitch * k) for k in range(number + 1)]


def _belt(fields: Fields, measures: Measures, shape: PieceShape) -> list[Drawn[PunchHole]]:
    """The holes of a belt on its middle line: an odd number, so that the middle one is the usual one."""
    row = Fields.of(fields.required("belt_holes"), BELT_FIELDS, fields.where, f"{fields.path}.belt_holes")
    number = measures.whole(row, "number", 5, 1, 99)
    if number % 2 == 0:
        raise row.wrong("number", f"is {number}", "give an odd number, so that there is a middle hole")
    with row.reading("middle") as value:
        middle = measures.length(value)
    with row.reading("pitch") as value:
        pitch = measures.size(value)
    with row.reading("diameter") as value:
        diameter = measures.size(value)
    west, south, east, north = Polygon(shape.outline).bounds
    reach = pitch * (number - 1) / 2
    if middle - reach < south or middle + reach > north:
        problem = f"the row reaches from {middle - reach:.4g} to {middle + reach:.4g} mm, out of the piece"
        raise row.wrong("middle", problem, f"the piece reaches from {south:g} to {north:g} mm")
    spots: Sequence[Point] = [((west + east) / 2, middle - reach + pitch * k) for k in range(number)]
    _refuse_run_together(row, "pitch", spots, diameter)
    _refuse_beyond(row, "middle", spots, shape)
    return [Drawn(PunchHole(at, diameter, row.text("group", ""), row.text("purpose", ""))) for at in spots]
