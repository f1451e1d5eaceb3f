"""Short codes for the kinds of pieces, and one name for every piece that lies on a hide.

A code is one capital letter, the piece's first where that is free, else another of its name, so that no two codes look
alike; I and O are left out, since they read like figures. Where letters run out, codes have two. A piece on the hide is
called by code and product number, with a letter where one product has several: `S3b` is the second strap of the third
product. Spares are counted, with a `+`: `S+4`. On a drawing a small circle may bear its code alone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product as pairs

from nesting.model.layout import HideLayout, Layout, Placement
from nesting.model.product import Piece, Product

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
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


def _ideas(name: str) -> list[str]:
    """Codes for a piece of this name, the best first."""
    words = [word for word in name.upper().split() if word[0] in LETTERS]
    own = [word[0] for word in words] + [letter for word in words for letter in word if letter in LETTERS]
    twos = ["".join(two) for two in pairs([*own[:1], *LETTERS], LETTERS)]
    return [*own, *LETTERS, *twos]


def _letters(number: int) -> str:
    """0, 1, ... 25, 26 as a, b, ... z, aa."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(97 + rest) + text
    return text
