"""The compiled kernel of a separation: an overlapping piece is taken to the best place found, again and again."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled
from nesting.search.arrays.overlap_kernel import chance, enlist, heavier, shuffled
from nesting.search.separation.map_kernel import (
    Floats,
    Ints,
    Maps,
    Nearby,
    Piled,
    Rough,
    Singles,
    around,
    depth_at,
    lowest,
    outside_at,
    pile,
    pile_one,
    piled,
    refine,
    scan,
    weigh,
    window,
)
from nesting.search.separation.turning_kernel import (
    Beside,
    Turning,
    beside,
    depth_turned,
    nearest_rotation,
    outside_turned,
    refine_turned,
    weigh_turned,
)

TOP = 3


class Desk(NamedTuple):
    """Room to work in for one move."""

    board: Singles  # for the largest scan
    value: Floats  # (TOP,) of the best nodes that scans found, the least first
    at: Floats  # (TOP, 3) where they are
    rotation: Ints  # (TOP,)
    own: Floats  # (3,) where the piece is taken to
    near: Nearby
    beside: Beside  # in its stead where kinds may turn


@allocating
def desk(count: int, board: Singles) -> Desk:
    """A desk for so many pieces."""
    rows = count + 1
    near = Nearby(np.zeros((rows, 2)), np.zeros((rows, 3), dtype=np.int64), np.zeros(rows))
    turned = Beside(
        np.zeros((rows, 5)),
        np.zeros(rows, dtype=np.int64),
        np.zeros(rows),
        np.zeros((rows, 2)),
        np.zeros((rows, 4)),
        np.zeros(rows),
        np.zeros((rows, 6), dtype=np.int64),
    )
    return Desk(board, np.zeros(TOP), np.zeros((TOP, 3)), np.zeros(TOP, dtype=np.int64), np.zeros(3), near, turned)


@allocating
def seek(m: Maps, f: Turning, s: Rough, p: Piled, i: int, most: int, d: Desk) -> None:
    """Scan the rotations of piece i (at most `most`, its own first) for the best nodes."""
    first, last = m.of_kind[s.kind[i]], m.of_kind[s.kind[i] + 1]
    d.value[:] = 1e300
    here, board = s.rotation[i], d.board
    for n in range(min(most, last - first)):
        rotation = here
        if last - first <= most:
            rotation = first + n
        elif n > 0:
            rotation = first + int(chance(s.luck) * (last - first))
        c0, r0, columns, rows = window(m, s, i, rotation)
        pile_one(m, p, rotation, here, s.at[i, 0], s.at[i, 1], -1)
        scan(m, s, p, i, rotation, c0, r0, columns, rows, board)
        pile_one(m, p, rotation, here, s.at[i, 0], s.at[i, 1], 1)
        wall = m.wall[rotation]
        spacing = m.stride[0] * m.step[0]
        ring = max(1, int(0.15 * m.reach[rotation] / spacing))
        for _ in range(2):
            low, r, c = lowest(board, columns, rows)
            if low >= d.value[TOP - 1]:
                break
            slot = enlist(d.value, d.rotation, d.at, low, rotation)
            d.at[slot, 0] = m.origin[wall, 0] + (c0 + c) * spacing
            d.at[slot, 1] = m.origin[wall, 1] + (r0 + r) * spacing
            d.at[slot, 2] = f.angle[rotation]
            for rr in range(max(0, r - ring), min(rows, r + ring + 1)):
                for cc in range(max(0, c - ring), min(columns, c + ring + 1)):
                    board[rr * columns + cc] = np.float32(np.inf)


@compiled
def _burden(m: Maps, f: Turning, s: Rough, i: int, at: Floats, d: Desk) -> float:
    """Weighted depth of piece i where it lies."""
    here = s.rotation[i]
    if f.start.shape[0] > 0:
        return weigh_turned(m, f, d.beside, beside(m, f, s, i, here, at, 0.0, d.beside), at[0], at[1], 1e300)
    many = around(m, s, i, here, at[0], at[1], 0.0, d.near)
    return weigh(m, d.near, many, at[0] / m.step[0], at[1] / m.step[0], 1e300)


@compiled
def _refined(
    m: Maps, f: Turning, s: Rough, i: int, rotation: int, at: Floats, value: float, coarse: float, fine: float, d: Desk
) -> float:
    """A descent from a position, changed in place, with turns where kinds may turn; the value reached."""
    if f.start.shape[0] > 0:
        return refine_turned(m, f, s, i, rotation, at, value, coarse, fine, d.beside)
    return refine(m, s, i, rotation, at, value, coarse, fine, d.near)


@allocating
def rehouse(m: Maps, f: Turning, s: Rough, p: Piled, i: int, most: int, d: Desk) -> tuple[float, int]:
    """The least weighted position found for piece i, into the desk's `own`: (value, rotation).

    Its rotations (at most `most`, its own first) are scanned, the best nodes refined.
    """
    seek(m, f, s, p, i, most, d)
    best = -1
    for slot in range(TOP):
        if d.value[slot] >= 1e299:
            continue
        d.value[slot] = _refined(m, f, s, i, d.rotation[slot], d.at[slot], -1.0, 0.7 * m.stride[0], 0.15, d)
        if best < 0 or d.value[slot] < d.value[best]:
            best = slot
    # where it lies now may be the best of all
    rotation = s.rotation[i]
    d.own[:] = s.at[i]
    now = _refined(m, f, s, i, rotation, d.own, -1.0, 1.0, 0.15, d)
    if best >= 0 and now > d.value[best]:
        now, rotation = d.value[best], d.rotation[best]
        d.own[:] = d.at[best]
    now = _refined(m, f, s, i, rotation, d.own, now, 0.15, 0.02, d)
    if f.start.shape[0] > 0:
        rotation = nearest_rotation(m, f, rotation, s.kind[i], d.own[2])
    return now, rotation


class Tally(NamedTuple):
    """What lies in what, and the pairs worth a look: those that overlap or weigh more than 1."""

    worst: Floats  # (N, N) depth of each pair; on the diagonal how far outside the leather
    listed: NDArray[np.bool_]  # (N, N) whether a pair (lower number first) is in the list
    pair: Ints  # (N * N, 2)
    many: Ints  # (1,) pairs in the list
    loads: Floats  # (N,) all that a piece lies in


@compiled
def _watch(t: Tally, i: int, j: int) -> None:
    """Put a pair on the list, once."""
    i, j = min(i, j), max(i, j)
    if not t.listed[i, j]:
        t.listed[i, j] = True
        t.pair[t.many[0], 0], t.pair[t.many[0], 1] = i, j
        t.many[0] += 1


@allocating
def tally_up(m: Maps, f: Turning, s: Rough) -> Tally:
    """The tally of pieces as they lie."""
    n = s.kind.shape[0]
    t = Tally(
        np.zeros((n, n)),
        np.zeros((n, n), dtype=np.bool_),
        np.zeros((n * n, 2), dtype=np.int64),
        np.zeros(1, dtype=np.int64),
        np.zeros(n),
    )
    for i in range(n):
        recount(m, f, s, t, i)
        for j in range(i + 1, n):
            if s.pairs[i, j] > 1.0:
                _watch(t, i, j)
    return t


@compiled
def recount(m: Maps, f: Turning, s: Rough, t: Tally, i: int) -> None:
    """Measure anew what piece i lies in."""
    here = s.rotation[i]
    x, y = s.at[i, 0], s.at[i, 1]
    turning = f.start.shape[0] > 0
    t.worst[i, i] = outside_turned(m, f, here, x, y, s.at[i, 2]) if turning else outside_at(m, here, x, y)
    for j in range(s.kind.shape[0]):
        if j == i:
            continue
        reach = m.reach[here] + m.reach[s.rotation[j]]
        d = 0.0
        if abs(x - s.at[j, 0]) < reach and abs(y - s.at[j, 1]) < reach:
            if turning:
                d = depth_turned(m, f, s, i, j)
            else:
                d = max(0.0, depth_at(m, m.pair[here, s.rotation[j]], x - s.at[j, 0], y - s.at[j, 1], 0.0))
        t.worst[i, j] = d
        t.worst[j, i] = d
        if d > 0.0:
            _watch(t, i, j)


@compiled
def total(t: Tally) -> float:
    """Unweighted depths of all pairs and walls together; `loads` by piece."""
    count = t.loads.shape[0]
    made = 0.0
    for i in range(count):
        t.loads[i] = t.worst[i, i]
        made += t.worst[i, i]
    for n in range(t.many[0]):
        i, j = t.pair[n, 0], t.pair[n, 1]
        d = t.worst[i, j]
        t.loads[i] += d
        t.loads[j] += d
        made += d
    return made


@compiled
def punish(s: Rough, t: Tally) -> None:
    """Weigh anew what is on the list and the walls; what does not overlap and weighs 1 leaves the list."""
    top = 1e-12
    for i in range(s.walls.shape[0]):
        top = max(top, t.worst[i, i])
    for n in range(t.many[0]):
        top = max(top, t.worst[t.pair[n, 0], t.pair[n, 1]])
    for i in range(s.walls.shape[0]):
        s.walls[i] = heavier(s.walls[i], t.worst[i, i], top)
    kept = 0
    for n in range(t.many[0]):
        i, j = t.pair[n, 0], t.pair[n, 1]
        w = heavier(s.pairs[i, j], t.worst[i, j], top)
        s.pairs[i, j] = w
        s.pairs[j, i] = w
        if w > 1.0 or t.worst[i, j] > 0.0:
            t.pair[kept, 0], t.pair[kept, 1] = i, j
            kept += 1
        else:
            t.listed[i, j] = False
    t.many[0] = kept


NOTHING = 1e-9
"""Depth in all (mm) that is rounding."""


@allocating
def part_all(
    m: Maps,
    f: Turning,
    s: Rough,
    budget: int,
    patience: int,
    most: int,
    board: Singles,
    best_at: Floats,
    best_attitude: Ints,
    pace: Floats,
) -> tuple[float, int, bool]:
    """Move overlapping pieces one at a time until nothing overlaps, `budget` moves are made or patience ends.

    `best_at` and `best_attitude` receive the state of least total depth; `pace` carries that depth and the rounds
    since it last fell from call to call. Returns (least total depth, moves, whether patience ended).
    """
    count = s.kind.shape[0]
    t = tally_up(m, f, s)
    p = piled(m, s)
    order = np.zeros(count, dtype=np.int64)
    d = desk(count, board)
    moves = 0
    while True:
        depth = total(t)
        if depth < pace[0]:
            if depth < 0.98 * pace[0]:
                pace[1] = 0.0
            pace[0] = depth
            best_at[:] = s.at
            best_attitude[:] = s.rotation
        if depth < NOTHING:
            return 0.0, moves, False
        if pace[1] >= patience or moves >= budget:
            return pace[0], moves, pace[1] >= patience
        pace[1] += 1.0
        punish(s, t)
        for k in range(shuffled(t.loads, order, s.luck)):
            i = order[k]
            now = _burden(m, f, s, i, s.at[i], d)
            if now == 0.0:
                continue
            value, rotation = rehouse(m, f, s, p, i, most, d)
            moves += 1
            if value < now:
                pile(m, p, s.rotation[i], s.at[i, 0], s.at[i, 1], -1)
                pile(m, p, rotation, d.own[0], d.own[1], 1)
                s.rotation[i] = rotation
                s.at[i] = d.own
                recount(m, f, s, t, i)
