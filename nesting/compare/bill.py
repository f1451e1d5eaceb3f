"""The bill of materials of a batch: what to have on the bench, with spares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.making.joints import Use
from nesting.model.making import Fastener, Making, Size

COUNTED = ("piece", "pieces", "pair", "pairs", "set", "sets")
"""Units of which nobody buys a part."""


@dataclass(frozen=True)
class BillLine:
    """A thing to have: how much is needed, how much is bought with spares, in which unit, and at what cost."""

    what: str
    needed: float
    buy: float
    unit: str
    cost: float


def bill(
    making: Making, found: Sequence[Use], number: int, hides: int, hides_pro_rata: float, hide_cost: float
) -> tuple[BillLine, ...]:
    """Leather, fasteners by size, thread and other materials for a batch of `number`."""
    leather = BillLine("leather", hides_pro_rata, hides, "hide", hides * hide_cost)
    return (leather, *_fasteners(found, number), *_materials(making, number))


def _fasteners(found: Sequence[Use], number: int) -> list[BillLine]:
    amounts: dict[tuple[str, str], float] = {}
    kinds: dict[tuple[str, str], tuple[Fastener, Size]] = {}
    for use in found:
        if use.fastener and use.size:
            key = use.fastener.name, use.size.name
            amounts[key] = amounts.get(key, 0.0) + use.amount * number
            kinds[key] = use.fastener, use.size
    return [_fastener_line(*kinds[key], amounts[key]) for key in amounts]


def _fastener_line(fastener: Fastener, size: Size, needed: float) -> BillLine:
    unit = "m" if fastener.kind == "thread" else "piece"
    buy = _with_spare(needed, fastener.spare, unit)
    return BillLine(f"{fastener.name} {size.name}", needed, buy, unit, buy * size.price)


def _materials(making: Making, number: int) -> list[BillLine]:
    lines = []
    for each in making.materials:
        needed = each.amount * number
        buy = _with_spare(needed, each.spare, each.unit)
        lines.append(BillLine(each.name, needed, buy, each.unit, buy * each.price))
    return lines


def _with_spare(needed: float, spare: float, unit: str) -> float:
    """Whole pieces upward; anything else to a tenth upward."""
    step = 1.0 if unit in COUNTED else 0.1
    return round(math.ceil(needed * (1 + spare) / step - 1e-9) * step, 6)
