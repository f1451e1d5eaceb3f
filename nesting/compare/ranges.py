"""How far a comparison's figures shift with the search: the same hides searched from several seeds, least to most."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from nesting.compare.comparison import ComparedLeather, Comparison

HAIR = 0.005
"""Amounts nearer than half a cent are one."""


@dataclass(frozen=True)
class Range:
    """The least and the most of a figure over the seeds."""

    low: float
    high: float

    @property
    def text(self) -> str:
        """To the cent, once where both are the same.

        >>> Range(4.0, 5.5).text, Range(4.0, 4.0).text
        ('4.00-5.50', '4.00')
        """
        low, high = f"{self.low:.2f}", f"{self.high:.2f}"
        return low if low == high else f"{low}-{high}"

    def meets(self, other: Range) -> bool:
        """Whether the two ranges have a figure in common."""
        return self.low <= other.high + HAIR and other.low <= self.high + HAIR


def range_of(figures: Iterable[float | None]) -> Range | None:
    """The range of the figures that there are; None where one is missing, for then the search alone decides."""
    told = list(figures)
    known = [figure for figure in told if figure is not None]
    return Range(min(known), max(known)) if known and len(known) == len(told) else None


def each_seed(entry: ComparedLeather) -> list[ComparedLeather]:
    """The leather by one seed's layouts after the other."""
    return [entry, *(replace(entry, trial=trial, others=()) for trial in entry.others)]


def products(entry: ComparedLeather) -> Range:
    """Products a hide, on the mean of the samples."""
    told = [each.trial.per_hide for each in each_seed(entry)]
    return Range(min(told), max(told))


def total(entry: ComparedLeather) -> Range | None:
    """The cost of one product."""
    return range_of(each.cost.total if each.cost else None for each in each_seed(entry))


def batch_total(entry: ComparedLeather, number: int) -> Range | None:
    """The cost of one product of a batch, hides bought whole."""
    return range_of(one.total if (one := each.batch(number)) else None for each in each_seed(entry))


def break_even(entry: ComparedLeather, first: ComparedLeather) -> Range | None:
    """The prices at which a leather draws level with another, over every pair of their seeds."""
    goals = total(first)
    if goals is None:
        return None
    return range_of(each.break_even(goal) for each in each_seed(entry) for goal in (goals.low, goals.high))


def told_apart(comparison: Comparison) -> bool:
    """Whether the first for the batch is the cheapest whatever the seed: its whole range lies below every other's."""
    ranked = comparison.for_batch
    told = [batch_total(entry, comparison.number) for entry in ranked]
    if not told or told[0] is None:
        return False
    return all(other is not None and told[0].high + HAIR < other.low for other in told[1:])
