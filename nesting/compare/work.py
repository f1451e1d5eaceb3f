"""The minutes it takes to make one product."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace

from shapely.geometry import Polygon

from nesting.making.joints import Use
from nesting.model.making import Labour
from nesting.model.product import Piece, Product


@dataclass(frozen=True)
class Minutes:
    """Minutes of work on one product, by kind of work."""

    cutting: float = 0.0
    edges: float = 0.0
    holes: float = 0.0
    fastening: float = 0.0
    sewing: float = 0.0
    assembly: float = 0.0

    @property
    def total(self) -> float:
        """All of it."""
        return float(sum(astuple(self)))


def cut_length(piece: Piece) -> float:
    """What the knife travels to cut one piece, mm: its outline and its openings."""
    return float(Polygon(piece.outline, piece.cutouts).length)


def minutes(product: Product, labour: Labour, found: Sequence[Use]) -> Minutes:
    """The work on one product: lengths over speeds, holes, fasteners and seams, and the assembly as stated."""
    holes = sum(len(piece.holes) * piece.count for piece in product.pieces)
    set_ones = sum(use.number for use in found if use.fastener and use.fastener.kind != "thread")
    finished = [piece for piece in product.pieces if labour.edges is None or piece.name in labour.edges]
    return Minutes(
        cutting=_length(product.pieces) / labour.cut if labour.cut else 0.0,
        edges=_length(finished) / labour.edge if labour.edge else 0.0,
        holes=holes * labour.hole,
        fastening=set_ones * labour.fastener,
        sewing=_sewn(found) / labour.sewing if labour.sewing else 0.0,
        assembly=labour.assembly,
    )


def slower(work: Minutes, times: float) -> Minutes:
    """The same work where what the knife, the edges and the punch take is so many times as long."""
    return replace(work, cutting=work.cutting * times, edges=work.edges * times, holes=work.holes * times)


def _length(pieces: Sequence[Piece]) -> float:
    return sum(cut_length(piece) * piece.count for piece in pieces)


def _sewn(found: Sequence[Use]) -> float:
    """Length of all seams, mm."""
    return sum(use.run * use.joint.count for use in found if use.fastener and use.fastener.kind == "thread")
