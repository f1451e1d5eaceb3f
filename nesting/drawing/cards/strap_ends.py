"""The two ends of a strap in words, and its left and right."""

from __future__ import annotations

from dataclasses import dataclass

from hides.hide import Point
from nesting.drawing.machine.arcs import with_arcs
from nesting.drawing.machine.path import Path
from nesting.model.product import Piece

SLENDER = 4.0
"""A piece at least this many times as long as wide, or wide as long, is a strap."""


@dataclass(frozen=True)
class StrapEnds:
    """A strap with the words for its foot (where its grain line begins) and its head, seen face up, head upwards."""

    piece: Piece
    foot: str
    head: str
    left: tuple[float, ...]
    """How far the holes lie from the left edge, mm."""


def strap_ends(piece: Piece) -> StrapEnds | None:
    """The ends of a piece that is a strap; None for any other."""
    left, low, right, high = piece.polygon.bounds
    if high - low < SLENDER * (right - left):
        return None
    holes = tuple(sorted({round(hole.at[0] - left, 2) for hole in piece.holes}))
    return StrapEnds(piece, _end(piece, low, low, high), _end(piece, high, low, high), holes)


def _end(piece: Piece, at: float, low: float, high: float) -> str:
    """square, point or round, or “shaped” for anything else."""
    left, _, right, _ = piece.polygon.bounds
    wide = right - left
    tips = [p for p in piece.outline if abs(p[1] - at) < 0.02]
    if len(tips) >= 2 and max(p[0] for p in tips) - min(p[0] for p in tips) > 0.98 * wide:
        return "square"
    if len(tips) == 1:
        return "point"
    return "round" if _arcs_at(piece, at, wide) else "shaped"


def _arcs_at(piece: Piece, at: float, wide: float) -> bool:
    path = with_arcs(piece.outline)
    if not isinstance(path, Path):
        return True
    return any(bulge and _near(a, at, wide) and _near(b, at, wide) for a, b, bulge in path.edges())


def _near(point: Point, at: float, wide: float) -> bool:
    return abs(point[1] - at) <= wide / 2 + 0.1
