"""The compiled kernel: how deep things lie in one another, and where a piece lies best.

Terms. A *shape* is a piece kind as cut or turned over, a union of convex *parts* about the centre of its
smallest enclosing circle. A *orientation* is a shape with an interval of angles. A *pose* is (x, y, angle).
The outside of a region is half-planes (beyond its hull) and convex *cells* (pockets of the hull and holes).

*Depth* of two convex parts is the least shift that parts them, exact at nought: depth 0 means that nothing
overlaps. What two pieces lie in one another is measured by common area, so that one deep overlap is dearer than
many shallow ones, and by depth, so that the last hair still counts.
Separating axes: Gottschalk, Lin, Manocha: OBBTree. SIGGRAPH 1996 (for polygons: all edge normals suffice).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NOUGHT = 1e-5
"""Depths below this (mm) count as touching. A thousandth of the tolerance of a layout."""


class Tables(NamedTuple):
    """Everything about a problem that does not change while pieces move; flat arrays."""

    verts: Floats  # (V, 2) vertices of all parts, shape frame
    norms: Floats  # (V, 2) outward unit normal of the edge that starts at each vertex
    part_at: Ints  # (P + 1,) first vertex of each part
    shape_at: Ints  # (S + 1,) first part of each shape; its last parts may serve regions only
    shape_solid: Ints  # (S,) parts that make up the shape against other pieces (the first ones)
    part_slot: Ints  # (P,) which of a orientation's regions the part must lie in; -1: none
    radius: Floats  # (S,) enclosing circle
    span: Floats  # (S,) a length of the shape's own scale, for steps
    weightiness: Floats  # (S,) fourth root of the hull's area over the largest such (0 to 1): large ones move less
    orientation_shape: Ints  # (T,)
    orientation_angles: Floats  # (T, 2) radians, low and high
    orientation_region: Ints  # (T, slots)
    kind_orientations: Ints  # (K + 1,) first orientation of each kind
    planes: Floats  # (H, 3) nx, ny, c: outside is n·p > c
    plane_at: Ints  # (R + 1,)
    cells: Floats  # (W, 2) vertices of the cells
    cell_norms: Floats  # (W, 2)
    cell_at: Ints  # (C + 1,)
    cell_box: Floats  # (C, 4) least x, least y, greatest x, greatest y
    region_cells: Ints  # (R + 1,)
    region_box: Floats  # (R, 4)


class State(NamedTuple):
    """Where pieces lie. `world` and `turned` hold each piece's vertices and normals as it lies."""

    kind: Ints  # (N,)
    pose: Floats  # (N, 3) x and y of the centre (mm), angle (radians)
    orientation: Ints  # (N,)
    world: Floats  # (N, most vertices, 2)
    turned: Floats  # (N, most vertices, 2)
    boxes: Floats  # (N, most parts, 4)
    pairs: Floats  # (N, N) weights
    walls: Floats  # (N,) weights
    luck: NDArray[np.uint64]  # (1,) state of the random numbers


def spread(seed: int) -> int:
    """A seed as a well mixed 64-bit word, never nought (splitmix64)."""
    z = (seed * 0x9E3779B97F4A7C15 + 0x9E3779B97F4A7C15) & (2**64 - 1)
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & (2**64 - 1)
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & (2**64 - 1)
    return (z ^ (z >> 31)) or 1


@compiled
def chance(luck: NDArray[np.uint64]) -> float:
    """A random number in [0, 1): Marsaglia's xorshift64*, 53 bits."""
    x = luck[0]
    x ^= x >> np.uint64(12)
    x ^= x << np.uint64(25)
    x ^= x >> np.uint64(27)
    luck[0] = x
    return float((x * np.uint64(2685821657736338717)) >> np.uint64(11)) / 9007199254740992.0


@compiled
def axis_gap(a: Floats, na: Floats, a0: int, a1: int, b: Floats, b0: int, b1: int, enough: float) -> float:
    """Greatest separation of convex b from convex a along a's edge normals; stops at `enough`.

    The vertex of b nearest along the normal moves one way round as the normal does, so each ring is walked
    once.
    """
    nx, ny = na[a0, 0], na[a0, 1]
    j = b0
    low = nx * b[b0, 0] + ny * b[b0, 1]
    for k in range(b0 + 1, b1):
        d = nx * b[k, 0] + ny * b[k, 1]
        if d < low:
            low = d
            j = k
    best = -1e300
    for k in range(a0, a1):
        nx, ny = na[k, 0], na[k, 1]
        low = nx * b[j, 0] + ny * b[j, 1]
        steps = b1 - b0
        while steps > 0:
            m = j + 1 if j + 1 < b1 else b0
            d = nx * b[m, 0] + ny * b[m, 1]
            if d > low:
                break
            low = d
            j = m
            steps -= 1
        s = low - (nx * a[k, 0] + ny * a[k, 1])
        if s > best:
            best = s
            if best >= enough:
                return best
    return best


@compiled
def depth(a: Floats, na: Floats, a0: int, a1: int, b: Floats, nb: Floats, b0: int, b1: int, gap: float) -> float:
    """How far convex b must move to lie `gap` from convex a; 0 if it does (along face normals, so never too near)."""
    enough = gap - NOUGHT
    s = axis_gap(a, na, a0, a1, b, b0, b1, enough)
    if s >= enough:
        return 0.0
    r = axis_gap(b, nb, b0, b1, a, a0, a1, enough)
    if r >= enough:
        return 0.0
    return gap - max(s, r)


@compiled
def _shifted_share(
    ax: float,
    ay: float,
    bx: float,
    by: float,
    ox: float,
    oy: float,
    c: Floats,
    nc: Floats,
    c0: int,
    c1: int,
    closed: bool,
) -> float:
    """Twice the area under the part of segment a→b inside convex c, towards the origin (Cyrus, Beck 1978)."""
    lo, hi = 0.0, 1.0
    dx, dy = bx - ax, by - ay
    for k in range(c0, c1):
        nx, ny = nc[k, 0], nc[k, 1]
        off = nx * (ax - c[k, 0]) + ny * (ay - c[k, 1])
        slope = nx * dx + ny * dy
        if abs(slope) <= 1e-9 * (abs(dx) + abs(dy)):
            # On one line: of two borders that run the same way one counts, of opposite ones neither.
            if off > 1e-7 or (off > -1e-7 and not (closed and dy * nx - dx * ny > 0.0)):
                return 0.0
            continue
        u = -off / slope
        if slope > 0.0:
            if u < hi:
                hi = u
        elif u > lo:
            lo = u
        if lo >= hi:
            return 0.0
    px, py, qx, qy = ax + lo * dx - ox, ay + lo * dy - oy, ax + hi * dx - ox, ay + hi * dy - oy
    return px * qy - qx * py


@compiled
def common_area(a: Floats, na: Floats, a0: int, a1: int, b: Floats, nb: Floats, b0: int, b1: int) -> float:
    """Area of the intersection of two convex rings, by Green's theorem over the borders inside one another."""
    ox, oy = a[a0, 0], a[a0, 1]
    total = 0.0
    for k in range(a0, a1):
        m = k + 1 if k + 1 < a1 else a0
        total += _shifted_share(a[k, 0], a[k, 1], a[m, 0], a[m, 1], ox, oy, b, nb, b0, b1, True)
    for k in range(b0, b1):
        m = k + 1 if k + 1 < b1 else b0
        total += _shifted_share(b[k, 0], b[k, 1], b[m, 0], b[m, 1], ox, oy, a, na, a0, a1, False)
    return 0.5 * total


@compiled
def lay(t: Tables, shape: int, x: float, y: float, angle: float, world: Floats, turned: Floats, boxes: Floats) -> None:
    """Vertices, normals and part boxes of a shape at a pose, into the given rows."""
    c, s = np.cos(angle), np.sin(angle)
    first = t.part_at[t.shape_at[shape]]
    for p in range(t.shape_at[shape], t.shape_at[shape + 1]):
        x0 = y0 = 1e300
        x1 = y1 = -1e300
        for k in range(t.part_at[p], t.part_at[p + 1]):
            vx, vy = t.verts[k, 0], t.verts[k, 1]
            wx, wy = c * vx - s * vy + x, s * vx + c * vy + y
            world[k - first, 0] = wx
            world[k - first, 1] = wy
            turned[k - first, 0] = c * t.norms[k, 0] - s * t.norms[k, 1]
            turned[k - first, 1] = s * t.norms[k, 0] + c * t.norms[k, 1]
            x0, x1 = min(x0, wx), max(x1, wx)
            y0, y1 = min(y0, wy), max(y1, wy)
        q = p - t.shape_at[shape]
        boxes[q, 0], boxes[q, 1], boxes[q, 2], boxes[q, 3] = x0, y0, x1, y1


@compiled
def outside(t: Tables, orientation: int, x: float, y: float, world: Floats, turned: Floats, boxes: Floats) -> float:
    """How deep a laid piece lies outside the regions its parts must lie in."""
    shape = t.orientation_shape[orientation]
    first_part = t.shape_at[shape]
    first = t.part_at[first_part]
    radius = t.radius[shape]
    total = 0.0
    for p in range(first_part, t.shape_at[shape + 1]):
        slot = t.part_slot[p]
        if slot < 0:
            continue
        region = t.orientation_region[orientation, slot]
        v0, v1 = t.part_at[p] - first, t.part_at[p + 1] - first
        for h in range(t.plane_at[region], t.plane_at[region + 1]):
            nx, ny, c = t.planes[h, 0], t.planes[h, 1], t.planes[h, 2]
            if nx * x + ny * y + radius <= c:
                continue
            far = -1e300
            for k in range(v0, v1):
                far = max(far, nx * world[k, 0] + ny * world[k, 1])
            if far - c > NOUGHT:
                total += (far - c) * (1.0 + 0.5 * t.span[shape])
        q = p - first_part
        x0, y0, x1, y1 = boxes[q, 0], boxes[q, 1], boxes[q, 2], boxes[q, 3]
        for cell in range(t.region_cells[region], t.region_cells[region + 1]):
            box = t.cell_box[cell]
            if box[0] >= x1 or box[2] <= x0 or box[1] >= y1 or box[3] <= y0:
                continue
            total += depth(world, turned, v0, v1, t.cells, t.cell_norms, t.cell_at[cell], t.cell_at[cell + 1], 0.0)
    return total


@compiled
def between(
    t: Tables,
    shape_a: int,
    wa: Floats,
    na: Floats,
    ba: Floats,
    shape_b: int,
    wb: Floats,
    nb: Floats,
    bb: Floats,
    gap: float,
) -> float:
    """How much two laid pieces lie in one another: over their parts' pairs, common area (mm²) and depth (mm)."""
    pa, pb = t.shape_at[shape_a], t.shape_at[shape_b]
    fa, fb = t.part_at[pa], t.part_at[pb]
    total = 0.0
    for i in range(t.shape_solid[shape_a]):
        x0, y0, x1, y1 = ba[i, 0] - gap, ba[i, 1] - gap, ba[i, 2] + gap, ba[i, 3] + gap
        a0, a1 = t.part_at[pa + i] - fa, t.part_at[pa + i + 1] - fa
        for j in range(t.shape_solid[shape_b]):
            if bb[j, 0] >= x1 or bb[j, 2] <= x0 or bb[j, 1] >= y1 or bb[j, 3] <= y0:
                continue
            b0, b1 = t.part_at[pb + j] - fb, t.part_at[pb + j + 1] - fb
            d = depth(wa, na, a0, a1, wb, nb, b0, b1, gap)
            if d > 0.0:
                total += d + common_area(wa, na, a0, a1, wb, nb, b0, b1)
    return total


@allocating
def clashes(t: Tables, s: State, gap: float) -> NDArray[np.bool_]:
    """Which pieces of a state overlap or are nearer than the gap; shape (N, N)."""
    count = s.kind.shape[0]
    out = np.zeros((count, count), dtype=np.bool_)
    for i in range(count):
        a = t.orientation_shape[s.orientation[i]]
        for j in range(i + 1, count):
            b = t.orientation_shape[s.orientation[j]]
            dx, dy = s.pose[j, 0] - s.pose[i, 0], s.pose[j, 1] - s.pose[i, 1]
            reach = t.radius[a] + t.radius[b] + gap
            if dx * dx + dy * dy < reach * reach:
                d = between(t, a, s.world[i], s.turned[i], s.boxes[i], b, s.world[j], s.turned[j], s.boxes[j], gap)
                out[i, j] = out[j, i] = d > 0.0
    return out


@compiled
def burden(
    t: Tables,
    s: State,
    gap: float,
    i: int,
    orientation: int,
    x: float,
    y: float,
    world: Floats,
    turned: Floats,
    boxes: Floats,
    enough: float,
) -> float:
    """Weighted depth of piece i at a pose among the others; stops counting above `enough`."""
    shape = t.orientation_shape[orientation]
    mine = t.weightiness[shape]
    total = s.walls[i] * mine * outside(t, orientation, x, y, world, turned, boxes)
    if total > enough:
        return total
    radius = t.radius[shape]
    for j in range(s.kind.shape[0]):
        if j == i:
            continue
        other = t.orientation_shape[s.orientation[j]]
        dx, dy = s.pose[j, 0] - x, s.pose[j, 1] - y
        reach = radius + t.radius[other] + gap
        if dx * dx + dy * dy >= reach * reach:
            continue
        d = between(t, shape, world, turned, boxes, other, s.world[j], s.turned[j], s.boxes[j], gap)
        if d > 0.0:
            total += s.pairs[i, j] * mine * t.weightiness[other] * d
            if total > enough:
                return total
    return total


@compiled
def put(t: Tables, s: State, i: int, orientation: int, x: float, y: float, angle: float) -> None:
    """Move piece i to a pose."""
    s.orientation[i] = orientation
    s.pose[i, 0], s.pose[i, 1], s.pose[i, 2] = x, y, angle
    lay(t, t.orientation_shape[orientation], x, y, angle, s.world[i], s.turned[i], s.boxes[i])


@compiled
def stepped(way: int, step: float) -> tuple[float, float]:
    """The shift of a descent's way: along x, along y, along either diagonal; none where the way is a turn."""
    if way == 0:
        return step, 0.0
    if way == 1:
        return 0.0, step
    if way == 2:
        return step * 0.7071, step * 0.7071
    if way == 3:
        return step * 0.7071, -step * 0.7071
    return 0.0, 0.0


@compiled
def descend(
    t: Tables,
    s: State,
    gap: float,
    i: int,
    orientation: int,
    pose: Floats,
    value: float,
    coarse: float,
    fine: float,
    world: Floats,
    turned: Floats,
    boxes: Floats,
) -> tuple[float, int]:
    """Coordinate descent from a pose: tries steps along axes, diagonals and the angle; pose is changed in place.

    Returns the value reached and the number of poses tried.
    """
    shape = t.orientation_shape[orientation]
    low, high = t.orientation_angles[orientation, 0], t.orientation_angles[orientation, 1]
    step = coarse
    twist = coarse / max(t.radius[shape], 1e-9)
    ways = 5 if high > low else 4
    tried = 0
    while step > fine and value > 0.0:
        way = int(chance(s.luck) * ways)
        dx, dy = stepped(way, step)
        da = twist if way == 4 else 0.0
        better = False
        for sign in (1.0, -1.0):
            x, y = pose[0] + sign * dx, pose[1] + sign * dy
            angle = min(max(pose[2] + sign * da, low), high)
            lay(t, shape, x, y, angle, world, turned, boxes)
            got = burden(t, s, gap, i, orientation, x, y, world, turned, boxes, value)
            tried += 1
            if got < value:
                value = got
                pose[0], pose[1], pose[2] = x, y, angle
                better = True
                break
        if better:
            step *= 1.1
            twist *= 1.1
        elif way == 4:
            twist *= 0.5
            if ways == 5:
                step *= 0.84
        else:
            step *= 0.71
            twist *= 0.84
    return value, tried


@compiled
def enlist(values: Floats, marks: Ints, rows: Floats, value: float, mark: int) -> int:
    """Give a value better than the last of a short list its place, with its mark; the row that is left to fill."""
    m = values.shape[0] - 1
    while m > 0 and values[m - 1] > value:
        values[m] = values[m - 1]
        marks[m] = marks[m - 1]
        for k in range(rows.shape[1]):
            rows[m, k] = rows[m - 1, k]
        m -= 1
    values[m] = value
    marks[m] = mark
    return m


BEST = 3


@allocating
def relocate(
    t: Tables, s: State, gap: float, i: int, wide: int, near: int, world: Floats, turned: Floats, boxes: Floats
) -> tuple[float, int, float, float, float, int]:
    """The least weighted pose found for piece i; (value, orientation, x, y, angle, poses tried).

    Random poses over the whole region and near where the piece lies, the best three refined by descent, as
    in Gardeyn, Vanden Berghe, Wauters 2025 (arXiv 2509.13329), with exact depths in place of their proxies.
    """
    kind = s.kind[i]
    first, last = t.kind_orientations[kind], t.kind_orientations[kind + 1]
    values = np.full(BEST, 1e300)
    poses = np.zeros((BEST, 3))
    orientations = np.zeros(BEST, dtype=np.int64)
    tried = 0
    here = s.orientation[i]
    now = burden(t, s, gap, i, here, s.pose[i, 0], s.pose[i, 1], s.world[i], s.turned[i], s.boxes[i], 1e300)
    values[0] = now
    orientations[0] = here
    poses[0, 0], poses[0, 1], poses[0, 2] = s.pose[i, 0], s.pose[i, 1], s.pose[i, 2]
    for n in range(wide + near):
        orientation = here
        if n < wide or chance(s.luck) < 0.3:
            orientation = first + int(chance(s.luck) * (last - first))
        low, high = t.orientation_angles[orientation, 0], t.orientation_angles[orientation, 1]
        angle = low + chance(s.luck) * (high - low)
        shape = t.orientation_shape[orientation]
        if n < wide:
            region = t.orientation_region[orientation, 0]
            inset = min(
                t.span[shape] * 0.5,
                0.25
                * min(
                    t.region_box[region, 2] - t.region_box[region, 0], t.region_box[region, 3] - t.region_box[region, 1]
                ),
            )
            x0, y0 = t.region_box[region, 0] + inset, t.region_box[region, 1] + inset
            x1, y1 = t.region_box[region, 2] - inset, t.region_box[region, 3] - inset
            x, y = x0 + chance(s.luck) * (x1 - x0), y0 + chance(s.luck) * (y1 - y0)
        else:
            reach = t.radius[shape] * (0.25 if n % 2 else 0.75)
            x = s.pose[i, 0] + reach * (2.0 * chance(s.luck) - 1.0)
            y = s.pose[i, 1] + reach * (2.0 * chance(s.luck) - 1.0)
            if orientation == here and high > low:
                swing = 0.2 * (high - low)
                angle = min(max(s.pose[i, 2] + swing * (2.0 * chance(s.luck) - 1.0), low), high)
        lay(t, shape, x, y, angle, world, turned, boxes)
        got = burden(t, s, gap, i, orientation, x, y, world, turned, boxes, values[BEST - 1])
        tried += 1
        if got < values[BEST - 1]:
            m = enlist(values, orientations, poses, got, orientation)
            poses[m, 0], poses[m, 1], poses[m, 2] = x, y, angle
    best = 0
    for m in range(BEST):
        if values[m] >= 1e299:
            continue
        span = t.span[t.orientation_shape[orientations[m]]]
        values[m], more = descend(
            t, s, gap, i, orientations[m], poses[m], values[m], 0.1 * span, 0.002 * span, world, turned, boxes
        )
        tried += more
        if values[m] < values[best]:
            best = m
    span = t.span[t.orientation_shape[orientations[best]]]
    values[best], more = descend(
        t, s, gap, i, orientations[best], poses[best], values[best], 0.002 * span, 2e-5 * span, world, turned, boxes
    )
    tried += more
    return values[best], orientations[best], poses[best, 0], poses[best, 1], poses[best, 2], tried


@compiled
def measure(t: Tables, s: State, gap: float, loads: Floats, worst: Floats) -> float:
    """Unweighted depths: `loads[i]` all that piece i lies in, `worst[i, j]` each pair, `worst[i, i]` the walls.

    Returns the sum over walls and pairs.
    """
    count = s.kind.shape[0]
    total = 0.0
    for i in range(count):
        loads[i] = 0.0
    for i in range(count):
        shape = t.orientation_shape[s.orientation[i]]
        d = outside(t, s.orientation[i], s.pose[i, 0], s.pose[i, 1], s.world[i], s.turned[i], s.boxes[i])
        worst[i, i] = d
        loads[i] += d
        total += d
        for j in range(i + 1, count):
            other = t.orientation_shape[s.orientation[j]]
            dx, dy = s.pose[j, 0] - s.pose[i, 0], s.pose[j, 1] - s.pose[i, 1]
            reach = t.radius[shape] + t.radius[other] + gap
            d = 0.0
            if dx * dx + dy * dy < reach * reach:
                d = between(
                    t, shape, s.world[i], s.turned[i], s.boxes[i], other, s.world[j], s.turned[j], s.boxes[j], gap
                )
            worst[i, j] = d
            worst[j, i] = d
            loads[i] += d
            loads[j] += d
            total += d
    return total


@compiled
def heavier(weight: float, depth: float, top: float) -> float:
    """Guided local search: what still overlaps weighs more, in proportion; what does not forgets slowly.

    Voudouris, Tsang 1999; the factors as in Gardeyn et al. 2025.
    """
    return weight * (1.2 + 0.8 * depth / top) if depth > 0.0 else max(1.0, 0.95 * weight)


@compiled
def reweigh(pairs: Floats, walls: Floats, worst: Floats) -> None:
    """Weigh every pair and wall anew after how deep they are."""
    count = walls.shape[0]
    top = 1e-12
    for i in range(count):
        for j in range(i, count):
            top = max(top, worst[i, j])
    for i in range(count):
        walls[i] = heavier(walls[i], worst[i, i], top)
        for j in range(i + 1, count):
            w = heavier(pairs[i, j], worst[i, j], top)
            pairs[i, j] = w
            pairs[j, i] = w


@compiled
def shuffled(loads: Floats, order: Ints, luck: NDArray[np.uint64]) -> int:
    """The pieces that lie in something, in random order, into `order`; how many (Fisher, Yates 1938)."""
    many = 0
    for i in range(loads.shape[0]):
        if loads[i] > 0.0:
            order[many] = i
            many += 1
    for k in range(many - 1, 0, -1):
        n = int(chance(luck) * (k + 1))
        order[k], order[n] = order[n], order[k]
    return many


@allocating
def separate(
    t: Tables,
    s: State,
    gap: float,
    budget: int,
    patience: int,
    wide: int,
    near: int,
    best_pose: Floats,
    best_stance: Ints,
) -> tuple[float, int]:
    """Move overlapping pieces one at a time until nothing overlaps, `budget` poses are tried or patience ends.

    `best_pose` and `best_stance` receive the state of least total depth. Returns (least total depth, poses
    tried).
    """
    count = s.kind.shape[0]
    world = np.zeros((s.world.shape[1], 2))
    turned = np.zeros((s.world.shape[1], 2))
    boxes = np.zeros((s.boxes.shape[1], 4))
    loads = np.zeros(count)
    worst = np.zeros((count, count))
    order = np.zeros(count, dtype=np.int64)
    least = 1e300
    tried = 0
    idle = 0
    while True:
        total = measure(t, s, gap, loads, worst)
        if total < least:
            if total < 0.98 * least:
                idle = 0
            least = total
            best_pose[:] = s.pose
            best_stance[:] = s.orientation
        if total == 0.0 or tried >= budget or idle >= patience:
            return least, tried
        idle += 1
        reweigh(s.pairs, s.walls, worst)
        for k in range(shuffled(loads, order, s.luck)):
            i = order[k]
            now = burden(
                t, s, gap, i, s.orientation[i], s.pose[i, 0], s.pose[i, 1], s.world[i], s.turned[i], s.boxes[i], 1e300
            )
            if now == 0.0:
                continue
            value, orientation, x, y, angle, more = relocate(t, s, gap, i, wide, near, world, turned, boxes)
            tried += more
            if value < now:
                put(t, s, i, orientation, x, y, angle)
