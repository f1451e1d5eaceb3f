"""One hide, some products: the best checked layout. Everything is wired here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hides.hide import Hide
from nesting.layout import Layout
from nesting.product import Product
from nesting.settings import Settings, Watch


@dataclass(frozen=True)
class Want:
    """How much a product is wanted: the worth of one, and how many at most (None: as many as go)."""

    product: Product
    worth: float = 1.0
    limit: int | None = None


def lay_out(hide: Hide, wants: Sequence[Want], settings: Settings | None = None, watch: Watch | None = None) -> Layout:
    """The best layout found for the wanted products on one hide, checked.

    It seeks the greatest total worth of complete products within their limits, then the greatest area of pieces
    marked `spare`, then leftover in few large pieces. `counts` has one entry a want with a proven `at_most`
    (for that product alone). Raises InputError where product and hide do not go together (an `along` without a
    backbone) and LayoutFault should the result fail its check.
    """
    raise NotImplementedError
