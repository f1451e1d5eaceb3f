"""At which angles a piece may lie on a hide, and on which of its directions each suits.

A piece at angle a (degrees, counter-clockwise) has its +y at a + 90 in hide coordinates.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.product import Along, Piece

WHOLE = (-180.0, 180.0)


@dataclass(frozen=True)
class Span:
    """An interval of angles (degrees; low = high for a single one), and the directions it suits.

    `suits` is None where the direction does not matter.
    """

    low: float
    high: float
    suits: frozenset[int] | None


def spans(piece: Piece, bearings: dict[int, float]) -> list[Span]:
    """The intervals of a piece's angle, given the bearing of each way of least stretch (-1: the hide's own)."""
    if piece.angles is None and (piece.along is Along.ANY or piece.tolerance >= 180):
        return [Span(*WHOLE, suits=None)]
    each = {key: _around(piece, bearing) for key, bearing in bearings.items()}
    if len(each) == 1:
        return [Span(low, high, None) for low, high in next(iter(each.values()))]
    return _shared(each)


def _around(piece: Piece, bearing: float) -> list[tuple[float, float]]:
    """Disjoint intervals of the piece's angle for one direction of least stretch, each within (-180, 540)."""
    if piece.angles is not None:
        centres, width = list(piece.angles), 0.0
    else:
        middle = 0.0 if piece.along is Along.BACKBONE else 90.0
        centres, width = [middle, middle + 180] if piece.turn else [middle], piece.tolerance
    if width * len(centres) >= 180:
        return [WHOLE]
    starts = sorted({round(_wrapped(bearing + c - 90), 12) for c in centres})
    return [(s - width, s + width) for s in starts]


def _wrapped(angle: float) -> float:
    """The same angle in [-180, 180)."""
    return (angle + 180.0) % 360.0 - 180.0


def _shared(each: dict[int, list[tuple[float, float]]]) -> list[Span]:
    """Split the circle where any direction's intervals begin or end; keep what suits at least one."""
    cuts = sorted({round(_wrapped(end), 9) for ends in each.values() for pair in ends for end in pair})
    cuts = cuts or [-180.0]
    pieces = [(c, c) for c in cuts] + list(zip(cuts, [*cuts[1:], cuts[0] + 360.0], strict=True))
    out = []
    for low, high in pieces:
        suits = frozenset(key for key, ends in each.items() if _holds(ends, (low + high) / 2))
        if suits and not _swallowed(low, high, suits, each, cuts):
            out.append(Span(low, high, suits))
    return out


def _holds(ends: list[tuple[float, float]], angle: float) -> bool:
    return any((angle - low + 1e-7) % 360.0 <= high - low + 2e-7 for low, high in ends)


def _swallowed(
    low: float, high: float, suits: frozenset[int], each: dict[int, list[tuple[float, float]]], cuts: list[float]
) -> bool:
    """Whether a single angle adds nothing to a neighbouring interval that suits the same directions."""
    if low != high:
        return False
    at = cuts.index(low)
    before, after = cuts[at - 1] - (360.0 if at == 0 else 0.0), cuts[(at + 1) % len(cuts)]
    after += 360.0 if after <= low else 0.0
    beside = [(before + low) / 2, (low + after) / 2]
    return any(frozenset(k for k, ends in each.items() if _holds(ends, a)) >= suits for a in beside)
