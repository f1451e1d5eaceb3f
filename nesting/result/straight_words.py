"""What a straight plan comes to, in words and as data."""

from __future__ import annotations

from typing import Any

from nesting.model.layout import HideLayout, Layout
from nesting.model.straight import StraightPlan
from nesting.result.claims import best_straight, is_best_straight
from nesting.result.wording import count_text, length_text


def straight_lines(layout: Layout, units: str = "mm") -> list[str]:
    """The straight plans of a layout's hides in a sentence or two each."""
    out = []
    for each in layout.hides:
        if each.straight is not None:
            out += [_strips_line(each.straight, units), *_claims(layout, each)]
    return out


def straight_claim(layout: Layout, each: HideLayout) -> str:
    """What is proven about a straight plan, or nothing. It is about one product on one hide, from one line."""
    bound = _straight_bound(layout, each)
    return "" if bound is None else best_straight(layout.counts[0].complete, bound)


def _straight_bound(layout: Layout, each: HideLayout) -> int | None:
    plan = each.straight
    return plan.at_most if plan and len(layout.counts) == 1 and len(layout.hides) == 1 else None


def _claims(layout: Layout, each: HideLayout) -> list[str]:
    told = straight_claim(layout, each)
    return [told] if told else []


def _strips_line(plan: StraightPlan, units: str) -> str:
    blocks = plan.blocks
    strips = count_text(sum(len(block.strips) for block in blocks), "strip")
    pieces = count_text(len(plan.pieces), "piece")
    widths = sorted({strip.width for block in blocks for strip in block.strips})
    told = ", ".join(length_text(width, units) for width in widths)
    along = "one struck line" if len(blocks) == 1 else f"{len(blocks)} struck lines"
    return f"Straight cuts: {pieces} off {strips} along {along}; widths to set: {told} {units}."


def straight_data(layout: Layout) -> list[dict[str, Any]]:
    """For every hide with a straight plan its strips, pieces and lines, and what is proven."""
    return [
        {
            "hide": each.hide.name,
            "lines": len(each.straight.blocks),
            "strips": sum(len(block.strips) for block in each.straight.blocks),
            "pieces": len(each.straight.pieces),
            "at_most": each.straight.at_most,
            "proven_best": (bound := _straight_bound(layout, each)) is not None
            and is_best_straight(layout.counts[0].complete, bound),
            "claim": straight_claim(layout, each),
        }
        for each in layout.hides
        if each.straight is not None
    ]
