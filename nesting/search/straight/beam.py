"""A quick good choice of strips: a beam search over the graph of strips, from the line upwards.

At every node the partial plans are kept whose pieces, none counted beyond what is wanted, are worth most at the
multipliers of the bound (Della Croce, T'kindt: A recovering beam search algorithm. JORS 53, 2002, for the idea).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.search.straight.choose import Chosen, StripEdge

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class _Kept:
    """Partial plans that end at a node: counts (s, kinds), and for each the plan it goes on from, its edge and mix."""

    counts: Ints
    before: Ints
    edge: Ints
    mix: Ints
    node: Ints


def beam(edges: Sequence[StripEdge], need: Sequence[int], most: int, worth: Floats, wide: int) -> Chosen:
    """The plan of most products found, no more than `most`; lower ones first among equals. Edges by their start."""
    wanted = np.array(need, np.int64) * most
    asked = np.flatnonzero(wanted)
    start = _Kept(np.zeros((1, len(wanted)), np.int64), *(np.array([-1]) for _ in range(4)))
    ahead: dict[int, list[_Kept]] = {0: [start]}
    kept: dict[int, _Kept] = {}
    best: tuple[int, int, int] | None = None
    by_start: dict[int, list[int]] = {}
    for number, edge in enumerate(edges):
        by_start.setdefault(edge.start, []).append(number)
    for node in sorted({0, *by_start, *(edge.after for edge in edges)}):
        if node not in ahead:
            continue
        kept[node] = here = _best(ahead.pop(node), worth, wide)
        full = (here.counts[:, asked] // np.array(need)[asked]).min(axis=1)
        top = int(full.argmax())
        if best is None or full[top] > best[0]:
            best = int(full[top]), node, top
        for number in by_start.get(node, []):
            edge = edges[number]
            ahead.setdefault(edge.after, []).append(_grown(here, node, number, edge, wanted))
    assert best is not None
    return Chosen(best[0], _path(kept, edges, best[1], best[2]), False, 0.0)


def _grown(here: _Kept, node: int, number: int, edge: StripEdge, wanted: Ints) -> _Kept:
    """Every plan of a node with every mix of an edge."""
    many, mixes = len(here.counts), len(edge.mixes)
    counts = np.minimum(here.counts[:, None, :] + edge.mixes[None, :, :], wanted).reshape(many * mixes, -1)
    before = np.repeat(np.arange(many), mixes)
    mix = np.tile(np.arange(mixes), many)
    return _Kept(counts, before, np.full(len(before), number), mix, np.full(len(before), node))


def _best(found: Sequence[_Kept], worth: Floats, wide: int) -> _Kept:
    """The plans worth most, each mix of counts once."""
    counts = np.vstack([each.counts for each in found])
    value = np.round(counts @ worth, 9)
    order = np.argsort(-value, kind="stable")[: wide * 4]
    _, first = np.unique(counts[order], axis=0, return_index=True)
    order = order[np.sort(first)][:wide]
    rows = (
        np.concatenate([getattr(each, name) for each in found])[order] for name in ("before", "edge", "mix", "node")
    )
    return _Kept(counts[order], *rows)


def _path(kept: dict[int, _Kept], edges: Sequence[StripEdge], node: int, at: int) -> tuple[tuple[StripEdge, int], ...]:
    out = []
    while node != 0:
        here = kept[node]
        out.append((edges[int(here.edge[at])], int(here.mix[at])))
        node, at = int(here.node[at]), int(here.before[at])
    return tuple(reversed(out))
