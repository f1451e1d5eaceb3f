"""The comparison: every leather tried, costed and weighed, as one immutable value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from statistics import fmean

from hides.errors import InputError
from hides.hide import Hide
from hides.units import area_unit
from nesting.compare.batches import Batch, batch
from nesting.compare.bill import BillLine, bill
from nesting.compare.chance import chance
from nesting.compare.cost import Cost, cost
from nesting.compare.leather import Leather
from nesting.compare.trial import Solve, Spread, Trial
from nesting.compare.weight import product_weight
from nesting.compare.work import Minutes, minutes, slower
from nesting.laying.case import case_of
from nesting.laying.lay_out import solve as best_layout
from nesting.laying.shortage import shortages
from nesting.model.layout import Layout
from nesting.model.product import Product
from nesting.model.settings import Progress, Settings, Watch
from nesting.model.want import Want
from nesting.project.choices import Chosen
from nesting.project.project_file import read_product
from nesting.result.answer import Shortage

USUAL_BATCH = 10
MOST_STEPS = 60


@dataclass(frozen=True)
class ComparedLeather:
    """One leather's answer. Costs are of one product made in batches of `number`; None where no hide gives one."""

    trial: Trial
    number: int
    others: tuple[Trial, ...] = ()
    """The same leather by the layouts of further seeds."""

    @property
    def name(self) -> str:
        """The leather's name."""
        return self.trial.leather.name

    @cached_property
    def work(self) -> Minutes:
        """Minutes of work on one product."""
        labour = self.trial.made.making.labour
        if labour is None:
            return Minutes()
        return slower(minutes(self.trial.made, labour, self.trial.uses), self.trial.leather.labour)

    @cached_property
    def cost(self) -> Cost | None:
        """The cost with the leather it bears: the hides pro rata, less what stays in their offcuts."""
        if not self.trial.fits:
            return None
        return cost(self.trial.made.making, self.trial.leather_charged, self.work, self.trial.uses, self.number)

    @cached_property
    def cost_spread(self) -> Spread | None:
        """The total cost by hide, over the hides that give at least one product."""
        one = self.cost
        if one is None:
            return None
        rows = zip(self.trial.landed, self.trial.borne, self.trial.products, strict=True)
        return Spread.of([self.total_with(landed * share / n) for landed, share, n in rows if n])

    @cached_property
    def weight(self) -> float | None:
        """Grams of one product, or None where the density is not known."""
        density, trial = self.trial.leather.density, self.trial
        if density is None:
            return None
        return product_weight(trial.product, trial.made.making, trial.uses, trial.t, density)

    def total_with(self, leather: float) -> float:
        """The total cost if the leather in one product cost so much."""
        assert self.cost is not None
        return self.cost.total + (1 + self._share) * (leather - self.cost.leather)

    def batch(self, number: int) -> Batch | None:
        """A batch of so many, hides bought whole."""
        return self._batch(number, self.trial.per_hide)

    def least_batch(self, number: int) -> Batch | None:
        """The same if every sample gave its proven “at most”: hides like these give no cheaper batch."""
        return self._batch(number, fmean(self.trial.at_most))

    def _batch(self, number: int, per_hide: float) -> Batch | None:
        if not self.trial.fits:
            return None
        making = self.trial.made.making
        each = cost(making, self._hide_cost / per_hide, self.work, self.trial.uses, number)
        return batch(number, per_hide, self._hide_cost, each, self._share, self.trial.leather.pack)

    @cached_property
    def steps(self) -> tuple[Batch, ...]:
        """Batches of 1, 2, 3, ... to twice the batch asked for (at most 60)."""
        last = min(MOST_STEPS, max(2 * self.number, 12))
        return tuple(each for n in range(1, last + 1) if (each := self.batch(n)))

    @cached_property
    def bill(self) -> tuple[BillLine, ...]:
        """The bill of materials for the batch."""
        one = self.batch(self.number)
        if one is None:
            return ()
        making = self.trial.made.making
        return bill(making, self.trial.uses, self.number, one.hides, one.hides_pro_rata, self._hide_cost)

    def break_even(self, goal: float) -> float | None:
        """The price (by area or hide, as the leather is quoted) at which one product would cost `goal` in total;
        None where no price does.
        """
        if self.cost is None:
            return None
        trial, leather = self.trial, self.trial.leather
        share_of_leather = self.cost.leather + (goal - self.cost.total) / (1 + self._share)
        rows = list(zip(trial.hides, trial.borne, strict=True))
        paid = share_of_leather * sum(trial.products) / (1 + leather.tax)
        paid -= sum(leather.beside_price(hide) * part for hide, part in rows)
        if paid < 0:
            return None
        if leather.per_hide is not None:
            return paid / sum(trial.borne)
        return paid / (sum(leather.marked_area(hide) * part for hide, part in rows) / area_unit(leather.unit))

    def chance(self, number: int) -> float | None:
        """How likely the hides that a batch is bought from are enough for it, going by the samples."""
        one = self.batch(number)
        return None if one is None else chance(number, one.hides, self.trial.products)

    @property
    def _hide_cost(self) -> float:
        return sum(self.trial.landed) / len(self.trial.landed)

    @property
    def _share(self) -> float:
        """The overhead that goes with every coin spent."""
        return self.trial.made.making.pricing.overhead.share


@dataclass(frozen=True)
class Comparison:
    """One product in several leathers, in the order of the leathers file.

    `untried` names leathers that the search did not come to before it was stopped.
    """

    product: str
    project: str
    currency: str
    number: int
    settings: Settings
    entries: tuple[ComparedLeather, ...]
    untried: tuple[str, ...] = ()

    @cached_property
    def by_cost(self) -> tuple[ComparedLeather, ...]:
        """The entries that give a product, the cheapest first; flawless typical outlines after all that are not."""
        costed = [
            (entry.trial.leather.flawless, entry.cost.total, i, entry)
            for i, entry in enumerate(self.entries)
            if entry.cost
        ]
        return tuple(entry for *_, entry in sorted(costed, key=lambda each: each[:3]))

    @cached_property
    def for_batch(self) -> tuple[ComparedLeather, ...]:
        """The entries that give a product, the cheapest for the batch first, hides bought whole."""
        whole = [
            (entry.trial.leather.flawless, b.total, i, entry)
            for i, entry in enumerate(self.by_cost)
            if (b := entry.batch(self.number))
        ]
        return tuple(entry for *_, entry in sorted(whole, key=lambda each: each[:3]))

    @property
    def seeds(self) -> int:
        """From how many seeds every leather was searched."""
        return 1 + min((len(entry.others) for entry in self.entries), default=0)

    @property
    def hangs(self) -> bool:
        """Whether the product hangs or carries something."""
        return any(entry.trial.made.making.care.hangs for entry in self.entries)

    @property
    def stopped(self) -> bool:
        """Whether any search was cut short."""
        return bool(self.untried) or any(entry.trial.stopped for entry in self.entries)


def compare(
    project: Path | str,
    leathers: Sequence[Leather],
    settings: Settings | None = None,
    watch: Watch | None = None,
    number: int = USUAL_BATCH,
    solve: Solve = best_layout,
    chosen: Chosen | None = None,
    part: str = "",
    seeds: int = 1,
) -> Comparison:
    """Lay the product on every sample hide of every leather, with lengths for each leather's thickness, as `chosen`.

    Of a product of several leathers `part` is the one that is compared, the others staying as the project has them;
    without it all are cut from the leather that is tried. `seeds`: from how many seeds every hide is searched, the
    settings' own first; the figures are those of the first, the others tell how far they shift with the search.

    Raises InputError where project and leathers do not go together.

    No example: it lays a product on every sample hide, which takes a while; README shows it.
    """
    settings, watch = replace(settings or Settings(), begin=False, tidily=False), watch or Watch()
    products = [read_product(project, leather.thickness.middle, chosen=chosen, leather=part) for leather in leathers]
    currency = _currency(products[0], leathers)
    bench = _Bench(settings, watch, solve, seeds * sum(len(leather.hides) for leather in leathers))
    trials = [bench.trial(leather, product, part) for leather, product in zip(leathers, products, strict=True)]
    others = [bench.others(trial, part, seeds) for trial in trials]
    entries = tuple(ComparedLeather(t, number, more) for t, more in zip(trials, others, strict=True) if t.layouts)
    untried = tuple(trial.leather.name for trial in trials if not trial.layouts)
    name = products[0].of([part]).name if part else products[0].name
    return Comparison(name, str(project), currency, number, settings, entries, untried)


def _currency(product: Product, leathers: Sequence[Leather]) -> str:
    own, theirs = product.making.pricing.currency, leathers[0].currency
    if own and own != theirs:
        raise InputError(
            f"is {own}, and the leathers are priced in {theirs}",
            where=product.source,
            field="price.currency",
            remedy="give all prices in one currency",
        )
    return theirs


def _as_laid(hide: Hide, product: Product) -> Hide:
    """The hide without what has no say in a layout: its price, and its thickness where no piece asks for one."""
    hide = replace(hide, area=None, price=None)
    if any(piece.thickness for piece in product.pieces):
        return hide
    return replace(hide, thickness=None, zones=tuple(replace(zone, thickness=None) for zone in hide.zones))


Laid = tuple[Layout, tuple[Shortage, ...]]
"""A sample's layout, and what keeps it from giving one product, where it gives none."""


class _Bench:
    """Lays hides one after another, tells how far it is, and lays nothing twice."""

    def __init__(self, settings: Settings, watch: Watch, solve: Solve, number: int) -> None:
        self._settings, self._watch, self._solve, self._number = settings, watch, solve, number
        self._done = 0
        self._known: dict[tuple[Hide, object, int], Laid] = {}

    def others(self, trial: Trial, part: str, seeds: int) -> tuple[Trial, ...]:
        """The same from further seeds, as many as there is time for: each whole or not at all."""
        own, found = self._settings, list[Trial]()
        for more in range(1, seeds if trial.layouts else 0):
            self._settings = replace(own, seed=own.seed + more)
            again = self.trial(trial.leather, trial.made, part)
            if len(again.layouts) < len(trial.layouts) or again.stopped:
                break
            found.append(again)
        self._settings = own
        return tuple(found)

    def trial(self, leather: Leather, whole: Product, part: str) -> Trial:
        """The leather on its samples, as many as there is time for."""
        product = whole.of([part]) if part else whole
        found: list[Laid] = []
        for hide in leather.hides:
            if self._done and self._watch.stop():
                break
            laid = self._laid(hide, product, leather.name)
            if laid[0].stopped and found:  # half a search would drag the others' mean down
                break
            found.append(laid)
        layouts = tuple(layout for layout, _ in found)
        short = found[0][1] if found else ()
        return Trial(replace(leather, hides=leather.hides[: len(layouts)]), product, layouts, whole, short)

    def _laid(self, hide: Hide, product: Product, leather: str) -> Laid:
        key = _as_laid(hide, product), product.pieces, self._settings.seed
        if key not in self._known:
            self._known[key] = self._solved(hide, product, leather)
        self._done += 1
        return self._known[key]

    def _solved(self, hide: Hide, product: Product, leather: str) -> Laid:
        stage = f"{leather}: {hide.name}"

        def report(progress: Progress) -> None:
            self._watch.report(Progress(stage, (self._done + progress.fraction) / self._number, progress.best))

        report(Progress(stage, 0.0))
        case = case_of(hide, [Want(product)], self._settings)
        layout = self._solve(case, replace(self._watch, report=report))
        return layout, () if layout.counts[0].complete else tuple(shortages(case, layout))
