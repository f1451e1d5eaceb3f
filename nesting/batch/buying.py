"""What to buy where the stock does not suffice: an estimate on typical outlines, in the cuts the maker buys."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from hides.errors import InputError
from hides.hide import Hide, Thickness
from hides.units import AREA_UNITS
from nesting.batch.demand import demands
from nesting.batch.limits import task_limits
from nesting.batch.make_plan import Tools
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan, Purchase
from nesting.batch.planner import PlanBudget, choose_patterns
from nesting.batch.searching import Searcher
from nesting.batch.task import make_task
from nesting.model.settings import Settings, Watch

Outline = Callable[[str, float], Hide]
"""A typical hide of a cut, scaled to an area (mm²): an estimate, with the backbone drawn in."""

USUAL = (("side", 22.0), ("double shoulder", 14.0), ("bend", 11.0))
"""Cuts and marked areas (sq ft) to try where the stock gives no example (common practice)."""
MOST_KINDS = 3
MOST_HIDES = 200
BUDGET = PlanBudget("quick", 8, 2, 0)


def to_buy(
    plan: Plan, hides: Sequence[Hide], outline: Outline, tools: Tools, settings: Settings, watch: Watch
) -> tuple[Purchase, ...]:
    """For each of a few kinds of hide: how many more would fill what the plan lacks. Cheapest first, then fewest.

    Empty where nothing is short, or where no typical hide gives even one of what is short.
    """
    order = shortage(plan)
    if not order.lines:
        return ()
    found = [
        purchase
        for kind in _kinds(order, hides)
        if not watch.stop() and (purchase := _purchase(order, kind, outline, tools, settings, watch)) is not None
    ]
    return tuple(sorted(found, key=lambda each: (each.cost is None, each.cost or 0.0, each.hides)))


def shortage(plan: Plan) -> Order:
    """What the plan lacks as an order of its own."""
    lines = []
    for place, demand in enumerate(plan.demands):
        lack = plan.short(place)
        for line in reversed(demand.lines):
            part = min(lack, line.wanted)
            lack -= part
            if part:
                lines.append(replace(line, quantity=part, spares=0.0, name=demand.name))
    return Order(plan.order.name, tuple(lines), None, plan.order.source)


def _kinds(order: Order, hides: Sequence[Hide]) -> Iterator[Hide]:
    """Hides as they could be bought, most usual in the stock first: those that suit a line, else the usual cuts."""
    bought = [hide for hide in hides if hide.cut != "offcut" and not hide.parent and any(_suits(order, hide))]
    like = Counter((hide.cut, _quarter(hide.paid_area), hide.price, hide.thickness, hide.leather) for hide in bought)
    if not like:
        for cut, feet in USUAL:
            yield _wished(order.lines[0], cut, feet * AREA_UNITS["sq ft"])
        return
    seen: set[tuple[object, ...]] = set()
    for cut, area, price, stack, leather in sorted(like, key=lambda key: -like[key]):
        if (cut, leather, stack) not in seen and len(seen) < MOST_KINDS:
            seen.add((cut, leather, stack))
            yield Hide(cut, (), cut, thickness=stack, area=area, price=price, leather=leather)


def _suits(order: Order, hide: Hide) -> list[bool]:
    return [True for line in order.lines if line.suits(hide)]


def _wished(line: OrderLine, cut: str, area: float) -> Hide:
    return Hide(cut, (), cut, thickness=line.thickness or Thickness(4.0, 4.4), area=area, leather=line.leather)


def _quarter(area: float) -> float:
    """An area to the quarter of a square foot, as hides are marked."""
    quarter = AREA_UNITS["sq ft"] / 4
    return max(1, round(area / quarter)) * quarter


def _purchase(
    order: Order, kind: Hide, outline: Outline, tools: Tools, settings: Settings, watch: Watch
) -> Purchase | None:
    area = kind.paid_area
    typical = outline(kind.cut, area)
    hide = replace(typical, thickness=kind.thickness, leather=kind.leather, price=kind.price, area=area)
    wanted = demands(order, [hide], tools.read)
    many = min(MOST_HIDES, sum(demand.wanted for demand in wanted))
    task = make_task(wanted, [hide] * many)
    if not task.groups:
        return None
    search = Searcher(task, replace(settings, effort="quick"), watch, tools.solve)
    try:
        limits = task_limits([hide], task.products, settings, tools.limits_of)
        chosen = choose_patterns(search, limits, BUDGET)
    except InputError:
        return None  # this kind of hide does not go with the product
    if not any(chosen.choice.filled):
        return None
    cost = None if kind.cost is None else kind.cost * chosen.choice.hides
    given = {demand.name: n for demand, n in zip(wanted, chosen.choice.filled, strict=True) if n}
    return Purchase(kind.cut, area, kind.leather, chosen.choice.hides, cost, task.currency, given)
