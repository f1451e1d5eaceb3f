"""A pattern: what mix of items one hide of a group gives, with the layout that gives it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.batch.task import Task
from nesting.model.layout import Areas, Layout
from nesting.result.areas import usefulness


@dataclass(frozen=True)
class CuttingPattern:
    """`counts` of each item from one hide of the group, its cost less credit, and how useful what it leaves is.

    `leftover` adds up the squares of the offcuts' areas (m⁴): one large offcut counts for more than crumbs.
    """

    group: int
    counts: tuple[int, ...]
    cost: float
    leftover: float
    layout: Layout

    @property
    def rank(self) -> tuple[float, float]:
        """Of two patterns with the same counts, the one with the lower rank is better."""
        return self.cost, -self.leftover


def make_pattern(task: Task, group: int, items: Sequence[int], layout: Layout) -> CuttingPattern:
    """The pattern of a layout made for the wants of `items`, in that order."""
    counts = [0] * len(task.items)
    for item, count in zip(items, layout.counts, strict=True):
        counts[item] = count.complete
    only = layout.hides[0]
    return CuttingPattern(group, tuple(counts), net_cost(task, group, only.areas), usefulness(only.offcuts), layout)


def net_cost(task: Task, group: int, areas: Areas) -> float:
    """What cutting a hide of the group counts for, less the credit for the offcuts it leaves."""
    return task.groups[group].cost - task.groups[group].credit * areas.offcuts


class Pool:
    """The patterns known so far; of those with the same counts on the same group only the best is kept."""

    def __init__(self) -> None:
        self._best: dict[tuple[int, tuple[int, ...]], CuttingPattern] = {}

    def add(self, pattern: CuttingPattern) -> bool:
        """Take a pattern in; False where it brings nothing new (or is empty)."""
        key = pattern.group, pattern.counts
        known = self._best.get(key)
        if not any(pattern.counts) or (known is not None and known.rank <= pattern.rank):
            return False
        self._best[key] = pattern
        return True

    @property
    def patterns(self) -> tuple[CuttingPattern, ...]:
        """All of them, in the order in which they came."""
        return tuple(self._best.values())
