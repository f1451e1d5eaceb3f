"""A wish for pieces of one product to lie near each other, as the search sees it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Nearness:
    """Every piece of `kind` lies with its middle within so many mm of that of some piece of `beside`, of its product.

    Both are kinds of a problem, by number. Of a pair the distance is that from the middle's mirror image about the line
    y = `level`, the backbone's, and no two have the same partner.
    """

    kind: int
    beside: int
    within: float
    level: float | None = None
