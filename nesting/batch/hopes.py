"""What a search may be hoped to get of a hide: its proven limits, cut down by what was got of others of its kind.

No layout reaches the limits, and what it reaches differs: long straps fill half of a shoulder, small pieces nearly all
of a bend. A plan that went by the limits alone would search hides that cannot hold what they promise. So each item is
tried alone on a hide of every kind, and what it gave there over its limit is hoped for on the others. Hopes steer
the search; nothing is proven by them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean

from nesting.batch.limits import Limits
from nesting.batch.searching import Call
from nesting.batch.task import Task

UNKNOWN = 0.85
"""Share of a limit hoped for while nothing was tried."""
TOGETHER = 1.25
"""Items mixed are hoped to fill a hide so much better than each alone, until mixes were tried."""
HALF = 0.5
"""A hide that gives n of an item has room for n to n + 1: for so much more on the average."""


@dataclass(frozen=True)
class Got:
    """What a call gave: so many of each item of the task."""

    call: Call
    counts: tuple[int, ...]

    @property
    def alone(self) -> int | None:
        """The item that was asked for, where it was one alone."""
        return self.call.items[0] if len(self.call.items) == 1 else None


class Hopes:
    """What is hoped of every group of hides, learnt from `got`."""

    def __init__(self, task: Task, limits: Sequence[Limits], got: Iterable[Got]) -> None:
        self.task, self.limits = task, limits
        self.got = list(got)
        self.rooms = [[_room(lim, i) for i in range(len(task.items))] for lim in limits]
        self.parts = self._parts()
        self.together = self._together()

    def of(self, group: int) -> Limits:
        """The hoped limits of a hide of the group."""
        alone = [self.alone(group, i) for i in range(len(self.task.items))]
        uses = tuple(1 / n if n > 0 else 0.0 for n in alone)
        return Limits(tuple(int(n + 1e-9) for n in alone), ((uses, self._for_mixes(group)),))

    def alone(self, group: int, item: int) -> float:
        """How many of an item alone, in fractions."""
        tried = [each.counts[item] for each in self.got if each.call.group == group and each.alone == item]
        if tried and max(tried) < self.task.wanted()[item]:
            return max(tried) + HALF
        return self.rooms[group][item] * self._part(kind(self.task, group), item)

    def _part(self, of: object, item: int) -> float:
        """The share of a limit: of the item on such hides, else of others on such hides, else of the item anywhere."""
        known = [self.parts.get((of, item))]
        known += [_mean(part for (each, _), part in self.parts.items() if each == of)]
        known += [_mean(part for (_, other), part in self.parts.items() if other == item)]
        return next((part for part in known if part is not None), UNKNOWN)

    def _parts(self) -> dict[tuple[object, int], float]:
        """By kind and item: the mean share of the limit that the item alone came to."""
        best: dict[tuple[object, int], dict[int, float]] = {}
        wanted = self.task.wanted()
        for each in self.got:
            item, group = each.alone, each.call.group
            if item is None or each.counts[item] >= wanted[item] or self.rooms[group][item] <= 0:
                continue
            part = min(1.0, (each.counts[item] + HALF) / self.rooms[group][item])
            row = best.setdefault((kind(self.task, group), item), {})
            row[group] = max(part, row.get(group, 0.0))
        return {key: fmean(row.values()) for key, row in best.items()}

    def filled(self, group: int, counts: Sequence[int]) -> float:
        """The share of a hide that a mix takes, by what its items alone are hoped to give."""
        alone = [self.alone(group, i) for i in range(len(counts))]
        return sum(n / most for n, most in zip(counts, alone, strict=True) if most > 0)

    def _mixes(self) -> dict[int, float]:
        """By group the fullest mix that a search ended with."""
        best: dict[int, float] = {}
        for each in self.got:
            if each.alone is None and any(each.counts):
                best[each.call.group] = max(self.filled(each.call.group, each.counts), best.get(each.call.group, 0.0))
        return best

    def _together(self) -> dict[object, float]:
        rows: dict[object, list[float]] = {}
        for group, part in self._mixes().items():
            rows.setdefault(kind(self.task, group), []).append(part)
        return {key: fmean(row) for key, row in rows.items()}

    def _for_mixes(self, group: int) -> float:
        return max(1.0, self.together.get(kind(self.task, group), TOGETHER))


def kind(task: Task, group: int) -> object:
    """Hides of one kind are hoped to be filled alike."""
    hide = task.groups[group].hide
    return hide.cut, hide.leather.casefold()


def kinds(task: Task) -> dict[object, list[int]]:
    """The groups of every kind."""
    found: dict[object, list[int]] = {}
    for g in range(len(task.groups)):
        found.setdefault(kind(task, g), []).append(g)
    return found


def _room(limits: Limits, item: int) -> float:
    """How many of an item alone the limits leave, in fractions."""
    told = [room / uses[item] for uses, room in limits.rows if uses[item] > 0]
    return min([limits.most[item] + 1 - 1e-6, *told]) if limits.most[item] else 0.0


def _mean(values: Iterable[float]) -> float | None:
    told = list(values)
    return fmean(told) if told else None
