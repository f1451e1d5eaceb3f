"""The plan file (JSON): the plan with the layout of every hide, as nesting/FORMATS.md describes it."""

from __future__ import annotations

import json
import math
from typing import Any

from nesting.batch.plan import Plan, PlannedHide, Purchase
from nesting.result.layout_file import layout_to_data
from nesting.stock.parting import parting_to_data

FORMAT = "hideplan-plan-1"


def plan_text(plan: Plan) -> str:
    """The content of a plan file."""
    return json.dumps(plan_to_data(plan), ensure_ascii=False, indent=1) + "\n"


def plan_to_data(plan: Plan) -> dict[str, Any]:
    """A plan as JSON holds it. Money is in `currency`; areas are mm²."""
    return {
        "format": FORMAT,
        "order": plan.order.name,
        "filled": plan.full,
        "short": {demand.name: plan.short(place) for place, demand in enumerate(plan.demands)},
        "cost": round(plan.cost, 6),
        "charged": round(plan.charged, 2),
        "parting": parting_to_data(plan.order.parting),
        "currency": plan.currency,
        "at_least": {"cost": math.floor(plan.least_cost * 1e6) / 1e6, "hides": plan.least_hides},
        "possible": plan.possible,
        "relaxed": None if plan.relaxed is None else round(plan.relaxed, 4),
        "searches": list(plan.searches),
        "seed": plan.seed,
        "effort": plan.effort,
        "stopped": plan.stopped,
        "products": [_product(plan, place) for place in range(len(plan.demands))],
        "hides": [_hide(cut) for cut in plan.cuts],
        "buy": [_purchase(each) for each in plan.buy],
        "remarks": list(plan.remarks),
        "layouts": [layout_to_data(cut.layout) for cut in plan.cuts],
    }


def _product(plan: Plan, place: int) -> dict[str, Any]:
    demand = plan.demands[place]
    each = plan.cost_each(place)
    ordered = sum(line.quantity for line in demand.lines)
    return {
        "name": demand.name,
        "ordered": ordered,
        "spares": demand.wanted - ordered,
        "planned": plan.filled[place],
        "over_several_hides": plan.spread(place),
        "due": [line.due_text for line in demand.lines if line.due_text],
        "cost_each": None if each is None else round(each, 6),
    }


def _hide(cut: PlannedHide) -> dict[str, Any]:
    areas = cut.on.areas
    return {
        "name": cut.hide.name,
        "cut": cut.hide.cut,
        "products": {count.name: count.complete for count in cut.layout.counts},
        "pieces": len(cut.on.placements),
        "cost": round(cut.cost, 6),
        "credit": round(cut.credit, 6),
        "charged": round(cut.charged, 2),
        "yield": round(areas.pieces / areas.hide, 6),
        "offcuts": len(cut.on.offcuts),
        "offcut_area": round(areas.offcuts, 3),
        "still": dict(cut.still),
    }


def _rounded(value: float) -> float:
    return round(value, 4)


def _purchase(each: Purchase) -> dict[str, Any]:
    return {
        "cut": each.cut,
        "area": round(each.area, 3),
        "leather": each.leather,
        "hides": each.hides,
        "cost": None if each.cost is None else round(each.cost, 2),
        "currency": each.currency,
        "products": each.products,
        "estimate": True,
        "order": each.order or each.hides,
        "freight": round(each.freight, 2),
        "order_by": each.order_by,
        "past": None if each.past is None else {**{k: _rounded(v) for k, v in vars(each.past).items()}},
        "between": None if each.between is None else list(each.between),
    }
