"""A piece that no hide is long enough for, spliced from shorter ones that lie on one another with a lap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, Polygon, box

from hides.fields import Fields
from hides.hide import Point, Ring
from nesting.model.product import Cover, InnerLine, Piece
from nesting.project.course import written
from nesting.project.measures import Measures
from nesting.project.shapes import simple_ring

FIELDS = ("over", "lap")
MOST = 4
"""Parts at most that a piece is spliced from."""


def spliced(fields: Fields, measures: Measures, piece: Piece) -> tuple[Piece, ...]:
    """The piece itself, or what it is spliced from where it is longer than `over`: “NAME 1” begins at its foot.

    It is as few parts as go, all equally long, that overlap by `lap`; a hole in a lap is in both.
    """
    if not fields.has("splice"):
        return (piece,)
    table = Fields.of(fields.required("splice"), FIELDS, fields.where, f"{fields.path}.splice")
    with table.reading("over") as value:
        over = measures.size(value)
    with table.reading("lap") as value:
        lap = measures.size(value)
    west, south, east, north = piece.polygon.bounds
    if north - south <= over:
        return (piece,)
    long = north - south
    many = next((n for n in range(2, MOST + 1) if _part_length(long, lap, n) <= over), MOST)
    part = _part_length(long, lap, many)
    if part > over:
        problem = f"each of {MOST} parts of {long:.4g} mm is {part:.4g} mm long with its laps"
        raise table.wrong(
            "over", problem, f"a piece is spliced from {MOST} at most; allow longer parts or a shorter lap"
        )
    made = []
    for number in range(many):
        low = north - part if number == many - 1 else south + number * (part - lap)
        window = box(west - 1, low, east + 1, low + part)
        ends = (number > 0, number < many - 1)
        made.append(_part(table, piece, window, f"{piece.name} {number + 1}", lap, ends))
    return tuple(made)


def _part_length(long: float, lap: float, many: int) -> float:
    """How long each of so many parts is that overlap by `lap`."""
    return (long + (many - 1) * lap) / many


def _part(table: Fields, piece: Piece, window: Polygon, name: str, lap: float, ends: tuple[bool, bool]) -> Piece:
    """What of a piece lies in a window; `ends`: whether it laps at its foot and at its head."""
    _, low, _, high = window.bounds
    outline = piece.polygon.intersection(window)
    if not isinstance(outline, Polygon):
        raise table.wrong("lap", "would part the piece into more than two", "give a piece that is whole across there")
    for ring in piece.cutouts:
        if 0 < Polygon(ring).intersection(window).area < Polygon(ring).area - 1e-6:
            raise table.wrong("lap", "ends in an opening of the piece", "move the opening, or change the lap")
    edges = [edge for edge, laps in zip((low + lap, high - lap), ends, strict=True) if laps]
    seams = [LineString([(window.bounds[0], y), (window.bounds[2], y)]).intersection(outline) for y in edges]
    skives = tuple(InnerLine("skive", tuple(seam.coords), lap, None, "lap") for seam in seams)
    lines = [*_lines(piece.lines, outline), *_lines(skives, outline)]
    covers = [(cover, Polygon(cover.outline).intersection(window)) for cover in piece.covered]
    return replace(
        piece,
        name=name,
        outline=_down(_ring(outline), low),
        holes=tuple(replace(hole, at=_down([hole.at], low)[0]) for hole in piece.holes if low < hole.at[1] < high),
        cutouts=tuple(_down(ring, low) for ring in piece.cutouts if window.contains(Polygon(ring))),
        covered=tuple(
            Cover(_down(_ring(part), low), cover.grade)
            for cover, part in covers
            if isinstance(part, Polygon) and part.area > 1
        ),
        lines=tuple(replace(line, points=_down(line.points, low)) for line in lines),
        finished=_down(_ring(Polygon(piece.finished).intersection(window)), low) if piece.finished else None,
    )


def _lines(lines: Sequence[InnerLine], outline: Polygon) -> list[InnerLine]:
    """As much of the lines as lies on the part."""
    found = []
    for line in lines:
        for part in shapely.get_parts(LineString(line.points).intersection(outline.buffer(0.05))):
            if part.length > 0.1:
                found.append(replace(line, points=tuple(part.coords)))
    return found


def _ring(part: Polygon) -> Ring:
    return simple_ring([(float(x), float(y)) for x, y in part.exterior.coords[:-1]])


def _down(points: Sequence[Point], by: float) -> tuple[Point, ...]:
    return tuple(written((x, y - by)) for x, y in points)
