"""Compiled kernels over the lattice of strips: the best sequence of strips, and which strips good sequences contain."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from nesting.engine.compiled import allocating, compiled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HAIR = 1e-9


class StripGraph(NamedTuple):
    """Strips that can follow one another: `edges` (n, 3) as node, index of the width, node after, by their nodes.

    What strip n can give are `mixes` (M, kinds) from `first[n]` to `first[n + 1]`, the empty one last.
    """

    edges: Ints
    mixes: Ints
    first: Ints


@compiled
def _onward(table: Floats, rows: Ints, base: int, following: Ints, best: Floats) -> None:
    for i in range(following.shape[0] - 1, -1, -1):
        best[i] = 0.0
        row = base + rows[i]
        if row >= table.shape[0]:
            continue
        for w in range(following.shape[1]):
            j = following[i, w]
            if j >= 0 and table[row, w] + best[j] > best[i]:
                best[i] = table[row, w] + best[j]


@allocating
def onward_from(table: Floats, rows: Ints, following: Ints) -> Floats:
    """The greatest worth of strips from the first node on, at every base.

    `table` (T, widths) has the worth of strips at every row; node i of base b lies in row b + rows[i], ascending, and
    has none beyond the last. `following[i, w]` is the node after a strip, or −1.
    """
    out, best = np.zeros(table.shape[0]), np.zeros(following.shape[0])
    for b in range(table.shape[0]):
        _onward(table, rows, b, following, best)
        out[b] = best[0]
    return out


@allocating
def dearest(worths: Floats, first: Ints, table: Floats, rows: Ints, base: int, following: Ints) -> Ints:
    """The mixes of the sequence of strips from a base that is worth most.

    `worths` are those of all mixes, those of width w in row r from `first[r * widths + w]`, the empty one last.
    """
    widths = following.shape[1]
    best = np.zeros(following.shape[0])
    _onward(table, rows, base, following, best)
    out = np.empty(following.shape[0], np.int64)
    found, node = 0, 0
    while True:
        row = base + rows[node]
        top, width = HAIR * 1e-3, -1
        for w in range(widths):
            j = following[node, w]
            if row < table.shape[0] and j >= 0 and table[row, w] + best[j] >= top:
                top, width = table[row, w] + best[j], w
        if width < 0:
            return out[:found]
        a, b = first[row * widths + width], first[row * widths + width + 1] - 1
        if b > a:
            out[found] = a + np.argmax(worths[a:b])
            found += 1
        node = following[node, width]


@allocating
def strips_of(table: Floats, rows: Ints, base: int, following: Ints, target: float) -> Ints:
    """Strips (n, 3) from a base that a sequence worth `target` can contain; see `StripGraph`."""
    nodes, widths = following.shape
    best, there = np.zeros(nodes), np.full(nodes, -np.inf)
    _onward(table, rows, base, following, best)
    there[0] = 0.0
    out = np.empty((nodes * widths, 3), np.int64)
    found = 0
    for i in range(nodes):
        row = base + rows[i]
        if there[i] == -np.inf or row >= table.shape[0]:
            continue
        for w in range(widths):
            j = following[i, w]
            if j >= 0 and there[i] + table[row, w] + best[j] >= target - HAIR:
                there[j] = max(there[j], there[i] + table[row, w])
                out[found, 0], out[found, 1], out[found, 2] = i, w, j
                found += 1
    return out[:found]


@allocating
def picked(mixes: Ints, first: Ints, which: Ints) -> tuple[Ints, Ints]:
    """The mixes of some strips, and where those of each begin."""
    begin = np.zeros(which.shape[0] + 1, np.int64)
    for n in range(which.shape[0]):
        begin[n + 1] = begin[n] + first[which[n] + 1] - first[which[n]]
    out = np.empty((begin[-1], mixes.shape[1]), np.int64)
    for n in range(which.shape[0]):
        out[begin[n] : begin[n + 1]] = mixes[first[which[n]] : first[which[n] + 1]]
    return out, begin


@allocating
def good_strips(edges: Ints, values: Floats, target: float) -> tuple[Ints, float]:
    """Which strips of a graph a sequence worth `target` can contain, and what the best sequence is worth."""
    nodes = edges[:, 2].max() + 1 if edges.shape[0] else 1
    best, there = np.zeros(nodes), np.full(nodes, -np.inf)
    for n in range(edges.shape[0] - 1, -1, -1):
        best[edges[n, 0]] = max(best[edges[n, 0]], values[n] + best[edges[n, 2]])
    there[0] = 0.0
    out = np.empty(edges.shape[0], np.int64)
    found = 0
    for n in range(edges.shape[0]):
        i, j = edges[n, 0], edges[n, 2]
        if there[i] + values[n] + best[j] >= target - HAIR:
            there[j] = max(there[j], there[i] + values[n])
            out[found] = n
            found += 1
    return out[:found], best[0]
