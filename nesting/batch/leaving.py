"""What a hide that is not cut out leaves should still be of use: of like layouts the one whose offcuts give most.

An offcut is worth what can still be cut from it: products of the order and of the workshop's own catalogue. Beside the
layouts that a plan has, the *fullest* one is tried: as many of the same products as go on the hide, of which those at
one side stay. Its other side is then one remnant that holds the rest, but for the hair's breadth an offcut is drawn in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from shapely.geometry import Polygon

from hides.hide import Hide, Ring
from hides.offcut import offcut
from nesting.batch.pattern import net_cost
from nesting.batch.searching import Call, Searcher, even_worths
from nesting.laying.lay_out import Want
from nesting.laying.remnant import MOST_RINGS, most_of
from nesting.model.layout import Layout
from nesting.model.product import Product
from nesting.model.settings import Watch
from nesting.result.areas import usefulness
from nesting.result.thinned import sides, thin

MOST_HIDES = 4
"""Hides of a plan that are laid anew for what they leave."""
MOST_PRODUCTS = 4
"""Products that an offcut is asked for, the largest first."""

Catalogue = Callable[[Hide], Sequence[Product]]
"""The workshop's own products as they are cut from a hide."""


def _none(hide: Hide) -> Sequence[Product]:
    return ()


@dataclass
class Leaving:
    """Chooses among layouts of one hide by what their offcuts still give, while its budget lasts."""

    search: Searcher
    catalogue: Catalogue = _none
    left: int = MOST_HIDES
    _known: dict[tuple[int, Ring], dict[str, int]] = field(default_factory=dict)

    def better(self, group: int, counts: Sequence[int], found: Sequence[Layout]) -> Layout:
        """Of layouts with just these counts, and of the fullest thinned to them, the cheapest that leaves most."""
        best = min(found, key=lambda layout: self._rank(group, layout, ()))
        products = self._products(group)
        if not self.left or self.search.stopped or not self._room(best, products):
            return best
        self.left -= 1
        full = self._fullest(group, counts)
        thinned = [] if full is None else [thin(full, kept) for kept in sides(full, self._keep(group, counts))]
        return min([best, *found, *thinned], key=lambda layout: self._rank(group, layout, products))

    def still(self, group: int, layout: Layout) -> dict[str, int]:
        """What the offcuts of a layout give beside it: of each the product that takes the most of its leather."""
        told: dict[str, int] = {}
        for ring in layout.hides[0].offcuts[:MOST_RINGS]:
            for name, many in self._gives(group, layout.hides[0].hide, ring).items():
                told[name] = told.get(name, 0) + many
        return told

    def told(self, group: int, layout: Layout) -> dict[str, int]:
        """What is known of what the offcuts give, without asking for more."""
        found: dict[str, int] = {}
        for ring in layout.hides[0].offcuts[:MOST_RINGS]:
            for name, many in self._known.get((group, ring), {}).items():
                found[name] = found.get(name, 0) + many
        return found

    def _rank(self, group: int, layout: Layout, products: Sequence[Product]) -> tuple[float, float, float]:
        """Lower is better: cost less credit, leather that offcuts still give, their usefulness by size."""
        on = layout.hides[0]
        area = {product.name: product.area for product in products}
        given = sum(area[name] * n for name, n in self.still(group, layout).items()) if products else 0.0
        cost = net_cost(self.search.task, group, on.areas)
        return round(cost, 6), -round(given), -round(usefulness(on.offcuts), 9)

    def _room(self, layout: Layout, products: Sequence[Product]) -> bool:
        largest = max((Polygon(ring).area for ring in layout.hides[0].offcuts), default=0.0)
        return any(product.area <= largest for product in products)

    def _products(self, group: int) -> list[Product]:
        """What an offcut of the group is asked for: the order's own products there, and the catalogue's."""
        own = [product for product in self.search.task.products[group] if product is not None]
        names = {product.name for product in own}
        more = [p for p in self.catalogue(self.search.task.groups[group].hide) if p.name not in names]
        return sorted([*own, *more], key=lambda product: -product.area)[:MOST_PRODUCTS]

    def _gives(self, group: int, hide: Hide, ring: Ring) -> dict[str, int]:
        key = group, ring
        if key not in self._known:
            remnant = offcut(hide, ring, "remnant")
            products = self._products(group)
            self._known[key] = most_of(remnant, products, self._lay, lambda: self.search.stopped)
        return self._known[key]

    def _lay(self, remnant: Hide, product: Product) -> Layout:
        settings = replace(self.search.settings, effort="quick")
        return self.search.solve(remnant, [Want(product)], settings, self._watch())

    def _watch(self) -> Watch:
        """For a search in this process, which hears the clock's stop too."""
        return replace(self.search.watch, stop=lambda: self.search.stopped, executor=None)

    def _fullest(self, group: int, counts: Sequence[int]) -> Layout | None:
        """The layout of as many as go of the products that the hide gives, where it holds these counts."""
        items = tuple(i for i, n in enumerate(counts) if n)
        worths = even_worths([self.search.task.area(i) for i in items])
        call = Call(group, items, worths, (None,) * len(items), self.search.settings.effort)
        pattern = self.search.one(call)
        if pattern is None or any(had < n for had, n in zip(pattern.counts, counts, strict=True)):
            return None
        return pattern.layout

    def _keep(self, group: int, counts: Sequence[int]) -> dict[str, int]:
        row = self.search.task.products[group]
        return {product.name: n for product, n in zip(row, counts, strict=True) if product is not None}
