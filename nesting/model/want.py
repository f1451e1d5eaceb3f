"""How much a product is wanted."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.product import Product


@dataclass(frozen=True)
class Want:
    """How much a product is wanted: the worth of one, and how many at most (None: as many as go).

    >>> Want(Product("strap", ()), limit=3).worth
    1.0
    """

    product: Product
    worth: float = 1.0
    limit: int | None = None

    def is_met(self, number: int) -> bool:
        """Whether so many are all that is asked for."""
        return self.limit is not None and number >= self.limit
