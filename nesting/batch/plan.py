"""A plan as an immutable value: which hides to cut and how, what it fills, what it costs, what no plan can beat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from hides.hide import Hide, Price
from nesting.batch.demand import ProductDemand
from nesting.batch.order import Order
from nesting.batch.past import Past
from nesting.model.layout import HideLayout, Layout, Placement
from nesting.model.value_table import ValueTable
from nesting.stock.split import split


@dataclass(frozen=True)
class PlannedHide:
    """One hide of the plan. Its layout's product numbers count from 1 on this hide.

    `cost` is the hide's price (0 where it has none), `credit` what its offcuts earn in the search for a plan, and
    `kept` what they are worth in the books; `still` products that they give, where it was asked.
    """

    layout: Layout
    cost: float
    credit: float
    kept: float = 0.0
    still: Mapping[str, int] = field(default_factory=dict)

    @property
    def hide(self) -> Hide:
        """The hide to cut."""
        return self.on.hide

    @property
    def on(self) -> HideLayout:
        """The hide with its pieces."""
        return self.layout.hides[0]

    @property
    def net(self) -> float:
        """What cutting it costs, less credit."""
        return self.cost - self.credit

    @property
    def charged(self) -> float:
        """What the order bears of the hide's price."""
        return self.cost - self.kept

    def complete(self, product: str) -> int:
        """Complete products of a name on this hide alone."""
        return next((count.complete for count in self.layout.counts if count.name == product), 0)

    def pieces(self, product: str) -> list[Placement]:
        """The product's pieces on this hide."""
        return [each for each in self.on.placements if each.product == product]


@dataclass(frozen=True)
class Purchase:
    """An estimate of what would fill what is short: so many hides of a cut and marked area (mm²).

    `cost` is None where no price is known; it has the freight in it and is for as many as must be ordered (`order`:
    packs, the least that is sold). `past` is what the workshop's own hides of the cut gave over what outlines
    promised; `hides` has it in it, `between` is the same by its best and its worst hide. `order_by` is the last day
    to order.
    """

    cut: str
    area: float
    leather: str
    hides: int
    cost: float | None
    currency: str
    products: dict[str, int]
    past: Past | None = None
    between: tuple[int, int] | None = None
    order: int = 0
    freight: float = 0.0
    order_by: str = ""


@dataclass(frozen=True)
class Plan:
    """The answer of a batch. `filled[n]` products of `demands[n]` come of it, never more than wanted.

    `least_cost` and `least_hides` hold for every plan that gives as many products from the same hides. `possible`
    is False where it is proven that the hides cannot fill the order. `relaxed` is what the layouts found could cost at
    least, were hides cut in parts too (None where it is not known), `cheapest_known` that it is proven that they could
    not be chosen for less, hides cut whole; `searches` those made and those the effort buys.
    """

    order: Order
    demands: tuple[ProductDemand, ...]
    filled: tuple[int, ...]
    cuts: tuple[PlannedHide, ...]
    least_cost: float
    least_hides: int
    possible: bool
    currency: str
    seed: int
    effort: str
    stopped: bool = False
    buy: tuple[Purchase, ...] = ()
    remarks: tuple[str, ...] = ()
    relaxed: float | None = None
    cheapest_known: bool = False
    searches: tuple[int, int] = (0, 0)

    @property
    def cost(self) -> float:
        """What the hides cut cost at their price, less the credit for offcuts."""
        return sum(cut.net for cut in self.cuts)

    @property
    def charged(self) -> float:
        """What the order bears of the hides' prices; the rest stays on the shelf in their offcuts."""
        return sum(cut.charged for cut in self.cuts)

    @property
    def full(self) -> bool:
        """Whether the order is filled, spares and all."""
        return all(not self.short(place) for place in range(len(self.demands)))

    def short(self, demand: int) -> int:
        """Products of a demand that the plan lacks."""
        return self.demands[demand].wanted - self.filled[demand]

    def spread(self, demand: int) -> int:
        """Products of a demand whose pieces come from more than one hide."""
        name = self.demands[demand].name
        return self.filled[demand] - sum(cut.complete(name) for cut in self.cuts)

    def cost_each(self, demand: int) -> float | None:
        """Leather cost of one product: what each hide charges the order, parted over the pieces as the books do."""
        name, parting = self.demands[demand].name, self.order.parting
        if not self.filled[demand]:
            return None
        return sum(charged_to(cut, parting).get(name, 0.0) for cut in self.cuts) / self.filled[demand]


def charged_to(cut: PlannedHide, parting: ValueTable | Price) -> dict[str, float]:
    """What each product bears of a hide's price: by value where a table says so, else by the area of its pieces."""
    if isinstance(parting, ValueTable):
        parted = split(cut.on, round(cut.cost * 100), parting)
        bear = {name: cents / 100 for name, cents in parted.products.items()}
    else:
        bear = {}
        for name, area in product_areas(cut):
            bear[name] = bear.get(name, 0.0) + area
    whole = sum(bear.values())
    return {name: cut.charged * part / whole for name, part in bear.items()} if whole else bear


def product_areas(cut: PlannedHide) -> list[tuple[str, float]]:
    """(product, mm²) of every piece on a hide."""
    areas = {(product.name, piece.name): piece.area for product in cut.layout.products for piece in product.pieces}
    return [(each.product, areas[each.product, each.piece]) for each in cut.on.placements]
