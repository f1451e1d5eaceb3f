"""At which angles a line may be struck, the likeliest first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from nesting.geometry.convex import polygons, ring_of
from nesting.model.problem import Problem
from nesting.search.straight.forms import Straight, meets

WHOLE = 359.999
LONG = 8
"""So many of the longest straight edges are lines worth a try."""
Interval = tuple[float, float]


def common_angles(problem: Problem, straights: Sequence[Straight]) -> list[Interval]:
    """The intervals of a line's angle, from 0 to 180 degrees, that suit every kind; empty where no line does."""
    marks = [0.0, *turning_points(problem, straights), 180.0]
    found: list[Interval] = []
    for a, b in pairwise(marks):
        if b - a > 1e-7 and all(meets(problem, s, (a + b) / 2) for s in straights):
            if found and found[-1][1] == a:
                found[-1] = (found[-1][0], b)
            else:
                found.append((a, b))
    inside = [m for m in marks if m < 180.0 and not any(a <= m <= b for a, b in found)]
    found += [(m, m) for m in inside if all(meets(problem, s, m) for s in straights)]
    return sorted(found)


def turning_points(problem: Problem, straights: Sequence[Straight]) -> list[float]:
    """The angles of a line between 0 and 180 at which it begins or ceases to suit a form, ascending."""
    return sorted({m for s in straights for m in _ends(problem, s)} - {0.0, 180.0})


def _ends(problem: Problem, straight: Straight) -> list[float]:
    out = []
    for orientation in problem.kinds[straight.kind].orientations:
        if orientation.high - orientation.low < WHOLE:
            side = -straight.direction if orientation.mirrored else straight.direction
            for end in (orientation.low, orientation.high):
                out += [(end + side + quarter) % 180.0 for quarter in (0.0, 90.0)]
    return [round(end, 9) % 180.0 for end in out]


def lines(problem: Problem, allowed: Sequence[Interval], natural: float | None, most: int) -> list[float]:
    """Angles to strike the line at: the natural one, the leather's long straight edges, the middles and ends.

    `natural` is the backbone's, or None where the hide has none: then the longest straight edge comes first.
    """
    edges = straight_edges(problem)
    first = [natural % 180.0] if natural is not None else edges[:1]
    middles = [(a + b) / 2 for a, b in sorted(allowed, key=lambda each: each[0] - each[1])]
    ends = [end % 180.0 for pair in allowed for end in pair]
    out: list[float] = []
    for angle in [*first, *middles, *edges, *ends]:
        near = [known for known in out if abs(math.remainder(known - angle, 180.0)) < 0.02]
        if not near and holds(allowed, angle):
            out.append(angle)
    return out[:most]


def holds(allowed: Sequence[Interval], angle: float) -> bool:
    """Whether a line at an angle suits every kind."""
    at = angle % 180.0
    return any(a - 1e-6 <= x <= b + 1e-6 for a, b in allowed for x in (at, at - 180.0, at + 180.0))


def straight_edges(problem: Problem) -> list[float]:
    """Bearings, 0 to 180, of the longest straight edges of the leather, longest first."""
    found: list[tuple[float, float]] = []
    for polygon in polygons(shapely.union_all(list(problem.regions))):
        ring = ring_of(polygon)
        edges = np.roll(ring, -1, axis=0) - ring
        for x, y in edges:
            found.append((-round(math.hypot(x, y), 3), round(math.degrees(math.atan2(y, x)) % 180.0, 6)))
    return [angle % 180.0 for _, angle in sorted(found)[:LONG]]
