"""Which parts of laid pieces lie near one another, and along which way they are to be kept apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import compiled
from nesting.search.arrays.overlap_kernel import State, Tables

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@compiled
def _widest(a: Floats, na: Floats, a0: int, a1: int, b: Floats, b0: int, b1: int) -> tuple[float, int, int]:
    """Greatest separation of b from a along a's edge normals: (separation, edge of a, nearest vertex of b)."""
    best, edge, near = -1e300, a0, b0
    for k in range(a0, a1):
        nx, ny = na[k, 0], na[k, 1]
        low, at = 1e300, b0
        for m in range(b0, b1):
            d = nx * b[m, 0] + ny * b[m, 1]
            if d < low:
                low, at = d, m
        s = low - (nx * a[k, 0] + ny * a[k, 1])
        if s > best:
            best, edge, near = s, k, at
    return best, edge, near


@compiled
def _note(rows: Floats, n: int, i: int, j: int, nx: float, ny: float, room: float, px: float, py: float) -> int:
    """Write a contact if there is room: i and j (-1: leather), n from i to j, distance to spare, the point."""
    if n < rows.shape[0]:
        rows[n, 0], rows[n, 1], rows[n, 2], rows[n, 3] = i, j, nx, ny
        rows[n, 4], rows[n, 5], rows[n, 6] = room, px, py
        return n + 1
    return n


@compiled
def _side(
    rows: Floats, n: int, i: int, j: int, sign: float, a: Floats, na: Floats, k: int,
    b: Floats, b0: int, b1: int, gap: float, near: float,
) -> int:  # fmt: skip
    """Contacts of b's vertices with edge k of a, those that could reach it within `near`."""
    nx, ny = na[k, 0], na[k, 1]
    base = nx * a[k, 0] + ny * a[k, 1]
    for m in range(b0, b1):
        s = nx * b[m, 0] + ny * b[m, 1] - base
        if s - gap < near:
            n = _note(rows, n, i, j, sign * nx, sign * ny, s - gap, b[m, 0], b[m, 1])
    return n


MANY = 64
"""Of more pairs of parts only those are looked at whose boxes are near one another."""


@compiled
def _far(a: Floats, b: Floats, near: float) -> bool:
    return bool(a[0] - near > b[2] or b[0] - near > a[2] or a[1] - near > b[3] or b[1] - near > a[3])


@compiled
def contacts(t: Tables, s: State, gap: float, near: float, rows: Floats) -> int:
    """Fill `rows` with the contacts nearer than `near`; returns how many.

    A row holds i, j, nx, ny, room, px, py: moving j against i along n by d adds d to the room; j is -1 where i is to
    be kept off what bounds its leather (then moving i along n takes from the room).
    """
    n = 0
    count = s.kind.shape[0]
    for i in range(count):
        n = _with_leather(t, s, i, near, rows, n)
        shape = t.orientation_shape[s.orientation[i]]
        pi = t.shape_at[shape]
        fi = t.part_at[pi]
        for j in range(i + 1, count):
            other = t.orientation_shape[s.orientation[j]]
            dx, dy = s.pose[j, 0] - s.pose[i, 0], s.pose[j, 1] - s.pose[i, 1]
            reach = t.radius[shape] + t.radius[other] + gap + near
            if dx * dx + dy * dy >= reach * reach:
                continue
            pj = t.shape_at[other]
            fj = t.part_at[pj]
            many = t.shape_solid[shape] * t.shape_solid[other] > MANY
            for a in range(t.shape_solid[shape]):
                a0, a1 = t.part_at[pi + a] - fi, t.part_at[pi + a + 1] - fi
                for b in range(t.shape_solid[other]):
                    if many and _far(s.boxes[i, a], s.boxes[j, b], gap + near):
                        continue
                    b0, b1 = t.part_at[pj + b] - fj, t.part_at[pj + b + 1] - fj
                    first, k, _ = _widest(s.world[i], s.turned[i], a0, a1, s.world[j], b0, b1)
                    second, m, _ = _widest(s.world[j], s.turned[j], b0, b1, s.world[i], a0, a1)
                    if max(first, second) - gap >= near:
                        continue
                    if first >= second:
                        n = _side(rows, n, i, j, 1.0, s.world[i], s.turned[i], k, s.world[j], b0, b1, gap, near)
                    else:
                        n = _side(rows, n, i, j, -1.0, s.world[j], s.turned[j], m, s.world[i], a0, a1, gap, near)
    return n


@compiled
def _with_leather(t: Tables, s: State, i: int, near: float, rows: Floats, n: int) -> int:
    shape = t.orientation_shape[s.orientation[i]]
    first_part = t.shape_at[shape]
    first = t.part_at[first_part]
    world, turned = s.world[i], s.turned[i]
    for p in range(first_part, t.shape_at[shape + 1]):
        slot = t.part_slot[p]
        if slot < 0:
            continue
        region = t.orientation_region[s.orientation[i], slot]
        v0, v1 = t.part_at[p] - first, t.part_at[p + 1] - first
        for h in range(t.plane_at[region], t.plane_at[region + 1]):
            nx, ny, c = t.planes[h, 0], t.planes[h, 1], t.planes[h, 2]
            for k in range(v0, v1):
                room = c - nx * world[k, 0] - ny * world[k, 1]
                if room < near:
                    n = _note(rows, n, i, -1, nx, ny, room, world[k, 0], world[k, 1])
        for cell in range(t.region_cells[region], t.region_cells[region + 1]):
            box = t.cell_box[cell]
            q = s.boxes[i, p - first_part]
            if box[0] > q[2] + near or box[2] < q[0] - near or box[1] > q[3] + near or box[3] < q[1] - near:
                continue
            c0, c1 = t.cell_at[cell], t.cell_at[cell + 1]
            one, k, _ = _widest(world, turned, v0, v1, t.cells, c0, c1)
            two, m, _ = _widest(t.cells, t.cell_norms, c0, c1, world, v0, v1)
            if max(one, two) >= near:
                continue
            if two >= one:
                nx, ny = -t.cell_norms[m, 0], -t.cell_norms[m, 1]
                base = t.cell_norms[m, 0] * t.cells[m, 0] + t.cell_norms[m, 1] * t.cells[m, 1]
                for v in range(v0, v1):
                    room = -nx * world[v, 0] - ny * world[v, 1] - base
                    if room < near:
                        n = _note(rows, n, i, -1, nx, ny, room, world[v, 0], world[v, 1])
            else:
                nx, ny = turned[k, 0], turned[k, 1]
                base = nx * world[k, 0] + ny * world[k, 1]
                for v in range(c0, c1):
                    room = nx * t.cells[v, 0] + ny * t.cells[v, 1] - base
                    if room < near:
                        n = _note(rows, n, i, -1, nx, ny, room, t.cells[v, 0], t.cells[v, 1])
    return n
