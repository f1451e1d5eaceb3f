"""The `[[seam]]` tables: edges that are sewn together agree in length and holes, also round a curve.

A seam is measured where it is sewn, at its `inset` inside each edge: round a corner of a body the stitch line is
shorter than the edge, and the straight gusset that is sewn to it must be as long as that line.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from shapely.geometry import LineString, Point

from hides.errors import InputError
from hides.fields import Fields, unknown
from nesting.model.choice import Choice
from nesting.model.making import Joint, Layer, Making, Seam, SeamSide
from nesting.model.product import Piece, ProductLeather
from nesting.project.choices import taken
from nesting.project.contour import Contour
from nesting.project.course import Course, edge_course, way_course
from nesting.project.leather_reader import with_own_thickness
from nesting.project.measures import Measures
from nesting.project.named import refuse_unknown_piece, unknown_line

FIELDS = ("name", "edges", "tolerance", "fastener", "pitch", "count", "when")
SIDE_FIELDS = ("piece", "edge", "line", "inset", "holes")
TOLERANCE = 1.0
MOST_SEAMS = 200
NEAR = 2.0
"""How far (mm) a hole may lie from the line its seam is sewn on."""


def read_seams(
    fields: Fields,
    measures: Measures,
    pieces: Sequence[Piece],
    contours: Mapping[str, Contour],
    choices: Sequence[Choice],
) -> tuple[tuple[Seam, Fields], ...]:
    """The seams of a project with their tables; InputError, with both figures, where edges or holes disagree."""
    rows = fields.items("seam", ())
    if len(rows) > MOST_SEAMS:
        raise fields.wrong("seam", f"holds {len(rows)} tables", f"at most {MOST_SEAMS}")
    found: list[tuple[Seam, Fields]] = []
    for index, row in enumerate(rows, 1):
        table = named_seam(row, index, fields.where)
        if taken(choices, table):
            found.append((_seam(table, measures, pieces, contours), table))
    names = [seam.name for seam, _ in found]
    for name in names:
        if names.count(name) > 1:
            raise fields.wrong("seam", f"two are named “{name}”", "give each its own name")
    return tuple(found)


def named_seam(row: object, index: int, where: str) -> Fields:
    """The table of a seam, told by its name."""
    table = Fields.of(row, FIELDS, where, f"seam {index}")
    return Fields(table.data, where, f"seam “{table.text('name')}”")


def sides_of(table: Fields) -> list[Fields]:
    """The tables of a seam's sides."""
    rows = table.items("edges")
    if not 2 <= len(rows) <= 20:
        raise table.wrong("edges", f"names {len(rows)}", "name at least two edges that are sewn together")
    return [Fields.of(row, SIDE_FIELDS, table.where, f"{table.path}.edges[{i}]") for i, row in enumerate(rows)]


def seam_course(side: Fields, measures: Measures, contour: Contour) -> Course:
    """The line that one side of a seam is sewn on."""
    inset = 0.0
    if side.has("inset"):
        with side.reading("inset") as value:
            inset = measures.length(value)
    with side.reading("edge") as names:
        return edge_course(contour, names, inset)


def with_seams(
    making: Making,
    seams: Sequence[tuple[Seam, Fields]],
    measures: Measures,
    pieces: Sequence[Piece],
    leathers: Sequence[ProductLeather],
) -> Making:
    """The making with the seams in it; one that names a thread is sewn as a joint is."""
    joints = list(making.joints)
    for seam, table in seams:
        if any(joint.name == seam.name for joint in joints):
            raise table.wrong("name", "is that of a joint too", "give one of the two another name")
        if table.has("fastener"):
            joints.append(with_own_thickness(_sewn(seam, table, measures, making), pieces, leathers))
        elif table.has("pitch"):
            raise table.wrong(
                "pitch", "says how it is sewn, and no thread is named", "add a fastener of the kind thread"
            )
    return replace(making, joints=tuple(joints), seams=tuple(seam for seam, _ in seams))


def _seam(table: Fields, measures: Measures, pieces: Sequence[Piece], contours: Mapping[str, Contour]) -> Seam:
    by_name = {piece.name: piece for piece in pieces}
    tables = sides_of(table)
    sides, spots = [], []
    for side in tables:
        piece = _piece(side, by_name)
        course = _line_of(side, piece) if side.has("line") else seam_course(side, measures, contours[piece.name])
        group = side.text("holes", "")
        sides.append(SeamSide(piece.name, course.length, group))
        spots.append(_spots(side, piece, course, group) if group else [])
    tolerance = TOLERANCE
    if table.has("tolerance"):
        with table.reading("tolerance") as value:
            tolerance = measures.size(value, 0.001)
    _refuse_unlike_lengths(tables, sides, tolerance)
    _refuse_unlike_holes(tables, sides, spots, tolerance)
    return Seam(table.text("name"), tuple(sides), tolerance)


def _line_of(side: Fields, piece: Piece) -> Course:
    """A side in the middle of a piece: the line of that name on it, which another piece is sewn down along."""
    refuse_beside_line(side)
    name = side.text("line")
    for line in piece.lines:
        if line.name == name:
            return way_course([line.points])
    known = sorted({line.name for line in piece.lines if line.name})
    raise unknown_line(f"line “{name}” on piece “{piece.name}”", name, known).within(side.where, f"{side.path}.line")


def refuse_beside_line(side: Fields) -> None:
    """A side that follows a line of the piece follows no edge."""
    for field in ("edge", "inset"):
        if side.has(field):
            raise side.wrong(field, "cannot stand beside line", "leave it out: the line lies where it is sewn")


def _piece(side: Fields, by_name: Mapping[str, Piece]) -> Piece:
    name = side.text("piece")
    refuse_unknown_piece(side, name, by_name)
    return by_name[name]


def _spots(side: Fields, piece: Piece, course: Course, group: str) -> list[float]:
    """How far along the line each hole of the group lies, in turn."""
    holes = [hole.at for hole in piece.holes if hole.group == group]
    if not holes:
        known = sorted({hole.group for hole in piece.holes if hole.group}) or ["none in this piece"]
        raise unknown(f"group “{group}” of holes", group, known).within(side.where, f"{side.path}.holes")
    line = LineString(course.points)
    on_line = [at for at in holes if line.distance(Point(at)) <= NEAR]
    if len(on_line) < len(holes):
        off = next(at for at in holes if at not in on_line)
        problem = (
            f"the hole at ({off[0]:.4g}, {off[1]:.4g}) mm is {line.distance(Point(off)):.1f} mm off the seam's line"
        )
        raise side.wrong("holes", problem, "look at edge and inset, or give holes elsewhere a group of their own")
    return sorted(line.project(Point(at)) for at in on_line)


def _refuse_unlike_lengths(tables: Sequence[Fields], sides: Sequence[SeamSide], tolerance: float) -> None:
    first = sides[0]
    for table, side in zip(tables[1:], sides[1:], strict=True):
        apart = abs(side.length - first.length)
        if apart > tolerance:
            problem = (
                f"“{first.piece}” is {first.length:.1f} mm long there and “{side.piece}” {side.length:.1f} mm, "
                f"{apart:.1f} mm apart; up to {tolerance:g} mm is allowed"
            )
            raise table.wrong("edge", problem, 'change one, or write "as seam …" as the length that is to follow')


def _refuse_unlike_holes(
    tables: Sequence[Fields], sides: Sequence[SeamSide], spots: Sequence[list[float]], tolerance: float
) -> None:
    given = [(table, side, spot) for table, side, spot in zip(tables, sides, spots, strict=True) if spot]
    for table, side, spot in given[1:]:
        _, first, base = given[0]
        if len(spot) != len(base):
            problem = f"“{first.piece}” has {len(base)} holes along it and “{side.piece}” has {len(spot)}"
            raise table.wrong("holes", problem, "give both as many: the same pitch, inset and ends")
        i, off = min((_worst(base, each) for each in (spot, [side.length - d for d in reversed(spot)])), key=_size)
        if abs(off) > tolerance:
            problem = (
                f"hole {i + 1} of “{side.piece}” is {base[i] - base[0] + off:.1f} mm along it and that of "
                f"“{first.piece}” {base[i] - base[0]:.1f} mm; up to {tolerance:g} mm is allowed"
            )
            raise table.wrong("holes", problem, "prick both at the same pitch")


def _worst(base: Sequence[float], other: Sequence[float]) -> tuple[int, float]:
    """The hole that is furthest off when the first holes lie on one another, and by how much."""
    off = [(b - other[0]) - (a - base[0]) for a, b in zip(base, other, strict=True)]
    return max(enumerate(off), key=lambda pair: abs(pair[1]))


def _size(worst: tuple[int, float]) -> float:
    return abs(worst[1])


def _sewn(seam: Seam, table: Fields, measures: Measures, making: Making) -> Joint:
    name = table.text("fastener")
    thread = next((each for each in making.fasteners if each.name == name), None)
    if thread is None or thread.kind != "thread":
        known = [each.name for each in making.fasteners if each.kind == "thread"] or [
            "none: write a [[fastener]] table"
        ]
        raise unknown(f"thread “{name}”", name, known).within(table.where, f"{table.path}.fastener")
    with table.reading("pitch") as value:
        pitch = measures.size(value)
    if pitch > seam.length:
        raise table.wrong("pitch", f"{pitch:g} mm is longer than the seam", "give the distance from stitch to stitch")
    count = measures.whole(table, "count", 1, 1, 10_000)
    layers = tuple(Layer(side.piece) for side in seam.sides)
    return Joint(seam.name, layers, name, count, seam.tolerance, seam.length, pitch)


class SeamLengths:
    """Answers `"as seam NAME"`: how long the seam is on another piece than the one that asks.

    `course_of` reads the line that a side is sewn on. Raises InputError where that goes round in a circle.
    """

    def __init__(self, rows: Sequence[Any], where: str, course_of: Callable[[Fields, Measures], Course]) -> None:
        self._tables = [named_seam(row, index, where) for index, row in enumerate(rows, 1)]
        self._course_of = course_of
        self._open: list[str] = []

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the seams."""
        return tuple(table.text("name") for table in self._tables)

    def length(self, name: str, asking: str, measures: Measures) -> float:
        """The length of the seam on the first side that is of another piece."""
        table = next((each for each in self._tables if each.text("name") == name), None)
        if table is None:
            raise unknown(f"seam “{name}”", name, self.names or ("none: write a [[seam]] table",))
        side = next((each for each in sides_of(table) if stem(each.text("piece")) != asking), None)
        if side is None:
            raise InputError(f"seam “{name}” has no side on another piece", remedy="name the piece it is sewn to")
        if name in self._open:
            raise InputError(f"seam “{name}” follows its own length", remedy="give one of its pieces a plain length")
        self._open.append(name)
        try:
            return self._course_of(side, measures).length
        finally:
            self._open.pop()


def stem(name: str) -> str:
    """The name of the piece in the file, whichever hand is meant."""
    return name.removesuffix(" left").removesuffix(" right")
