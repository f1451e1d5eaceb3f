"""What no layout of a hide can exceed, as the batch's bound needs it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hides.hide import Hide
from nesting.product import Product
from nesting.settings import Settings


@dataclass(frozen=True)
class Limits:
    """`most[i]` of product i alone; and for each (uses, room): Σ uses[i] · count[i] ≤ room, for any mix."""

    most: tuple[int, ...]
    rows: tuple[tuple[tuple[float, ...], float], ...]

    def allow(self, counts: Sequence[int]) -> bool:
        """Whether the limits leave these counts possible."""
        alone = all(n <= most for n, most in zip(counts, self.most, strict=True))
        return alone and all(sum(u * n for u, n in zip(uses, counts, strict=True)) <= room for uses, room in self.rows)


LimitsOf = Callable[[Hide, Sequence[Product], Settings], Limits]
