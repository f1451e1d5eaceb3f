"""What one product costs, part by part.

total = material + hours × rate + overhead; wholesale and retail are the maker's multiples of it (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.compare.work import Minutes
from nesting.making.joints import Use
from nesting.model.making import Making, Pricing

PARTS = ("leather", "fasteners", "materials", "labour", "overhead")


@dataclass(frozen=True)
class Cost:
    """The cost of one product in its parts, all in one currency."""

    leather: float
    fasteners: float
    materials: float
    labour: float
    overhead: float
    wholesale_multiple: float | None = None
    retail_multiple: float | None = None

    @property
    def total(self) -> float:
        """All parts."""
        return float(sum(getattr(self, part) for part in PARTS))

    @property
    def wholesale(self) -> float | None:
        """The price to shops, where the maker states a multiple."""
        return None if self.wholesale_multiple is None else self.total * self.wholesale_multiple

    @property
    def retail(self) -> float | None:
        """The price to customers, where the maker states a multiple."""
        return None if self.retail_multiple is None else self.total * self.retail_multiple


def cost(making: Making, leather: float, work: Minutes, found: Sequence[Use], batch: int) -> Cost:
    """The cost of one product whose leather costs so much, made in batches of so many; spares are paid for as well."""
    fasteners = sum(
        use.amount * (1 + use.fastener.spare) * use.size.price for use in found if use.size and use.fastener
    )
    materials = sum(each.amount * (1 + each.spare) * each.price for each in making.materials)
    hours = 0.0
    if making.labour:
        hours = (work.total + making.labour.setup / batch) / 60
    labour = hours * making.labour.rate if making.labour else 0.0
    overhead = _overhead(making.pricing, hours, leather + fasteners + materials + labour)
    pricing = making.pricing
    return Cost(leather, fasteners, materials, labour, overhead, pricing.wholesale, pricing.retail)


def _overhead(pricing: Pricing, hours: float, before: float) -> float:
    each = pricing.overhead
    return each.per_product + each.per_hour * hours + each.share * before
