"""The batch problem as an immutable value: items wanted, groups of like hides, and which goes on which."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from hides.errors import InputError
from hides.hide import Hide, Price
from nesting.batch.demand import ProductDemand
from nesting.model.product import Product


@dataclass(frozen=True)
class Item:
    """What patterns count: a whole product (`piece` is None), or one kind of piece where products may be spread.

    `each` of it make one product of the demand.
    """

    demand: int
    each: int = 1
    piece: str | None = None


@dataclass(frozen=True)
class Group:
    """Hides alike in all that matters for cutting, in stock order; `places` are their places in the stock.

    `cost` is what one of them counts for in the plan and `credit` what a mm² of its offcuts earns, both in the
    order's currency; where no hide has a price, `cost` is the area paid for in m².
    """

    hides: tuple[Hide, ...]
    places: tuple[int, ...]
    cost: float
    credit: float

    @property
    def hide(self) -> Hide:
        """Any of them."""
        return self.hides[0]

    @property
    def many(self) -> int:
        """How many there are."""
        return len(self.hides)


@dataclass(frozen=True)
class Task:
    """The whole problem. `products[group][item]` is what to cut there for one of the item, or None.

    `priced` tells whether costs are money.
    """

    demands: tuple[ProductDemand, ...]
    items: tuple[Item, ...]
    groups: tuple[Group, ...]
    products: tuple[tuple[Product | None, ...], ...]
    priced: bool
    currency: str

    def wanted(self, filled: Sequence[int] | None = None) -> tuple[int, ...]:
        """How many of each item the demands take; or as many products of each demand as `filled` says."""
        many = [demand.wanted for demand in self.demands] if filled is None else filled
        return tuple(item.each * many[item.demand] for item in self.items)

    def area(self, item: int) -> float:
        """Leather in one of an item, mm² (on the first group that can give it)."""
        return next((row[item].area for row in self.products if row[item] is not None), 0.0)  # type: ignore[union-attr]


OFFCUT_FIRST = 1e-3
"""What an offcut counts for beside its worth, where offcuts are to be cut first."""


def make_task(
    demands: Sequence[ProductDemand], hides: Sequence[Hide], credit: Price | None = None, offcuts_first: bool = False
) -> Task:
    """The problem of filling the demands from these hides.

    Hides that suit no demand are left out. With `offcuts_first` offcuts count for next to nothing (and so does the
    credit for what is left of them), so that whatever they can give is cut from them; all that is proven of costs then
    still holds of true ones, which are no less. Raises InputError where prices are in several currencies, or where an
    offcut would be worth more than the leather it is cut from.
    """
    items = tuple(item for place, demand in enumerate(demands) for item in _items(place, demand))
    rows = [tuple(_product(demands[item.demand], item, hide) for item in items) for hide in hides]
    useful = [place for place, row in enumerate(rows) if any(row)]
    priced = any(hides[place].price for place in useful)
    currency = _currency([hides[place] for place in useful], credit)
    gathered: dict[object, list[int]] = {}
    matters = {name for demand in demands for name in (*demand.lines[0].same, *demand.lines[0].same_each)}
    for place in useful:
        serves = tuple(product is not None for product in rows[place])
        gathered.setdefault((_likeness(hides[place], matters), serves), []).append(place)
    groups = tuple(
        Group(
            tuple(hides[p] for p in places),
            tuple(places),
            _cost(hides[places[0]], priced) * _counts_for(hides[places[0]], offcuts_first),
            _credit(hides, places[0], credit) * _counts_for(hides[places[0]], offcuts_first),
        )
        for places in gathered.values()
    )
    products = tuple(rows[group.places[0]] for group in groups)
    return Task(tuple(demands), items, groups, products, priced, currency)


def _counts_for(hide: Hide, offcuts_first: bool) -> float:
    return OFFCUT_FIRST if offcuts_first and hide.cut == "offcut" else 1.0


def _items(place: int, demand: ProductDemand) -> list[Item]:
    if demand.one_hide or not demand.cut:
        return [Item(place)]
    return [Item(place, piece.count, piece.name) for piece in demand.cut[0][1].pieces]


def _product(demand: ProductDemand, item: Item, hide: Hide) -> Product | None:
    product = demand.product_on(hide)
    if product is None or item.piece is None:
        return product
    piece = next(piece for piece in product.pieces if piece.name == item.piece)
    return Product(
        f"{demand.name}: {piece.name}", (replace(piece, count=1),), product.source, straight=product.straight
    )


def _likeness(hide: Hide, matters: Collection[str]) -> Hide:
    """The hide without what no line minds."""
    name, lot = hide.name if "hide" in matters else "", hide.lot if "lot" in matters else ""
    return replace(hide, name=name, lot=lot, parent="")


def _cost(hide: Hide, priced: bool) -> float:
    return (hide.cost or 0.0) if priced else hide.paid_area / 1e6


def _credit(hides: Sequence[Hide], place: int, credit: Price | None) -> float:
    hide = hides[place]
    if credit is None or hide.cost is None:
        return 0.0
    if credit.per_mm2 * hide.measured_area > hide.cost * (1 + 1e-9):
        raise InputError(
            f"an offcut would be worth more than the leather of hide “{hide.name}” costs",
            field="credit.per_area",
            remedy="give a credit below the price of the leather",
        )
    return credit.per_mm2


def _currency(hides: Sequence[Hide], credit: Price | None) -> str:
    named = [(hide.price.currency, f"hide “{hide.name}”") for hide in hides if hide.price]
    if named and credit:
        named.append((credit.currency, "the order's credit"))
    for currency, who in named:
        if currency != named[0][0]:
            raise InputError(
                f"{named[0][1]} is priced in {named[0][0]} and {who} in {currency}",
                field="currency",
                remedy="give all prices and the credit in one currency",
            )
    return named[0][0] if named else ""
