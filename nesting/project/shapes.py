"""The shapes of pieces as rings in millimetres, in the piece's own frame (its grain line is +y).

Rectangles and straps have a corner of their box in the origin and reach to (width, length); a circle has its
centre there. Curves become polygons that contain the true curve and stand off it by at most `TOLERANCE`, so
that never less leather is reserved than the knife needs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.hide import Point, Ring
from hides.rings import mend_ring
from nesting.model.product import InnerLine, PunchHole
from nesting.project.contour import TOLERANCE, Contour, Edge, contour_of
from nesting.project.curves import round_arc

MOST_POINTS = 5000
LEAST_RING = 0.01
ALONG = 0.05
"""How far (mm) an opening may run along the outline before it is taken to cut into it."""
ENDS = ("square", "round", "point")
FOLD_AXES: dict[str, tuple[int, ...]] = {"none": (), "x": (1,), "y": (0,), "both": (1, 0)}
"""The coordinates that are nought on the lines a piece is folded over, in turn."""
FOLDS = tuple(FOLD_AXES)


@dataclass(frozen=True)
class PieceShape:
    """An outline with what is cut, punched and drawn inside it.

    `contour` is the true outline as named edges; `finished` is where the edge comes to lie where allowances reach
    beyond it, and then `outline` is what is cut.
    """

    outline: Ring
    cutouts: tuple[Ring, ...] = ()
    holes: tuple[PunchHole, ...] = ()
    lines: tuple[InnerLine, ...] = ()
    contour: Contour | None = None
    finished: Ring | None = None

    @property
    def edges(self) -> Contour:
        """The contour; of an outline without names, its edges by number."""
        return self.contour or contour_of(self.outline)


def rectangle(width: float, length: float, corner: float = 0.0) -> Ring:
    """A rectangle whose four corners are rounded with radius `corner`."""
    least = min(width, length) / 2
    if corner < 0 or corner > least * (1 + 1e-12):
        raise InputError(f"the corner radius {corner:g} mm is not between 0 and half the shorter side, {least:g} mm")
    if corner == 0:
        return ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length))
    r = min(corner, least)
    centres = ((width - r, r, -90.0), (width - r, length - r, 0.0), (r, length - r, 90.0), (r, r, 180.0))
    return _joined([point for x, y, start in centres for point in arc((x, y), r, start, start + 90)])


def strap(width: float, length: float, ends: tuple[str, str] = ("square", "square")) -> Ring:
    """A strap of the given width; `ends` are those at y = 0 and at y = length.

    A round end is half a circle, a pointed one two cuts at 45° that meet on the middle line; either takes up
    half the width of the length, which is measured over all.
    """
    taken = sum(width / 2 for end in ends if end != "square")
    if taken > length * (1 + 1e-12):
        raise InputError(f"the ends take {taken:g} mm of a length of {length:g} mm", remedy="make it longer or square")
    return _joined([*_strap_end(width, 0.0, -1, ends[0]), *_strap_end(width, length, 1, ends[1])])


def circle(diameter: float) -> Ring:
    """A circle about the origin; its box is exactly `diameter` wide and long."""
    r = diameter / 2
    return _joined([point for start in (0, 90, 180, 270) for point in arc((0.0, 0.0), r, start, start + 90)])


def strap_contour(width: float, length: float, ends: tuple[str, str]) -> Contour:
    """The edges of a strap: start (the end at y = 0), right, end, left."""
    low, high = (0.0 if end == "square" else width / 2 for end in ends)
    start = _strap_end_edges("start", (0.0, low), (width, low), -low, ends[0])
    end = _strap_end_edges("end", (width, length - high), (0.0, length - high), high, ends[1])
    right = Edge("right", ((width, low), (width, length - high)))
    left = Edge("left", ((0.0, length - high), (0.0, low)))
    sides = [edge for edge in (right, left) if edge.length > 1e-6]
    return Contour((*start, *sides[:1], *end, *sides[1:]))


def circle_contour(diameter: float) -> Contour:
    """The edge of a circle: one, called rim, from the point on +x."""
    r = diameter / 2
    halves = [round_arc((0.0, 0.0), (x, 0.0), (-x, 0.0), True) for x in (r, -r)]
    return Contour((Edge("rim", (*halves[0], *halves[1][1:])),))


def _strap_end_edges(name: str, first: Point, last: Point, out: float, end: str) -> list[Edge]:
    middle = ((first[0] + last[0]) / 2, first[1])
    if end == "round":
        return [Edge(name, tuple(round_arc(middle, first, last, True)))]
    tip = (middle[0], middle[1] + out)
    return [Edge(name, (first, last))] if end == "square" else [Edge(name, (first, tip)), Edge(name, (tip, last))]


def folded(points: Sequence[Point], fold: str = "none", unit: float = 1.0) -> Ring:
    """A polygon, completed by folding it over the x axis, the y axis or both, as a paper pattern is.

    The part drawn must lie on one side of the axis and touch it along an edge. Raises InputError otherwise, and
    where the polygon is no simple ring.
    """
    ring = simple_ring(points, unit)
    for axis in FOLD_AXES[fold]:
        ring = _unfolded(ring, axis)
    return ring


def arc(centre: Point, radius: float, start: float, end: float) -> list[Point]:
    """Points of a polygon that wraps an arc from `start` to `end` degrees (counter-clockwise) from outside.

    They lie off the arc by at most `TOLERANCE`; each edge touches it, at every quarter turn too, so that boxes are
    exact, and the first and last edge run on along the tangents at its ends.
    """
    sweep = math.radians(end - start)
    half = math.acos(radius / (radius + TOLERANCE))
    quarters = max(1, round(sweep / (math.pi / 2)))
    parts = quarters * math.ceil(sweep / quarters / (2 * half))
    step = sweep / parts
    outer = radius / math.cos(step / 2)
    turns = [math.radians(start) + (k + 0.5) * step for k in range(parts)]
    return [(centre[0] + outer * math.cos(turn), centre[1] + outer * math.sin(turn)) for turn in turns]


def refuse_openings(outline: Polygon, openings: Sequence[Ring]) -> None:
    """InputError where an opening takes a part of the outline's edge, or crosses another or is one again."""
    shapes = np.array([Polygon(ring) for ring in openings], dtype=object)
    for shape in shapes:
        if not outline.contains(shape) or shape.exterior.intersection(outline.exterior).length > ALONG:
            raise InputError("has a cutout that reaches out of the outline", remedy="draw cutouts inside the piece")
    for one, other in zip(*shapely.STRtree(shapes).query(shapes), strict=True):
        if one < other and (shapes[one].overlaps(shapes[other]) or shapes[one].equals(shapes[other])):
            raise InputError("has cutouts that cross one another", remedy="draw each opening once, as one ring")


def simple_ring(points: Sequence[Point], unit: float = 1.0) -> Ring:
    """The points as a counter-clockwise ring without repeated points.

    Raises InputError, naming the points (in units of `unit` mm, as the file has them), where the ring crosses or
    touches itself or encloses nothing.
    """
    mended = mend_ring(points, least_area=LEAST_RING, unit=unit)
    slip = next((finding for finding in mended.findings if finding.code != "repeated-point"), None)
    if slip:
        raise InputError(slip.message, remedy="leave it out of the drawing")
    if len(mended.ring) > MOST_POINTS:
        raise InputError(f"has {len(mended.ring)} points", remedy=f"at most {MOST_POINTS}")
    return mended.ring


def _joined(points: Sequence[Point]) -> Ring:
    """The ring without points that repeat the one before (to a millionth of a millimetre)."""
    kept: list[Point] = []
    for x, y in points:
        if not kept or math.dist(kept[-1], (x, y)) > 1e-6:
            kept.append((float(x), float(y)))
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) <= 1e-6:
        kept.pop()
    return tuple(kept)


def _strap_end(width: float, y: float, way: int, end: str) -> list[Point]:
    """The corners of one end, counter-clockwise: the lower one from left to right, the upper from right to left."""
    half = width / 2
    first, last = ((0.0, y), (width, y)) if way < 0 else ((width, y), (0.0, y))
    if end == "square":
        return [first, last]
    shoulder = y - way * half
    if end == "point":
        return [(first[0], shoulder), (half, y), (last[0], shoulder)]
    return arc((half, shoulder), half, 180, 360) if way < 0 else arc((half, shoulder), half, 0, 180)


def _unfolded(ring: Ring, axis: int) -> Ring:
    """The ring joined with its mirror image in the line where coordinate `axis` is nought."""
    name = ("y", "x")[axis]
    snapped = refuse_across(ring, axis)
    mirrored = [(-x, y) if axis == 0 else (x, -y) for x, y in snapped]
    whole = shapely.union(Polygon(snapped), Polygon(mirrored))
    if not isinstance(whole, Polygon) or whole.interiors:
        raise InputError(
            f"does not meet the {name} axis it is folded over along one edge",
            remedy="let the half outline start and end on the fold line",
        )
    return simple_ring(_without_flat_points(whole.exterior.coords[:-1], axis))


def refuse_across(points: Sequence[Point], axis: int) -> list[Point]:
    """The points of a half outline, those on the fold line put right on it; InputError where it overlaps itself."""
    snapped = [_on_axis(point, axis) for point in points]
    sides = {math.copysign(1, point[axis]) for point in snapped if point[axis] != 0}
    if len(sides) > 1:
        name = ("y", "x")[axis]
        raise InputError(f"lies on both sides of the {name} axis it is folded over", remedy="draw one half only")
    return snapped


def _on_axis(point: Point, axis: int) -> Point:
    near = abs(point[axis]) < 1e-6
    return ((0.0, point[1]) if axis == 0 else (point[0], 0.0)) if near else point


def _without_flat_points(ring: Sequence[Point], axis: int) -> list[Point]:
    """Drops the points that the fold line leaves in the middle of a straight edge."""
    kept = []
    for index, point in enumerate(ring):
        before, after = ring[index - 1], ring[(index + 1) % len(ring)]
        turn = (point[0] - before[0]) * (after[1] - point[1]) - (point[1] - before[1]) * (after[0] - point[0])
        if point[axis] != 0 or abs(turn) > 1e-9 * math.dist(before, after):
            kept.append((point[0], point[1]))
    return kept
