"""Layouts from other hands that do not describe their pieces, completed so that they can be drawn."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hides.hide import Grade, Ring
from nesting.drawing.scene import turned_by
from nesting.model.layout import Layout, Placement
from nesting.model.product import Piece, Product


def described(layout: Layout) -> Layout:
    """The layout with a piece for every kind that lies on a hide.

    Kinds that the layout does not describe get the outline their first placement carries; what they ask for is
    unknown, which their grade `none` says.
    """
    known = {(product.name, piece.name) for product in layout.products for piece in product.pieces}
    lost: dict[tuple[str, str], Placement] = {}
    for each in layout.hides:
        for placement in each.placements:
            if (placement.product, placement.piece) not in known:
                lost.setdefault((placement.product, placement.piece), placement)
    if not lost:
        return layout
    pieces = {product.name: product.pieces for product in layout.products}
    for (product, name), placement in lost.items():
        own = Piece(name, _own_outline(placement), _count(layout, placement), Grade.NONE)
        pieces[product] = (*pieces.get(product, ()), own)
    known_products = {product.name: product for product in layout.products}
    return replace(
        layout,
        products=tuple(
            replace(known_products[name], pieces=of) if name in known_products else Product(name, of)
            for name, of in pieces.items()
        ),
    )


def _own_outline(placement: Placement) -> Ring:
    """The outline carried back into the piece's frame."""
    back = [turned_by((x - placement.x, y - placement.y), -placement.angle) for x, y in placement.outline]
    return tuple((-x, y) for x, y in reversed(back)) if placement.mirrored else tuple(back)


def _count(layout: Layout, like: Placement) -> int:
    """How many of the kind one product holds: the most that share a number."""
    laid = [p for each in layout.hides for p in each.placements if (p.product, p.piece) == (like.product, like.piece)]
    return max(Counter(p.number for p in laid if p.number).values(), default=1)
