"""Plans to start from: hides filled one after the other, product by product or mixed."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.batch.limits import Limits
from nesting.batch.pattern import CuttingPattern
from nesting.batch.searching import Call, Searcher, even_worths
from nesting.batch.task import Task

SMALLER_TRIES = 2
"""How often a fill tries whether all that remains goes on a smaller hide."""


class Filling:
    """Hides taken one by one for what remains of an order. Every pattern met goes into the searcher's pool."""

    def __init__(self, search: Searcher, limits: Sequence[Limits], effort: str) -> None:
        self.search, self.limits, self.effort = search, limits, effort
        self.task: Task = search.task
        self.remaining = list(self.task.wanted())
        self.free = [group.many for group in self.task.groups]
        self.taken: list[CuttingPattern] = []

    def take(self, pattern: CuttingPattern, times: int = 1) -> None:
        """Cut hides by the pattern."""
        self.taken += [pattern] * times
        self.free[pattern.group] -= times
        self.remaining = [n - times * c for n, c in zip(self.remaining, pattern.counts, strict=True)]

    @property
    def open(self) -> bool:
        """Whether anything remains to be cut."""
        return any(n > 0 for n in self.remaining)

    def product_by_product(self) -> None:
        """Each demand in turn, hide after hide in stock order, one product to a hide: as `yield` would be used."""
        for demand in range(len(self.task.demands)):
            items = [i for i, item in enumerate(self.task.items) if item.demand == demand]
            while (batch := self._next_hides(items)) and self.search.left:
                calls = [call for group in batch if (call := self.call(group, items, None)) is not None]
                for pattern in self.search.many(calls):
                    if pattern is None:
                        return
                    self.take(pattern)

    def mixed(self, groups: Sequence[int], worths: Sequence[float]) -> None:
        """All that remains, on hides of `groups` in this order, at these worths of the items."""
        tries = SMALLER_TRIES
        queue = [group for group in groups for _ in range(self.free[group])]
        items = list(range(len(self.task.items)))
        while self.open and queue and self.search.left:
            smaller = self._smallest_for_all(queue) if tries else None
            group = queue[0] if smaller is None else smaller
            call = self.call(group, items, worths)
            ahead = self._surely_next(queue, items, worths) if smaller is None else []
            pattern = None if call is None else self.search.many([call, *ahead])[0]
            if smaller is not None and not (pattern and self._fills_all(pattern)):
                tries -= 1
                continue
            queue.remove(group)
            if pattern is not None and any(pattern.counts):
                self.take(pattern)

    def call(self, group: int, items: Sequence[int], worths: Sequence[float] | None) -> Call | None:
        """What to ask of a hide of the group: those of `items` that suit it, as many as remain; None if none do.

        Without `worths` an item is worth its area.
        """
        row, most = self.task.products[group], self.limits[group].most
        chosen = tuple(i for i in items if row[i] is not None and self.remaining[i] > 0 and most[i] > 0)
        told = [self.task.area(i) if worths is None else worths[i] for i in chosen]
        if not chosen or max(told) <= 0:
            return None
        caps = tuple(capped(self.remaining[i], most[i]) for i in chosen)
        return Call(group, chosen, even_worths(told), caps, self.effort)

    def _surely_next(self, queue: Sequence[int], items: Sequence[int], worths: Sequence[float]) -> list[Call]:
        """The call for the second hide of the queue, if it will be the same whatever the first one gives.

        It is made together with the first one's, so that two workers have something to do.
        """
        if len(queue) < 2 or self.search.left < 2:
            return []
        both = [sum(pair) for pair in zip(*(self.limits[group].most for group in queue[:2]), strict=True)]
        if any(0 < self.remaining[i] < both[i] for i in items):
            return []
        call = self.call(queue[1], items, worths)
        return [] if call is None else [call]

    def surely_needed(self) -> int:
        """How many hides `product_by_product` takes at the very least, were every hide filled to its limits."""
        for demand in range(len(self.task.demands)):
            items = [i for i, item in enumerate(self.task.items) if item.demand == demand]
            for group in self._next_hides(items):
                self.free[group] -= 1
        return sum(group.many for group in self.task.groups) - sum(self.free)

    def _next_hides(self, items: Sequence[int]) -> list[int]:
        """The next free hides in stock order that the items surely need all of; at least one while any remain."""
        need = {i: self.remaining[i] for i in items}
        batch: list[int] = []
        free = list(self.free)
        for group in self._stock_order():
            if all(n <= 0 for n in need.values()):
                break
            row = self.task.products[group]
            if free[group] and any(row[i] is not None and self.limits[group].most[i] for i in items):
                free[group] -= 1
                batch.append(group)
                need = {i: n - self.limits[group].most[i] for i, n in need.items()}
        return batch

    def _stock_order(self) -> list[int]:
        """Groups in stock order, once for each hide."""
        places = [(place, g) for g, group in enumerate(self.task.groups) for place in group.places[: self.free[g]]]
        return [group for _, group in sorted(places)]

    def _smallest_for_all(self, queue: Sequence[int]) -> int | None:
        """The cheapest hide, cheaper than the next in the queue, on which the limits allow all that remains."""
        rest = [max(0, n) for n in self.remaining]
        costs = [group.cost for group in self.task.groups]
        fit = [g for g in set(queue) if costs[g] < costs[queue[0]] and self.limits[g].allow(rest)]
        return min(fit, key=lambda g: (costs[g], g), default=None)

    def _fills_all(self, pattern: CuttingPattern) -> bool:
        return all(c >= n for c, n in zip(pattern.counts, self.remaining, strict=True))


def capped(remaining: int, most: int) -> int | None:
    """The limit to give a search: None where it could never bind, so that the same search is asked again."""
    return None if remaining >= most else max(0, remaining)
