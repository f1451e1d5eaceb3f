"""The layout that lay on a hide before the rest of it is filled: what of it may still lie, and how much that is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry import Polygon

from nesting.check import faults
from nesting.check.fault import title
from nesting.laying.case import Case
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Product
from nesting.model.want import Want
from nesting.result.numbered import kept_numbers

OF_PRODUCTS = ("near", "pair")
"""Faults of pieces that go together, which numbering them anew may mend."""


def still_right(case: Case) -> tuple[Placement, ...]:
    """The pieces of the former layout that may lie where they lay, as the case asks now; those that stay do."""
    products = tuple(want.product for want in case.wants)
    single = [replace(each, number=number) for number, each in enumerate(case.former, 1)]
    one = HideLayout(case.hide, tuple(single), Areas(*(0.0,) * 7))
    counts = tuple(ProductCount(product.name, 0, 0) for product in products)
    layout = Layout(counts, products, case.settings.gap, case.settings.seed, case.settings.effort, (one,))
    wrong = {name for fault in faults(layout) if fault.code not in OF_PRODUCTS for name in fault.pieces}
    judged = zip(case.former, single, strict=True)
    return tuple(each for each, told in judged if each.keep or title(told) not in wrong)


def whole_products(laid: Sequence[Placement], want: Want) -> int:
    """How many complete products of a want the pieces make, as far as more are wanted."""
    there = Counter(each.piece for each in laid if each.product == want.product.name)
    most = min((there[piece.name] // piece.count for piece in want.product.pieces), default=0)
    return most if want.limit is None else min(most, want.limit)


def numbered(laid: Sequence[Placement], product: Product, complete: int, begun: bool) -> tuple[Placement, ...]:
    """A product's pieces with their numbers; what belongs to none goes, but for spares and what stays."""
    own = sorted((each for each in laid if each.product == product.name), key=lambda each: not each.keep)
    if any(each.keep and each.number > complete for each in own):
        own = _kept_first(own)
    numbers = kept_numbers(own, product, complete, begun)
    spare = {piece.name for piece in product.pieces if piece.spare}
    found = [replace(each, number=number) for each, number in zip(own, numbers, strict=True)]
    return tuple(each for each in found if each.number or each.keep or each.piece in spare)


def _kept_first(own: Sequence[Placement]) -> list[Placement]:
    """A product's pieces with other numbers: first come the products that pieces which stay belong to."""
    stay = {each.number for each in own if each.keep}
    order = sorted({each.number for each in own if each.number}, key=lambda number: (number not in stay, number))
    new = {0: 0} | {number: place for place, number in enumerate(order, 1)}
    return [replace(each, number=new[each.number]) for each in own]


def fuller(one: Layout, other: Layout, wants: Sequence[Want]) -> bool:
    """Whether one layout of a hide holds more than another: complete products by worth, then of those begun, spares."""
    first, second = (_held(layout, wants) for layout in (one, other))
    return first > second


def _held(layout: Layout, wants: Sequence[Want]) -> tuple[float, int, int]:
    complete = {count.name: count.complete for count in layout.counts}
    worth = sum(want.worth * complete[want.product.name] for want in wants)
    lain = layout.hides[0].placements
    begun = sum(Polygon(each.outline).area for each in lain if each.number > complete[each.product])
    spares = sum(Polygon(each.outline).area for each in lain if not each.number)
    return round(worth, 9), round(begun), round(spares)
