"""The compiled kernel that lays a sequence of pieces, each at the best corner of all its rotations."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from nesting.engine.compiled import allocating, compiled
from nesting.lattice.minkowski import Floats
from nesting.search.arrays.touching_positions import (
    TOUCH,
    Field,
    Flags,
    Ints,
    NoFit,
    corners,
    depth_in,
    enter,
    keep_inside,
    pick,
)

VERTICES, POINTS, LINKS = 12, 20, 40
"""Room for these, for every polygon that a field has room for."""
MORE_POINTS = 2000


FLIPPED = 1 << 40
"""Added to the number of a no-fit polygon that is that of the fixed piece about the moving one; see `NoFits.one`."""


class EmptyFields(NamedTuple):
    """The empty fields of rotations one after the other; see `Field`. Rotation v's rows begin at `rows[v]`."""

    ring: Floats
    norm: Floats
    rim: Flags
    at: Ints  # of rotation v: from its first polygon and v on, for each has one end more than polygons
    box: Floats
    points: Floats
    link: Ints
    head: Ints
    hull: Floats
    planes: Floats
    grid: Floats  # (V, 5)
    size: Ints  # (V, 4)
    rows: Ints  # (V + 1, 7) first vertex, polygon, point, link, head, hull vertex, plane


class Shelf(NamedTuple):
    """No-fit polygons one after the other; see `NoFit`. Those of one pair run from `first` on."""

    ring: Floats
    norm: Floats
    rim: Flags
    at: Ints  # (Q + 1,) first vertex of every polygon
    box: Floats
    first: Ints  # (pairs + 1,) first polygon


class Work(NamedTuple):
    """The fields as pieces are laid, one after the other: that of rotation v has room for polygons `first[v]` on."""

    first: Ints  # (V + 1,)
    ring: Floats
    norm: Floats
    rim: Flags
    at: Ints
    box: Floats
    points: Floats
    size: Ints
    head: Ints
    link: Ints
    mark: Ints
    near: Ints
    amid: Floats
    whose: Ints


@allocating
def _room_for(g: EmptyFields, room: Ints) -> Work:
    rotations = room.shape[0]
    first = np.zeros(rotations + 1, dtype=np.int64)
    first[1:] = np.cumsum(room)
    many, most = first[rotations], room.max()
    return Work(
        first,
        np.empty((VERTICES * many, 2)),
        np.empty((VERTICES * many, 2)),
        np.empty(VERTICES * many, dtype=np.bool_),
        np.empty(many + rotations, dtype=np.int64),
        np.empty((many, 4)),
        np.empty((POINTS * many + MORE_POINTS * rotations, 2)),
        np.zeros((rotations, 4), dtype=np.int64),
        np.empty(g.head.shape[0], dtype=np.int64),
        np.empty((LINKS * many, 2), dtype=np.int64),
        np.empty(many, dtype=np.int64),
        np.empty(most, dtype=np.int64),
        np.empty((most, 4)),
        np.empty(most, dtype=np.int64),
    )


@allocating
def field(g: EmptyFields, w: Work, v: int) -> Field:
    """The field of a rotation."""
    a, b, r, e = w.first[v], w.first[v + 1], g.rows[v], g.rows[v + 1]
    return Field(
        w.ring[VERTICES * a : VERTICES * b],
        w.norm[VERTICES * a : VERTICES * b],
        w.rim[VERTICES * a : VERTICES * b],
        w.at[a + v : b + v + 1],
        w.box[a:b],
        w.points[POINTS * a + MORE_POINTS * v : POINTS * b + MORE_POINTS * (v + 1)],
        w.size[v],
        g.hull[r[5] : e[5]],
        g.planes[r[6] : e[6]],
        g.grid[v],
        w.head[r[4] : e[4]],
        w.link[LINKS * a : LINKS * b],
        w.mark[a:b],
        w.near,
        w.amid,
        w.whose,
    )


@allocating
def _begin(g: EmptyFields, f: Field, v: int) -> bool:
    """Fill in the empty field; whether there is room for it."""
    r, e = g.rows[v], g.rows[v + 1]
    vertices, polygons, points, links = e[0] - r[0], e[1] - r[1], e[2] - r[2], e[3] - r[3]
    if vertices > f.ring.shape[0] or polygons > f.box.shape[0] or points > f.points.shape[0] or links > f.link.shape[0]:
        return False
    f.ring[:vertices], f.norm[:vertices] = g.ring[r[0] : e[0]], g.norm[r[0] : e[0]]
    f.rim[:vertices] = g.rim[r[0] : e[0]]
    f.at[: polygons + 1] = g.at[r[1] + v : e[1] + v + 1]
    f.box[:polygons] = g.box[r[1] : e[1]]
    f.points[:points] = g.points[r[2] : e[2]]
    f.link[:links] = g.link[r[3] : e[3]]
    f.head[:] = g.head[r[4] : e[4]]
    f.mark[:] = -1
    f.size[:] = g.size[v]
    return True


@allocating
def _no_fit(s: Shelf, which: int) -> NoFit:
    which %= FLIPPED
    a, b = s.first[which], s.first[which + 1]
    return NoFit(s.ring, s.norm, s.at[a : b + 1], s.box[a:b], s.rim)


@compiled
def _way(which: int, fixed: float, moving: float) -> float:
    """The angle by which a no-fit polygon is turned, given how the pieces lie."""
    return moving + np.pi if which >= FLIPPED else fixed


@allocating
def overlapping(shelf: Shelf, about: Ints, poses: Floats) -> Flags:
    """Which of pieces (angle, x, y) lie in one another; `about[i, j]` are the no-fit polygons of i about j."""
    count = poses.shape[0]
    out = np.zeros((count, count), dtype=np.bool_)
    for i in range(count):
        for j in range(i):
            g = _no_fit(shelf, about[i, j])
            turn = _way(about[i, j], poses[j, 0], poses[i, 0])
            c, s = np.cos(turn), np.sin(turn)
            dx, dy = poses[i, 1] - poses[j, 1], poses[i, 2] - poses[j, 2]
            x, y = c * dx + s * dy, c * dy - s * dx
            for q in range(g.box.shape[0]):
                if g.box[q, 0] < x < g.box[q, 2] and g.box[q, 1] < y < g.box[q, 3] and depth_in(g, q, x, y) > 2 * TOUCH:
                    out[i, j] = out[j, i] = True
                    break
    return out


@allocating
def crowd(
    g: EmptyFields, shelf: Shelf, about: Ints, angle: Floats, asked: Flags, poses: Floats, room: Ints
) -> tuple[Work, int]:
    """The fields of the rotations asked for among pieces given (angle, x, y); a rotation with too little room or -1.

    Corners outside `planes` are left out, and so are pieces that are not `about` a rotation (-1).
    """
    w = _room_for(g, room)
    for v in range(room.shape[0]):
        if not asked[v]:
            continue
        f = field(g, w, v)
        if not _begin(g, f, v):
            return w, v
        keep_inside(f)
        before = f.size[0]
        for n in range(poses.shape[0]):
            if about[v, n] >= 0:
                turn = _way(about[v, n], poses[n, 0], angle[v])
                enter(f, _no_fit(shelf, about[v, n]), turn, poses[n, 1], poses[n, 2])
        if f.size[3] == 0:
            corners(f, before)
        if f.size[3] != 0:
            return w, v
    return w, -1


@allocating
def fill(
    g: EmptyFields,
    shelf: Shelf,
    pair: Ints,
    about: Ints,
    kind_first: Ints,
    angle: Floats,
    far: Floats,
    sequence: Ints,
    poses: Floats,
    which: Ints,
    way: Floats,
    area: Floats,
    leave: float,
    room: Ints,
) -> tuple[int, int]:
    """Lay a sequence of kinds among the pieces given: (pieces that lie there, a rotation with too little room or -1).

    Kind k has rotations `kind_first[k]` to `kind_first[k + 1]`; `angle` and `far` (how far its far side counts) by
    rotation, `pair` and `about` the no-fit polygons of a rotation about another and about a given piece. `poses`
    (angle, x, y) begins with those given and takes in those laid, `which` their rotations. `way`: see `pick`.
    It ends early where what finds no room (`area` by kind) is more than `leave`.
    """
    w = _room_for(g, room)
    given = about.shape[1]
    begun, seen = np.zeros(room.shape[0], dtype=np.bool_), np.zeros(room.shape[0], dtype=np.int64)
    full = np.zeros(kind_first.shape[0], dtype=np.bool_)
    many, left_out = given, 0.0
    for n, kind in enumerate(sequence):
        if full[kind]:
            continue
        best, score = -1, 0.0
        for v in range(kind_first[kind], kind_first[kind + 1]):
            f = field(g, w, v)
            if not begun[v]:
                begun[v] = True
                if not _begin(g, f, v):
                    return many, v
            before = f.size[0]
            for m in range(seen[v], many):
                no_fit = about[v, m] if m < given else pair[v, which[m]]
                enter(f, _no_fit(shelf, no_fit), _way(no_fit, poses[m, 0], angle[v]), poses[m, 1], poses[m, 2])
            if seen[v] < many and f.size[3] == 0:
                corners(f, before)
                seen[v] = many
            if f.size[3] != 0:
                return many, v
            found, along, x, y = pick(f, way[0], way[1], way[2], way[3])
            if found and (best < 0 or along + far[v] < score - 1e-9):
                best, score = v, along + far[v]
                poses[many, 0], poses[many, 1], poses[many, 2] = angle[v], x, y
        if best >= 0:
            which[many] = best
            many += 1
        else:
            full[kind] = True
            left_out += area[kind] * np.count_nonzero(sequence[n:] == kind)
            if left_out > leave:
                break
    return many, -1
