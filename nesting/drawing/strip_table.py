"""The table to cut strips by: for every struck line its two marks, for every strip what to set and where to cross-cut.

Terms. *Mark*: a point where the line meets the edge of the leather, told along and across the datum line as piece
marks are. *End*: where a square set on a strip just touches its outermost point at the side of mark 1; all lengths on
a strip are from its end. *Part*: a strip that an indent or a hole parts comes off in several, told one below another.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide, Point
from nesting.drawing.marks import datum_of
from nesting.drawing.names import codes
from nesting.drawing.scene import turned_by
from nesting.model.layout import HideLayout, Layout
from nesting.model.straight import StraightPlan, Strip
from nesting.result.wording import length_text

FAR = 1e6
LEAST_PART = 1.0
NOTHING = "no straight piece: for the others, or waste"
CLOSE = 0.05
"""Pieces whose cuts lie within this (mm) follow one another without waste."""


@dataclass(frozen=True)
class StripRow:
    """One part of one strip, told: number, width to set, cross-cuts, flawed stretches, and what is left of it."""

    number: str
    width: str
    cuts: str
    flawed: str
    left: str


@dataclass(frozen=True)
class CutLine:
    """A struck line, told: where its marks are, which way the strips lie, its strips, and what is left after them."""

    marks: str
    rows: tuple[StripRow, ...]
    after: str


def cut_lines(layout: Layout, each: HideLayout, units: str = "mm", part: int = 16) -> list[CutLine]:
    """The struck lines of a hide in cutting order; none where it has no straight plan."""
    if each.straight is None:
        return []
    teller = _Teller(layout, each, units, part)
    leather: BaseGeometry = each.hide.polygon
    out = []
    for number, block in enumerate(each.straight.blocks, 1):
        out.append(teller.line(block, leather, number))
        leather = _without(leather, block)
    return out


@dataclass(frozen=True)
class _Teller:
    layout: Layout
    each: HideLayout
    units: str
    part: int

    def line(self, block: StraightPlan, leather: BaseGeometry, number: int) -> CutLine:
        datum = datum_of(self.each.hide)
        one, two = (datum.measured(point) for point in block.line)
        where = "on the hide's edge" if number == 1 else "on the edge of what is left"
        marks = (
            f"Strike line {number} from mark 1 ({self.length(one[0])} along, {self.length(one[1])} across) to mark 2 "
            f"({self.length(two[0])} along, {self.length(two[1])} across), both {where}, and cut along it. "
            f"The strips lie to the left of it, looking from mark 1 to mark 2: cut them off in this order, each along "
            f"the edge that the one before has left. Lengths are from a strip's end at mark 1's side, where a square "
            f"just touches its outermost point."
        )
        rows = [row for n, strip in enumerate(block.strips, 1) for row in self.rows(block, leather, f"{n}", strip)]
        after = "What is left beyond the last strip, and the strips' ends, serve for the pieces that are not straight."
        return CutLine(marks, tuple(rows), after)

    def length(self, mm: float) -> str:
        return length_text(mm, self.units, part=self.part)

    def rows(self, block: StraightPlan, leather: BaseGeometry, number: str, strip: Strip) -> Iterator[StripRow]:
        parts = _parts(leather, block, strip)
        width = self.length(strip.width)
        for n, part in enumerate(parts, 1):
            mine = [
                (cut.start, cut.end, place)
                for cut, place in zip(strip.cuts, strip.pieces, strict=True)
                if cut.part == n
            ]
            if not mine and (len(parts) > 1 or strip.pieces):
                continue
            name = number if len(parts) == 1 else f"{number} part {n}"
            low, _, high, _ = part.bounds
            flawed = _flawed(self.each.hide, block, strip, low, high)
            told = ", ".join(f"{self.length(a)}–{self.length(b)}" for a, b in flawed)
            cuts = "; ".join(self.run(list(run)) for run in _runs(mine)) or NOTHING
            yield StripRow(name, width, cuts, told, self.length(high - low - (mine[-1][1] if mine else 0.0)))

    def run(self, run: Sequence[tuple[float, float, int]]) -> str:
        """Pieces of a kind that follow one another without waste: the cut before the first, and the one after each."""
        placement = self.each.placements[run[0][2]]
        code = codes(self.layout.products)[placement.product, placement.piece]
        marks = [run[0][0], *(end for _, end, _ in run)]
        many = f"{len(run)} × " if len(run) > 1 else ""
        return f"{many}{placement.piece} ({code}) at {', '.join(self.length(mark) for mark in marks)}"


def _runs(cuts: Sequence[tuple[float, float, int]]) -> list[list[tuple[float, float, int]]]:
    """The cuts in runs of equal lengths without waste between."""
    out: list[list[tuple[float, float, int]]] = []
    for cut in cuts:
        before = out[-1][-1] if out else None
        same = before is not None and abs((before[1] - before[0]) - (cut[1] - cut[0])) < CLOSE
        if before is not None and same and abs(cut[0] - before[1]) < CLOSE:
            out[-1].append(cut)
        else:
            out.append([cut])
    return out


def _in_frame(shape: BaseGeometry, block: StraightPlan) -> BaseGeometry:
    (x, y), angle = block.line[0], block.angle
    return shapely.transform(shape, lambda points: [turned_by((p[0] - x, p[1] - y), -angle) for p in points])


def _band(strip: Strip) -> Polygon:
    return shapely.box(-FAR, strip.offset, FAR, strip.offset + strip.width)


def _parts(leather: BaseGeometry, block: StraightPlan, strip: Strip) -> list[BaseGeometry]:
    parts = shapely.get_parts(_in_frame(leather, block).intersection(_band(strip)))
    return sorted((p for p in parts if p.area > LEAST_PART), key=lambda p: float(p.bounds[0]))


def _flawed(hide: Hide, block: StraightPlan, strip: Strip, low: float, high: float) -> list[tuple[float, float]]:
    """The stretches of a part, from its end, in which a flaw that nothing may lie on or a hole meets the strip."""
    shapes = [Polygon(f.outline).buffer(f.clearance) for f in hide.flaws if f.grade is Grade.NONE]
    shapes += [Polygon(ring) for ring in hide.holes]
    found = []
    for shape in shapes:
        met = _in_frame(shape, block).intersection(_band(strip))
        if not met.is_empty and met.area > 0 and met.bounds[2] > low and met.bounds[0] < high:
            found.append((max(met.bounds[0], low) - low, min(met.bounds[2], high) - low))
    out: list[tuple[float, float]] = []
    for a, b in sorted(found):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(b, out[-1][1]))
        else:
            out.append((a, b))
    return out


def _without(leather: BaseGeometry, block: StraightPlan) -> BaseGeometry:
    """What is left when the block's strips are off from edge to edge."""
    if not block.strips:
        return leather
    first, last = block.strips[0], block.strips[-1]
    corners = [(-FAR, first.offset), (FAR, first.offset), (FAR, last.offset + last.width)]
    corners.append((-FAR, last.offset + last.width))
    ring = [_outward(corner, block) for corner in corners]
    return leather.difference(Polygon(ring))


def _outward(point: Point, block: StraightPlan) -> Point:
    x, y = turned_by(point, block.angle)
    return block.line[0][0] + x, block.line[0][1] + y


def table_text(layout: Layout, each: HideLayout, units: str = "mm", width: int = 78) -> str:
    """The table as plain text, for the terminal."""
    lines: list[str] = []
    for line in cut_lines(layout, each, units):
        lines += ["", *wrap(line.marks, width)]
        for row in line.rows:
            flawed = f" [flawed {row.flawed}]" if row.flawed else ""
            words = f"strip {row.number}: set {row.width}; cut {row.cuts}; {row.left} left{flawed}"
            lines += wrap(words, width, subsequent_indent="  ")
    return "\n".join(lines) + "\n" if lines else ""


def strip_corners(block: StraightPlan, strip: Strip, reach: float) -> list[Point]:
    """The strip's two sides, from mark 1 as far as `reach`, as four points in hide coordinates."""
    low, high = strip.offset, strip.offset + strip.width
    return [_outward(point, block) for point in ((0.0, low), (reach, low), (reach, high), (0.0, high))]


def line_length(block: StraightPlan) -> float:
    """How far apart the line's marks are, mm."""
    return math.dist(*block.line)
