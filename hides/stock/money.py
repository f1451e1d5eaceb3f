"""Amounts of money in whole cents, parted without a cent lost, and what a hide is worth as its price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from hides.hide import Hide, Price
from hides.units import area_unit


@dataclass(frozen=True)
class Value:
    """An amount of money in cents."""

    cents: int
    currency: str

    @property
    def amount(self) -> float:
        """In whole units of the currency."""
        return self.cents / 100


def share(cents: int, weights: Sequence[float]) -> list[int]:
    """Part an amount by weights, exactly: whole cents that add up to it, the largest remainders rounded up.

    Weights are not negative; where all are nought, all weigh the same.

    >>> share(100, [1, 1, 1])
    [34, 33, 33]
    >>> share(5, [0, 0])
    [3, 2]
    """
    exact = [Fraction(weight) for weight in weights]
    whole = sum(exact)
    if not whole:
        exact, whole = [Fraction(1)] * len(exact), Fraction(len(exact))
    parts = [cents * weight / whole for weight in exact]
    floors = [part.numerator // part.denominator for part in parts]
    by_rest = sorted(range(len(parts)), key=lambda k: (floors[k] - parts[k], k))
    for k in by_rest[: cents - sum(floors)]:
        floors[k] += 1
    return floors


def price_of(hide: Hide) -> Value | None:
    """What a hide costs by its own price, or None where it has none."""
    return None if hide.cost is None or hide.price is None else Value(round(hide.cost * 100), hide.price.currency)


def priced(hide: Hide, value: Value | None) -> Hide:
    """The hide with a price that comes to its value; as it is where its own price does, or where no value is known."""
    if value is None or price_of(hide) == value:
        return hide
    unit = hide.price.unit if hide.price else "m2"
    per_mm2 = value.amount / hide.paid_area
    return replace(hide, price=Price(per_mm2, value.currency, per_mm2 * area_unit(unit), unit))


def by_area(hide: Hide, offcuts: Sequence[Hide], cents: int) -> list[int]:
    """What each offcut keeps of a hide's value where every mm² counts alike."""
    kept = [offcut.measured_area for offcut in offcuts]
    return share(cents, [*kept, max(hide.measured_area - sum(kept), 0.0)])[:-1]
