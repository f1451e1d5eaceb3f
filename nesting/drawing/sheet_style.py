"""What a cut sheet is printed on, in which units, and over which photos."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the photo's own package is heavy
    from hides.photo import FlatPicture


@dataclass(frozen=True)
class SheetStyle:
    """Paper, units (`mm`, `cm` or `in`) and the finest part of an inch that is written: of sizes, and of marks.

    `chosen`: somebody chose the units; otherwise bench cards are in those of their project.
    `photos`: hides by name whose photo lies under their layout.
    """

    paper: str = "A4"
    units: str = "mm"
    part: int = 16
    mark_part: int = 32
    chosen: bool = False
    photos: Mapping[str, FlatPicture] = field(default_factory=dict, compare=False, repr=False)


PLAIN = SheetStyle()
