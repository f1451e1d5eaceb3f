"""What a plan says of the leathers that its products come from."""

from __future__ import annotations

from collections.abc import Sequence

from hides.hide import Hide
from nesting.batch.demand import ProductDemand
from nesting.batch.plan import PlannedHide


def leather_remarks(demands: Sequence[ProductDemand], cut: Sequence[PlannedHide]) -> list[str]:
    """A sentence for each product that a plan cuts from several leathers or thicknesses."""
    return [told for demand in demands if (told := _mixed(demand, cut))]


def _mixed(demand: ProductDemand, cut: Sequence[PlannedHide]) -> str:
    parts: dict[str, list[str]] = {}
    for each in cut:
        if each.pieces(demand.name):
            parts.setdefault(_leather(each.hide), []).append(each.hide.name)
    if len(parts) < 2:
        return ""
    told = "; ".join(f"{leather} ({', '.join(names)})" for leather, names in parts.items())
    return f"{demand.name} is cut from several: {told}."


def _leather(hide: Hide) -> str:
    stack = f", {hide.thickness.low:.1f}-{hide.thickness.high:.1f} mm" if hide.thickness else ""
    return (hide.leather or "leather without a name") + stack
