"""Small problems and products for tests of the search and the bound."""

from __future__ import annotations

from shapely.geometry import Polygon, box

from hides.hide import Hide
from nesting.problem import Kind, Problem, Stance, Wanted
from nesting.product import Along, Piece, Product


def plain_hide(width: float, height: float, **changes: object) -> Hide:
    """A plain rectangular hide with its backbone along +x."""
    ring = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    return Hide("plain", ring, backbone=((0.0, 0.0), (width, 0.0)), **changes)  # type: ignore[arg-type]


def rectangle(name: str, width: float, length: float, **changes: object) -> Piece:
    """A rectangular piece, its length along +y."""
    ring = ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length))
    return Piece(name, ring, **changes)  # type: ignore[arg-type]


def product(*pieces: Piece, name: str = "kit") -> Product:
    return Product(name, pieces)


def strap(name: str = "strap", width: float = 30, length: float = 300, **changes: object) -> Piece:
    return rectangle(name, width, length, along=Along.BACKBONE, **changes)


def in_box(width: float, height: float, kinds: list[tuple[Polygon, int, list[float]]], gap: float = 0.0) -> Problem:
    """Pieces (outline, count, angles) that make one product in a plain rectangle."""
    region = box(0, 0, width, height)
    made = tuple(
        Kind(str(n), 0, outline, (outline,), count, tuple(Stance(False, a, a, (0,)) for a in angles))
        for n, (outline, count, angles) in enumerate(kinds)
    )
    return Problem((region,), (region,), made, (Wanted("kit"),), gap)
