"""What a cut sheet is printed on, and in which units."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SheetStyle:
    """Paper, units (`mm`, `cm` or `in`) and the finest part of an inch that is written: of sizes, and of marks."""

    paper: str = "A4"
    units: str = "mm"
    part: int = 16
    mark_part: int = 32


PLAIN = SheetStyle()
