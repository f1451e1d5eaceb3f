"""What to buy where the stock does not suffice: an estimate on typical outlines, in the cuts the maker buys."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from hides.errors import InputError
from hides.hide import Hide, Thickness
from hides.typical import typical_hide
from hides.typical_flaws import with_typical_flaws
from hides.units import AREA_UNITS
from nesting.batch.demand import Read, any_thickness, demands
from nesting.batch.limits import task_limits
from nesting.batch.make_plan import Tools
from nesting.batch.order import Order, OrderLine
from nesting.batch.past import Outline, past_of
from nesting.batch.plan import Plan, Purchase
from nesting.batch.planner import PlanBudget, choose_patterns
from nesting.batch.searching import Searcher
from nesting.batch.supply import Supply
from nesting.batch.task import make_task
from nesting.model.layout import Layout
from nesting.model.settings import Settings, Watch

USUAL = (("side", 22.0), ("double shoulder", 14.0), ("bend", 11.0))
"""Cuts and marked areas (sq ft) to try where the stock gives no example (common practice)."""
MOST_KINDS = 3
MOST_HIDES = 200
BUDGET = PlanBudget("quick", 8, 2, 0)


def flawed_outline(cut: str, area: float) -> Hide:
    """The typical outline of a cut with typical flaws: one without any promises more than hides keep."""
    return with_typical_flaws(typical_hide(cut, area))


def to_buy(
    plan: Plan,
    hides: Sequence[Hide],
    outline: Outline,
    tools: Tools,
    settings: Settings,
    watch: Watch,
    cut_before: Sequence[Layout] = (),
) -> tuple[Purchase, ...]:
    """For each of a few kinds of hide: how many more would fill what the plan lacks. Cheapest first, then fewest.

    `cut_before` are layouts by which hides of this workshop were cut (one hide in each, the latest first): where there
    are some of a cut, what they gave corrects what its typical outline promises. Empty where nothing is short, or
    where no typical hide gives even one of what is short.
    """
    order = shortage(plan)
    if not order.lines:
        return ()
    settings = replace(settings, begin=False, tidily=False, cuts=order.cuts)
    found = [
        purchase
        for supply in _supplies(order, hides, tools)
        if not watch.stop()
        and (purchase := _purchase(order, supply, outline, tools, settings, watch, cut_before)) is not None
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
    return Order(
        plan.order.name, tuple(lines), None, plan.order.source, supplies=plan.order.supplies, cuts=plan.order.cuts
    )


def _supplies(order: Order, hides: Sequence[Hide], tools: Tools) -> Iterator[Supply]:
    """What can be bought: what the order says, else what the stock's hides and the trade's usual cuts suggest."""
    if order.supplies:
        yield from order.supplies
        return
    for kind in _kinds(order, hides, tools):
        yield Supply(kind.cut, kind.paid_area, kind.leather, kind.thickness, kind.price)


def _kinds(order: Order, hides: Sequence[Hide], tools: Tools) -> Iterator[Hide]:
    """Hides as they could be bought, most usual in the stock first: those that suit a line, else the usual cuts.

    Suiting means the thickness too that pieces themselves ask for.
    """
    asked = asked_thickness(order.lines[0], tools.read)
    bought = [
        hide
        for hide in hides
        if hide.cut != "offcut" and not hide.parent and any(_suits(order, hide)) and _inside(hide.thickness, asked)
    ]
    like = Counter((hide.cut, _quarter(hide.paid_area), hide.price, hide.thickness, hide.leather) for hide in bought)
    if not like:
        for cut, feet in USUAL:
            yield _wished(order.lines[0], asked, cut, feet * AREA_UNITS["sq ft"])
        return
    seen: set[tuple[object, ...]] = set()
    for cut, area, price, stack, leather in sorted(like, key=lambda key: -like[key]):
        if (cut, leather, stack) not in seen and len(seen) < MOST_KINDS:
            seen.add((cut, leather, stack))
            yield Hide(cut, (), cut, thickness=stack, area=area, price=price, leather=leather)


def _suits(order: Order, hide: Hide) -> list[bool]:
    return [True for line in order.lines if line.suits(hide)]


def _wished(line: OrderLine, asked: Thickness | None, cut: str, area: float) -> Hide:
    thick = line.thickness or asked or Thickness(4.0, 4.4)
    return Hide(cut, (), cut, thickness=thick, area=area, leather=line.leather)


def asked_thickness(line: OrderLine, read: Read) -> Thickness | None:
    """The thickness that suits all pieces of a line that ask for one; None where none does or they cannot agree."""
    try:
        product = any_thickness(read, line)
    except InputError:
        return None
    ranges = [piece.thickness for piece in product.pieces if piece.thickness]
    low, high = max((r.low for r in ranges), default=1.0), min((r.high for r in ranges), default=0.0)
    return Thickness(low, high) if low <= high else None


def _inside(thick: Thickness | None, asked: Thickness | None) -> bool:
    return asked is None or (thick is not None and thick.inside(asked))


def _quarter(area: float) -> float:
    """An area to the quarter of a square foot, as hides are marked."""
    quarter = AREA_UNITS["sq ft"] / 4
    return max(1, round(area / quarter)) * quarter


def _purchase(
    order: Order,
    supply: Supply,
    outline: Outline,
    tools: Tools,
    settings: Settings,
    watch: Watch,
    cut_before: Sequence[Layout],
) -> Purchase | None:
    kind = supply.kind
    area = kind.paid_area
    if kind.thickness is None:
        kind = replace(kind, thickness=order.lines[0].thickness or asked_thickness(order.lines[0], tools.read))
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
    past = past_of(kind.cut, cut_before, outline, tools.solve, settings, watch)
    needed = _by_share(chosen.choice.hides, past.mean if past else 1.0)
    ordered = supply.ordered(needed)
    cost = None if kind.cost is None else kind.cost * ordered + supply.freight
    due = min((line.due_text for line in order.lines if line.due_text), default="")
    given = {demand.name: n for demand, n in zip(wanted, chosen.choice.filled, strict=True) if n}
    return Purchase(
        kind.cut,
        area,
        kind.leather,
        needed,
        cost,
        task.currency,
        given,
        past,
        (_by_share(chosen.choice.hides, past.high), _by_share(chosen.choice.hides, past.low)) if past else None,
        ordered,
        supply.freight,
        supply.order_by(due),
    )


def _by_share(hides: int, share: float) -> int:
    """So many hides by the outline, where hides give that share of what it promises."""
    return math.ceil(hides / share - 1e-9) if share > 0 else hides
