"""Short codes for the kinds of pieces, and one name for every piece that lies on a hide.

A code is the first letter of the piece's name, two letters where that is taken, then letters with a figure. A
piece on the hide is called by code and product number, with a letter where one product has several: `S3b` is the
second strap of the third product. Spares are counted, with a `+`: `S+4`. Where even that is too long for a small
piece on a drawing, its number stands alone (`3b`, `+4`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, count

from nesting.model.layout import HideLayout, Layout, Placement
from nesting.model.product import Piece, Product

Kind = tuple[str, str]
"""product's name, piece's name"""


@dataclass(frozen=True)
class LaidName:
    """A piece as it lies: its kind, the kind's code (`S`) and place in the list, and its own number (`3b`)."""

    placement: Placement
    piece: Piece
    code: str
    number: str
    index: int

    @property
    def name(self) -> str:
        """Code and number."""
        return self.code + self.number


def codes(products: Sequence[Product]) -> dict[Kind, str]:
    """A code for every kind of piece, in the products' order; no two are the same."""
    found: dict[Kind, str] = {}
    for product in products:
        for piece in product.pieces:
            taken = set(found.values())
            found[product.name, piece.name] = next(code for code in _ideas(piece.name) if code not in taken)
    return found


def named(layout: Layout, each: HideLayout) -> tuple[LaidName, ...]:
    """The pieces on one hide of a layout with their names, by kind, then number, then place."""
    code_of = codes(layout.products)
    order = {kind: index for index, kind in enumerate(code_of)}
    kinds = {(product.name, piece.name): piece for product in layout.products for piece in product.pieces}
    rows = sorted(each.placements, key=lambda p: (order[p.product, p.piece], p.number or 10**9, p.x, p.y))
    several = Counter((p.product, p.piece, p.number) for p in rows)
    met: Counter[tuple[str, str, int]] = Counter()
    laid = []
    for p in rows:
        one = p.product, p.piece, p.number
        met[one] += 1
        number = f"{p.number}{_letters(met[one] - 1) if several[one] > 1 else ''}" if p.number else f"+{met[one]}"
        code = code_of[p.product, p.piece]
        laid.append(LaidName(p, kinds[p.product, p.piece], code, number, order[one[:2]]))
    return tuple(laid)


def _ideas(name: str) -> chain[str]:
    letters = [letter for letter in name if letter.isalpha()] or ["P"]
    first = letters[0].upper()
    words = [word[0].lower() for word in name.split()[1:] if word[:1].isalpha()]
    twos = (first + letter.lower() for letter in [*words, *letters[1:]])
    return chain([first], twos, (f"{first}{_letters(number)}" for number in count(26)))


def _letters(number: int) -> str:
    """0, 1, ... 25, 26 as a, b, ... z, aa."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(97 + rest) + text
    return text
