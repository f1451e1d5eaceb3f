"""Compiled kernels for strips: what of a band is clear, how far pieces reach along it, the best sequence of strips."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

TOUCH = 1e-4
"""What lies deeper in a band than this (mm) is in its way; what a file's rounding leaves is not."""


@allocating
def clear(edges: Floats, low: float, high: float) -> Floats:
    """The stretches of x, shape (n, 2), over which the whole band low ≤ y ≤ high lies inside a region.

    `edges` (E, 4) are the region's edges x0, y0, x1, y1, holes included. Where the boundary crosses the band nothing
    is clear; between such places the middle of the band tells inside from outside.
    """
    many = edges.shape[0]
    hits = np.empty((many, 2))
    count = 0
    middle = 0.5 * (low + high)
    crossings = np.empty(many)
    crossed = 0
    bottom, top = min(low + TOUCH, middle), max(high - TOUCH, middle)
    for e in range(many):
        x0, y0, x1, y1 = edges[e, 0], edges[e, 1], edges[e, 2], edges[e, 3]
        if y0 > y1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        if y1 < bottom or y0 > top:
            continue
        if (y0 <= middle) != (y1 <= middle):
            crossings[crossed] = x0 + (x1 - x0) * (middle - y0) / (y1 - y0)
            crossed += 1
        xa, xb = x0, x1
        if y1 > y0:
            if y0 < bottom:
                xa = x0 + (x1 - x0) * (bottom - y0) / (y1 - y0)
            if y1 > top:
                xb = x0 + (x1 - x0) * (top - y0) / (y1 - y0)
        hits[count, 0], hits[count, 1] = min(xa, xb), max(xa, xb)
        count += 1
    out = np.empty((count + 1, 2))
    if count == 0:
        return out[:0]
    order = np.argsort(hits[:count, 0])
    found = 0
    reach = hits[order[0], 1]
    for place in range(1, count):
        x0, x1 = hits[order[place], 0], hits[order[place], 1]
        if x0 > reach + TOUCH:
            inside = False
            at = 0.5 * (reach + x0)
            for c in range(crossed):
                if crossings[c] < at:
                    inside = not inside
            if inside:
                out[found, 0], out[found, 1] = reach, x0
                found += 1
        reach = max(reach, x1)
    return out[:found]


@allocating
def reached(starts: Floats, first: Ints, lengths: Floats, most: Ints, kerf: float) -> Floats:
    """The least end of a strip that holds each mix of pieces: dynamic programming over the mixes.

    Kind j may begin at the stretches `starts[first[j]:first[j + 1]]` (each from x to x, ascending). A mix is its place
    in the array: counts with the last kind running fastest, each up to `most`. inf: the mix does not go. Laying the
    last piece as early as can be is never worse, so the least end of a mix is the least over its last kind.
    """
    kinds = most.shape[0]
    size = 1
    for j in range(kinds):
        size *= most[j] + 1
    step = np.ones(kinds, np.int64)
    for j in range(kinds - 2, -1, -1):
        step[j] = step[j + 1] * (most[j + 1] + 1)
    ends = np.full(size, np.inf)
    ends[0] = -np.inf
    for mix in range(1, size):
        best = np.inf
        for j in range(kinds):
            if (mix // step[j]) % (most[j] + 1) == 0:
                continue
            before = ends[mix - step[j]]
            if before == np.inf:
                continue
            at = before + kerf
            for s in range(first[j], first[j + 1]):
                if starts[s, 1] >= at - 1e-6:
                    best = min(best, max(starts[s, 0], at) + lengths[j])
                    break
        ends[mix] = best
    return ends


@allocating
def onward(values: Floats, following: Ints) -> Floats:
    """The greatest worth of strips from each node on: `values` (n, widths), `following` the node after, or −1."""
    nodes, widths = values.shape
    best = np.zeros(nodes)
    for i in range(nodes - 1, -1, -1):
        for w in range(widths):
            j = following[i, w]
            if j >= 0 and values[i, w] + best[j] > best[i]:
                best[i] = values[i, w] + best[j]
    return best


@allocating
def onward_from(table: Floats, rows: Ints, following: Ints, top: int) -> Floats:
    """`onward` at every base at once: node i of base b has the values of row b + rows[i], if that is below `top`.

    Gives the worth from the first node of every base. The rows of a base run on, since nodes ascend.
    """
    nodes, widths = following.shape
    many = top
    out = np.zeros(many)
    best = np.zeros(nodes)
    for b in range(many):
        for i in range(nodes - 1, -1, -1):
            best[i] = 0.0
            row = b + rows[i]
            if row >= top:
                continue
            for w in range(widths):
                j = following[i, w]
                if j >= 0 and table[row, w] + best[j] > best[i]:
                    best[i] = table[row, w] + best[j]
        out[b] = best[0]
    return out
