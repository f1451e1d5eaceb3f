"""The compiled kernel for pieces that may turn: depths at any angle, and a small turn among the steps of a descent.

How deep two pieces lie in one another depends on the place of one in the frame of the other and on the angle between
them, on nothing else. So one map for every pair of shapes and every angle between them serves however both lie, and
depths are interpolated between the two maps nearest in angle as they are between nodes. Continuous rotations have been
searched on circles that cover the pieces (Rocha, Rodrigues, Gomes, Toledo, Andretta 2014, from memory); here on maps.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from nesting.engine.compiled import compiled
from nesting.search.arrays.overlap_kernel import chance, stepped
from nesting.search.separation.map_kernel import EDGE, FAR, Floats, Ints, Maps, Rough, Singles, interpolated

ROUND = 2.0 * np.pi


class Turning(NamedTuple):
    """Maps of shapes about one another at angles between them, and over the leather at angles; flat arrays.

    None of them where no kind may turn. Map m has `size[m]` = (columns, rows) nodes from `origin[m]` (mm) on.
    """

    values: Singles
    start: Ints  # (M,)
    size: Ints  # (M, 2)
    origin: Floats  # (M, 2)
    pair: Ints  # (S, S, n) of the second shape, a k-th of n turned, about the first, which is no later; -1: none
    wall: Ints  # (T, n) of an orientation, a k-th of n turned, over the leather
    span: Floats  # (A, 2) the angles that a rotation's orientation allows, radians
    angle: Floats  # (A,) of a rotation
    shape: Ints  # (A,)
    orientation: Ints  # (A,)


class Beside(NamedTuple):
    """What a piece can meet near a position: first its leather, then other pieces; and the maps for its angle."""

    at: Floats  # (N + 1, 5) the other's x, y, angle, and the angle's cosine and sine
    shape: Ints  # (N + 1,)
    heft: Floats  # (N + 1,) what a millimetre of depth weighs
    frame: Floats  # (N + 1, 2) cosine and sine of the frame that the maps lie in; both negative: seen from the other
    first: Floats  # (N + 1, 4) first nodes of the two maps nearest in angle, mm
    share: Floats  # (N + 1,) of the second one, at most a half
    sheet: Ints  # (N + 1, 6) their places among all values, columns, rows


@compiled
def _between(turn: float, many: int) -> tuple[int, int, float]:
    """Of so many angles around the nearest one to a turn, the next nearest, and the share of that."""
    t = turn / ROUND * many
    k = int(np.floor(t))
    w = t - k
    low, high = k % many, (k + 1) % many
    return (low, high, w) if w <= 0.5 else (high, low, 1.0 - w)


@compiled
def _depth(m: Maps, f: Turning, which: int, x: float, y: float) -> float:
    """A map's depth at a point; beyond its edge that of the edge."""
    wide, high = f.size[which, 0], f.size[which, 1]
    u = min(max((x - f.origin[which, 0]) / m.step[0], 0.0), wide - EDGE)
    v = min(max((y - f.origin[which, 1]) / m.step[0], 0.0), high - EDGE)
    return interpolated(f.values, f.start[which], wide, u, v)


@compiled
def outside_turned(m: Maps, f: Turning, rotation: int, x: float, y: float, angle: float) -> float:
    """How far a rotation, turned to an angle, lies outside its inner-fit region, mm."""
    orientation = f.orientation[rotation]
    one, other, w = _between(angle, f.wall.shape[1])
    one, other = f.wall[orientation, one], f.wall[orientation, other]
    return max(0.0, (1.0 - w) * _depth(m, f, one, x, y) + w * _depth(m, f, other, x, y))


@compiled
def depth_turned(m: Maps, f: Turning, s: Rough, i: int, j: int) -> float:
    """How deep two pieces lie in one another, mm."""
    if f.shape[s.rotation[i]] < f.shape[s.rotation[j]]:
        i, j = j, i
    dx, dy = s.at[i, 0] - s.at[j, 0], s.at[i, 1] - s.at[j, 1]
    one, other, w = _between(s.at[i, 2] - s.at[j, 2], f.pair.shape[2])
    fixed, moving = f.shape[s.rotation[j]], f.shape[s.rotation[i]]
    one, other = f.pair[fixed, moving, one], f.pair[fixed, moving, other]
    c, d = np.cos(s.at[j, 2]), np.sin(s.at[j, 2])
    x, y = c * dx + d * dy, c * dy - d * dx
    return max(0.0, (1.0 - w) * _depth(m, f, one, x, y) + w * _depth(m, f, other, x, y))


@compiled
def beside(m: Maps, f: Turning, s: Rough, i: int, rotation: int, at: Floats, stray: float, near: Beside) -> int:
    """Enter what piece i can meet while it strays from a pose by no more than `stray`, and turns; how many rows."""
    mine = m.mass[rotation]
    near.heft[0] = s.walls[i] * mine
    many = 1
    for j in range(s.kind.shape[0]):
        other = s.rotation[j]
        dx, dy = at[0] - s.at[j, 0], at[1] - s.at[j, 1]
        reach = m.reach[rotation] + m.reach[other] + 1.4143 * stray
        if j == i or dx * dx + dy * dy >= reach * reach:
            continue
        angle = s.at[j, 2]
        near.at[many, 0], near.at[many, 1], near.at[many, 2] = s.at[j, 0], s.at[j, 1], angle
        near.at[many, 3], near.at[many, 4] = np.cos(angle), np.sin(angle)
        near.shape[many] = f.shape[other]
        near.heft[many] = s.pairs[i, j] * mine * m.mass[other]
        many += 1
    turn_to(f, rotation, at[2], many, near)
    return many


@compiled
def turn_to(f: Turning, rotation: int, angle: float, many: int, near: Beside) -> None:
    """Enter the maps that serve a rotation turned to an angle."""
    shape, orientation = f.shape[rotation], f.orientation[rotation]
    one, other, near.share[0] = _between(angle, f.wall.shape[1])
    _enter(f, near, 0, f.wall[orientation, one], f.wall[orientation, other])
    c, s = np.cos(angle), np.sin(angle)
    for n in range(1, many):
        turn, mate = angle - near.at[n, 2], near.shape[n]
        fixed, moving = mate, shape
        near.frame[n, 0], near.frame[n, 1] = near.at[n, 3], near.at[n, 4]
        if mate > shape:  # the other one about this one: the place between them the other way round
            fixed, moving, turn = shape, mate, -turn
            near.frame[n, 0], near.frame[n, 1] = -c, -s
        one, other, near.share[n] = _between(turn, f.pair.shape[2])
        _enter(f, near, n, f.pair[fixed, moving, one], f.pair[fixed, moving, other])


@compiled
def _enter(f: Turning, near: Beside, n: int, one: int, other: int) -> None:
    """Enter two maps in a row."""
    near.first[n, 0], near.first[n, 1] = f.origin[one, 0], f.origin[one, 1]
    near.first[n, 2], near.first[n, 3] = f.origin[other, 0], f.origin[other, 1]
    near.sheet[n, 0], near.sheet[n, 1], near.sheet[n, 2] = f.start[one], f.size[one, 0], f.size[one, 1]
    near.sheet[n, 3], near.sheet[n, 4], near.sheet[n, 5] = f.start[other], f.size[other, 0], f.size[other, 1]


@compiled
def weigh_turned(m: Maps, f: Turning, near: Beside, many: int, x: float, y: float, enough: float) -> float:
    """Weighted depth of a piece at a position, in mm, among what is beside it; stops counting above `enough`."""
    step = m.step[0]
    total = 0.0
    for n in range(many):
        if total > enough:
            break
        if n == 0:
            across, along = x, y
        else:
            dx, dy, c, s = x - near.at[n, 0], y - near.at[n, 1], near.frame[n, 0], near.frame[n, 1]
            across, along = c * dx + s * dy, c * dy - s * dx
        u, v = (across - near.first[n, 0]) / step, (along - near.first[n, 1]) / step
        wide, high = near.sheet[n, 1], near.sheet[n, 2]
        if u < -1.0 or v < -1.0 or u > wide or v > high:
            if n == 0:
                return float(FAR * near.heft[0])
            continue
        d = interpolated(f.values, near.sheet[n, 0], wide, min(max(u, 0.0), wide - EDGE), min(max(v, 0.0), high - EDGE))
        w = near.share[n]
        if w > 0.0:
            wide, high = near.sheet[n, 4], near.sheet[n, 5]
            u = min(max((across - near.first[n, 2]) / step, 0.0), wide - EDGE)
            v = min(max((along - near.first[n, 3]) / step, 0.0), high - EDGE)
            d += w * (interpolated(f.values, near.sheet[n, 3], wide, u, v) - d)
        total += near.heft[n] * max(0.0, d)
    return float(total)


@compiled
def refine_turned(
    m: Maps,
    f: Turning,
    s: Rough,
    i: int,
    rotation: int,
    at: Floats,
    value: float,
    coarse: float,
    fine: float,
    near: Beside,
) -> float:
    """Coordinate descent from a pose, changed in place: steps along axes and diagonals, and turns; the value reached.

    A negative value is weighed anew. `coarse` and `fine` are in steps of the maps; a turn moves the piece's farthest
    point by a step.
    """
    step, last = coarse * m.step[0], fine * m.step[0]
    twist = step / m.reach[rotation]
    stray = 4.2 * step
    many = beside(m, f, s, i, rotation, at, stray, near)
    low, high = f.span[rotation, 0], f.span[rotation, 1]
    whole = high - low > ROUND - 1e-6
    ways = 5 if high > low else 4
    x, y, angle = at[0], at[1], at[2]
    if value < 0.0:
        value = weigh_turned(m, f, near, many, x, y, 1e300)
    while step > last and value > 0.0:
        way = int(chance(s.luck) * ways)
        dx, dy = stepped(way, step)
        da = twist if way == 4 else 0.0
        better = False
        for sign in (1.0, -1.0):
            tx, ty, ta = x + sign * dx, y + sign * dy, angle + sign * da
            if abs(tx - at[0]) > stray or abs(ty - at[1]) > stray:
                continue
            if way == 4:
                ta = ta if whole else min(max(ta, low), high)
                turn_to(f, rotation, ta, many, near)
            got = weigh_turned(m, f, near, many, tx, ty, value)
            if got < value:
                value, x, y, angle = got, tx, ty, ta
                better = True
                break
        if better:
            step *= 1.1
            twist *= 1.1
        elif way == 4:
            turn_to(f, rotation, angle, many, near)
            step *= 0.84
            twist *= 0.5
        else:
            step *= 0.71
            twist *= 0.84
    at[0], at[1], at[2] = x, y, angle
    return value


@compiled
def nearest_rotation(m: Maps, f: Turning, rotation: int, kind: int, angle: float) -> int:
    """The rotation of the same orientation whose angle is nearest."""
    best, least = rotation, 1e300
    for a in range(m.of_kind[kind], m.of_kind[kind + 1]):
        off = abs(angle - f.angle[a]) % ROUND
        off = min(off, ROUND - off)
        if f.orientation[a] == f.orientation[rotation] and off < least:
            best, least = a, off
    return best
