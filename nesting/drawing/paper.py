"""Papers and the part of them that can be printed on."""

from __future__ import annotations

from dataclasses import dataclass

PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}
"""Width and height standing, mm (ISO 216; ANSI/ASME Y14.1 sizes A and B)."""
MARGIN = 10.0
"""What an ordinary printer cannot print on, with something to spare, mm."""


@dataclass(frozen=True)
class Paper:
    """A paper, standing or lying."""

    name: str = "A4"
    lying: bool = False

    @property
    def width(self) -> float:
        """mm"""
        return PAPERS[self.name][1 if self.lying else 0]

    @property
    def height(self) -> float:
        """mm"""
        return PAPERS[self.name][0 if self.lying else 1]

    @property
    def inner(self) -> tuple[float, float]:
        """Width and height inside the margins, mm."""
        return self.width - 2 * MARGIN, self.height - 2 * MARGIN
