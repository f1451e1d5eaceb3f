"""Small problems and products for tests of the search and the bound."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from shapely.geometry import Polygon, box

from hides.hide import Hide
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.product import Along, Piece, Product
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import Laid
from nesting.search.filling.leftover import placed


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
        Kind(str(n), 0, outline, (outline,), count, tuple(Orientation(False, a, a, (0,)) for a in angles))
        for n, (outline, count, angles) in enumerate(kinds)
    )
    return Problem((region,), (region,), made, (Wanted("kit"),), gap)


def assert_apart(problem: Problem, laid: Sequence[Laid]) -> None:
    """Nothing overlaps or lies too near another, and all lies on the leather, by shapely."""
    arrays = build(problem)
    lie = [placed(problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in laid]
    assert all(problem.regions[0].buffer(1e-4).covers(shape) for shape in lie)
    for one, other in combinations(lie, 2):
        if problem.gap:
            assert one.distance(other) > problem.gap - 1e-4
        else:
            assert one.intersection(other).area < 1e-2
