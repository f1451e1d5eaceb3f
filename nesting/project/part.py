"""A part of a product: some of its pieces, for the one that was spoilt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from hides.errors import InputError
from hides.fields import told, unknown
from nesting.model.product import Product

MOST = 10_000


def part_of_product(product: Product, pieces: Mapping[str, int]) -> Product:
    """A product made of so many of some pieces only, named after them; itself where none is named.

    Joints that need other pieces are left out. Raises InputError where the product has no such piece.

    >>> from nesting.model.product import Piece
    >>> square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    >>> rack = Product("Map rack", (Piece("strap", square, 3), Piece("loop", square, 6)))
    >>> part = part_of_product(rack, {"strap": 1})
    >>> part.name, [(piece.name, piece.count) for piece in part.pieces]
    ('Map rack: 1 strap', [('strap', 1)])
    """
    if not pieces:
        return product
    names = tuple(piece.name for piece in product.pieces)
    for name in pieces:
        if name not in names:
            raise unknown(f"piece “{name}”", name, names)
    kept = tuple(replace(piece, count=pieces[piece.name]) for piece in product.pieces if piece.name in pieces)
    joints = tuple(j for j in product.making.joints if all(not x.piece or x.piece in pieces for x in j.layers))
    words = ", ".join(f"{piece.count} {piece.name}" for piece in kept)
    making = replace(product.making, joints=joints)
    return replace(product, name=f"{product.name}: {words}", pieces=kept, making=making)


def pieces_in(value: object) -> dict[str, int]:
    """Names of pieces with how many of each, as a table of a file gives them."""
    if not isinstance(value, dict) or not value:
        raise InputError(f"is {told(value)}", remedy="name pieces and how many: { strap = 1 }")
    for name, many in value.items():
        if isinstance(many, bool) or not isinstance(many, int) or not 1 <= many <= MOST:
            raise InputError(f"asks for {told(many)} of “{name}”", remedy="give a whole number from 1")
    return dict(value)
