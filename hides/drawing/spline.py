"""Splines flattened over the part of their knots where they are defined.

A closed spline is often stored with knots that do not pile up at its ends; it is then only a curve between the knot
of its degree and the one as far from the end. ezdxf 1.4 flattens beyond both.
"""

from __future__ import annotations

from itertools import pairwise

from ezdxf.entities.spline import Spline
from ezdxf.math import BSpline, Vec3

PARTS = 4
"""Pieces between two knots that are looked at, at the least."""
DEEPEST = 12


def spline_points(entity: Spline, tolerance: float) -> list[Vec3]:
    """Points on the spline, no chord between them further than `tolerance` from its curve at the middle."""
    curve = entity.construction_tool()
    times = _times(curve)
    ends = list(curve.points(times))
    points = [ends[0]]
    for i in range(len(times) - 1):
        _refine(curve, (times[i], times[i + 1]), (ends[i], ends[i + 1]), tolerance, points, DEEPEST)
    return points


def _times(curve: BSpline) -> list[float]:
    degree = curve.order - 1
    knots = sorted(set(curve.knots()[degree : len(curve.knots()) - degree]))
    return [a + (b - a) * i / PARTS for a, b in pairwise(knots) for i in range(PARTS)] + knots[-1:]


def _refine(
    curve: BSpline,
    times: tuple[float, float],
    ends: tuple[Vec3, Vec3],
    tolerance: float,
    points: list[Vec3],
    depth: int,
) -> None:
    middle = sum(times) / 2
    point = curve.point(middle)
    if depth and point.distance(ends[0].lerp(ends[1])) > tolerance:
        _refine(curve, (times[0], middle), (ends[0], point), tolerance, points, depth - 1)
        _refine(curve, (middle, times[1]), (point, ends[1]), tolerance, points, depth - 1)
    else:
        points.append(ends[1])
