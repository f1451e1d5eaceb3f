"""The long straight sides of an outline: the longest one, and what runs straight beside it."""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Polygon

from nesting.geometry.convex import Array, without_straight_points

LONG = 0.4
"""The share of an outline's greatest extent that its longest straight side has at least, to count as a long one."""
BESIDE = 0.5
"""The share of the longest side that another parallel to it has at least."""
PARALLEL = math.radians(0.01)
STRAIGHT = 0.005
"""What a straight side may stray (mm): a layout's outlines are rounded."""


def long_sides(ring: Array) -> Array:
    """The long straight sides of a counter-clockwise ring: rows x0, y0, x1, y1, the longest first; maybe none.

    Those are its longest side, where that is straight for long enough, and all others parallel to it of half its
    length and more.

    >>> long_sides(np.array([[0.0, 0.0], [30.0, 0.0], [30.0, 300.0], [0.0, 300.0]])).tolist()
    [[30.0, 0.0, 30.0, 300.0], [0.0, 300.0, 0.0, 0.0]]
    """
    ring = _plain(ring)
    ends = np.roll(ring, -1, axis=0)
    edges = ends - ring
    lengths = np.round(np.hypot(edges[:, 0], edges[:, 1]), 6)
    longest = int(np.argmax(lengths))
    if lengths[longest] < LONG * _extent(ring):
        return np.zeros((0, 4))
    off = np.abs(edges @ (-edges[longest, 1], edges[longest, 0])) / np.maximum(lengths * lengths[longest], 1e-12)
    own = (off <= PARALLEL) & (lengths >= BESIDE * lengths[longest])
    order = [longest, *(k for k in np.flatnonzero(own) if k != longest)]
    return np.ascontiguousarray(np.column_stack([ring, ends])[np.array(order)])


def _plain(ring: Array) -> Array:
    """The ring without points on its straight sides, begun at a corner."""
    far = int(np.argmax(np.hypot(*(ring - ring.mean(axis=0)).T)))
    drawn = Polygon(np.roll(ring, -far, axis=0)).simplify(STRAIGHT)
    return without_straight_points(np.asarray(drawn.exterior.coords, dtype=np.float64)[:-1])


def _extent(ring: Array) -> float:
    """The greatest distance between two corners; where they are many the diagonal of their box, which is no less."""
    if len(ring) > 200:
        return float(np.hypot(*np.ptp(ring, axis=0)))
    return float(np.hypot(*(ring[:, None] - ring[None]).transpose(2, 0, 1)).max())
