"""What a right layout may be off by, and what that means for proofs.

The check (`nesting.check`) passes a layout in which nothing it measures is off by more than `ALLOWED`; it keeps its own
copy of that number, and a test holds the two equal. Measurements add up: a piece may be drawn inside its true outline,
stand at an angle that is off, reach over a border and lie in its neighbour, each by so much. A bound must allow all of
it together, so pieces are taken smaller and leather larger by what follows.
"""

from __future__ import annotations

ALLOWED = 0.01
"""Nothing in a right layout is off by more than this, mm."""

ROUNDED = 0.0005
"""What rounding of coordinates and of the check's own measuring may add to each, mm."""

DRAWN = ALLOWED + ROUNDED
"""How far inside its true outline a piece may be drawn."""

TURNED = ALLOWED + ROUNDED
"""How far any point of a piece may be off because its angle is."""

SHARED = ALLOWED / 2 + ROUNDED + DRAWN
"""The strip along a piece's true outline that it may not have for itself: half of what it and its neighbour, as drawn,
may lie in one another, and what lies outside its drawing."""

GIVE = ALLOWED + 2 * ROUNDED + DRAWN
"""How far a piece's true outline may reach beyond the leather that it may lie on."""

SMALLER = 2 * (SHARED + TURNED)
"""How much smaller, in width and height, a rectangle is taken for a proof on a grid: both sides shared and askew."""
