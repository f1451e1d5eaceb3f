"""A product's pieces nested on endless leather: what each takes, and which two kinds share it better."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from nesting.geometry.simplify import outer
from nesting.lattice.lattice import Lattice, lattices, side_by_side, turned
from nesting.model.product import Piece, Product

STRAY = 0.01
"""How far (mm) curves may be drawn out, so that they have fewer corners."""

WORTH_TELLING = 0.005
"""A pair of kinds is told of when it saves at least this share of their leather."""


@dataclass(frozen=True)
class Interlock:
    """One kind of piece and the densest lattice found of it. `turn`: whether it may lie head to tail."""

    piece: Piece
    lattice: Lattice
    turn: bool

    @property
    def each(self) -> float:
        """Leather one piece takes with its share of what lies between the pieces, mm²."""
        return self.lattice.cell / (1 if self.lattice.partner is None else 2)

    @property
    def density(self) -> float:
        """The piece's own area as a share of the leather it takes."""
        return min(1.0, self.piece.area / self.each)

    @property
    def waste(self) -> float:
        """The rest, which lies between the pieces."""
        return 1.0 - self.density


@dataclass(frozen=True)
class Pairing:
    """Rows of one kind beside rows of another, one for one; `reversed`: the second lies head to tail."""

    first: Piece
    second: Piece
    lattice: Lattice
    reversed: bool
    apart: float

    @property
    def density(self) -> float:
        """Share of the leather that becomes pieces."""
        return (self.first.area + self.second.area) / self.lattice.cell

    @property
    def saved(self) -> float:
        """Leather saved against rows of each kind by itself, as a share of that."""
        return 1 - self.lattice.cell / self.apart


def interlocks(product: Product, gap: float = 0.0) -> list[Interlock]:
    """The assessment of every kind of piece, in the product's order."""
    return [_interlock(piece, gap) for piece in product.pieces]


def pairings(found: list[Interlock], gap: float = 0.0) -> list[Pairing]:
    """Pairs of kinds that save leather side by side, the most saving first.

    Only kinds of one leather that ask for the same grade, thickness and direction can lie so.
    """
    made = [pair for a, b in combinations(found, 2) if _alike(a.piece, b.piece) for pair in _pair(a, b, gap)]
    return sorted((pair for pair in made if pair.saved >= WORTH_TELLING), key=lambda pair: -pair.saved)


def may_turn(piece: Piece) -> bool:
    """Whether two of the piece may lie head to tail."""
    if piece.angles is None:
        return piece.turn or piece.along.value == "any" or piece.tolerance >= 90
    return any(abs((b - a) % 360 - 180) < 1e-9 for a, b in combinations(piece.angles, 2))


def _interlock(piece: Piece, gap: float) -> Interlock:
    turn = may_turn(piece)
    return Interlock(piece, lattices(outer(piece.polygon, STRAY), turn, gap)[0], turn)


def _alike(a: Piece, b: Piece) -> bool:
    asked = [(piece.leather, piece.grade, piece.thickness, piece.along, piece.angles) for piece in (a, b)]
    return asked[0] == asked[1]


def _pair(a: Interlock, b: Interlock, gap: float) -> Iterator[Pairing]:
    """The better of the two ways the second kind can lie beside the first."""
    first, second = outer(a.piece.polygon, STRAY), outer(b.piece.polygon, STRAY)
    ways = [(False, second)] + ([(True, turned(second))] if a.turn or b.turn else [])
    made = [
        Pairing(a.piece, b.piece, side_by_side(first, lying, gap)[0], back, a.each + b.each) for back, lying in ways
    ]
    yield max(made, key=lambda pair: pair.density)
