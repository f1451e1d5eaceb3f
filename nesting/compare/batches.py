"""Hides and cost for a batch: hides are bought whole, so the cost of one product steps with every hide opened."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from nesting.compare.cost import Cost

SLACK = 1e-9


@dataclass(frozen=True)
class Batch:
    """A batch of so many products: hides bought whole and pro rata, and the cost of one product either way."""

    number: int
    hides: int
    hides_pro_rata: float
    leather: float
    total: float


def hides_for(number: int, per_hide: float, pack: int = 1) -> int:
    """Whole hides for a batch, at so many products a hide on the mean, sold by so many.

    >>> hides_for(10, 5.0), hides_for(11, 5.0), hides_for(10, 5.5), hides_for(11, 5.0, 2)
    (2, 3, 2, 4)
    """
    return pack * math.ceil(number / per_hide / pack - SLACK)


def batch(number: int, per_hide: float, hide_cost: float, each: Cost, share: float, pack: int = 1) -> Batch:
    """The batch with whole hides paid; `each` is the cost of one with its leather pro rata, `share` the overhead that
    goes with the money spent.
    """
    hides = hides_for(number, per_hide, pack)
    leather = hides * hide_cost / number
    whole = replace(each, leather=leather, overhead=each.overhead + share * (leather - each.leather))
    return Batch(number, hides, number / per_hide, leather, whole.total)
