"""The datum line of a hide: what long sides are best laid along."""

from __future__ import annotations

import math

import numpy as np

from hides.hide import Hide
from nesting.geometry.convex import ring_of

LONG_EDGE = 0.4
"""The share of a hide's greatest extent that its longest straight edge has at least, to be a datum line."""


def datum(hide: Hide) -> float:
    """Its bearing in degrees: the backbone's, else the longest straight edge's.

    A hide with neither backbone nor a long straight edge has its long way for a datum line, the long side of the least
    rectangle round it.

    >>> datum(Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200))))
    0.0
    """
    return hide.direction if hide.direction is not None else _longest_edge(hide)


def _longest_edge(hide: Hide) -> float:
    ring = ring_of(hide.polygon)
    edges = np.roll(ring, -1, axis=0) - ring
    lengths = np.round(np.hypot(edges[:, 0], edges[:, 1]), 3)
    box = np.array(hide.polygon.minimum_rotated_rectangle.exterior.coords)
    sides = np.diff(box[:3], axis=0)
    long = sides[int(np.argmax(np.hypot(sides[:, 0], sides[:, 1])))]
    best = edges[int(np.argmax(lengths))]
    way = best if lengths.max() >= LONG_EDGE * float(np.hypot(*long)) else long
    return math.degrees(math.atan2(way[1], way[0])) % 180.0
