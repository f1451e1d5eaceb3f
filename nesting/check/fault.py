"""One thing that is wrong with a layout."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from hides.hide import Point
from nesting.model.layout import Placement

TOLERANCE = 0.01
"""Millimetres by which any distance may be off."""
ROUNDING = 2e-6
"""Files hold millimetres to a millionth."""

CODES = {
    "outside": "a piece reaches over the outline, or into the strip kept clear along it",
    "grade": "a part of a piece lies on leather of a worse grade than it asks for",
    "flaw": "a piece lies on a flaw it may not cover, or nearer than the flaw's clearance",
    "thickness": "a piece lies on leather that is not stated to be as thick as it asks for",
    "overlap": "two pieces lie on one another",
    "gap": "two pieces are nearer than the gap",
    "angle": "a piece is turned further than it may be",
    "backbone": "a piece asks for a direction where the leather states no backbone",
    "off backbone": "a piece lies nearer to the backbone than it may",
    "region": "a piece lies outside the regions of the hide that it is to come from",
    "near": "a piece lies further from another of its product than it may",
    "pair": "a left piece has no right one in its mirrored place, on like leather",
    "mirrored": "a piece is turned over that may not be",
    "shape": "a piece's outline as it lies is not its own outline carried there",
    "ring": "an outline crosses itself or is not finite",
    "count": "the pieces are not as many as the products stated take",
    "bound": "more products than the stated upper bound",
    "unknown piece": "a placement names a piece or product that the layout does not describe",
    "straight": "the table of strips and cross-cuts does not give the pieces, or a piece lies across a cut",
    "areas": "the areas do not add up, or do not agree with the outlines",
    "offcut": "an offcut lies under a piece or another offcut, off usable leather, or is not as large as stated",
}


@dataclass(frozen=True)
class Fault:
    """One broken rule: its code (a key of `CODES`), the hide, the pieces concerned, a point on the hide, by how
    many millimetres (or None where the rule is no distance), and a plain sentence.

    Made by `faults`, which has an example.
    """

    code: str
    text: str
    hide: str = ""
    pieces: tuple[str, ...] = ()
    where: Point | None = None
    by: float | None = None

    def __str__(self) -> str:
        place = f" at ({self.where[0]:.2f}, {self.where[1]:.2f})" if self.where else ""
        return f"{self.code}: {f'{self.hide}: ' if self.hide else ''}{self.text}{place}"

    def to_data(self) -> dict[str, Any]:
        """The fault as JSON holds it."""
        return {
            "code": self.code,
            "hide": self.hide,
            "pieces": list(self.pieces),
            "where": None if self.where is None else [round(value, 6) for value in self.where],
            "by": None if self.by is None else round(self.by, 6),
            "text": self.text,
        }


def title(placement: Placement) -> str:
    """A placement as messages and sheets name it."""
    number = f"no. {placement.number}" if placement.number else "single"
    return f"“{placement.piece}” of {placement.product} {number}"
