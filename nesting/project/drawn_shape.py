"""The shape of a piece from a DXF or SVG drawing.

A DXF that keeps the layers of ASTM D6673-10 (sewn-product patterns, one block a piece) is read by them: 1 boundary,
7 grain line, 11 internal cutouts, 13 drill holes. Of any other drawing the ring that holds all others is the outline,
true circles in it up to `LARGEST_PUNCH` across are punch holes, other rings in it cutouts, and a line called “grain”
(its layer, id or group) is the grain line. A line (or a ring) whose layer, id or group names a fold, crease, stitch or
skive, or an open one that names a notch or mark, is a line of that kind, but a circle called a hole is one (“stitch
holes”); of a pattern layer 14 (sew lines) is stitch, 8 (internal lines) mark and 4 notch. Any other open line is passed
over, and told.

The piece is turned so that its grain line, from where it was begun to where it was ended, runs along +y, and shifted
so that its box begins in (0, 0).
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from hides.drawing import Drawing, DrawnShape, Mark, parts_of, read_drawing
from hides.errors import InputError
from hides.finding import Finding
from hides.hide import Point, Ring
from nesting.geometry.simplify import outer
from nesting.model.product import LINE_KINDS, InnerLine, PunchHole
from nesting.project.contour import TOLERANCE, contour_of
from nesting.project.shapes import PieceShape, refuse_openings, simple_ring

FINE = 0.005
"""How far (mm) a drawn curve may stand out of its polygon; the polygon stands off the curve by at most `TOLERANCE`."""
LARGEST_PUNCH = 20.0
DRILL = 1.0
"""Diameter (mm) of a drill hole that is drawn as a point."""
BOUNDARY, MIRROR, GRAIN, CUTOUT, HOLE = "1", "6", "7", "11", "13"
SEWN = {"14": "stitch", "8": "mark", "4": "notch"}
KNOWN = (BOUNDARY, MIRROR, GRAIN, CUTOUT, HOLE, *SEWN, "2", "3")
"""Layers of a pattern that are read, and those of turn and curve points, which say nothing more."""
MOST_PIECES = 40
STITCH_HOLE = 3.0
"""A circle so small (mm) on a stitch line's layer may well be meant as a hole."""

Carry = Callable[[Point], Point]


def drawn_shape(path: Path, block: str | None, unit: str, findings: list[Finding] | None = None) -> PieceShape:
    """The shape in a drawing; `unit` is what its numbers are in where the drawing does not say.

    `findings` takes what the reader had to mend. Raises InputError where the drawing is not one piece.
    """
    drawing = read_drawing(path, fallback=unit, block=block, tolerance=FINE)
    said = list(drawing.findings)
    pattern = path.suffix.lower() == ".dxf" and bool(_on(drawing, BOUNDARY))
    try:
        shape = _pattern(drawing, said) if pattern else _plain(drawing, said)
    except InputError as error:
        raise error.within(str(path)) from error
    if findings is not None:
        for each in dict.fromkeys(said):
            findings.append(replace(each, field=f"{path.name}, {each.field}" if each.field else path.name))
    return shape


def pieces_in(path: Path) -> list[str]:
    """The parts of a drawing that can be read as a piece each, by the names that `block` takes."""
    found = []
    for name in parts_of(path)[:MOST_PIECES]:
        with suppress(InputError):
            drawn_shape(path, name, "mm")
            found.append(name)
    return found


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
    others = [shape for shape in drawing.shapes if shape.names.layer not in KNOWN]
    named = [(line_kind(shape), shape) for shape in others]
    sewn = [(kind, shape) for layer, kind in SEWN.items() for shape in _on(drawing, layer)]
    lines = [_line(kind, shape, carry) for kind, shape in [*sewn, *named] if kind]
    _tell_passed([shape for kind, shape in named if not kind], findings)
    _tell_points([mark for mark in drawing.marks if mark.names.layer not in (HOLE, "2", "3")], findings)
    return _shape(boundary, cutouts, drills, carry, lines, findings)


def _plain(drawing: Drawing, findings: list[Finding]) -> PieceShape:
    kinds = [(shape, line_kind(shape)) for shape in drawing.shapes]
    drawn = [(shape, kind) for shape, kind in kinds if kind]
    rings = _single([(shape, shape.ring(findings)) for shape, kind in kinds if shape.closed and not kind], findings)
    if not rings:
        shut = next((shape for shape, kind in kinds if shape.closed), None)
        if shut is not None:
            problem = "is its only closed line, and its name says that it is not cut"
            raise InputError(problem, field=shut.names.told, remedy="draw the outline on a layer of its own")
        for shape in drawing.shapes:
            shape.ring()  # says where it is open
        raise InputError("holds no closed outline", remedy="close the outline")
    rings.sort(key=lambda pair: Polygon(pair[1]).area)
    boundary = rings.pop()[1]
    beside = [shape for shape, ring in rings if not Polygon(boundary).contains(Polygon(ring))]
    across = [shape for shape in beside if Polygon(boundary).intersects(Polygon(shape.ring()))]
    if across:
        raise InputError("crosses the outline", field=across[0].names.told, remedy="draw holes inside the piece")
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
    _tell_small([shape for shape, kind in drawn if kind == "stitch"], findings)
    return _shape(
        boundary,
        cutouts,
        [*(_punch(shape, carry) for shape in small), *marks],
        carry,
        [_line(kind, s, carry) for s, kind in drawn],
        findings,
    )


def _single(rings: Sequence[tuple[DrawnShape, Ring]], findings: list[Finding]) -> list[tuple[DrawnShape, Ring]]:
    """Each ring once, on whatever layers it was drawn again: a copy of the outline is no cutout."""
    kept: dict[tuple[float, ...], tuple[DrawnShape, Ring]] = {}
    for shape, ring in rings:
        whole = Polygon(ring)
        key = tuple(round(each, 2) + 0.0 for each in (*whole.bounds, whole.area, whole.centroid.x, whole.centroid.y))
        if key in kept:
            first = kept[key][0].names.told
            findings.append(Finding("drawn-twice", f"was drawn {first} too and is taken once", shape.names.told))
        kept.setdefault(key, (shape, ring))
    return list(kept.values())


def line_kind(shape: DrawnShape) -> str:
    """What kind of line a shape is by its names; empty where they name none."""
    words = [word for name in shape.names.all for word in re.findall(r"[a-z]+", name.lower())]
    if shape.circle and any(word.startswith(("hole", "punch")) for word in words):
        return ""
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
    names = ", ".join(LINE_KINDS)
    for told, number in Counter(shape.names.told for shape in shapes).items():
        what = f"{number} lines are" if number > 1 else "a line is"
        findings.append(
            Finding("line-passed-over", f"{what} passed over; a layer or id that names one of {names} keeps them", told)
        )


def _tell_points(marks: Sequence[Mark], findings: list[Finding]) -> None:
    """Points of a pattern that are no drill holes, as those of notches, told once for each layer."""
    for told, number in Counter(mark.names.told for mark in marks).items():
        what = f"{number} points are" if number > 1 else "a point is"
        findings.append(Finding("point-passed-over", f"{what} passed over; drill holes are on layer {HOLE}", told))


def _tell_small(shapes: Sequence[DrawnShape], findings: list[Finding]) -> None:
    """Circles that are read as stitch lines, as their layer says, though they look like holes."""
    small = [shape for shape in shapes if shape.circle and shape.circle.diameter <= STITCH_HOLE]
    for told, number in Counter(shape.names.told for shape in small).items():
        what = f"{number} small circles are stitch lines" if number > 1 else "a small circle is a stitch line"
        findings.append(Finding("stitch-holes", f"{what}; on a layer called “stitch holes” they are punched", told))


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
    findings: list[Finding],
) -> PieceShape:
    outline = Polygon([carry(point) for point in boundary])
    inner = [simple_ring([carry(point) for point in ring]) for ring in cutouts]
    refuse_openings(outline, inner)
    for hole in holes:
        if not outline.contains(Spot(hole.at)):
            raise InputError("has a drill hole outside the outline", remedy="draw holes inside the piece")
    smooth = outer(outline, TOLERANCE - FINE)
    within = [_within(line, outline) for line in lines]
    outside = Counter(line.kind for line, parts in zip(lines, within, strict=True) if not parts)
    for kind, number in outside.items():
        what = f"{number} {kind} lines lie" if number > 1 else f"a {kind} line lies"
        findings.append(
            Finding("line-outside", f"{what} beside the outline and {'are' if number > 1 else 'is'} left out")
        )
    kept = [part for parts in within for part in parts]
    ring = simple_ring(list(smooth.exterior.coords))
    return PieceShape(ring, tuple(inner), tuple(holes), tuple(kept), contour_of(list(outline.exterior.coords[:-1])))
