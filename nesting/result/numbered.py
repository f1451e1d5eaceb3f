"""Which product every piece of a layout belongs to, and what one more product begun lacks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from nesting.model.layout import BegunProduct, Placement
from nesting.model.product import Product


def kept_numbers(kept: Sequence[Placement], product: Product, complete: int, begun: bool) -> list[int]:
    """Numbers for pieces of a product that stay: their own where they can have it; 0 beyond all products."""
    counts = {piece.name: piece.count for piece in product.pieces}
    free = Counter({(name, n): many for name, many in counts.items() for n in range(1, complete + 1 + begun)})
    numbers = [each.number if 0 < each.number <= complete else 0 for each in kept]
    for index, (each, number) in enumerate(zip(kept, numbers, strict=True)):
        numbers[index] = number if free[each.piece, number] > 0 else 0
        free[each.piece, numbers[index]] -= 1
    for index, each in enumerate(kept):
        if not numbers[index]:
            numbers[index] = _lowest(free, each.piece, complete + begun)
            free[each.piece, numbers[index]] -= 1
    return numbers


def _lowest(free: Counter[tuple[str, int]], piece: str, most: int) -> int:
    return next((n for n in range(1, most + 1) if free[piece, n] > 0), 0)


class Numbers:
    """Hands out the lowest number that still lacks a piece, beside those that stay."""

    def __init__(self, product: Product, kept: Sequence[tuple[str, int]]) -> None:
        self._counts = {piece.name: piece.count for piece in product.pieces}
        self._met = Counter(kept)

    def next(self, piece: str) -> int:
        """The number of the next piece of that name."""
        number = 1
        while self._met[piece, number] >= self._counts[piece]:
            number += 1
        self._met[piece, number] += 1
        return number


def begun_product(product: Product, placements: Sequence[Placement], number: int) -> BegunProduct:
    """What of the product of a number is laid, and what is missing."""
    laid = Counter(p.piece for p in placements if p.product == product.name and p.number == number)
    missing = {piece.name: piece.count - laid[piece.name] for piece in product.pieces}
    lacking = tuple((name, many) for name, many in missing.items() if many > 0)
    return BegunProduct(sum(laid.values()), sum(piece.count for piece in product.pieces), lacking)
