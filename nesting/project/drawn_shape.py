"""The shape of a piece from a DXF or SVG drawing.

A DXF that keeps the layers of ASTM D6673-10 (sewn-product patterns, one block a piece) is read by them: 1 boundary,
7 grain line, 11 internal cutouts, 13 drill holes. Of any other drawing the ring that holds all others is the outline,
true circles in it up to `LARGEST_PUNCH` across are punch holes, other rings in it cutouts, and a line called “grain”
(its layer, id or group) is the grain line. A line (or a ring) whose layer, id or group names a fold, crease, stitch or
skive, or an open one that names a notch or mark, is a line of that kind; of a pattern layer 14 (sew lines) is stitch
and 8 (internal lines) mark. Any other open line is passed over, and told.

The piece is turned so that its grain line, from where it was begun to where it was ended, runs along +y, and shifted
so that its box begins in (0, 0).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from hides.drawing import Drawing, DrawnShape, read_drawing
from hides.errors import InputError
from hides.finding import Finding
from hides.hide import Point, Ring
from nesting.geometry.simplify import outer
from nesting.model.product import LINE_KINDS, InnerLine, PunchHole
from nesting.project.contour import TOLERANCE, contour_of
from nesting.project.shapes import PieceShape, simple_ring

FINE = 0.005
"""How far (mm) a drawn curve may stand out of its polygon; the polygon stands off the curve by at most `TOLERANCE`."""
LARGEST_PUNCH = 20.0
DRILL = 1.0
"""Diameter (mm) of a drill hole that is drawn as a point."""
BOUNDARY, MIRROR, GRAIN, CUTOUT, HOLE = "1", "6", "7", "11", "13"
SEWN = {"14": "stitch", "8": "mark"}
KNOWN = (BOUNDARY, MIRROR, GRAIN, CUTOUT, HOLE, *SEWN, "2", "3")
"""Layers of a pattern that are read, and those of turn and curve points, which say nothing more."""

Carry = Callable[[Point], Point]


def drawn_shape(path: Path, block: str | None, unit: str, findings: list[Finding] | None = None) -> PieceShape:
    """The shape in a drawing; `unit` is what its numbers are in where the drawing does not say.

    `findings` takes what the reader had to mend. Raises InputError where the drawing is not one piece.
    """
    drawing = read_drawing(path, fallback=unit, block=block, tolerance=FINE)
    said = findings if findings is not None else []
    said.extend(finding.within(path.name) for finding in drawing.findings)
    pattern = path.suffix.lower() == ".dxf" and bool(_on(drawing, BOUNDARY))
    try:
        return _pattern(drawing, said) if pattern else _plain(drawing, said)
    except InputError as error:
        raise error.within(str(path)) from error


def _pattern(drawing: Drawing, findings: list[Finding]) -> PieceShape:
    if _on(drawing, MIRROR):
        remedy = "unfold it and export it anew"
        raise InputError("has a mirror line (layer 6), so only part of the piece is drawn", remedy=remedy)
    boundary = _one(_on(drawing, BOUNDARY), "outlines (layer 1)").ring(findings)
    grain = _on(drawing, GRAIN)
    carry = _carry(boundary, _one(grain, "grain lines (layer 7)") if grain else None)
    drills = [PunchHole(carry(mark.at), DRILL) for mark in drawing.marks if mark.names.layer == HOLE]
    for shape in _on(drawing, HOLE):
        drills.append(_punch(shape, carry))
    cutouts = [shape.ring(findings) for shape in _on(drawing, CUTOUT)]
    lines = [_line(kind, shape, carry) for layer, kind in SEWN.items() for shape in _on(drawing, layer)]
    _tell_passed([shape for shape in drawing.shapes if shape.names.layer not in KNOWN], findings)
    return _shape(boundary, cutouts, drills, carry, lines)


def _plain(drawing: Drawing, findings: list[Finding]) -> PieceShape:
    kinds = [(shape, line_kind(shape)) for shape in drawing.shapes]
    drawn = [(shape, kind) for shape, kind in kinds if kind]
    rings = [(shape, shape.ring(findings)) for shape, kind in kinds if shape.closed and not kind]
    if not rings:
        for shape in drawing.shapes:
            shape.ring()  # says where it is open
        raise InputError("holds no closed outline", remedy="close the outline")
    rings.sort(key=lambda pair: Polygon(pair[1]).area)
    boundary = rings.pop()[1]
    beside = [shape for shape, ring in rings if not Polygon(boundary).contains(Polygon(ring))]
    if beside:
        problem = f"holds {len(beside) + 1} outlines that do not lie in one another"
        raise InputError(problem, remedy="name one piece with block")
    grain = [shape for shape in drawing.shapes if any(name.lower() == "grain" for name in shape.names.all)]
    carry = _carry(boundary, _one(grain, "grain lines") if grain else None)
    passed = [shape for shape, kind in kinds if not shape.closed and not kind and shape not in grain]
    _tell_passed(passed, findings)
    small = [shape for shape, _ in rings if shape.circle and shape.circle.diameter <= LARGEST_PUNCH]
    cutouts = [ring for shape, ring in rings if shape not in small]
    marks = [PunchHole(carry(mark.at), DRILL) for mark in drawing.marks]
    return _shape(
        boundary,
        cutouts,
        [*(_punch(shape, carry) for shape in small), *marks],
        carry,
        [_line(kind, s, carry) for s, kind in drawn],
    )


def line_kind(shape: DrawnShape) -> str:
    """What kind of line a shape is by its names; empty where they name none."""
    words = [word for name in shape.names.all for word in re.findall(r"[a-z]+", name.lower())]
    kinds = [kind for kind in LINE_KINDS if not shape.closed or kind not in ("notch", "mark")]
    return next((kind for word in words for kind in kinds if word.startswith(kind.removesuffix("e"))), "")


def _line(kind: str, shape: DrawnShape, carry: Carry) -> InnerLine:
    points = [*shape.points, shape.points[0]] if shape.closed else list(shape.points)
    kept = shapely.simplify(LineString([carry(point) for point in points]), 0.01).coords
    return InnerLine(kind, tuple((round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in kept))


def _within(line: InnerLine, outline: Polygon) -> list[InnerLine]:
    """As much of a line as lies on the piece."""
    whole = LineString(line.points)
    if outline.buffer(0.05).contains(whole):
        return [line]
    parts = shapely.get_parts(whole.intersection(outline))
    return [replace(line, points=tuple(part.coords)) for part in parts if part.length > 0.05]


def _tell_passed(shapes: Sequence[DrawnShape], findings: list[Finding]) -> None:
    """Lines that stand for nothing known, told once for each name."""
    for told in dict.fromkeys(shape.names.told for shape in shapes):
        number = sum(shape.names.told == told for shape in shapes)
        what = f"{told}: {number} lines are" if number > 1 else f"{told} is"
        names = ", ".join(LINE_KINDS)
        findings.append(
            Finding("line-passed-over", f"{what} passed over; a layer or id that names one of {names} keeps them")
        )


def _on(drawing: Drawing, layer: str) -> list[DrawnShape]:
    return [shape for shape in drawing.shapes if shape.names.layer == layer]


def _one(shapes: Sequence[DrawnShape], what: str) -> DrawnShape:
    if len(shapes) != 1:
        raise InputError(f"holds {len(shapes)} {what}", remedy="name one piece with block")
    return shapes[0]


def _carry(boundary: Ring, grain: DrawnShape | None) -> Carry:
    """From the drawing's frame into the piece's."""
    turn = 0.0
    if grain is not None:
        (x0, y0), (x1, y1) = grain.points[0], grain.points[-1]
        if math.dist((x0, y0), (x1, y1)) < 1:
            raise InputError("has a grain line without length", remedy="draw it as a line along the grain")
        turn = math.pi / 2 - math.atan2(y1 - y0, x1 - x0)
    c, s = math.cos(turn), math.sin(turn)
    turned = [(c * x - s * y, s * x + c * y) for x, y in boundary]
    west, south = min(x for x, _ in turned), min(y for _, y in turned)
    return lambda point: (c * point[0] - s * point[1] - west, s * point[0] + c * point[1] - south)


def _punch(shape: DrawnShape, carry: Carry) -> PunchHole:
    if shape.circle:
        return PunchHole(carry(shape.circle.centre), shape.circle.diameter)
    if not shape.closed:
        raise InputError("has a drill hole that is a line", remedy="draw drill holes as points or circles")
    ring = Polygon(shape.ring())
    return PunchHole(carry((ring.centroid.x, ring.centroid.y)), 2 * math.sqrt(ring.area / math.pi))


def _shape(
    boundary: Ring,
    cutouts: Sequence[Ring],
    holes: Sequence[PunchHole],
    carry: Carry,
    lines: Sequence[InnerLine],
) -> PieceShape:
    outline = Polygon([carry(point) for point in boundary])
    inner = [simple_ring([carry(point) for point in ring]) for ring in cutouts]
    for ring in inner:
        if not outline.contains(Polygon(ring)):
            raise InputError("has a cutout that reaches out of the outline", remedy="draw cutouts inside the piece")
    for hole in holes:
        if not outline.contains(Spot(hole.at)):
            raise InputError("has a drill hole outside the outline", remedy="draw holes inside the piece")
    smooth = outer(outline, TOLERANCE - FINE)
    kept = [part for line in lines for part in _within(line, outline)]
    ring = simple_ring(list(smooth.exterior.coords))
    return PieceShape(ring, tuple(inner), tuple(holes), tuple(kept), contour_of(list(outline.exterior.coords[:-1])))
