"""A quick good choice of strips: a beam search over the graph of strips, from the line upwards.

At every node the partial plans are kept whose pieces, none counted beyond what is wanted, are worth most at the
multipliers of the bound (Della Croce, T'kindt: A recovering beam search algorithm. JORS 53, 2002, for the idea).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from nesting.engine.compiled import allocating, compiled
from nesting.search.straight.choose import Chosen
from nesting.search.straight.lattice_kernel import Floats, Ints, StripGraph

EQUAL = 1e9
"""Worths that are the same to so many parts of one are equal."""
ALIKE = 4
"""So many times as many plans as are kept are looked at for such as give the same."""


def beam(graph: StripGraph, need: Sequence[int], most: int, worth: Floats, wide: int) -> Chosen:
    """The plan of most products found, no more than `most`; lower ones first among equals."""
    nodes, places = np.unique(np.append(graph.edges[:, [0, 2]].ravel(), 0), return_inverse=True)
    ends = np.ascontiguousarray(places[:-1].reshape(-1, 2))
    by_end = np.argsort(ends[:, 1], kind="stable")
    products, strips = _search(ends, by_end, len(nodes), graph.mixes, graph.first, np.array(need), most, worth, wide)
    return Chosen(int(products), tuple((int(edge), int(mix)) for edge, mix in strips), False, 0.0)


@allocating
def _search(
    ends: Ints, by_end: Ints, nodes: int, mixes: Ints, first: Ints, need: Ints, most: int, worth: Floats, wide: int
) -> tuple[int, Ints]:
    """The most products, and the strips with their mixes from the base.

    `ends` (n, 2) are the nodes that a strip leads from and to, `by_end` the strips in order of the latter.
    """
    counts = np.zeros((nodes * wide + 1, need.shape[0]), np.int64)  # of the plans kept, those of a node together
    trail = np.full((nodes * wide + 1, 3), -1, np.int64)  # strip, mix, and the plan before
    begin = np.ones(nodes + 1, np.int64)
    begin[0] = 0
    values, offers = np.empty(2 * ALIKE * wide, np.int64), np.empty((2 * ALIKE * wide, 3), np.int64)
    best, best_plan, going = 0, 0, 0
    for node in range(1, nodes):
        many, least = 0, -1
        while going < by_end.shape[0] and ends[by_end[going], 1] == node:
            strip = by_end[going]
            going += 1
            for before in range(begin[ends[strip, 0]], begin[ends[strip, 0] + 1]):
                for mix in range(first[strip], first[strip + 1]):
                    value = _value(counts, before, mixes, mix, need, most, worth)
                    if value > least:
                        values[many] = value
                        offers[many, 0], offers[many, 1], offers[many, 2] = strip, mix, before
                        many += 1
                    if many == values.shape[0]:
                        many = _likeliest(values, offers, many, ALIKE * wide)
                        least = values[many - 1]
        many = _likeliest(values, offers, many, ALIKE * wide)
        begin[node + 1] = _keep(values, offers, many, counts, trail, begin[node], wide, mixes, need * most)
        for plan in range(begin[node], begin[node + 1]):
            products = _products(counts, plan, need)
            if products > best:
                best, best_plan = products, plan
    return best, _path(trail, best_plan, first)


@compiled
def _value(counts: Ints, before: int, mixes: Ints, mix: int, need: Ints, most: int, worth: Floats) -> int:
    """What a plan is worth with a mix more, in parts of a product."""
    value = 0.0
    for k in range(need.shape[0]):
        value += min(counts[before, k] + mixes[mix, k], need[k] * most) * worth[k]
    return int(np.rint(value * EQUAL))


@compiled
def _products(counts: Ints, plan: int, need: Ints) -> int:
    """How many whole products pieces are."""
    products = -1
    for k in range(need.shape[0]):
        if need[k] and (products < 0 or counts[plan, k] // need[k] < products):
            products = counts[plan, k] // need[k]
    return products


@allocating
def _likeliest(values: Ints, offers: Ints, many: int, kept: int) -> int:
    """The offers in order of their values, those that came first among equals; so many are kept."""
    order = np.argsort(-values[:many], kind="mergesort")
    many = min(many, kept)
    values[:many], offers[:many] = values[order[:many]], offers[order[:many]]
    return many


@compiled
def _keep(
    values: Ints, offers: Ints, many: int, counts: Ints, trail: Ints, begin: int, wide: int, mixes: Ints, wanted: Ints
) -> int:
    """Enter a node's plans, each sum of pieces once; where the next node's begin."""
    end, run = begin, begin  # plans from `run` on are worth the same
    for n in range(many):
        if end == begin + wide:
            break
        if n and values[n] < values[n - 1]:
            run = end
        for k in range(wanted.shape[0]):
            counts[end, k] = min(counts[offers[n, 2], k] + mixes[offers[n, 1], k], wanted[k])
        alike = False
        for plan in range(run, end):
            same = True
            for k in range(wanted.shape[0]):
                same = same and counts[plan, k] == counts[end, k]
            alike = alike or same
        if not alike:
            for column in range(3):
                trail[end, column] = offers[n, column]
            end += 1
    return end


@allocating
def _path(trail: Ints, plan: int, first: Ints) -> Ints:
    """The strips of a plan from the base, each with its mix among those it can give."""
    many, at = 0, plan
    while trail[at, 0] >= 0:
        many, at = many + 1, trail[at, 2]
    out = np.empty((many, 2), np.int64)
    for n in range(many - 1, -1, -1):
        out[n, 0], out[n, 1] = trail[plan, 0], trail[plan, 1] - first[trail[plan, 0]]
        plan = trail[plan, 2]
    return out
