"""Wants and pieces in an order of their own, so that an answer does not depend on the order of a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.model.layout import Placement
from nesting.model.product import Piece, Product
from nesting.model.want import Want


def in_one_order(wants: Sequence[Want]) -> tuple[tuple[Want, ...], tuple[int, ...]]:
    """The wants, and each want's pieces, sorted by what they are; and for each want its place among the sorted.

    >>> tab, strap = Piece("tab", ((0, 0), (9, 0), (9, 9))), Piece("strap", ((0, 0), (99, 0), (99, 9)))
    >>> wants, places = in_one_order([Want(Product("fob", (tab,))), Want(Product("belt", (tab, strap)))])
    >>> [[piece.name for piece in want.product.pieces] for want in wants], places
    ([['tab'], ['tab', 'strap']], (0, 1))
    """
    own = [replace(want, product=pieces_in_one_order(want.product)) for want in wants]
    order = sorted(range(len(own)), key=lambda place: _want_key(own[place]))
    return tuple(own[place] for place in order), tuple(order.index(place) for place in range(len(own)))


def pieces_in_one_order(product: Product) -> Product:
    """The product with its pieces sorted by what they are: small ones first, and by name where nothing else differs."""
    return replace(product, pieces=tuple(sorted(product.pieces, key=_piece_key)))


def kept_in_one_order(kept: Sequence[Placement]) -> tuple[Placement, ...]:
    """Pieces that stay, sorted by what they are and where they lie."""
    return tuple(sorted(kept, key=lambda p: (p.product, p.piece, p.number, p.x, p.y, p.angle, p.mirrored)))


def _piece_key(piece: Piece) -> tuple[object, ...]:
    return piece.area, piece.outline, repr(replace(piece, name="")), piece.name


def _want_key(want: Want) -> tuple[object, ...]:
    product = want.product
    keys = [_piece_key(piece) for piece in product.pieces]
    return product.area, [key[:-1] for key in keys], want.worth, _limit(want), product.name, [key[-1] for key in keys]


def _limit(want: Want) -> float:
    return float("inf") if want.limit is None else want.limit
