"""A wish for pieces of one product to lie near each other, as the search sees it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Nearness:
    """Every piece of `kind` lies with its middle within so many mm of that of some piece of `beside`, of its product.

    Both are kinds of a problem, by number.
    """

    kind: int
    beside: int
    within: float
