"""One leather tried: the product at its thickness, laid on each of its sample hides."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from hides.hide import Hide
from nesting.compare.leather import Leather, net_price
from nesting.laying.case import Case
from nesting.making.joints import Remark, Use, fastener_remarks, joint_remarks, uses
from nesting.model.layout import Layout
from nesting.model.product import Product
from nesting.model.settings import Watch
from nesting.model.value_table import USUAL
from nesting.result.answer import Shortage
from nesting.stock.split import charged_share

Solve = Callable[[Case, Watch], Layout]
"""The search for the best layout of a case."""


@dataclass(frozen=True)
class Spread:
    """Some figures of several hides: their mean, least and most, and the sample standard deviation (None for one)."""

    mean: float
    low: float
    high: float
    deviation: float | None

    @classmethod
    def of(cls, values: Sequence[float]) -> Spread:
        """The spread of one or more figures.

        >>> Spread.of([4, 6])
        Spread(mean=5.0, low=4.0, high=6.0, deviation=1.4142135623730951)
        """
        deviation = statistics.stdev(values) if len(values) > 1 else None
        return cls(float(statistics.fmean(values)), float(min(values)), float(max(values)), deviation)


@dataclass(frozen=True)
class Trial:
    """A leather, the product at its thickness, and one layout for each sample hide.

    Where the product is made of several leathers and one is compared, `product` is what is cut from it and `whole` all.
    `short` is what kept the first sample from giving a product, where it gave none.
    """

    leather: Leather
    product: Product
    layouts: tuple[Layout, ...]
    whole: Product | None = None
    short: tuple[Shortage, ...] = ()

    @property
    def t(self) -> float:
        """The thickness lengths were worked out with, mm."""
        return self.leather.thickness.middle

    @property
    def made(self) -> Product:
        """The whole product, for joints, work and hardware."""
        return self.whole or self.product

    @cached_property
    def products(self) -> tuple[int, ...]:
        """Complete products from each hide."""
        return tuple(layout.counts[0].complete for layout in self.layouts)

    @cached_property
    def at_most(self) -> tuple[int, ...]:
        """The proven bound of each hide."""
        return tuple(layout.counts[0].at_most for layout in self.layouts)

    @cached_property
    def yields(self) -> tuple[float, ...]:
        """Leather in complete products over the whole measured hide, for each hide."""
        return tuple(n * self.product.area / h.measured_area for n, h in zip(self.products, self.hides, strict=True))

    @property
    def hides(self) -> tuple[Hide, ...]:
        """The sample hides."""
        return self.leather.hides

    @cached_property
    def landed(self) -> tuple[float, ...]:
        """What each hide costs with its freight."""
        return tuple(self.leather.landed_cost(hide) for hide in self.hides)

    @property
    def per_hide(self) -> float:
        """Products a hide gives, on the mean."""
        return statistics.fmean(self.products)

    @property
    def fits(self) -> bool:
        """Whether any hide gives a product."""
        return sum(self.products) > 0

    @property
    def why_not(self) -> str:
        """Why no sample gives a product, by the first, as a clause; empty where one does or no reason is known."""
        return "" if self.fits else "; ".join(f"{each.piece}: {each.why}" for each in self.short if each.why)

    @property
    def leather_cost(self) -> float:
        """What is paid for the hides over the products cut from them (their cost pro rata, waste and all)."""
        return sum(self.landed) / sum(self.products)

    @cached_property
    def borne(self) -> tuple[float, ...]:
        """The share of each hide's cost that its products bear; the rest stays in its offcuts, as the books part it."""
        return tuple(charged_share(layout.hides[0], USUAL) for layout in self.layouts)

    @property
    def leather_charged(self) -> float:
        """What one product bears of the hides' cost, their offcuts put back on the shelf at their value."""
        return sum(cost * share for cost, share in zip(self.landed, self.borne, strict=True)) / sum(self.products)

    @property
    def leather_used(self) -> float:
        """What the leather in the pieces alone cost when it was bought, no waste counted."""
        return self.product.area * sum(self.landed) / sum(hide.measured_area for hide in self.hides)

    @property
    def net_price(self) -> float:
        """What a mm² of leather costs that ends up in pieces of complete products."""
        measured = sum(hide.measured_area for hide in self.hides)
        marked = sum(self.leather.marked_area(hide) for hide in self.hides)
        cut = self.product.area * sum(self.products)
        return net_price(sum(self.landed) / marked, measured / marked, cut / measured)

    @cached_property
    def uses(self) -> tuple[Use, ...]:
        """The joints, their stacks and fasteners."""
        return uses(self.made, self.made.making, self.t)

    @cached_property
    def remarks(self) -> tuple[Remark, ...]:
        """What is to be said about the joints in this leather."""
        return (*joint_remarks(self.made, self.made.making), *fastener_remarks(self.uses))

    @property
    def stopped(self) -> bool:
        """Whether any search was cut short."""
        return any(layout.stopped for layout in self.layouts)
