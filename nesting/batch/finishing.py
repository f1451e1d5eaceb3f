"""From chosen patterns to hides to cut: nothing beyond the order, the best leftover, whole products numbered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from hides.errors import LayoutFault
from hides.hide import Hide, Price
from nesting.batch.leaving import Leaving
from nesting.batch.limits import LimitsOf
from nesting.batch.one_leather import kinds_of_products
from nesting.batch.pattern import CuttingPattern
from nesting.batch.plan import PlannedHide
from nesting.batch.planner import ChosenPlan
from nesting.batch.task import Task
from nesting.check import faults
from nesting.model.layout import Layout, Placement, ProductCount
from nesting.model.product import Product
from nesting.model.settings import Settings, Stop, never
from nesting.model.value_table import USUAL, ValueTable
from nesting.result.areas import usefulness
from nesting.result.thinned import strips_of, thin
from nesting.stock.split import kept_values

Again = Callable[[int, tuple[int, ...]], CuttingPattern | None]
"""Searches a hide of a group once more for just these counts."""


def cuts(
    task: Task,
    chosen: ChosenPlan,
    settings: Settings,
    limits_of: LimitsOf,
    again: Again,
    parting: ValueTable | Price | None = None,
    leaving: Leaving | None = None,
    stop: Stop = never,
) -> tuple[PlannedHide, ...]:
    """The hides to cut, those with the earliest due products first, then in stock order. Every layout is checked.

    `parting` says what of a hide's price stays in its offcuts; `leaving` chooses what a hide leaves. After
    `stop` bounds are told as they are by then.
    """
    taken: Counter[int] = Counter()
    told = []
    for pattern, counts in _trimmed(task, chosen):
        hide = task.groups[pattern.group].hides[taken[pattern.group]]
        place = task.groups[pattern.group].places[taken[pattern.group]]
        taken[pattern.group] += 1
        found = _exact(task, pattern, counts, again)
        laid = leaving.better(pattern.group, counts, found) if leaving else _most_useful(found)
        layout = _numbered(task, pattern.group, laid, hide, settings, _Limiting(limits_of, stop))
        due = min(task.demands[item.demand].first_due for item, n in zip(task.items, counts, strict=True) if n)
        cut = _cut(task, pattern.group, layout, parting or USUAL)
        told.append((due, place, replace(cut, still=leaving.told(pattern.group, laid) if leaving else {})))
    return tuple(cut for _, _, cut in sorted(told, key=lambda each: each[:2]))


@dataclass(frozen=True)
class _Limiting:
    """What tells the limits of a hide, and what cuts it short."""

    of: LimitsOf
    stop: Stop


def _trimmed(task: Task, chosen: ChosenPlan) -> list[tuple[CuttingPattern, tuple[int, ...]]]:
    """Every hide to cut with what it is to give: what is over the order is left off the emptiest hides."""
    used = zip(chosen.choice.uses, chosen.patterns, strict=False)
    hides = [(pattern, list(pattern.counts)) for uses, pattern in used for _ in range(uses)]
    areas = [task.area(i) for i in range(len(task.items))]
    by_load = sorted(range(len(hides)), key=lambda h: (sum(a * n for a, n in zip(areas, hides[h][1], strict=True)), -h))
    for i, groups, need in _needs(task, chosen.choice.filled, hides):
        here = [h for h in by_load if hides[h][0].group in groups]
        over = sum(hides[h][1][i] for h in here) - need
        for h in here:
            off = min(max(0, over), hides[h][1][i])
            hides[h][1][i] -= off
            over -= off
    return [(pattern, tuple(counts)) for pattern, counts in hides if any(counts)]


def _needs(
    task: Task, filled: Sequence[int], hides: Sequence[tuple[CuttingPattern, Sequence[int]]]
) -> list[tuple[int, Sequence[int], int]]:
    """(item, groups, number): what is needed of every item from hides of these groups together.

    Where the pieces of one product are to be alike, what is needed of each kind of leather is told by itself.
    """
    told: list[tuple[int, Sequence[int], int]] = []
    for d, left in enumerate(filled):
        items = [i for i, item in enumerate(task.items) if item.demand == d]
        kinds = kinds_of_products(task, d) or ((),)
        for kind in kinds:
            have = [sum(counts[i] for p, counts in hides if p.group in kind) // task.items[i].each for i in items]
            made = min(left, *have)
            left -= made
            told += [(i, kind, made * task.items[i].each) for i in items]
    return told


def _exact(task: Task, pattern: CuttingPattern, counts: tuple[int, ...], again: Again) -> list[Layout]:
    """Layouts with just these counts: the pattern's own, or it thinned and one that is searched anew."""
    if counts == pattern.counts:
        return [pattern.layout]
    thinned = _thinned(task, pattern, counts)
    fresh = again(pattern.group, counts)
    return [thinned] if fresh is None or fresh.counts != counts else [thinned, fresh.layout]


def _most_useful(layouts: Sequence[Layout]) -> Layout:
    return max(layouts, key=lambda layout: usefulness(layout.hides[0].offcuts))


def _thinned(task: Task, pattern: CuttingPattern, counts: tuple[int, ...]) -> Layout:
    """The pattern's layout with products left off at one end of the numbering (they are numbered along the hide)."""
    layout = pattern.layout
    for i, (had, keep) in enumerate(zip(pattern.counts, counts, strict=True)):
        product = task.products[pattern.group][i]
        if product is not None and keep < had:
            ends = [_without(layout, product.name, range(first, first + had - keep)) for first in (1, keep + 1)]
            layout = max(ends, key=lambda end: usefulness(end.hides[0].offcuts))
    return layout


def _without(layout: Layout, product: str, numbers: range) -> Layout:
    return thin(layout, [p for p in layout.hides[0].placements if p.product != product or p.number not in numbers])


def _numbered(task: Task, group: int, layout: Layout, hide: Hide, settings: Settings, limiting: _Limiting) -> Layout:
    """The layout told in whole products, numbered from 1 on this hide, with the bound of each; it has passed its check.

    Pieces of a product that is spread over several hides have the number 0, being beyond the last one complete here.
    """
    only = layout.hides[0]
    real = _real_products(task, group)
    placements = [replace(each, product=real[each.product].name) for each in only.placements]
    products = _distinct(real[each.product] for each in only.placements)
    counts = [_complete(product, placements) for product in products]
    most = limiting.of(hide, products, settings, limiting.stop).most
    by_product = [
        _renumbered(product, count, [each for each in placements if each.product == product.name])
        for product, count in zip(products, counts, strict=True)
    ]
    told = tuple(
        ProductCount(product.name, count, top) for product, count, top in zip(products, counts, most, strict=True)
    )
    rows = tuple(p for row in by_product for p in row)
    on = replace(only, hide=hide.with_edge(only.hide.edge), placements=rows, straight=strips_of(only, rows))
    whole = replace(layout, counts=told, products=tuple(products), effort=settings.effort, hides=(on,))
    return _checked(whole)


def _real_products(task: Task, group: int) -> dict[str, Product]:
    """The demand's product by the name of the item that stands for it, or for one of its pieces."""
    real = {}
    for item, product in zip(task.items, task.products[group], strict=True):
        if product is not None:
            whole = task.demands[item.demand].product_on(task.groups[group].hide)
            assert whole is not None
            real[product.name] = whole
    return real


def _distinct(products: object) -> list[Product]:
    found: dict[str, Product] = {}
    for product in products:  # type: ignore[attr-defined]
        found.setdefault(product.name, product)
    return list(found.values())


def _complete(product: Product, placements: Sequence[Placement]) -> int:
    have = Counter(each.piece for each in placements if each.product == product.name)
    return min(have[piece.name] // piece.count for piece in product.pieces)


def _renumbered(product: Product, complete: int, placements: Sequence[Placement]) -> list[Placement]:
    """Pieces numbered from 1 in their old order, so many to a product; 0 beyond the last complete one."""
    each = {piece.name: piece.count for piece in product.pieces}
    seen: Counter[str] = Counter()
    told = []
    for placement in sorted(placements, key=lambda p: p.number):
        number = seen[placement.piece] // each[placement.piece] + 1
        seen[placement.piece] += 1
        told.append(replace(placement, number=number if number <= complete else 0))
    return sorted(told, key=lambda p: (p.number == 0, p.number))


def _checked(layout: Layout) -> Layout:
    found = faults(layout)
    if found:
        raise LayoutFault(f"the layout of hide “{layout.hides[0].hide.name}” failed its check: {found[0]}")
    return layout


def _cut(task: Task, group: int, layout: Layout, parting: ValueTable | Price) -> PlannedHide:
    only = layout.hides[0]
    cost = (only.hide.cost or 0.0) if task.priced else 0.0
    kept = sum(kept_values(only, round(cost * 100), parting)) / 100
    credit = parting.per_mm2 if isinstance(parting, Price) and task.groups[group].credit else 0.0
    return PlannedHide(layout, cost, credit * only.areas.offcuts, kept)
