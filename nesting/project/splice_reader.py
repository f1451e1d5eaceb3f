"""A piece that no hide is long enough for, spliced from two with a lap where they lie on one another."""

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


def spliced(fields: Fields, measures: Measures, piece: Piece) -> tuple[Piece, ...]:
    """The piece itself, or the two it is spliced from where it is longer than `over`: “NAME 1” begins at its foot.

    They are cut at mid-length and overlap by `lap`; a hole in the lap is in both.
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
    part = (north - south + lap) / 2
    if part > over:
        problem = f"each of two parts of {north - south:.4g} mm is {part:.4g} mm long with the lap"
        raise table.wrong("over", problem, "a piece is spliced from two; make it shorter, or allow longer parts")
    spans = ((south, south + part), (north - part, north))
    made = []
    for number, (low, high) in enumerate(spans, 1):
        window = box(west - 1, low, east + 1, high)
        made.append(_part(table, piece, window, f"{piece.name} {number}", lap, number == 1))
    return tuple(made)


def _part(table: Fields, piece: Piece, window: Polygon, name: str, lap: float, first: bool) -> Piece:
    _, low, _, high = window.bounds
    outline = piece.polygon.intersection(window)
    if not isinstance(outline, Polygon):
        raise table.wrong("lap", "would part the piece into more than two", "give a piece that is whole across there")
    for ring in piece.cutouts:
        if 0 < Polygon(ring).intersection(window).area < Polygon(ring).area - 1e-6:
            raise table.wrong("lap", "ends in an opening of the piece", "move the opening, or change the lap")
    edge = high - lap if first else low + lap
    seam = LineString([(window.bounds[0], edge), (window.bounds[2], edge)]).intersection(outline)
    lines = [
        *_lines(piece.lines, outline),
        *_lines((InnerLine("skive", tuple(seam.coords), lap, None, "lap"),), outline),
    ]
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
