"""How tidy a layout is, from 0 to 1.

Only *straight pieces* are asked, those with a long straight side (`geometry.long_sides`), each with the length of that
side for its weight. Half of a piece's score is its *direction*: 1 where the long side runs along the datum line or
square to it, a half where it runs so to the long side of another piece, else nought. Half is how *closed up* it lies:
the share of the places along its long sides from which the next straight piece, looked for square to the side, touches
or is farther away than the width of an offcut. What lies between is a strip of waste.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import compiled
from nesting.geometry.convex import Array, offsets
from nesting.geometry.long_sides import long_sides
from nesting.model.offcut_rule import LEAST_WIDTH

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PLACES = 20
"""Places evenly along a long side from which one looks for the next piece."""
TOUCHES = 0.05
"""A piece no farther than this beyond the gap (mm) touches."""
EVEN = 0.01
"""Degrees within which two directions are one."""


@dataclass(frozen=True)
class Shapes:
    """Outlines and long sides of shapes in their own frames, one after the other; without long sides: weight nought."""

    edges: Floats  # (E, 4) x0, y0, x1, y1
    edge_at: Ints  # (S + 1,)
    sides: Floats  # (L, 4)
    side_at: Ints  # (S + 1,)
    weight: Floats  # (S,) length of the longest side
    reach: Floats  # (S,) the farthest corner from the frame's origin
    heading: Floats  # (S,) of the longest side, radians


def shapes_of(rings: Sequence[Array]) -> Shapes:
    """The shapes of counter-clockwise rings."""
    sides = [long_sides(ring) for ring in rings]
    edges = [
        np.column_stack([ring, np.roll(ring, -1, axis=0)]) if len(own) else np.zeros((0, 4))
        for ring, own in zip(rings, sides, strict=True)
    ]
    first = [own[0] if len(own) else np.zeros(4) for own in sides]
    return Shapes(
        np.concatenate([*edges, np.zeros((0, 4))]),
        offsets(edges),
        np.concatenate([*sides, np.zeros((0, 4))]),
        offsets(sides),
        np.array([math.hypot(x1 - x0, y1 - y0) for x0, y0, x1, y1 in first]),
        np.array([float(np.hypot(ring[:, 0], ring[:, 1]).max()) for ring in rings]),
        np.array([math.atan2(y1 - y0, x1 - x0) for x0, y0, x1, y1 in first]),
    )


def tidiness(shapes: Shapes, lie: Ints, poses: Floats, datum: float, gap: float) -> float | None:
    """The score of pieces that lie: shapes `lie` (n,) at `poses` (n, 3: x, y, angle); None without a straight piece.

    `datum` is the bearing of the datum line, all angles in radians.
    """
    weight = shapes.weight[lie]
    if not weight.sum() > 0:
        return None
    scores = np.zeros(len(lie))
    _scores(*_flat(shapes), lie, poses, datum, gap, scores)
    return float((weight * scores).sum() / weight.sum())


def scores(shapes: Shapes, lie: Ints, poses: Floats, datum: float, gap: float) -> Floats:
    """The score of each piece, (n,)."""
    out = np.zeros(len(lie))
    _scores(*_flat(shapes), lie, poses, datum, gap, out)
    return out


def _flat(shapes: Shapes) -> tuple[Floats, Ints, Floats, Ints, Floats, Floats]:
    return shapes.edges, shapes.edge_at, shapes.sides, shapes.side_at, shapes.reach, shapes.heading


@compiled
def _scores(
    edges: Floats, edge_at: Ints, sides: Floats, side_at: Ints, reach: Floats, heading: Floats,
    lie: Ints, poses: Floats, datum: float, gap: float, out: Floats,
) -> None:  # fmt: skip
    for i in range(lie.shape[0]):
        if side_at[lie[i] + 1] > side_at[lie[i]]:
            along = _along(side_at, heading, lie, poses, datum, i)
            out[i] = 0.5 * along + 0.5 * _closed(edges, edge_at, sides, side_at, reach, lie, poses, gap, i)


@compiled
def square_to(a: float, b: float) -> bool:
    """Whether one direction runs along another or square to it."""
    off = (a - b) / (math.pi / 2)
    return bool(abs(off - round(off)) * 90.0 <= EVEN)


@compiled
def _along(side_at: Ints, heading: Floats, lie: Ints, poses: Floats, datum: float, i: int) -> float:
    own = heading[lie[i]] + poses[i, 2]
    if square_to(own, datum):
        return 1.0
    for j in range(lie.shape[0]):
        straight = side_at[lie[j] + 1] > side_at[lie[j]]
        if j != i and straight and square_to(own, heading[lie[j]] + poses[j, 2]):
            return 0.5
    return 0.0


@compiled
def _closed(
    edges: Floats, edge_at: Ints, sides: Floats, side_at: Ints, reach: Floats,
    lie: Ints, poses: Floats, gap: float, i: int,
) -> float:  # fmt: skip
    """The share of the places along a piece's long sides from which no strip of waste lies before the next piece."""
    c, s = math.cos(poses[i, 2]), math.sin(poses[i, 2])
    total, closed = 0.0, 0.0
    for k in range(side_at[lie[i]], side_at[lie[i] + 1]):
        x0 = poses[i, 0] + c * sides[k, 0] - s * sides[k, 1]
        y0 = poses[i, 1] + s * sides[k, 0] + c * sides[k, 1]
        x1 = poses[i, 0] + c * sides[k, 2] - s * sides[k, 3]
        y1 = poses[i, 1] + s * sides[k, 2] + c * sides[k, 3]
        long = math.hypot(x1 - x0, y1 - y0)
        tx, ty = (x1 - x0) / long, (y1 - y0) / long
        total += long
        for p in range(PLACES):
            at = (p + 0.5) / PLACES * long
            next_one = _next(edges, edge_at, reach, lie, poses, i, x0 + at * tx, y0 + at * ty, ty, -tx)
            if next_one <= gap + TOUCHES or next_one >= LEAST_WIDTH:
                closed += long / PLACES
    return closed / total


@compiled
def _next(
    edges: Floats, edge_at: Ints, reach: Floats, lie: Ints, poses: Floats,
    i: int, x: float, y: float, nx: float, ny: float,
) -> float:  # fmt: skip
    """How far the next straight piece is from a point, looked for along n; no farther than an offcut is wide."""
    best = LEAST_WIDTH
    for j in range(lie.shape[0]):
        if j == i or edge_at[lie[j] + 1] == edge_at[lie[j]]:
            continue
        dx, dy = x - poses[j, 0], y - poses[j, 1]
        if dx * dx + dy * dy > (reach[lie[j]] + LEAST_WIDTH) ** 2:
            continue
        c, s = math.cos(poses[j, 2]), math.sin(poses[j, 2])
        # the ray in the other piece's own frame
        px, py = c * dx + s * dy, -s * dx + c * dy
        rx, ry = c * nx + s * ny, -s * nx + c * ny
        for e in range(edge_at[lie[j]], edge_at[lie[j] + 1]):
            across0 = rx * (edges[e, 1] - py) - ry * (edges[e, 0] - px)
            across1 = rx * (edges[e, 3] - py) - ry * (edges[e, 2] - px)
            if (across0 < 0.0) == (across1 < 0.0):
                continue
            share = across0 / (across0 - across1)
            qx = edges[e, 0] + share * (edges[e, 2] - edges[e, 0]) - px
            qy = edges[e, 1] + share * (edges[e, 3] - edges[e, 1]) - py
            far = rx * qx + ry * qy
            if -TOUCHES <= far < best:
                best = far
    return best


def gains(
    shapes: Shapes, lie: Ints, poses: Floats, datum: float, gap: float, moved: int, places: Sequence[tuple[int, Floats]]
) -> list[float]:
    """How much more the scores of all pieces, weighted, come to where one is moved to each of some places.

    A place is a shape and its pose. Nothing is changed.
    """
    lie, poses = lie.copy(), poses.copy()
    near = _near(shapes, lie, poses, moved, places)
    before, more = _sum(shapes, lie, poses, datum, gap, near), list[float]()
    for lie[moved], poses[moved] in places:
        more.append(_sum(shapes, lie, poses, datum, gap, near) - before)
    return more


def _near(
    shapes: Shapes, lie: Ints, poses: Floats, moved: int, places: Sequence[tuple[int, Floats]]
) -> NDArray[np.bool_]:
    """The pieces whose view a move may change, and the moved one."""
    ways = [(int(lie[moved]), poses[moved]), *places]
    reach = shapes.reach[lie] + max(shapes.reach[shape] for shape, _ in ways) + LEAST_WIDTH
    near = np.zeros(len(lie), dtype=np.bool_)
    for _, at in ways:
        near |= np.hypot(*(poses[:, :2] - at[:2]).T) <= reach
    near[moved] = True
    return near


def _sum(shapes: Shapes, lie: Ints, poses: Floats, datum: float, gap: float, near: NDArray[np.bool_]) -> float:
    return float(_weighted(*_flat(shapes), shapes.weight, lie, poses, datum, gap, near))


@compiled
def _weighted(
    edges: Floats, edge_at: Ints, sides: Floats, side_at: Ints, reach: Floats, heading: Floats, weight: Floats,
    lie: Ints, poses: Floats, datum: float, gap: float, near: NDArray[np.bool_],
) -> float:  # fmt: skip
    """Directions of all pieces and how closed up those near lie, weighted."""
    total = 0.0
    for i in range(lie.shape[0]):
        if side_at[lie[i] + 1] == side_at[lie[i]]:
            continue
        told = 0.5 * _along(side_at, heading, lie, poses, datum, i)
        if near[i]:
            told += 0.5 * _closed(edges, edge_at, sides, side_at, reach, lie, poses, gap, i)
        total += weight[lie[i]] * told
    return total
