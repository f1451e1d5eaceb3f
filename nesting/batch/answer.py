"""The plan in plain words and two small tables."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from hides.typical_flaws import REASON
from nesting.batch.plan import Plan, PlannedHide, Purchase
from nesting.result.claims import cannot_fill, cut_whole, no_better_plan
from nesting.result.wording import area_text, count_text, in_all, money, share_text

FAR = 0.01
"""Shares of a plan's cost below this are not told."""


def plan_answer(plan: Plan, units: str = "mm", width: int = 78) -> str:
    """The answer of `hideplan batch`: lines of about `width` characters, ending in a newline."""
    blocks = [
        [line for text in (*_verdict(plan), *plan.remarks) for line in wrap(text, width, subsequent_indent="  ")],
        table(product_rows(plan)),
        table(hide_rows(plan, units)) if plan.cuts else [],
        still_lines(plan),
        [line for text in buying_lines(plan, units) for line in wrap(text, width, subsequent_indent="  ")],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _verdict(plan: Plan) -> list[str]:
    return [
        filled_text(plan),
        cost_text(plan),
        bound_text(plan),
        *gap_text(plan),
        *(["Stopped early."] if plan.stopped else []),
    ]


def filled_text(plan: Plan) -> str:
    """Whether the order is filled, and from how many hides."""
    hides = count_text(len(plan.cuts), "hide")
    if plan.full:
        return f"The order is filled from {hides}."
    lacks = [f"{plan.short(n)} × {d.name}" for n, d in enumerate(plan.demands) if plan.short(n)]
    told = [f"Short: {', '.join(lacks)}.", cannot_fill(plan.possible), f"{hides} cut."]
    return " ".join(["The order is NOT filled.", *(each for each in told if each)])


def cost_text(plan: Plan) -> str:
    """What the hides cost, what of it the order bears, and why."""
    if not plan.currency:
        return "Cost: not known, no hide has a price."
    paid, charged = in_all(cut.cost for cut in plan.cuts), in_all(cut.charged for cut in plan.cuts)
    kept = paid - charged
    if kept < 0.005:
        return f"Leather: {money(paid, plan.currency)}, all of it charged to this order."
    how = "by the order's credit" if plan.order.credit else plan.order.values.reason
    return (
        f"Leather: {money(charged, plan.currency)} is charged to this order. The hides to cut stand at "
        f"{money(paid, plan.currency)}; their offcuts keep {money(kept, plan.currency)} ({how})."
    )


def bound_text(plan: Plan) -> str:
    """What is proven about every plan that gives as much from these hides."""
    if not plan.cuts:
        return ""
    return no_better_plan(plan.full, len(plan.cuts), plan.least_hides, plan.cost, plan.least_cost, plan.currency)


def claims(plan: Plan) -> str:
    """All that is proven about a plan and others from these hides, in a sentence or two."""
    impossible = "" if plan.full else cannot_fill(plan.possible)
    return " ".join(told for told in (impossible, bound_text(plan)) if told)


def gap_text(plan: Plan) -> list[str]:
    """What stands between the plan and its bound: hides cut whole, and what layouts give against proven limits."""
    gap = plan.cost - plan.least_cost
    if plan.relaxed is None or gap <= FAR * plan.cost:
        return []
    whole = min(gap, max(0.0, plan.cost - plan.relaxed))
    made, budget = plan.searches
    ended = "was stopped" if plan.stopped else f"ended with its {made} searches" if made >= budget else "found no more"
    parts = [
        f"{money(each, plan.currency)} {why}"
        for each, why in (
            (whole, cut_whole(plan.cheapest_known)),
            (gap - whole, "since the layouts found give less than the limits that are proven of each hide"),
        )
        if each > FAR * plan.cost
    ]
    if not parts:
        return []
    told = f"Between plan and bound, {share_text(gap, plan.cost)} of the cost: {'; '.join(parts)}."
    return [f"{told} The search {ended}; whether layouts or limits are at fault is not known."]


def product_rows(plan: Plan) -> list[tuple[str, ...]]:
    """The order against the plan, with a heading."""
    rows: list[tuple[str, ...]] = [("product", "ordered", "spares", "planned", "short", "due", "leather each")]
    for place, demand in enumerate(plan.demands):
        ordered = sum(line.quantity for line in demand.lines)
        each = plan.cost_each(place)
        due = next((line.due_text for line in demand.lines if line.due_text), "")
        rows.append(
            (
                demand.name,
                str(ordered),
                str(demand.wanted - ordered),
                str(plan.filled[place]),
                str(plan.short(place)),
                due,
                money(each, plan.currency) if each is not None and plan.currency else "–",
            )
        )
    return rows


def hide_rows(plan: Plan, units: str) -> list[tuple[str, ...]]:
    """The hides to cut, in cutting order, with a heading and a sum."""
    rows: list[tuple[str, ...]] = [("hide", "products", "pieces", "yield", "offcuts", "offcut area", "cost", "charged")]
    rows += [_hide_row(cut, plan.currency, units) for cut in plan.cuts]
    if len(plan.cuts) > 1:
        whole = sum(cut.on.areas.hide for cut in plan.cuts)
        rest = sum(cut.on.areas.offcuts for cut in plan.cuts)
        made = sum(cut.on.areas.pieces for cut in plan.cuts)
        rows.append(
            (
                "together",
                "",
                str(sum(len(cut.on.placements) for cut in plan.cuts)),
                share_text(made, whole),
                str(sum(len(cut.on.offcuts) for cut in plan.cuts)),
                area_text(rest, units),
                money(in_all(cut.cost for cut in plan.cuts), plan.currency) if plan.currency else "–",
                money(in_all(cut.charged for cut in plan.cuts), plan.currency) if plan.currency else "–",
            )
        )
    return rows


def _hide_row(cut: PlannedHide, currency: str, units: str) -> tuple[str, ...]:
    areas = cut.on.areas
    return (
        cut.hide.name,
        mix_text(cut),
        str(len(cut.on.placements)),
        share_text(areas.pieces, areas.hide),
        str(len(cut.on.offcuts)),
        area_text(areas.offcuts, units),
        money(cut.cost, currency) if currency and cut.hide.price else "–",
        money(cut.charged, currency) if currency and cut.hide.price else "–",
    )


def mix_text(cut: PlannedHide) -> str:
    """What a hide gives: "3 Map rack, 2 Tool roll set", and pieces of products that are spread over hides."""
    parts = [f"{count.complete} {count.name}" for count in cut.layout.counts if count.complete]
    single = sum(each.number == 0 for each in cut.on.placements)
    return ", ".join([*parts, *([count_text(single, "single piece")] if single else [])])


def still_lines(plan: Plan) -> list[str]:
    """What the offcuts of hides that are not cut out still give, where it was asked."""
    told = [
        (cut.hide.name, ", ".join(f"{n} {name}" for name, n in cut.still.items())) for cut in plan.cuts if cut.still
    ]
    return [f"What is left of {name} still gives {what}." for name, what in told]


def buying_lines(plan: Plan, units: str) -> list[str]:
    """What would fill what is short, as sentences."""
    if plan.full:
        return []
    if not plan.buy and plan.stopped:
        return ["What to buy was not estimated: the work was stopped before that."]
    if not plan.buy:
        return ["No estimate of what to buy: none of the hides tried gives what is short."]
    return [
        f"What to buy (an ESTIMATE from typical outlines; {REASON}; one of these):",
        *(f"- {_buy(b, units)}" for b in plan.buy),
        *_still_short(plan),
    ]


def _still_short(plan: Plan) -> list[str]:
    """Names what none of the purchases gives any of."""
    given = {name for each in plan.buy for name, number in each.products.items() if number}
    lacks = [d.name for place, d in enumerate(plan.demands) if plan.short(place) and d.name not in given]
    return [f"None of these gives any {', '.join(lacks)}; say what can be bought in [[supply]]."] if lacks else []


def _buy(each: Purchase, units: str) -> str:
    leather = f" of {each.leather}" if each.leather else ""
    cost = f", about {money(each.cost, each.currency)}" if each.cost is not None else ", price not known"
    gives = ", ".join(f"{n} {name}" for name, n in each.products.items())
    told = f"{count_text(each.hides, each.cut)}{leather} marked {area_text(each.area, units)}{cost}: gives {gives}."
    return " ".join([told, *_terms(each), *_by_past(each)])


def _terms(each: Purchase) -> list[str]:
    """Packs, freight and days, where they matter."""
    told = [f"Sold so that {each.order} must be ordered."] if each.order > each.hides else []
    told += [f"Freight of {money(each.freight, each.currency)} is in it."] if each.freight else []
    return [*told, *([f"Order by {each.order_by}."] if each.order_by else [])]


def _by_past(each: Purchase) -> list[str]:
    """The workshop's own hides against what outlines promised."""
    if each.past is None or each.between is None:
        return []
    share, spread = f"{each.past.mean:.2f}", f"{each.past.low:.2f} to {each.past.high:.2f}"
    many = count_text(each.past.hides, "own hide")
    low, high = each.between
    return [f"Your {many} of this cut gave {share} of what the outline promises ({spread}): {low} to {high} hides."]


def table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Rows with the first column flush left, the others flush right, a rule under the head."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    lines = [
        "  ".join([row[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(row[1:], widths[1:], strict=True))]).rstrip()
        for row in rows
    ]
    return [lines[0], "-" * max(map(len, lines)), *lines[1:]]
