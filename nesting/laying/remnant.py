"""Fewer products than the hide gives: they lie at one side, so that what is left is one remnant of use.

What is left is worth what still goes on it: of each remnant the product that takes the most of its leather. Beside the
layout of just so many the *fullest* one is tried, of which those at one side stay.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from hides.errors import HideplanError
from hides.hide import Hide, Ring
from hides.offcut import offcut
from nesting.check import faults
from nesting.laying.case import Case, case_of
from nesting.laying.lay_out import lay_out, solve
from nesting.model.layout import Layout, Placement
from nesting.model.product import Product
from nesting.model.settings import Stop, Watch
from nesting.model.want import Want
from nesting.result.areas import usefulness
from nesting.result.thinned import sides, thin

MOST_RINGS = 3
"""Offcuts of a hide, the largest, that are asked what they give."""

Lay = Callable[[Hide, Product], Layout]


@dataclass(frozen=True)
class Left:
    """A layout, and how many of which product its offcuts still give."""

    layout: Layout
    still: dict[str, int]

    def lines(self) -> list[str]:
        """What is left, as a line to print; none where nothing is known to go on it."""
        told = " and ".join(f"{many} {name}" for name, many in self.still.items())
        return [f"What is left still gives {told}.\n"] if told else []

    def data(self) -> dict[str, object]:
        """The same as data: products by name, how many of each; nothing where nothing is known to go on it."""
        return {"still": self.still} if self.still else {}


def most_of(remnant: Hide, products: Sequence[Product], lay: Lay, stop: Stop) -> dict[str, int]:
    """How many a remnant gives of the product that takes the most of its leather; nothing where none goes on it."""
    best, most = dict[str, int](), 0.0
    for product in products:
        if product.area > remnant.measured_area or stop():
            continue
        try:
            many = lay(remnant, product).counts[0].complete
        except HideplanError:
            continue  # no line of it suits straight pieces, say: it gives none
        if many * product.area > most:
            best, most = {product.name: many}, many * product.area
    return best


def lay_some(case: Case, catalogue: Sequence[Product] = (), watch: Watch | None = None) -> Left:
    """The best layout of a case that wants so many of one product: at one side, where the hide gives more.

    `catalogue` are further products that what is left is judged by. Pieces that stay lie where they are, so with
    these it is the layout as the search gives it. Every layout has passed its check.
    """
    watch = watch or Watch()
    want = case.wants[0]
    judge = _Judge(case, (want.product, *catalogue), watch)
    own = solve(case, watch)
    most, found = own.counts[0].complete, [own]
    if most == want.limit and not case.kept and not watch.stop():
        settings = replace(case.settings, begin=False)
        fullest = solve(case_of(case.hide, [replace(want, limit=None)], settings), watch)
        counts = (replace(own.counts[0], at_most=fullest.counts[0].at_most),)
        rows = [thin(fullest, _renumbered(kept)) for kept in sides(fullest, {want.product.name: most})]
        told = [replace(each, counts=counts, stopped=own.stopped) for each in (own, *rows)]
        found = [each for each in told if not faults(each)]
    return judge.best(found)


def _renumbered(placements: Sequence[Placement]) -> list[Placement]:
    """Pieces of one product with its numbers from 1 on, in their old order."""
    new = {old: place for place, old in enumerate(sorted({each.number for each in placements}), 1)}
    return sorted((replace(each, number=new[each.number]) for each in placements), key=lambda each: each.number)


class _Judge:
    """Tells what a layout's offcuts still give, each asked once."""

    def __init__(self, case: Case, products: Sequence[Product], watch: Watch) -> None:
        names = {product.name: product for product in products}
        self.products = sorted(names.values(), key=lambda product: -product.area)
        self.settings = replace(case.settings, effort="quick", begin=False, tidily=False)
        self.watch = watch
        self.known: dict[Ring, dict[str, int]] = {}

    def best(self, layouts: Sequence[Layout]) -> Left:
        return min((self.told(layout) for layout in layouts), key=self._rank)

    def told(self, layout: Layout) -> Left:
        still: dict[str, int] = {}
        on = layout.hides[0]
        for ring in on.offcuts[:MOST_RINGS]:
            if ring not in self.known:
                self.known[ring] = most_of(offcut(on.hide, ring, "remnant"), self.products, self._lay, self.watch.stop)
            for name, many in self.known[ring].items():
                still[name] = still.get(name, 0) + many
        return Left(layout, still)

    def _lay(self, remnant: Hide, product: Product) -> Layout:
        return lay_out(remnant, [Want(product)], self.settings, self.watch)

    def _rank(self, left: Left) -> tuple[float, float]:
        """Lower is better: leather that offcuts still give, their usefulness by size."""
        area = {product.name: product.area for product in self.products}
        given = sum(area[name] * n for name, n in left.still.items())
        return -round(given), -round(usefulness(left.layout.hides[0].offcuts), 9)
