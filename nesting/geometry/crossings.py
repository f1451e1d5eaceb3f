"""Where parallel lines cross a region. No overlay is asked, for one may lose leather."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import polygons

TOUCH = 1e-6
"""Stretches (mm) so near to one another are one."""


def crossings(region: BaseGeometry, at: NDArray[np.float64]) -> Iterator[tuple[int, float, float]]:
    """The stretches (line, begin, end) of lines at some x, rising, that lie in a region; what only touches is one.

    Every edge crosses the lines from its lesser x on to below its greater: so each ring crosses each line evenly often,
    and every second part of it is inside.

    >>> from shapely.geometry import box
    >>> list(crossings(box(0, 0, 2, 5), np.array([-1.0, 0.0, 1.0, 2.0])))
    [(1, 0.0, 5.0), (2, 0.0, 5.0)]
    """
    rings = [np.asarray(r.coords)[:, :2] for p in polygons(region) for r in (p.exterior, *p.interiors)]
    if not rings:
        return
    starts, ends = np.concatenate([r[:-1] for r in rings]), np.concatenate([r[1:] for r in rings])
    low, high = np.minimum(starts[:, 0], ends[:, 0]), np.maximum(starts[:, 0], ends[:, 0])
    first, last = np.searchsorted(at, low, "left"), np.searchsorted(at, high, "left")
    edge = np.repeat(np.arange(len(low)), last - first)
    line = np.arange(len(edge)) - np.repeat(np.cumsum(last - first) - (last - first), last - first) + first[edge]
    share = (at[line] - starts[edge, 0]) / (ends[edge, 0] - starts[edge, 0])
    y = starts[edge, 1] + share * (ends[edge, 1] - starts[edge, 1])
    order = np.lexsort((y, line))
    begun: tuple[int, float, float] | None = None
    for n, a, b in zip(line[order][::2].tolist(), y[order][::2].tolist(), y[order][1::2].tolist(), strict=True):
        if begun is not None and n == begun[0] and a <= begun[2] + TOUCH:
            begun = n, begun[1], max(begun[2], b)
            continue
        if begun is not None:
            yield begun
        begun = n, a, b
    if begun is not None:
        yield begun
