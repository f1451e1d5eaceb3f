"""Long straps on paper: a plain stretch between two break lines is left out and its length told (ISO 128).

What is left out has nothing but two straight edges along the piece's length, and perhaps lines beside them; so both
ends keep their full size, and the maker measures the length.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from hides.hide import Point, Ring
from nesting.drawing.scene import Area, Item, Line
from nesting.model.product import Piece

SHOWN = 14.0
"""How long the stretch is on paper, mm."""
CLEAR = 12.0
"""What stays of the plain stretch at either end, mm."""
SLENDER = 4.0
"""Only pieces so many times as long as wide are broken."""
TOOTH = 3.0
SLANT = 1e-6
"""A line that strays by no more than this (mm) runs along the piece."""


@dataclass(frozen=True)
class Break:
    """A stretch of a piece's length, from `low` to `high` in its own frame (mm along +y), that is drawn short."""

    low: float
    high: float

    @property
    def left_out(self) -> float:
        """How much shorter the piece is drawn, mm."""
        return self.high - self.low - SHOWN

    def short(self, point: Point) -> Point:
        """Where a point of the piece is drawn."""
        x, y = point
        if y <= self.low:
            return point
        if y >= self.high:
            return x, y - self.left_out
        return x, self.low + (y - self.low) * SHOWN / (self.high - self.low)


def break_in(piece: Piece) -> Break | None:
    """The longest plain stretch of a piece that is worth leaving out; None where there is none."""
    left, low_end, right, high_end = piece.polygon.bounds
    stops = sorted(_stops(piece))
    if len(stops) < 2 or high_end - low_end < SLENDER * (right - left):
        return None
    low, high = max(pairwise(stops), key=lambda two: two[1] - two[0])
    found = Break(low + CLEAR, high - CLEAR)
    return found if found.left_out > SHOWN else None


def break_items(piece: Piece, broken: Break) -> list[Item]:
    """The blank and the two zigzags over the drawn piece, in its own frame drawn short."""
    left, _, right, _ = piece.polygon.bounds
    over = left - TOOTH, right + TOOTH
    low, high = broken.low + TOOTH, broken.low + SHOWN - TOOTH
    under, upper = _zigzag(over, low), _zigzag(over, high)
    return [Area("blank", ((*under, *reversed(upper)),)), Line("rule", under), Line("rule", upper)]


def _zigzag(over: tuple[float, float], at: float) -> tuple[Point, ...]:
    (left, right), middle = over, (over[0] + over[1]) / 2
    return ((left, at), (middle - TOOTH, at), (middle - TOOTH / 2, at + TOOTH),
            (middle + TOOTH / 2, at - TOOTH), (middle + TOOTH, at), (right, at))  # fmt: skip


def _stops(piece: Piece) -> set[float]:
    """Where along the piece something is that must be seen: corners, holes, openings, covered parts, slanting lines."""
    stops = {y for _, y in piece.outline} if _two_sides(piece.outline) else set()
    if not stops:
        return stops
    for hole in piece.holes:
        stops |= {hole.at[1] - hole.diameter, hole.at[1] + hole.diameter}
    for ring in (*piece.cutouts, *(cover.outline for cover in piece.covered)):
        stops |= {y for _, y in ring}
    for line in piece.lines:
        stops |= {y for a, b in pairwise(line.points) for y in _ends(a, b)}
    return stops


def _ends(a: Point, b: Point) -> tuple[float, ...]:
    """The ends of a line along the piece; of a slanting one so many places that no stretch between is worth it."""
    if abs(a[0] - b[0]) <= SLANT:
        return a[1], b[1]
    steps = int(abs(b[1] - a[1]) / SHOWN) + 1
    return tuple(a[1] + (b[1] - a[1]) * k / steps for k in range(steps + 1))


def _two_sides(ring: Ring) -> bool:
    """Whether the outline's two longest edges run along the piece."""
    edges = sorted(zip(ring, (*ring[1:], ring[0]), strict=True), key=lambda e: -abs(e[1][1] - e[0][1]))[:2]
    return all(abs(a[0] - b[0]) <= SLANT for a, b in edges)
