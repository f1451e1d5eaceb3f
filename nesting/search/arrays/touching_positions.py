"""Where a piece at a fixed angle can lie touching what is there: the corners of its free positions.

For a *rotation* (an orientation at one angle) every fixed convex thing F forbids the positions strictly inside the
no-fit polygon F ⊕ (−part), for each part; the region's hull bounds the rest (the inner-fit region's hull). The
corners are the vertices of these polygons and the crossings of their edges that lie strictly inside none:
touching positions survive, whatever the width of the free space, down to a single point.

No-fit polygons are never united: a point is free when it is strictly inside none of the convex ones. Edges that lie
inside others of the same pair of pieces make no corners (`NoFit.rim`).
Lozano-Pérez 1983 (configuration space); Burke et al. 2006 (touching positions in nesting).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import compiled
from nesting.lattice.minkowski import Floats

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

TOUCH = 1e-6
"""A position less than this deep inside a no-fit polygon (mm) counts as touching."""


class NoFit(NamedTuple):
    """Convex no-fit polygons of one thing about another."""

    ring: Floats  # (v, 2) counter-clockwise, one polygon after the other
    norm: Floats  # (v, 2) outward, of the edge from a vertex on
    at: Ints  # (q + 1,)
    box: Floats  # (q, 4)
    rim: Flags  # (v,) whether any of an edge lies outside the other polygons


class Field(NamedTuple):
    """One rotation's no-fit polygons and corners, in growing buffers, with a bucket grid over the polygons."""

    ring: Floats  # (most vertices, 2)
    norm: Floats  # (most vertices, 2)
    rim: Flags  # (most vertices,)
    at: Ints  # (most polygons + 1,)
    box: Floats  # (most polygons, 4)
    points: Floats  # (most corners, 2)
    size: Ints  # (4,) polygons, corners, grid entries, and whether a buffer ran over
    hull: Floats  # (h, 2) the inner-fit region's hull, counter-clockwise; may be a segment or a point
    planes: Floats  # (m, 3) nx, ny, c: the hull is where n·p <= c for all
    grid: Floats  # (5,) x0, y0, 1/cell, columns, rows
    head: Ints  # (columns * rows,)
    link: Ints  # (most entries, 2) polygon, next entry
    mark: Ints  # (most polygons,) last query that met a polygon
    near: Ints  # (most polygons,) polygons about the one asked for
    amid: Floats  # (most polygons, 4) covered stretches of an edge; see `within`
    whose: Ints  # (most polygons,) what covers them


@compiled
def depth_in(f: Field | NoFit, q: int, x: float, y: float) -> float:
    """How deep a point lies inside no-fit polygon q; negative or nought outside."""
    deep = 1e300
    for k in range(f.at[q], f.at[q + 1]):
        d = f.norm[k, 0] * (f.ring[k, 0] - x) + f.norm[k, 1] * (f.ring[k, 1] - y)
        if d < deep:
            deep = d
            if deep <= TOUCH:
                return deep
    return deep


@compiled
def _in_hull(f: Field, x: float, y: float) -> bool:
    for k in range(f.planes.shape[0]):  # noqa: SIM110 (a plain loop for the compiler)
        if f.planes[k, 0] * x + f.planes[k, 1] * y - f.planes[k, 2] > TOUCH:
            return False
    return True


@compiled
def _cell(f: Field, x: float, axis: int) -> int:
    c = int((x - f.grid[axis]) * f.grid[2])
    return min(max(c, 0), int(f.grid[3 + axis]) - 1)


@compiled
def free(f: Field, x: float, y: float) -> bool:
    """Whether the rotation may lie with its centre here."""
    entry = f.head[_cell(f, y, 1) * int(f.grid[3]) + _cell(f, x, 0)]
    while entry >= 0:
        q = f.link[entry, 0]
        if f.box[q, 0] < x < f.box[q, 2] and f.box[q, 1] < y < f.box[q, 3] and depth_in(f, q, x, y) > TOUCH:
            return False
        entry = f.link[entry, 1]
    return _in_hull(f, x, y)


@compiled
def _offer(f: Field, x: float, y: float) -> None:
    """Keep a corner if it is free."""
    n = f.size[1]
    if not free(f, x, y):
        return
    if n >= f.points.shape[0]:
        f.size[3] = 1
        return
    f.points[n, 0], f.points[n, 1] = x, y
    f.size[1] = n + 1


@compiled
def _cull(f: Field, first: int) -> None:
    """Drop corners strictly inside polygons from `first` on."""
    kept = 0
    for n in range(f.size[1]):
        x, y = f.points[n, 0], f.points[n, 1]
        lost = False
        for q in range(first, f.size[0]):
            if f.box[q, 0] < x < f.box[q, 2] and f.box[q, 1] < y < f.box[q, 3] and depth_in(f, q, x, y) > TOUCH:
                lost = True
                break
        if not lost:
            f.points[kept, 0], f.points[kept, 1] = x, y
            kept += 1
    f.size[1] = kept


@compiled
def _into_grid(f: Field, q: int) -> None:
    """Put polygon q into the bucket grid."""
    for r in range(_cell(f, f.box[q, 1], 1), _cell(f, f.box[q, 3], 1) + 1):
        for c in range(_cell(f, f.box[q, 0], 0), _cell(f, f.box[q, 2], 0) + 1):
            e = f.size[2]
            if e >= f.link.shape[0]:
                f.size[3] = 1
                return
            f.link[e, 0] = q
            f.link[e, 1] = f.head[r * int(f.grid[3]) + c]
            f.head[r * int(f.grid[3]) + c] = e
            f.size[2] = e + 1


@compiled
def _append(f: Field, g: NoFit, n: int, c: float, s: float, x: float, y: float) -> None:
    """Add polygon n of g, turned by (c, s) and carried to (x, y), unless it cannot matter."""
    q = f.size[0]
    start, many = f.at[q], g.at[n + 1] - g.at[n]
    if q + 1 >= f.at.shape[0] or start + many > f.ring.shape[0]:
        f.size[3] = 1
        return
    x0 = y0 = 1e300
    x1 = y1 = -1e300
    for k in range(many):
        r, u = g.ring[g.at[n] + k], g.norm[g.at[n] + k]
        px, py = x + c * r[0] - s * r[1], y + s * r[0] + c * r[1]
        x0, x1, y0, y1 = min(x0, px), max(x1, px), min(y0, py), max(y1, py)
        f.ring[start + k, 0], f.ring[start + k, 1] = px, py
        f.norm[start + k, 0], f.norm[start + k, 1] = c * u[0] - s * u[1], s * u[0] + c * u[1]
        f.rim[start + k] = g.rim[g.at[n] + k]
    w = f.grid
    if x1 < w[0] or y1 < w[1] or x0 > w[0] + w[3] / w[2] or y0 > w[1] + w[4] / w[2]:
        return
    f.box[q, 0], f.box[q, 1], f.box[q, 2], f.box[q, 3] = x0, y0, x1, y1
    f.at[q + 1] = start + many
    f.size[0] = q + 1


@compiled
def within(f: Field | NoFit, p: int, x: float, y: float, dx: float, dy: float) -> tuple[float, float, float, float]:
    """The shares of a segment from where to where it lies deeper than touching in polygon p, and lies in it at all."""
    first, last = -1e-9, 1.0 + 1e-9
    enters, leaves = first, last
    for e in range(f.at[p], f.at[p + 1]):
        room = f.norm[e, 0] * (f.ring[e, 0] - x) + f.norm[e, 1] * (f.ring[e, 1] - y)
        towards = f.norm[e, 0] * dx + f.norm[e, 1] * dy
        if abs(towards) < 1e-12:
            if room <= TOUCH:
                return 1.0, 0.0, 1.0, 0.0
        elif towards > 0.0:
            if (room - TOUCH) / towards < last:
                last, leaves = (room - TOUCH) / towards, room / towards
        elif (room - TOUCH) / towards > first:
            first, enters = (room - TOUCH) / towards, room / towards
        if first >= last:
            return 1.0, 0.0, 1.0, 0.0
    return first, last, enters, leaves


@compiled
def _neighbours(f: Field, q: int) -> int:
    """Fill `near` with the polygons whose boxes meet that of polygon q; how many."""
    many = 0
    for r in range(_cell(f, f.box[q, 1], 1), _cell(f, f.box[q, 3], 1) + 1):
        for c in range(_cell(f, f.box[q, 0], 0), _cell(f, f.box[q, 2], 0) + 1):
            entry = f.head[r * int(f.grid[3]) + c]
            while entry >= 0:
                p = f.link[entry, 0]
                entry = f.link[entry, 1]
                if p == q or f.mark[p] == q:
                    continue
                f.mark[p] = q
                if (
                    f.box[p, 0] <= f.box[q, 2]
                    and f.box[p, 2] >= f.box[q, 0]
                    and f.box[p, 1] <= f.box[q, 3]
                    and f.box[p, 3] >= f.box[q, 1]
                ):
                    f.near[many] = p
                    many += 1
    return many


@compiled
def _meet(f: Field, q: int) -> None:
    """Offer the corners on the edges of polygon q: where they come out of another or the hull, or run into it."""
    many = _neighbours(f, q)
    a0, a1 = f.at[q], f.at[q + 1]
    for k in range(a0, a1):
        if f.rim[k]:
            m = k + 1 if k + 1 < a1 else a0
            _along(f, q, k, m, many)


@compiled
def _along(f: Field, q: int, k: int, m: int, many: int) -> None:
    """Offer the ends of what of the edge from vertex k to m lies in none of the first `many` of `near`.

    Corners shared with a polygon after q are left to that one.
    """
    x, y = f.ring[k, 0], f.ring[k, 1]
    dx, dy = f.ring[m, 0] - x, f.ring[m, 1] - y
    low, high, starts, ends = 0.0, 1.0, 0.0, 1.0
    for h in range(f.planes.shape[0]):
        room = f.planes[h, 2] - f.planes[h, 0] * x - f.planes[h, 1] * y
        towards = f.planes[h, 0] * dx + f.planes[h, 1] * dy
        if abs(towards) < 1e-12:
            if room < -TOUCH:
                return
        elif towards > 0.0:
            if (room + TOUCH) / towards < high:
                high, ends = (room + TOUCH) / towards, room / towards
        elif (room + TOUCH) / towards > low:
            low, starts = (room + TOUCH) / towards, room / towards
        if low > high:
            return
    x0, x1, y0, y1 = min(x, x + dx), max(x, x + dx), min(y, y + dy), max(y, y + dy)
    before = after = -1
    amid = 0
    for n in range(many):
        p = f.near[n]
        if f.box[p, 0] > x1 or f.box[p, 2] < x0 or f.box[p, 1] > y1 or f.box[p, 3] < y0:
            continue
        first, last, enters, leaves = within(f, p, x, y, dx, dy)
        if first >= last or last < low or first > high:
            continue
        if first > low and last < high:
            f.amid[amid, 0], f.amid[amid, 1], f.amid[amid, 2], f.amid[amid, 3] = first, last, enters, leaves
            f.whose[amid] = p
            amid += 1
            continue
        if first <= low:
            low, starts, before = last, leaves, p
        if last >= high:
            high, ends, after = first, enters, p
        if low >= high:
            f.near[n], f.near[0] = f.near[0], p  # likely to cover the next edge as well
            return
    while amid > 0:
        n = 0
        for i in range(1, amid):
            if f.amid[i, 0] < f.amid[n, 0]:
                n = i
        first, last, enters, leaves, p = f.amid[n, 0], f.amid[n, 1], f.amid[n, 2], f.amid[n, 3], f.whose[n]
        amid -= 1
        for i in range(4):
            f.amid[n, i] = f.amid[amid, i]
        f.whose[n] = f.whose[amid]
        if first > low:
            _ends(f, q, x, y, dx, dy, starts, before, min(enters, ends), p if first < high else after)
        if last > low:
            low, starts, before = last, leaves, p
        if low >= high:
            return
    _ends(f, q, x, y, dx, dy, starts, before, ends, after)
    if after < 0 and ends >= 1.0 and not f.rim[m]:
        _offer(f, x + dx, y + dy)


@compiled
def _ends(
    f: Field, q: int, x: float, y: float, dx: float, dy: float, starts: float, before: int, ends: float, after: int
) -> None:
    """Offer where a bare stretch of an edge starts and ends, but for corners left to a later polygon or edge."""
    if before < q:
        _offer(f, x + starts * dx, y + starts * dy)
    if after < q and ends < 1.0:
        _offer(f, x + ends * dx, y + ends * dy)


@compiled
def enter(f: Field, g: NoFit, angle: float, x: float, y: float) -> None:
    """Take in something fixed, turned and carried there; the corners are to be put right by `corners`."""
    first = f.size[0]
    c, s = np.cos(angle), np.sin(angle)
    for n in range(g.at.shape[0] - 1):
        _append(f, g, n, c, s, x, y)
    for q in range(first, f.size[0]):
        _into_grid(f, q)


@compiled
def corners(f: Field, first: int) -> None:
    """Cull the corners that polygons from `first` on cover, add those they make: much at once costs the least."""
    _cull(f, first)
    for q in range(first, f.size[0]):
        _meet(f, q)


@compiled
def keep_inside(f: Field) -> None:
    """Drop corners outside the hull's planes."""
    kept = 0
    for n in range(f.size[1]):
        if _in_hull(f, f.points[n, 0], f.points[n, 1]):
            f.points[kept, 0], f.points[kept, 1] = f.points[n, 0], f.points[n, 1]
            kept += 1
    f.size[1] = kept


@compiled
def pick(f: Field, ux: float, uy: float, vx: float, vy: float) -> tuple[bool, float, float, float]:
    """The corner of least u·p, ties (to 1e-6) by least v·p; (found, u·p, x, y)."""
    best = -1
    first = second = 1e300
    for n in range(f.size[1]):
        a = ux * f.points[n, 0] + uy * f.points[n, 1]
        if a > first + 1e-6:
            continue
        b = vx * f.points[n, 0] + vy * f.points[n, 1]
        if a < first - 1e-6 or b < second:
            first, second, best = a, b, n
    if best < 0:
        return False, 0.0, 0.0, 0.0
    return True, first, f.points[best, 0], f.points[best, 1]


@compiled
def offer_hull(f: Field) -> None:
    """Offer the vertices of the inner-fit region's hull."""
    for k in range(f.hull.shape[0]):
        _offer(f, f.hull[k, 0], f.hull[k, 1])
