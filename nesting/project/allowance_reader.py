"""What is left on at edges to be turned in, lapped or sewn: the cut outline lies so much outside the finished one.

Where two edges meet, their cut lines are drawn on until they meet; a corner so sharp that they would meet further than
`LONGEST_TIP` allowances away is cut straight across.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString

from hides.errors import InputError
from hides.fields import Fields
from hides.hide import Point
from nesting.model.product import InnerLine
from nesting.project.contour import Contour, Edge
from nesting.project.course import drawn_to_meeting, edge_course, parallel, written
from nesting.project.measures import Measures
from nesting.project.shapes import PieceShape

FIELDS = ("edge", "kind", "width", "left", "one_side")
KINDS = {"turned": "fold", "lap": "skive", "seam": "stitch"}
"""What an allowance is for, and the line that is drawn at the finished edge."""
LONGEST_TIP = 3.0


def with_allowances(fields: Fields, measures: Measures, shape: PieceShape) -> PieceShape:
    """The shape as it is cut, its finished edge kept, with a fold, skive or stitch line where it lies."""
    rows = fields.items("allowances", ())
    if not rows:
        return shape
    contour = shape.edges
    widths: dict[str, float] = {}
    lines: list[InnerLine] = []
    for index, value in enumerate(rows):
        row = Fields.of(value, FIELDS, fields.where, f"{fields.path}.allowances[{index}]")
        lines += _allow(row, measures, contour, widths)
    try:
        cut = Contour(tuple(_moved(contour, widths))).ring()
    except InputError as error:
        problem = f"the cut outline cannot be drawn: {error.problem}"
        raise fields.wrong("allowances", problem, "allow less there, or on fewer edges") from error
    return replace(shape, outline=cut, finished=shape.outline, lines=(*shape.lines, *lines))


def _allow(row: Fields, measures: Measures, contour: Contour, widths: dict[str, float]) -> list[InnerLine]:
    """Enters an allowance at its edges (and their images in a fold); the lines that show it."""
    kind = row.choice("kind", tuple(KINDS))
    with row.reading("width") as value:
        width = measures.size(value)
    left = None
    if row.has("left"):
        with row.reading("left") as value:
            left = measures.size(value, 0.0)
            if measures.t is not None and left >= measures.t:
                raise InputError(
                    f"{left:g} mm is not less than the leather's {measures.t:g} mm",
                    remedy="say how much of the thickness is left",
                )
    with row.reading("edge") as names:
        courses = [edge_course(contour, names)]
        named = [str(name) for name in (names if isinstance(names, list) else [names])]
        images = [f"{name} mirrored" for name in named if f"{name} mirrored" in contour.names]
        if images and not row.flag("one_side", False):
            courses += [] if courses[0].crosses else [edge_course(contour, images[::-1])]
            named += images
        for name in contour.names if named == ["all"] else named:
            if name in widths:
                raise InputError(f"“{name}” has an allowance already", remedy="give every edge one")
            widths[name] = width
    kinds = [KINDS[kind], *(["skive"] if left is not None and kind != "lap" else [])]
    return [
        InnerLine(each, _line(course.points), *((width, left) if each == "skive" else (None, None)))
        for course in courses
        for each in kinds
    ]


def _line(points: Sequence[Point]) -> tuple[Point, ...]:
    kept = shapely.simplify(LineString(points), 0.01).coords
    return tuple(written((float(x), float(y))) for x, y in kept)


def _moved(contour: Contour, widths: dict[str, float]) -> list[Edge]:
    """The edges moved outwards, and what joins them."""
    edges = contour.edges
    n = len(edges)
    wide = [widths.get(edge.name, 0.0) if edge.name else -1.0 for edge in edges]
    for i, width in enumerate(wide):
        if width < 0:  # a rounded or cut corner keeps its shape between edges that are moved alike
            beside = wide[i - 1], wide[(i + 1) % n]
            wide[i] = beside[0] if beside[0] == beside[1] else 0.0
    lines = [parallel(edge, -width) if width else list(edge.points) for edge, width in zip(edges, wide, strict=True)]
    for i in range(n):
        _join(lines, i, (i + 1) % n, LONGEST_TIP * max(wide[i], wide[(i + 1) % n]))
    return [replace(edge, points=tuple(line)) for edge, line in zip(edges, lines, strict=True)]


def _join(lines: list[list[Point]], i: int, k: int, farthest: float) -> None:
    """Lets line i end where line k begins."""
    a, b = lines[i], lines[k]
    if math.dist(a[-1], b[0]) < 1e-6:
        b[0] = a[-1]
        return
    met = drawn_to_meeting(a, b, farthest) if i != k else None
    lines[i], lines[k] = met or ([*a, b[0]], b)
