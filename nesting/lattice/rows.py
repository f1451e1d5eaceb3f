"""The kernel: how near a row of shifted copies can lie above another.

A row is a shape shifted by 0, ±L, ±2L, ... along x. The shifts at which one row's member meets another's are a
no-fit polygon N repeated with period L; seen from above that is a profile, and the next row may sink to the
profile's lowest point.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled

Floats = NDArray[np.float64]


@allocating
def profile(ring: Floats, period: float) -> Floats:
    """The upward edges of a counter-clockwise ring, brought into [0, period]; rows x0, y0, x1, y1 with x0 < x1."""
    n = ring.shape[0]
    many = 0
    for k in range(n):
        m = k + 1 if k + 1 < n else 0
        if ring[m, 0] < ring[k, 0]:
            many += int((ring[k, 0] - ring[m, 0]) / period) + 2
    out = np.zeros((many, 4))
    kept = 0
    for k in range(n):
        m = k + 1 if k + 1 < n else 0
        x0, y0, x1, y1 = ring[m, 0], ring[m, 1], ring[k, 0], ring[k, 1]
        if x1 <= x0:
            continue
        slope = (y1 - y0) / (x1 - x0)
        turn = np.floor(x0 / period)
        while turn * period < x1:
            a, b = max(x0, turn * period), min(x1, (turn + 1) * period)
            if b - a > 1e-12 * period and kept < many:
                out[kept, 0], out[kept, 1] = a - turn * period, y0 + slope * (a - x0)
                out[kept, 2], out[kept, 3] = b - turn * period, y0 + slope * (b - x0)
                kept += 1
            turn += 1.0
    return out[:kept]


@compiled
def height(edges: Floats, x: float) -> float:
    """The profile's height at x in [0, period]; −1e300 where nothing lies."""
    top = -1e300
    for e in range(edges.shape[0]):
        x0, x1 = edges[e, 0], edges[e, 2]
        if x0 <= x <= x1:
            y = edges[e, 1] + (edges[e, 3] - edges[e, 1]) * (x - x0) / (x1 - x0)
            top = max(top, y)
    return top


@compiled
def _top(lines: Floats, many: int, x: float, left: bool) -> int:
    """The line that is highest at x; among equals the one that rises most to that side."""
    best = 0
    for i in range(1, many):
        y, old = lines[i, 0] + lines[i, 1] * x, lines[best, 0] + lines[best, 1] * x
        small = 1e-12 * (abs(y) + abs(old) + 1.0)
        steeper = lines[i, 1] < lines[best, 1] if left else lines[i, 1] > lines[best, 1]
        if y > old + small or (y > old - small and steeper):
            best = i
    return best


@allocating
def lowest(edges: Floats) -> tuple[float, float]:
    """The profile's lowest point (x, height): exact, edge crossings included."""
    ends = np.sort(np.concatenate((edges[:, 0], edges[:, 2])))
    lines = np.zeros((edges.shape[0], 2))
    best_x, best_y = 0.0, 1e300
    for k in range(ends.shape[0] - 1):
        a, b = ends[k], ends[k + 1]
        if b - a <= 1e-11 * ends[-1]:
            continue
        middle = 0.5 * (a + b)
        many = 0
        for e in range(edges.shape[0]):
            if edges[e, 0] < middle < edges[e, 2]:
                slope = (edges[e, 3] - edges[e, 1]) / (edges[e, 2] - edges[e, 0])
                lines[many, 0], lines[many, 1] = edges[e, 1] - slope * edges[e, 0], slope
                many += 1
        if many == 0:
            return middle, -1e300
        x = _valley(lines, many, a, b)
        top = _top(lines, many, x, False)
        y = lines[top, 0] + lines[top, 1] * x
        if y < best_y:
            best_x, best_y = x, y
    return best_x, best_y


@compiled
def _valley(lines: Floats, many: int, a: float, b: float) -> float:
    """Where the highest of some lines is lowest within [a, b]."""
    left, right = _top(lines, many, a, False), _top(lines, many, b, True)
    if lines[left, 1] >= 0.0:
        return a
    if lines[right, 1] <= 0.0:
        return b
    for _ in range(many + 2):
        x = (lines[left, 0] - lines[right, 0]) / (lines[right, 1] - lines[left, 1])
        top = _top(lines, many, x, False)
        y, met = lines[top, 0] + lines[top, 1] * x, lines[left, 0] + lines[left, 1] * x
        if y <= met + 1e-12 * (abs(met) + 1.0):
            return x
        if lines[top, 1] < 0.0:
            left = top
        else:
            right = top
    return x


@allocating
def turned(ring: Floats, ux: float, uy: float) -> Floats:
    """A ring in the frame whose +x is the unit vector u."""
    out = np.zeros(ring.shape)
    for k in range(ring.shape[0]):
        out[k, 0] = ux * ring[k, 0] + uy * ring[k, 1]
        out[k, 1] = ux * ring[k, 1] - uy * ring[k, 0]
    return out


@allocating
def stack(own: Floats, cross: Floats, back: Floats, ux: float, uy: float, period: float) -> Floats:
    """The lowest two-row stack for rows along u: [rise, x of partner, y of partner, x of next row].

    `own`: shifts at which the first row meets its like; `cross`: at which its partner meets it; `back`: at which
    the next row meets the partner's. An empty `cross` means rows of the first alone. Rise 0 where nothing holds.
    """
    result = np.zeros(4)
    like = profile(turned(own, ux, uy), period)
    if cross.shape[0] == 0:
        x, y = lowest(like)
        if height(like, 0.0) <= y + 1e-9 * period:
            x = 0.0
        result[0], result[3] = y, x
    else:
        x, y = lowest(profile(turned(cross, ux, uy), period))
        above = profile(turned(back, ux, uy), period)
        dx, dy = lowest(above)
        square = (period - x) % period
        if height(above, square) <= dy + 1e-9 * period:  # among equals rows that stand square waste least at an edge
            dx = square
        next_x = (x + dx) % period
        result[0] = max(y + dy, height(like, next_x))
        result[1], result[2], result[3] = x, y, next_x
        if y < -1e299 or dy < -1e299:
            result[0] = 0.0
    if result[0] < 0.0:
        result[0] = 0.0
    return result


@allocating
def periods(ring: Floats, at: NDArray[np.int64], ux: float, uy: float, found: Floats) -> int:
    """Where the ray from the origin along u crosses the rings: distances, sorted, into `found`; returns how many."""
    many = 0
    for r in range(at.shape[0] - 1):
        for k in range(at[r], at[r + 1]):
            m = k + 1 if k + 1 < at[r + 1] else at[r]
            px, py = ux * ring[k, 0] + uy * ring[k, 1], ux * ring[k, 1] - uy * ring[k, 0]
            qx, qy = ux * ring[m, 0] + uy * ring[m, 1], ux * ring[m, 1] - uy * ring[m, 0]
            if (py >= 0.0) == (qy >= 0.0):
                continue
            x = px + (qx - px) * py / (py - qy)
            if x > 0.0 and many < found.shape[0]:
                found[many] = x
                many += 1
    found[:many] = np.sort(found[:many])
    return many
