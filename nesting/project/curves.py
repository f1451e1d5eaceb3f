"""Arcs and curves between two points of an outline, as points on the true curve; millimetres.

The points lie on the curve, and it strays from the line through them by at most `FINE`. So lengths measured along
them are next to exact: a chord of the angle θ is short by θ²/24 of its arc, a thousandth of a millimetre in a metre of
arc with a radius of a metre, in 30 mm with a radius of 10 mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from hides.errors import InputError
from hides.hide import Point

FINE = 0.001
LARGEST_RADIUS = 1e6
SMOOTH_PARTS = 64
"""Into how many parts each stretch of a smooth curve is cut at least, before it is measured how many it takes."""


def arc_through(start: Point, middle: Point, end: Point) -> list[Point]:
    """The arc of a circle from `start` through `middle` to `end`."""
    (ax, ay), (bx, by), (cx, cy) = start, middle, end
    twice = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    if abs(twice) < 1e-9 * max(math.dist(start, end) ** 2, 1e-9):
        raise InputError("goes through a point on the straight line", remedy="leave the arc out, or give another point")
    squares = [x * x + y * y for x, y in (start, middle, end)]
    x = (squares[0] * (by - cy) + squares[1] * (cy - ay) + squares[2] * (ay - by)) / twice
    y = (squares[0] * (cx - bx) + squares[1] * (ax - cx) + squares[2] * (bx - ax)) / twice
    left = (bx - ax) * (cy - by) - (by - ay) * (cx - bx) > 0
    return round_arc((x, y), start, end, left)


def arc_rising(start: Point, end: Point, rise: float) -> list[Point]:
    """The arc that stands `rise` to the right of the straight line from `start` to `end` (negative: to the left)."""
    chord = math.dist(start, end)
    if abs(rise) < 1e-6 or chord < 1e-6:
        raise InputError(
            f"has a rise of {rise:g} mm over {chord:g} mm", remedy="give both a length, or leave the arc out"
        )
    dx, dy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    top = (start[0] + end[0]) / 2 + rise * dy, (start[1] + end[1]) / 2 - rise * dx
    return arc_through(start, top, end)


def arc_of_radius(start: Point, end: Point, radius: float) -> list[Point]:
    """The lesser arc with a radius, to the right of the straight line from `start` to `end` (negative: to the left)."""
    half = math.dist(start, end) / 2
    if not half <= abs(radius) * (1 + 1e-9) or half < 1e-6:
        problem = f"has a radius of {abs(radius):g} mm between points {2 * half:g} mm apart"
        raise InputError(problem, remedy=f"give at least {half:g} mm")
    rise = abs(radius) - math.sqrt(max(radius * radius - half * half, 0.0))
    return arc_rising(start, end, math.copysign(rise, radius))


def round_arc(centre: Point, start: Point, end: Point, left: bool) -> list[Point]:
    """Points from `start` to `end` about a centre, turning left (counter-clockwise) or right."""
    radius = math.dist(centre, start)
    if radius > LARGEST_RADIUS:
        raise InputError("an arc has a radius of more than a kilometre", remedy="draw a straight line")
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (last - first) % math.tau if left else -((first - last) % math.tau)
    step = 2 * math.acos(max(1 - FINE / max(radius, FINE), 0.0))
    count = max(math.ceil(abs(turn) / step), 2)
    inner = [first + turn * k / count for k in range(1, count)]
    return [start, *((centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in inner), end]


def bezier(start: Point, by: Sequence[Point], end: Point) -> list[Point]:
    """A Bézier curve of the second degree (one point in `by`) or the third (two)."""
    corners = np.array([start, *by, end], dtype=float)

    def at(parts: int) -> np.ndarray:
        s = np.linspace(0.0, 1.0, parts + 1)[:, None]
        weights = [math.comb(len(by) + 1, k) * (1 - s) ** (len(by) + 1 - k) * s**k for k in range(len(by) + 2)]
        return np.asarray(sum(weight * corner for weight, corner in zip(weights, corners, strict=True)))

    return _fine(at, start, end)


def smooth(points: Sequence[Point]) -> list[Point]:
    """A smooth curve through points: the natural cubic spline over the lengths of the chords between them."""
    from scipy.interpolate import CubicSpline  # heavy: only where it is needed

    given = np.array(points, dtype=float)
    chords = np.hypot(*np.diff(given, axis=0).T)
    if (chords < 1e-3).any():
        raise InputError("goes through the same point twice", remedy="leave one of them out")
    along = np.concatenate([[0.0], np.cumsum(chords)])
    if len(points) == 2:
        return [points[0], points[1]]
    spline = CubicSpline(along, given, bc_type="natural")

    def at(parts: int) -> np.ndarray:
        each = max(parts // len(chords), 1)
        inner = [np.linspace(a, b, each, endpoint=False) for a, b in pairwise(along)]
        return np.asarray(spline(np.concatenate([*inner, along[-1:]])))

    return _fine(at, points[0], points[-1], SMOOTH_PARTS * len(chords))


def _fine(at: Callable[[int], np.ndarray], start: Point, end: Point, parts: int = 16) -> list[Point]:
    """The curve in as many parts as it takes to stay within `FINE` of it."""
    for _ in range(9):
        twice = at(2 * parts)
        middles = (twice[:-1:2] + twice[2::2]) / 2
        if float(np.hypot(*(twice[1::2] - middles).T).max()) <= FINE:
            break
        parts *= 2
    found = [(float(x), float(y)) for x, y in at(parts)]
    return [start, *found[1:-1], end]
