"""How many pieces of one kind there can be, by the largest disc in each: discs leave gaps that areas do not see."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import Point, Polygon

from nesting.geometry.half_planes import area_of, around, inside_by
from nesting.model.problem import Problem
from nesting.model.tolerance import SHARED


def most_of_kind(problem: Problem, kind: int) -> int:
    """The most pieces of a kind, whatever else is cut.

    Validity. Each piece holds a disc of diameter d, and the discs do not overlap. Their centres lie at least d apart
    in the convex set X that the hull of the kind's leather becomes when a strip of d/2 is taken off all round. Such
    points number at most 2 A(X) / (√3 d²) + P(X) / (2 d) + 1, A its area and P its perimeter (Oler 1961, "An
    inequality in the geometry of numbers", Acta Mathematica 105; Groemer 1960 for discs in convex sets). The strip is
    taken off as half-planes, so that what is left of a hull as small as one piece is not lost to rounding.
    """
    outline = problem.kinds[kind].outline
    if _too_long(outline, problem.gap):
        return 10**9
    middle = Point(shapely.maximum_inscribed_circle(outline, tolerance=0.01).coords[0])
    radius = float(outline.exterior.distance(middle)) - SHARED
    used = {r for orientation in problem.kinds[kind].orientations for r in orientation.regions}
    hull = shapely.GeometryCollection([problem.outer[r] for r in sorted(used)]).convex_hull
    if radius <= 0 or hull.is_empty:
        return 0 if hull.is_empty else 10**9
    centres = inside_by(hull, radius)
    if not len(centres):
        return 0
    apart = 2 * (radius + max(0.0, problem.gap / 2 - SHARED))
    number = 2 * area_of(centres) / (math.sqrt(3) * apart**2) + around(centres) / (2 * apart) + 1
    return math.floor(number + 1e-9)


def _too_long(outline: Polygon, gap: float) -> bool:
    """Whether a piece is so long, or so hollow, for its width that areas alone tell more than discs can.

    A disc in it is no wider than the narrowest box round it; discs whose centres are d apart take √3 d² / 2 each.
    """
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    width = np.hypot(*(corners[1:3] - corners[:2]).T).min()
    return bool(outline.area > math.sqrt(3) / 2 * (width + gap) ** 2)
