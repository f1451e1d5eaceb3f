"""The compiled kernel on depth maps: all positions of a piece weighed at once, then the best of them refined.

An *rotation* is a rotation's place in a list: a kind turned (or turned over) to one fixed angle. The *depth map* of an
rotation about another holds, at the nodes of a grid, how deep its centre lies inside their no-fit polygon (negative:
how far outside); the map of an rotation alone, how far its centre lies outside its inner-fit region.
Between nodes depths are interpolated: exact along straight edges, off by a share of the grid's step at corners.

Weighted depth as a penalty: Umetani et al. 2009. The best position over all the leather, by exhaustive search along
lines: Egeblad, Nielsen, Odgaard 2007; here over the nodes of a grid.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled
from nesting.search.arrays.overlap_kernel import chance, stepped

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Bytes = NDArray[np.uint8]
Wholes = NDArray[np.int32]


class Maps(NamedTuple):
    """Depth maps of all rotations; flat arrays. Map m has `size[m]` = (columns, rows) nodes from `origin[m]` on."""

    values: Singles
    start: Ints  # (M,)
    size: Ints  # (M, 2)
    origin: Floats  # (M, 2)
    box: Floats  # (M, 4) x0, y0, x1, y1
    step: Floats  # (1,)
    coarse: Bytes  # every `stride`-th node of every map, from each node of the first stride square on, none below 0
    unit: Floats  # (M,) what 1 means in a coarse map, mm: they are read the most and kept small
    coarse_start: Ints  # (M,)
    coarse_size: Ints  # (M, 2) of one of a map's stride * stride coarse ones
    stride: Ints  # (1,)
    pair: Ints  # (A, A) the map of the first rotation about the second
    wall: Ints  # (A,) the map of an rotation over the leather
    mass: Floats  # (A,) large pieces are the harder to move
    heft: Ints  # (A, A) unit of the first's map about the second, times the second's mass, in gauges
    gauge: Floats  # (1,) so that sums of them are whole numbers
    reach: Floats  # (A,) radius of the enclosing circle
    of_kind: Ints  # (K + 1,) first rotation of each kind


class Rough(NamedTuple):
    """Where pieces lie, in rotations."""

    kind: Ints  # (N,)
    rotation: Ints  # (N,)
    at: Floats  # (N, 3) x, y and, where kinds may turn, the angle
    pairs: Floats  # (N, N) weights
    walls: Floats  # (N,) weights
    luck: NDArray[np.uint64]  # (1,)


@compiled
def interpolated(values: Singles, start: int, wide: int, u: float, v: float) -> float:
    """The depth at a point of a map, in steps from its first node."""
    i, j = int(u), int(v)
    u -= i
    v -= j
    k = start + j * wide + i
    low = (1.0 - u) * values[k] + u * values[k + 1]
    top = (1.0 - u) * values[k + wide] + u * values[k + wide + 1]
    return float((1.0 - v) * low + v * top)


@compiled
def depth_at(m: Maps, which: int, x: float, y: float, beyond: float) -> float:
    """A map's depth at a point, interpolated; `beyond` its edge."""
    u = (x - m.origin[which, 0]) / m.step[0]
    v = (y - m.origin[which, 1]) / m.step[0]
    wide, high = m.size[which, 0], m.size[which, 1]
    if u < 0.0 or v < 0.0 or u >= wide - 1 or v >= high - 1:
        return beyond
    return interpolated(m.values, m.start[which], wide, u, v)


EDGE = 1.0 + 1e-9
"""A map ends so many steps short of its number of nodes."""

FAR = 1e6
"""Depth beyond a wall map's edge, mm."""


@compiled
def outside_at(m: Maps, rotation: int, x: float, y: float) -> float:
    """How far an rotation's centre lies outside its inner-fit region; beyond the map, very far."""
    d = depth_at(m, m.wall[rotation], x, y, FAR)
    return d if d > 0.0 else 0.0


WINDOW = 6000
"""Coarse nodes scanned at most: of larger leather a part, about the piece or anywhere."""


@compiled
def window(m: Maps, s: Rough, i: int, rotation: int) -> tuple[int, int, int, int]:
    """The coarse nodes to scan for piece i: first column and row, columns, rows."""
    wall = m.wall[rotation]
    wide, high = m.coarse_size[wall, 0], m.coarse_size[wall, 1]
    share = np.sqrt(WINDOW / (wide * high))
    if share >= 1.0:
        return 0, 0, wide, high
    columns, rows = max(1, int(share * wide)), max(1, int(share * high))
    c0, r0 = int(chance(s.luck) * (wide - columns + 1)), int(chance(s.luck) * (high - rows + 1))
    if chance(s.luck) < 0.5:
        spacing = m.step[0] * m.stride[0]
        c0 = int((s.at[i, 0] - m.origin[wall, 0]) / spacing - 0.5 * columns)
        r0 = int((s.at[i, 1] - m.origin[wall, 1]) / spacing - 0.5 * rows)
        c0, r0 = min(max(c0, 0), wide - columns), min(max(r0, 0), high - rows)
    return c0, r0, columns, rows


class Piled(NamedTuple):
    """Depths, unweighted, of every rotation in all pieces together at the coarse nodes of its wall map, in gauges.

    Whole numbers, so that a piece taken off leaves no trace.
    """

    values: Wholes
    start: Ints  # (A,)


@compiled
def _overlay(
    m: Maps, rotation: int, other: int, x: float, y: float, first: int, bottom: int, columns: int, rows: int
) -> tuple[int, int, int, int]:
    """What an rotation's coarse map about another, lying at a position, shares with part of its wall map.

    Columns and rows shared (0 or less: none), the first node's place in that part and among the coarse maps. The other
    lies as if at the nearest node of the fine grid.
    """
    wall, which, stride = m.wall[rotation], m.pair[rotation, other], m.stride[0]
    across, along = m.coarse_size[which, 0], m.coarse_size[which, 1]
    u = int(np.round((m.origin[wall, 0] - x - m.origin[which, 0]) / m.step[0])) + first * stride
    v = int(np.round((m.origin[wall, 1] - y - m.origin[which, 1]) / m.step[0])) + bottom * stride
    sheet = m.coarse_start[which] + (v % stride * stride + u % stride) * across * along
    iu, iv = u // stride, v // stride
    c, r = max(0, -iu), max(0, -iv)
    wide, high = min(columns - c, across - iu - c), min(rows - r, along - iv - r)
    return wide, high, r * columns + c, sheet + (iv + r) * across + iu + c


@compiled
def pile_one(m: Maps, p: Piled, rotation: int, other: int, x: float, y: float, sign: int) -> None:
    """Put what lies at a position onto an rotation's pile (sign 1), or take it off (-1)."""
    wall, which = m.wall[rotation], m.pair[rotation, other]
    columns, rows = m.coarse_size[wall, 0], m.coarse_size[wall, 1]
    wide, high, row, k = _overlay(m, rotation, other, x, y, 0, 0, columns, rows)
    if wide <= 0:
        return
    row += p.start[rotation]
    heft = np.int32(sign * m.heft[rotation, other])
    for _ in range(high):
        depth, out = m.coarse[k : k + wide], p.values[row : row + wide]
        for q in range(wide):
            out[q] += heft * np.int32(depth[q])
        k += m.coarse_size[which, 0]
        row += columns


@compiled
def pile(m: Maps, p: Piled, other: int, x: float, y: float, sign: int) -> None:
    """Put what lies at a position onto the piles of all rotations (sign 1), or take it off (-1)."""
    for rotation in range(m.wall.shape[0]):
        pile_one(m, p, rotation, other, x, y, sign)


@allocating
def piled(m: Maps, s: Rough) -> Piled:
    """All pieces piled up as they lie."""
    start = np.zeros(m.wall.shape[0], dtype=np.int64)
    nodes = 0
    for a in range(m.wall.shape[0]):
        start[a] = nodes
        nodes += m.coarse_size[m.wall[a], 0] * m.coarse_size[m.wall[a], 1]
    p = Piled(np.zeros(nodes, dtype=np.int32), start)
    for j in range(s.kind.shape[0]):
        pile(m, p, s.rotation[j], s.at[j, 0], s.at[j, 1], 1)
    return p


@compiled
def scan(
    m: Maps,
    s: Rough,
    p: Piled,
    i: int,
    rotation: int,
    first: int,
    bottom: int,
    columns: int,
    rows: int,
    board: Singles,
) -> None:
    """Weighted depth of piece i at coarse nodes of its wall map, from a column and row on, row by row into `board`.

    The other pieces as if each lay at the nearest node of the fine grid; piece i itself is on no pile.
    """
    wall = m.wall[rotation]
    across = m.coarse_size[wall, 0]
    mine = m.mass[rotation]
    weight, gauge = np.float32(s.walls[i] * mine * m.unit[wall]), np.float32(mine * m.gauge[0])
    for r in range(rows):
        k = (bottom + r) * across + first
        leather = m.coarse[m.coarse_start[wall] + k : m.coarse_start[wall] + k + columns]
        piled = p.values[p.start[rotation] + k : p.start[rotation] + k + columns]
        out = board[r * columns : (r + 1) * columns]
        for q in range(columns):
            out[q] = weight * np.float32(leather[q]) + gauge * np.float32(piled[q])
    for j in range(s.kind.shape[0]):
        if s.pairs[i, j] > 1.0 and j != i:
            _weigh_more(m, s, i, j, rotation, first, bottom, columns, rows, board)


@compiled
def _weigh_more(
    m: Maps, s: Rough, i: int, j: int, rotation: int, first: int, bottom: int, columns: int, rows: int, board: Singles
) -> None:
    """What the weight of a pair adds to a board: the weight less the 1 that the piles have."""
    other = s.rotation[j]
    which = m.pair[rotation, other]
    wide, high, row, k = _overlay(m, rotation, other, s.at[j, 0], s.at[j, 1], first, bottom, columns, rows)
    if wide <= 0:
        return
    heft = np.float32((s.pairs[i, j] - 1.0) * m.mass[rotation] * m.gauge[0] * m.heft[rotation, other])
    for _ in range(high):
        depth, out = m.coarse[k : k + wide], board[row : row + wide]
        for q in range(wide):
            out[q] += heft * np.float32(depth[q])
        k += m.coarse_size[which, 0]
        row += columns


class Nearby(NamedTuple):
    """The maps a piece can meet near a position: first that of its leather, then those about other pieces."""

    first: Floats  # (N + 1, 2) where their first nodes lie, in steps
    sheet: Ints  # (N + 1, 3) their place among all values, columns, rows
    heft: Floats  # (N + 1,) what a millimetre of depth weighs


@compiled
def _enter(m: Maps, near: Nearby, n: int, which: int, x: float, y: float, heft: float) -> None:
    """Enter a map about a position in a row."""
    near.first[n, 0] = (m.origin[which, 0] + x) / m.step[0]
    near.first[n, 1] = (m.origin[which, 1] + y) / m.step[0]
    near.sheet[n, 0], near.sheet[n, 1], near.sheet[n, 2] = m.start[which], m.size[which, 0], m.size[which, 1]
    near.heft[n] = heft


@compiled
def around(m: Maps, s: Rough, i: int, rotation: int, x: float, y: float, stray: float, near: Nearby) -> int:
    """Enter what piece i can meet while it strays from a position by no more than `stray`; how many rows."""
    mine = m.mass[rotation]
    _enter(m, near, 0, m.wall[rotation], 0.0, 0.0, s.walls[i] * mine)
    many = 1
    for j in range(s.kind.shape[0]):
        dx, dy = x - s.at[j, 0], y - s.at[j, 1]
        reach = m.reach[rotation] + m.reach[s.rotation[j]] + stray
        if abs(dx) > reach or abs(dy) > reach or j == i:
            continue
        which = m.pair[rotation, s.rotation[j]]
        if (
            m.box[which, 0] - stray < dx < m.box[which, 2] + stray
            and m.box[which, 1] - stray < dy < m.box[which, 3] + stray
        ):
            _enter(m, near, many, which, s.at[j, 0], s.at[j, 1], s.pairs[i, j] * mine * m.mass[s.rotation[j]])
            many += 1
    return many


@compiled
def weigh(m: Maps, near: Nearby, many: int, x: float, y: float, enough: float) -> float:
    """Weighted depth of a piece at a position, in steps, among what is near it; stops counting above `enough`.

    Beyond the edge of a map about another piece its edge counts, where no depth is above 0: sooner than to ask.
    """
    u, v = x - near.first[0, 0], y - near.first[0, 1]
    wide, high = near.sheet[0, 1], near.sheet[0, 2]
    if u < 0.0 or v < 0.0 or u >= wide - 1 or v >= high - 1:
        return float(FAR * near.heft[0])
    total = near.heft[0] * max(0.0, interpolated(m.values, near.sheet[0, 0], wide, u, v))
    for n in range(1, many):
        if total > enough:
            break
        wide, high = near.sheet[n, 1], near.sheet[n, 2]
        u = min(max(x - near.first[n, 0], 0.0), wide - EDGE)
        v = min(max(y - near.first[n, 1], 0.0), high - EDGE)
        total += near.heft[n] * max(0.0, interpolated(m.values, near.sheet[n, 0], wide, u, v))
    return float(total)


@compiled
def refine(
    m: Maps, s: Rough, i: int, rotation: int, at: Floats, value: float, coarse: float, fine: float, near: Nearby
) -> float:
    """Coordinate descent from a position, changed in place; the value reached. A negative value is weighed anew.

    `coarse` and `fine`, the first and the last step of the descent, are in steps of the maps.
    """
    step = coarse
    stray = 4.2 * coarse
    many = around(m, s, i, rotation, at[0], at[1], stray * m.step[0], near)
    x, y = at[0] / m.step[0], at[1] / m.step[0]
    x0, y0 = x, y
    if value < 0.0:
        value = weigh(m, near, many, x, y, 1e300)
    while step > fine and value > 0.0:
        way = int(chance(s.luck) * 4)
        dx, dy = stepped(way, step)
        better = False
        for sign in (1.0, -1.0):
            tx, ty = x + sign * dx, y + sign * dy
            if abs(tx - x0) > stray or abs(ty - y0) > stray:
                continue
            got = weigh(m, near, many, tx, ty, value)
            if got < value:
                value = got
                x, y = tx, ty
                better = True
                break
        step *= 1.1 if better else 0.71
    at[0], at[1] = x * m.step[0], y * m.step[0]
    return value


@compiled
def lowest(board: Singles, columns: int, rows: int) -> tuple[float, int, int]:
    """The least value on a board, none of them negative, and the row and column where it is first."""
    bits = board.view(np.int32)  # ordered as the numbers are, and compared eight at a time
    low = bits[0]
    row = 0
    for r in range(rows):
        line = bits[r * columns : (r + 1) * columns]
        least = line[0]
        for c in range(1, columns):
            least = min(least, line[c])
        if least < low:
            low, row = least, r
    for c in range(columns):
        if bits[row * columns + c] == low:
            return float(board[row * columns + c]), row, c
    return float(board[row * columns]), row, 0


@compiled
def _from_edge(edges: Floats, e: int, x: float, y: float) -> float:
    """Squared distance of a point from an edge."""
    dx, dy = edges[e, 2] - edges[e, 0], edges[e, 3] - edges[e, 1]
    px, py = x - edges[e, 0], y - edges[e, 1]
    long = dx * dx + dy * dy
    t = min(max((px * dx + py * dy) / long, 0.0), 1.0) if long > 0.0 else 0.0
    px -= t * dx
    py -= t * dy
    return float(px * px + py * py)


BLOCK = 8


@allocating
def raster(
    edges: Floats, x0: float, y0: float, step: float, columns: int, rows: int, sign: float, out: Singles
) -> None:
    """Signed distance of every node of a grid to a polygon's edges (n, 4), `sign` times positive inside.

    Block by block: only edges that may be nearest to some node of a block are asked by its nodes.
    """
    many = edges.shape[0]
    crossings = np.zeros((BLOCK, many))
    crossed = np.zeros(BLOCK, dtype=np.int64)
    far = np.zeros(many)
    near = np.zeros(many, dtype=np.int64)
    half = 0.5 * (BLOCK - 1) * step
    for r0 in range(0, rows, BLOCK):
        for r in range(r0, min(r0 + BLOCK, rows)):
            y = y0 + r * step
            n = 0
            for e in range(many):
                ay, by = edges[e, 1], edges[e, 3]
                if (ay > y) != (by > y):
                    crossings[r - r0, n] = edges[e, 0] + (y - ay) / (by - ay) * (edges[e, 2] - edges[e, 0])
                    n += 1
            crossed[r - r0] = n
        for c0 in range(0, columns, BLOCK):
            x, y = x0 + c0 * step + half, y0 + r0 * step + half
            least = 1e300
            for e in range(many):
                far[e] = np.sqrt(_from_edge(edges, e, x, y))
                least = min(least, far[e])
            n = 0
            for e in range(many):
                if far[e] <= least + 2.84 * half:
                    near[n] = e
                    n += 1
            for r in range(r0, min(r0 + BLOCK, rows)):
                y = y0 + r * step
                for c in range(c0, min(c0 + BLOCK, columns)):
                    x = x0 + c * step
                    inside = False
                    for k in range(crossed[r - r0]):
                        if crossings[r - r0, k] > x:
                            inside = not inside
                    least = 1e300
                    for k in range(n):
                        least = min(least, _from_edge(edges, near[k], x, y))
                    d = sign * np.sqrt(least)
                    out[r * columns + c] = d if inside else -d


@compiled
def raster_deepest(
    ring: Floats, norm: Floats, at: Ints, x0: float, y0: float, step: float, columns: int, rows: int, out: Singles
) -> None:
    """Depth of every node of a grid in that convex polygon in which it lies deepest, if it is more than `out` has.

    Polygons are those of a no-fit polygon, one after the other; negative just outside all of them.
    """
    for q in range(at.shape[0] - 1):
        u0 = v0 = 1e300
        u1 = v1 = -1e300
        for k in range(at[q], at[q + 1]):
            u0, u1 = min(u0, ring[k, 0]), max(u1, ring[k, 0])
            v0, v1 = min(v0, ring[k, 1]), max(v1, ring[k, 1])
        c0, c1 = max(int((u0 - x0) / step) - 1, 0), min(int((u1 - x0) / step) + 2, columns - 1)
        r0, r1 = max(int((v0 - y0) / step) - 1, 0), min(int((v1 - y0) / step) + 2, rows - 1)
        for r in range(r0, r1 + 1):
            y = y0 + r * step
            for c in range(c0, c1 + 1):
                x = x0 + c * step
                deep = np.float64(1e300)
                least = np.float64(out[r * columns + c])
                for k in range(at[q], at[q + 1]):
                    deep = min(deep, norm[k, 0] * (ring[k, 0] - x) + norm[k, 1] * (ring[k, 1] - y))
                    if deep <= least:
                        break
                if deep > least:
                    out[r * columns + c] = deep
