"""Column generation: new patterns at the prices of the restricted master (Gilmore, Gomory 1961), round after round."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.batch.bound import Source, best_mix, cover
from nesting.batch.choice import ChosenPatterns
from nesting.batch.limits import Limits
from nesting.batch.pattern import CuttingPattern
from nesting.batch.restricted_master import Prices, prices
from nesting.batch.searching import Call, Searcher, even_worths
from nesting.batch.starting import Filling, capped
from nesting.batch.task import Task

COVER_EFFORT = 0.5
MOST_SWAPS = 2
MOST_GROUPS = 24
"""Groups of hides priced in one round, the most promising ones."""


def improving_round(
    search: Searcher, limits: Sequence[Limits], effort: str, budget: float | None = None
) -> tuple[Prices, bool]:
    """One round: the prices, and whether new patterns came of it.

    The search is asked for the dearest mix of every group that could improve the relaxed plan at all; a group that
    its limits prove unable to is left alone. `budget`: see `prices`.
    """
    told = prices(search.task, search.pool.patterns, budget)
    before = len(search.pool.patterns)
    search.many(pricing_calls(search, limits, told, effort)[: search.left])
    return told, len(search.pool.patterns) > before


def pricing_calls(search: Searcher, limits: Sequence[Limits], told: Prices, effort: str) -> list[Call]:
    """A search for every group that may improve the relaxed plan, most promising first."""
    task = search.task
    hopes = []
    for g, group in enumerate(task.groups):
        worths = net_worths(search, told, g)
        if max(worths) > 0:
            source = Source(1, group.cost, limits[g], (0.0,) * len(worths))
            hope = best_mix(source, worths, task.wanted())[0] - told.groups[g] - told.rate * group.cost
            hopes.append((-hope, g, worths))
    calls = [_call(search, limits[g], g, worths, effort) for hope, g, worths in sorted(hopes) if hope < -1e-7]
    return calls[:MOST_GROUPS]


def net_worths(search: Searcher, told: Prices, group: int) -> tuple[float, ...]:
    """The items' prices less the credit lost for the leather they take; nought where an item does not suit."""
    credit = told.rate * search.task.groups[group].credit
    row = search.task.products[group]
    return tuple(
        max(0.0, price - credit * product.area) if product is not None else 0.0
        for price, product in zip(told.items, row, strict=True)
    )


def _call(search: Searcher, limits: Limits, group: int, worths: Sequence[float], effort: str) -> Call:
    wanted = search.task.wanted()
    items = tuple(i for i, worth in enumerate(worths) if worth > 0 and limits.most[i] > 0)
    caps = tuple(capped(wanted[i], limits.most[i]) for i in items)
    return Call(group, items, even_worths([worths[i] for i in items]), caps, effort)


def dive(search: Searcher, limits: Sequence[Limits], told: Prices, effort: str) -> None:
    """Round the relaxed plan down to whole hides, then fill what remains, hide after hide, at the prices."""
    patterns = search.pool.patterns
    filling = Filling(search, limits, effort)
    by_use = sorted(zip(told.used, range(len(told.used)), strict=True), key=lambda pair: (-pair[0], pair[1]))
    for used, place in by_use:
        _take_within(filling, patterns[place], int(used + 1e-6))
    if not filling.taken and by_use and by_use[0][0] > 1e-6:
        _take_within(filling, patterns[by_use[0][1]], 1)
    worths = [price if price > 0 else 1e-3 for price in told.items]
    filling.mixed(promising(search, limits, worths), worths)


def _take_within(filling: Filling, pattern: CuttingPattern, times: int) -> None:
    """Cut by the pattern as often as asked, while hides are free and it gives nothing that is not wanted."""
    for _ in range(times):
        fits = all(c <= n for c, n in zip(pattern.counts, filling.remaining, strict=True))
        if not fits or not filling.free[pattern.group]:
            return
        filling.take(pattern)


def promising(search: Searcher, limits: Sequence[Limits], worths: Sequence[float]) -> list[int]:
    """All groups, those first whose limits allow the most worth for their cost."""
    task = search.task
    ratios = []
    for g, group in enumerate(task.groups):
        here = [w if p is not None else 0.0 for w, p in zip(worths, task.products[g], strict=True)]
        source = Source(1, group.cost, limits[g], (0.0,) * len(here))
        ratios.append((-best_mix(source, here, task.wanted())[0] / (group.cost + 1e-9), g))
    return [g for _, g in sorted(ratios)]


def polishing_calls(
    search: Searcher, limits: Sequence[Limits], chosen: Sequence[CuttingPattern], effort: str
) -> list[Call]:
    """The chosen patterns' hides again at a higher effort: each for all that is wanted, at the master's prices."""
    told = prices(search.task, search.pool.patterns)
    calls = []
    for pattern in chosen:
        worths = net_worths(search, told, pattern.group)
        if max(worths) > 0:
            calls.append(_call(search, limits[pattern.group], pattern.group, worths, effort))
    return calls


def aim_at_cover(search: Searcher, limits: Sequence[Limits], part: float, below: float, effort: str) -> bool:
    """Ask the search for the very mixes of the cheapest cover by limits of which `part` of the room can be had.

    The cover is a plan that would be better than one costing `below`, could every hide be filled that densely.
    False where there is no such cover.
    """
    task = search.task
    sources = [
        Source(group.many, group.cost, _narrowed(limits[g], part), (0.0,) * len(task.items))
        for g, group in enumerate(task.groups)
    ]
    told = cover(sources, task.wanted(), COVER_EFFORT)
    if told is None or not told.cuts or told.bound >= below - 1e-6:
        return False
    calls = [exact_call(search, g, mix, effort) for g, mix in told.cuts if any(mix)]
    search.many(calls[: search.left])
    return True


def swap(search: Searcher, limits: Sequence[Limits], choice: ChosenPatterns, effort: str) -> None:
    """Ask whether what a chosen hide must give also goes on a cheaper one, or on an offcut that costs no more."""
    task, patterns = search.task, search.pool.patterns
    chosen = [p for n, p in zip(choice.uses, patterns, strict=False) for _ in range(n)]
    given = [sum(p.counts[i] for p in chosen) for i in range(len(task.items))]
    over = [max(0, n - need) for n, need in zip(given, task.wanted(choice.filled), strict=True)]
    free = [group.many - sum(p.group == g for p in chosen) for g, group in enumerate(task.groups)]
    calls = []
    for pattern in chosen:
        mix = tuple(max(0, n - more) for n, more in zip(pattern.counts, over, strict=True))
        fit = [g for g, many in enumerate(free) if many and _cheaper(task, g, pattern.group) and limits[g].allow(mix)]
        ranked = sorted(fit, key=lambda g: (task.groups[g].cost, task.groups[g].hide.cut != "offcut", g))
        calls += [exact_call(search, g, mix, effort) for g in ranked[:MOST_SWAPS] if any(mix)]
    search.many(calls[: min(search.left, 3 * MOST_SWAPS)])


def _cheaper(task: Task, group: int, than: int) -> bool:
    """Whether a hide of the group counts for less; at equal cost, whether it spares a whole hide."""
    new, old = task.groups[group], task.groups[than]
    spares = new.hide.cut == "offcut" and old.hide.cut != "offcut"
    return new.cost < old.cost - 1e-9 or (spares and new.cost <= old.cost + 1e-9)


def density(search: Searcher, limits: Sequence[Limits]) -> float:
    """The greatest part of a limit's room that any pattern so far uses."""
    return max(
        (
            sum(u * n for u, n in zip(uses, pattern.counts, strict=True)) / room
            for pattern in search.pool.patterns
            for uses, room in limits[pattern.group].rows
            if room > 0
        ),
        default=1.0,
    )


def _narrowed(limits: Limits, part: float) -> Limits:
    return Limits(limits.most, tuple((uses, room * min(1.0, part)) for uses, room in limits.rows))


def exact_call(search: Searcher, group: int, mix: Sequence[int], effort: str) -> Call:
    """The search for just this mix of items on a hide of the group."""
    items = tuple(i for i, n in enumerate(mix) if n)
    return Call(group, items, even_worths([search.task.area(i) for i in items]), tuple(mix[i] for i in items), effort)
