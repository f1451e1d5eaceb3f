"""SVG path data and basic shapes as flattened lines, in the shape's own coordinates.

Path data is parsed by fontTools; arcs are sampled from their exact ellipse (SVG 1.1, appendix F.6.5), for the usual
cubic stand-in strays by 0.03 % of the radius.
"""

from __future__ import annotations

import cmath
import math
import re

from ezdxf.math import Bezier3P, Bezier4P, Vec2
from fontTools.svgLib.path import parse_path

from hides.errors import InputError
from hides.hide import Point

FARTHEST = 1e8
"""How many times the tolerance a curve may reach from the origin: some kilometres."""
Line = tuple[list[Point], bool]
"""Points, and whether they close."""


def path_lines(data: str, tolerance: float) -> list[Line]:
    """The subpaths of a path's `d`, flattened to within `tolerance`. InputError for what is no path data."""
    odd = re.search(r"[^MLHVCSQTAZ0-9eE+\-.,\s]", data, re.IGNORECASE)
    if odd:
        raise InputError(
            f"holds “{odd[0]}”, no part of path data",
            remedy='write M, L, H, V, C, S, Q, T, A and Z: "M 0 0 H 80 V 60 Z"',
        )
    pen = _FlatPen(tolerance)
    try:
        parse_path(data, pen)
    except (ValueError, IndexError, TypeError, AttributeError, OverflowError, ZeroDivisionError) as error:
        start = " ".join(data.split())[:40]
        raise InputError(f"its path data “{start}” cannot be read", remedy="draw it anew") from error
    pen.endPath()
    return pen.lines


def ellipse_points(centre: Point, rx: float, ry: float, tolerance: float) -> list[Point]:
    """An ellipse as a ring, first point not repeated."""
    return _sampled(complex(*centre), rx, ry, 0.0, 0.0, math.tau, tolerance)[:-1]


def rounded_box(x: float, y: float, w: float, h: float, rx: float, ry: float, tolerance: float) -> list[Point]:
    """A rectangle, its corners rounded by quarters of an ellipse."""
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if rx <= 0 or ry <= 0:
        return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
    corners = ((x + w - rx, y + ry, -1), (x + w - rx, y + h - ry, 0), (x + rx, y + h - ry, 1), (x + rx, y + ry, 2))
    quarter = math.pi / 2
    points: list[Point] = []
    for cx, cy, turn in corners:
        points.extend(_sampled(complex(cx, cy), rx, ry, 0.0, turn * quarter, (turn + 1) * quarter, tolerance))
    return points


def arc_points(
    start: Point, rx: float, ry: float, rotation: float, large: bool, sweep: bool, end: Point, tolerance: float
) -> list[Point]:
    """The points after `start` on an SVG arc to `end` (endpoint to centre form: SVG 1.1, F.6.5 and F.6.6)."""
    a, b = complex(*start), complex(*end)
    rx, ry = abs(rx), abs(ry)
    if a == b:
        return []
    if not (rx and ry):
        return [end]
    turn = cmath.rect(1, math.radians(rotation))
    half = (a - b) / 2 / turn
    over = math.hypot(half.real / rx, half.imag / ry)
    if over > 1:
        rx, ry = rx * over, ry * over
    unit = complex(half.real / rx, half.imag / ry)
    away = math.sqrt(max(1 / abs(unit) ** 2 - 1, 0)) * (-1 if large == sweep else 1)
    middle = complex(unit.imag, -unit.real) * away
    first, last = cmath.phase(unit - middle), cmath.phase(-unit - middle)
    if sweep and last < first:
        last += math.tau
    if not sweep and last > first:
        last -= math.tau
    centre = complex(middle.real * rx, middle.imag * ry) * turn + (a + b) / 2
    points = _sampled(centre, rx, ry, math.radians(rotation), first, last, tolerance)
    return [*points[1:-1], end]


def _sampled(
    centre: complex, rx: float, ry: float, rotation: float, first: float, last: float, tolerance: float
) -> list[Point]:
    radius = max(rx, ry)
    if not (math.isfinite(radius) and cmath.isfinite(centre) and math.isfinite(last - first + rotation)):
        raise InputError("an arc reaches further than a kilometre", remedy="draw it anew")
    step = 2 * math.acos(max(1 - tolerance / radius, 0.0))
    count = max(math.ceil(abs(last - first) / min(max(step, 2e-3), math.pi / 4)), 1)
    turn = cmath.rect(1, rotation)
    angles = [first + (last - first) * i / count for i in range(count + 1)]
    found = [centre + complex(rx * math.cos(angle), ry * math.sin(angle)) * turn for angle in angles]
    return [(point.real, point.imag) for point in found]


class _FlatPen:
    """Draws lines where fontTools' parser draws curves."""

    def __init__(self, tolerance: float) -> None:
        self.tolerance = tolerance
        self.lines: list[Line] = []
        self.points: list[Point] = []

    def moveTo(self, point: Point) -> None:
        self.endPath()
        self.points = [point]

    def lineTo(self, point: Point) -> None:
        self.points.append(point)

    def curveTo(self, *points: Point) -> None:
        self._refuse_far(points)
        self._curve(Bezier4P([Vec2(point) for point in (self.points[-1], *points)]))

    def qCurveTo(self, *points: Point) -> None:
        self._refuse_far(points)
        self._curve(Bezier3P([Vec2(point) for point in (self.points[-1], *points)]))

    def arcTo(self, rx: float, ry: float, rotation: float, large: bool, sweep: bool, end: Point) -> None:
        start = self.points[-1]
        self.points.extend(arc_points(start, rx, ry, rotation, bool(large), bool(sweep), end, self.tolerance))

    def closePath(self) -> None:
        self._done(True)

    def endPath(self) -> None:
        self._done(False)

    def _refuse_far(self, points: tuple[Point, ...]) -> None:
        """A curve without bounds would be refined without end."""
        if not all(math.hypot(*point) <= self.tolerance * FARTHEST for point in (self.points[-1], *points)):
            raise InputError("a curve reaches further than a kilometre", remedy="draw it anew")

    def _curve(self, curve: Bezier3P | Bezier4P) -> None:
        flat = list(curve.flattening(self.tolerance, 8))
        self.points.extend((point.x, point.y) for point in flat[1:])

    def _done(self, closed: bool) -> None:
        if closed and len(self.points) > 1 and self.points[0] == self.points[-1]:
            self.points.pop()
        if len(self.points) > 1:
            self.lines.append((self.points, closed))
        self.points = []
