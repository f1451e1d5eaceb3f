"""Which hides of a large stock are worth searching: those that the cheapest cover by proven limits takes.

A plan uses few of many hides, and a fixed budget spread over all of them finds poor patterns on each. The cover
(`bound.cover`) asks every hide for more than is wanted, since layouts do not reach the limits; what it takes is planned
with the whole budget, so that more hides on the shelf do not make a dearer plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from nesting.batch.bound import cover, sources
from nesting.batch.limits import Limits
from nesting.batch.one_leather import Given

ASKED = (1.0, 1.25, 1.5)
"""How many times what is wanted the covers ask for: layouts reach some seven tenths of the limits or more."""

EFFORT = 0.5
LARGE = 12
"""Stocks of up to so many unlike hides are searched whole."""

MOST_KEPT = 0.75
"""A stock is narrowed only where at least a quarter of its hides are left alone."""


def narrowed(given: Given) -> Given | None:
    """The same with the promising hides alone; None where nearly all are needed, or where that cannot be told."""
    task = given.task
    if len(task.groups) <= LARGE:
        return None
    wanted = [demand.wanted for demand in task.demands]
    kept: set[int] = set()
    for times in ASKED:
        asked = task.wanted([math.ceil(n * times) for n in wanted])
        found = cover(sources(task, given.limits), asked, EFFORT)
        kept |= {group for group, _ in found.cuts} if found else set()
    hides = sum(task.groups[g].many for g in kept)
    if not kept or hides > MOST_KEPT * sum(group.many for group in task.groups):
        return None
    return _only(given, sorted(kept))


def _only(given: Given, groups: Sequence[int]) -> Given:
    task = given.task
    own = replace(task, groups=tuple(task.groups[g] for g in groups), products=tuple(task.products[g] for g in groups))
    limits: tuple[Limits, ...] = tuple(given.limits[g] for g in groups)
    return Given(given.groups, own, limits)
