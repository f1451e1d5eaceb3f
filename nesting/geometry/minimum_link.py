"""The outline of fewest corners outside a ring and near it.

For outlines with more detail than any corner of them deserves: digitised lines, tracings, fine waves. Every corner of
the new ring stands on the outward normal of a point of the old one, there or a little beyond; an edge may go from one
to the next where all points between lie on its inner side and near it. Which may, cones of directions tell (Chan, Chin:
Approximation of polygonal curves with minimum number of line segments. IJCGA 1996); of all rings the one of least cost
is taken, by dynamic programming: so much a corner, and the area between.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled
from nesting.geometry.convex import Array

LEVELS = 4
"""Places on a normal: from the point itself to the whole distance, evenly."""

CORNER = 2.0
"""What a corner costs: so many squares whose side is the distance allowed."""


def minimum_link(ring: Array, distance: float, corner: float = CORNER) -> Array:
    """A ring that holds the counter-clockwise `ring` (n, 2) and strays from it by at most `distance`, with few corners.

    It may be no ring at all (crossing itself) or leave something out where the outline turns back on itself within the
    distance: who asks makes sure. A clockwise ring is drawn inwards.

    >>> wave = np.array([(x, 0.1 * (x % 2)) for x in range(40)] + [(39.0, 30.0), (0.0, 30.0)], dtype=float)
    >>> len(wave), len(minimum_link(wave, 0.4))
    (42, 5)
    """
    first = int(np.argmax(((ring - ring.mean(axis=0)) ** 2).sum(axis=1)))
    points = np.ascontiguousarray(np.roll(ring, -first, axis=0))
    out = _outward(points, 4.0 * distance)
    candidates = _candidates(points, out, distance)
    for level in range(LEVELS):  # the first nearly always goes: the point lies farthest out
        found = _cheapest(points, out, candidates, distance, corner * distance**2, level)
        if len(found) >= 3:
            made: Array = candidates[found[:, 0], found[:, 1]]
            return made
    return points


def _candidates(points: Array, out: Array, distance: float) -> Array:
    """The places where a corner may stand; shape (n, LEVELS, 2)."""
    shares = np.linspace(0.0, 1.0, LEVELS) * distance
    made: Array = points[:, None, :] + shares[None, :, None] * out[:, None, :]
    return made


@allocating
def _outward(points: Array, reach: float) -> Array:
    """Unit normals to the right of the way along a ring, each across the chord between points about `reach` away."""
    n = points.shape[0]
    out = np.zeros((n, 2))
    for i in range(n):
        a = b = i
        for _ in range(n // 4):
            a = (a - 1) % n
            if (points[a, 0] - points[i, 0]) ** 2 + (points[a, 1] - points[i, 1]) ** 2 >= reach * reach:
                break
        for _ in range(n // 4):
            b = (b + 1) % n
            if (points[b, 0] - points[i, 0]) ** 2 + (points[b, 1] - points[i, 1]) ** 2 >= reach * reach:
                break
        ux, uy = _unit(points[i, 0] - points[a, 0], points[i, 1] - points[a, 1])
        vx, vy = _unit(points[b, 0] - points[i, 0], points[b, 1] - points[i, 1])
        out[i, 0], out[i, 1] = _unit(uy + vy, -ux - vx)
    return out


@compiled
def _unit(x: float, y: float) -> tuple[float, float]:
    long = np.sqrt(x * x + y * y)
    return (x / long, y / long) if long > 0.0 else (0.0, 0.0)


@allocating
def _cheapest(points: Array, out: Array, at: Array, distance: float, corner: float, level: int) -> NDArray[np.int64]:
    """The corners (point, level) of the cheapest ring through a candidate of the first point; none where none goes."""
    n, levels = at.shape[0], at.shape[1]
    swept = np.zeros(n + 1)  # twice the area swept by the outline from the origin
    for k in range(n):
        m = (k + 1) % n
        swept[k + 1] = swept[k] + points[k, 0] * points[m, 1] - points[k, 1] * points[m, 0]
    cost = np.full((n + 1, levels), np.inf)
    before = np.zeros((n + 1, levels), dtype=np.int64)
    cost[0, level] = 0.0
    for i in range(n):
        for a in range(levels):
            if cost[i, a] < np.inf:
                _edges_from(points, out, at, distance, corner, swept, i, a, level, cost, before)
    chosen = np.zeros((n, 2), dtype=np.int64)
    if not cost[n, level] < np.inf:
        return chosen[:0]
    many, i, a = n, n, level
    while i > 0:
        code = before[i, a]
        i, a = code // levels, code % levels
        many -= 1
        chosen[many, 0], chosen[many, 1] = i, a
    return chosen[many:]


@compiled
def _edges_from(
    points: Array, out: Array, at: Array, distance: float, corner: float, swept: Array, i: int, a: int, level: int,
    cost: Array, before: Array,
) -> None:  # fmt: skip
    """Try all edges from a candidate of point i on; `cost` and `before` are changed where one is cheaper.

    They go forwards, to the left of `low` and to the right of `high`: directions that all points passed allow.
    """
    n, levels = at.shape[0], at.shape[1]
    x, y = at[i, a, 0], at[i, a, 1]
    ux, uy = -out[i, 1], out[i, 0]
    low_x, low_y, high_x, high_y = uy, -ux, -uy, ux  # a quarter turn to the right and to the left
    for j in range(i, n + 1):
        p = points[j % n]
        dx, dy = p[0] - x, p[1] - y
        away = np.sqrt(dx * dx + dy * dy)
        if dx * ux + dy * uy >= 0.0:
            if dx * high_y - dy * high_x > 1e-9 * away:
                high_x, high_y = dx / away, dy / away
            if away > distance:
                s = distance / away
                c = np.sqrt(1.0 - s * s)
                vx, vy = (dx * c + dy * s) / away, (dy * c - dx * s) / away
                if low_x * vy - low_y * vx > 0.0:
                    low_x, low_y = vx, vy
        elif away > distance:
            return
        elif low_x * -dy - low_y * -dx > 1e-9 * away:
            low_x, low_y = -dx / away, -dy / away
        if low_x * high_y - low_y * high_x < -1e-12:
            return
        if j == i:
            continue
        for b in range(levels):
            if j == n and b != level:
                continue
            q = at[j % n, b]
            ex, ey = q[0] - x, q[1] - y
            if ex * ux + ey * uy <= 1e-9 or low_x * ey - low_y * ex < -1e-12 or ex * high_y - ey * high_x < -1e-12:
                continue
            between = swept[j] - swept[i] - (x * q[1] - y * q[0])  # the chain against the edge, closed at both ends
            s0 = points[i]
            between += x * s0[1] - y * s0[0] + p[0] * q[1] - p[1] * q[0]
            made = cost[i, a] + corner + 0.5 * abs(between)
            if made < cost[j, b]:
                cost[j, b] = made
                before[j, b] = i * levels + a
