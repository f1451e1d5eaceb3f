"""A field with nothing in it but the leather's bounds: the buffers in which a rotation's corners are kept."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from nesting.geometry.convex import Array
from nesting.search.arrays.touching_positions import Field, NoFit, corners, enter, offer_hull

NOWHERE = Field(
    ring=np.zeros((0, 2)),
    norm=np.zeros((0, 2)),
    rim=np.zeros(0, dtype=np.bool_),
    at=np.zeros(1, dtype=np.int64),
    box=np.zeros((0, 4)),
    points=np.zeros((0, 2)),
    size=np.zeros(4, dtype=np.int64),
    hull=np.zeros((0, 2)),
    planes=np.zeros((0, 3)),
    grid=np.zeros(5),
    head=np.zeros(0, dtype=np.int64),
    link=np.zeros((0, 2), dtype=np.int64),
    mark=np.zeros(0, dtype=np.int64),
    near=np.zeros(0, dtype=np.int64),
    amid=np.zeros((0, 4)),
    whose=np.zeros(0, dtype=np.int64),
)
"""The field of a rotation that is not asked for."""


def hull_of(planes: Array) -> Array:
    """The convex ring that half-planes leave; empty where they leave nothing."""
    ring: Array = np.array([[-1e7, -1e7], [1e7, -1e7], [1e7, 1e7], [-1e7, 1e7]])
    for nx, ny, c in planes:
        ring = _clip(ring, nx, ny, c)
        if len(ring) == 0:
            break
    return ring


def field_about(hull: Array, planes: Array, fixed: Sequence[tuple[NoFit, float, float, float]], room: int) -> Field:
    """The field of a rotation among things turned and carried (angle, x, y), in buffers as large as it takes."""
    made = new_field(hull, planes, room)
    for no_fit, angle, x, y in fixed:
        enter(made, no_fit, angle, x, y)
    corners(made, 0)
    offer_hull(made)
    return field_about(hull, planes, fixed, 2 * room + 400) if made.size[3] else made


def new_field(hull: Array, planes: Array, polygons: int) -> Field:
    """An empty field with room for so many polygons beyond the usual."""
    x0, y0 = hull.min(axis=0) - 1.0
    wide, high = np.maximum(hull.max(axis=0) + 1.0 - (x0, y0), 2.0)
    cell = max(wide, high) / 40
    columns, rows = int(wide / cell) + 1, int(high / cell) + 1
    many = polygons + 400
    return Field(
        ring=np.zeros((many * 12, 2)),
        norm=np.zeros((many * 12, 2)),
        rim=np.zeros(many * 12, dtype=np.bool_),
        at=np.zeros(many + 1, dtype=np.int64),
        box=np.zeros((many, 4)),
        points=np.zeros((many * 20 + 2000, 2)),
        size=np.zeros(4, dtype=np.int64),
        hull=hull,
        planes=planes,
        grid=np.array([x0, y0, 1 / cell, columns, rows]),
        head=np.full(columns * rows, -1, dtype=np.int64),
        link=np.zeros((many * 40, 2), dtype=np.int64),
        mark=np.full(many, -1, dtype=np.int64),
        near=np.zeros(many, dtype=np.int64),
        amid=np.zeros((many, 4)),
        whose=np.zeros(many, dtype=np.int64),
    )


def _clip(ring: Array, nx: float, ny: float, c: float) -> Array:
    """The part of a convex ring with n·p ≤ c (to 1e-7 mm, so that an exact fit survives); empty where none."""
    over = ring @ np.array([nx, ny]) - c
    if (over <= 1e-7).all():
        return ring
    out: list[Array] = []
    for k in range(len(ring)):
        m = (k + 1) % len(ring)
        if over[k] <= 1e-7:
            out.append(ring[k])
        if (over[k] > 1e-7) != (over[m] > 1e-7):
            share = min(max(over[k] / (over[k] - over[m]), 0.0), 1.0)
            out.append(ring[k] + share * (ring[m] - ring[k]))
    return np.array(out).reshape(-1, 2)
