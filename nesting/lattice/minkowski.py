"""The Minkowski sum of two convex polygons, compiled.

B shifted by t overlaps A exactly when t lies strictly inside A ⊕ (−B), the no-fit polygon (Lozano-Pérez 1983).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import compiled

Floats = NDArray[np.float64]


@compiled
def no_fit(a: Floats, b: Floats, ring: Floats) -> int:
    """Vertices of a ⊕ (−b) for counter-clockwise convex a (n, 2) and b (m, 2) into `ring`; returns how many."""
    n, m = a.shape[0], b.shape[0]
    i0 = j0 = 0
    for i in range(1, n):
        if a[i, 1] < a[i0, 1] or (a[i, 1] == a[i0, 1] and a[i, 0] < a[i0, 0]):
            i0 = i
    for j in range(1, m):
        if b[j, 1] > b[j0, 1] or (b[j, 1] == b[j0, 1] and b[j, 0] > b[j0, 0]):
            j0 = j
    i = j = k = 0
    while i < n or j < m:
        p, q = (i0 + i) % n, (j0 + j) % m
        ring[k, 0] = a[p, 0] - b[q, 0]
        ring[k, 1] = a[p, 1] - b[q, 1]
        k += 1
        p1, q1 = (p + 1) % n, (q + 1) % m
        ax, ay = a[p1, 0] - a[p, 0], a[p1, 1] - a[p, 1]
        bx, by = b[q, 0] - b[q1, 0], b[q, 1] - b[q1, 1]
        cross = ax * by - ay * bx
        small = 1e-12 * (abs(ax) + abs(ay)) * (abs(bx) + abs(by))
        if j >= m or (i < n and cross > small):
            i += 1
        elif i >= n or cross < -small:
            j += 1
        else:
            i += 1
            j += 1
    return k


def grown(ring: Floats, gap: float) -> Floats:
    """A convex ring grown by `gap`: its sum with a regular 16-gon round the circle of that radius."""
    turns = np.arange(16) * (math.pi / 8)
    disc = np.column_stack([np.cos(turns), np.sin(turns)]) * (gap / math.cos(math.pi / 16))
    out = np.zeros((len(ring) + 16, 2))
    return out[: no_fit(np.ascontiguousarray(ring), disc, out)]
