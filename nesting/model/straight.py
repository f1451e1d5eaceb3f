"""Straight cuts as immutable values: what the strap cutter can do, and a hide's strips with their cross-cuts.

Terms. *Line*: one straight edge struck on the hide. *Strip*: leather of one width cut off along the line; the first
lies on the line, each next one on the strip before it. *Cross-cut*: a cut square across a strip. *Part*: a strip
that an indent or a hole parts comes off the hide in several parts, counted along the line from 1.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from hides.hide import Segment


@dataclass(frozen=True)
class StraightRules:
    """How straight cuts are to be made: the widths that the cutter opens to, and what a cut takes away, mm."""

    least: float = 0.0
    most: float = math.inf
    kerf: float = 0.0

    def opens_to(self, width: float) -> bool:
        """Whether the cutter can be set to a width."""
        return self.least - 1e-6 <= width <= self.most + 1e-6


@dataclass(frozen=True)
class CrossCut:
    """Where one piece comes off a strip: between `start` and `end`, mm from the end of the strip's part.

    The end of a part is where a square set on the strip just touches its outermost point, on the side of the line's
    first mark.
    """

    part: int
    start: float
    end: float


@dataclass(frozen=True)
class Strip:
    """One strip: its width, its distance from the line (to the left), and its pieces in order along the line.

    `pieces` are places in the hide's placements, `cuts` has one entry for each of them.
    """

    width: float
    offset: float
    pieces: tuple[int, ...]
    cuts: tuple[CrossCut, ...]


@dataclass(frozen=True)
class StraightPlan:
    """The strips of a hide. `line` are the two points where the struck line meets the hide's edge.

    `angle` is the line's bearing, degrees from +x. `at_most`, where it is known: the most complete products that
    any plan of strips butted on one line can give, proven. `beside` are strips along further lines of their own.
    """

    line: Segment
    angle: float
    strips: tuple[Strip, ...]
    kerf: float = 0.0
    at_most: int | None = None
    beside: tuple[StraightPlan, ...] = ()

    @property
    def blocks(self) -> tuple[StraightPlan, ...]:
        """This plan and those beside it, in cutting order."""
        return (self, *(block for other in self.beside for block in other.blocks))

    def renumbered(self, place_of: Mapping[int, int]) -> StraightPlan:
        """The same strips where placements have other places; pieces that have none are left off their strips."""
        strips = []
        for strip in self.strips:
            kept = [(place_of[n], cut) for n, cut in zip(strip.pieces, strip.cuts, strict=True) if n in place_of]
            strips.append(replace(strip, pieces=tuple(n for n, _ in kept), cuts=tuple(cut for _, cut in kept)))
        beside = tuple(other.renumbered(place_of) for other in self.beside)
        return replace(self, strips=tuple(strips), beside=beside)

    @property
    def pieces(self) -> frozenset[int]:
        """Places of all pieces that come off strips."""
        return frozenset(place for block in self.blocks for strip in block.strips for place in strip.pieces)
