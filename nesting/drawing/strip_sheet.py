"""The strip sheet: the hide with its struck lines and numbered strips, and under it the table to cut by."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nesting.drawing.hide_scene import upright
from nesting.drawing.labels import Label
from nesting.drawing.lettering import shortened, wrapped
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.scene import Area, Box, Circle, Item, Line, Page, Text, box_of, mapped
from nesting.drawing.strip_labels import RADIUS, longer, mark_names, strip_numbers
from nesting.drawing.strip_table import CutLine, StripRow, cut_lines, line_length, strip_corners
from nesting.drawing.table import PAD, SIZE, Column, paragraph, table
from nesting.model.layout import HideLayout, Layout
from nesting.model.straight import StraightPlan

if TYPE_CHECKING:
    from nesting.drawing.sheet_style import SheetStyle

HEAD = 9.0
TALL = 92.0
"""Height of the drawing at most, mm."""
LOW = MARGIN + 6
LINE = 3.6
GAP = 3.0
SIDE, BELOW = 12.0, 5.0
"""Room for names beside the drawing and under it."""
NARROW = 2.5
"""A strip no wider than this on paper is a narrow one."""


def strip_pages(layout: Layout, each: HideLayout, style: SheetStyle) -> list[Page]:
    """The pages of the strip sheet of a hide; none where it has no straight plan."""
    lines = cut_lines(layout, each, style.units, style.part)
    if not lines:
        return []
    writer = _Writer(f"Strips: {each.hide.name}", Paper(style.paper))
    writer.drawing(each)
    for line in lines:
        writer.line(line, style.units)
    return writer.pages()


class _Writer:
    """Fills pages from the top; begins a new one where the room ends."""

    def __init__(self, title: str, paper: Paper) -> None:
        self.paper, self._title = paper, title
        self._pages: list[list[Item]] = []
        self._items: list[Item] = []
        self._top = 0.0
        self._begin()

    def drawing(self, each: HideLayout) -> None:
        """The hide, its pieces, the struck lines with their marks, and the strips' numbers."""
        shown = upright(each)
        left, low, right, high = box_of(shown.hide.outline)
        wide = self.paper.inner[0]
        k = max((right - left) / (wide - 2 * SIDE), (high - low) / TALL)
        scene = _scene(shown, k, (left - SIDE * k, low - BELOW * k, right + SIDE * k, high + k))
        x = MARGIN + wide / 2 - (left + right) / 2 / k
        self._items += mapped(scene, 1 / k, (x, self._top - high / k - 2))
        self._top -= (high - low) / k + BELOW + 3

    def line(self, line: CutLine, units: str) -> None:
        """A struck line's words and table."""
        self._room(30)
        items, self._top = paragraph(line.marks, MARGIN, self._top, self.paper.inner[0], 2.5)
        self._items += items
        self._top -= 2
        columns = _columns(self.paper.inner[0], units)
        self._items += table(columns, [], MARGIN, self._top)
        self._top -= 4.2
        for row in line.rows:
            self._row(columns, row)
        items, self._top = paragraph(line.after, MARGIN, self._top - 1, self.paper.inner[0], 2.3, "quiet words")
        self._items += items
        self._top -= 4

    def _row(self, columns: list[Column], row: StripRow) -> None:
        """A row as high as its words need."""
        words = [row.number, row.width, row.cuts, row.flawed, row.left]
        told = [wrapped(text, SIZE, c.width - 2 * PAD) or [""] for c, text in zip(columns, words, strict=True)]
        high = LINE * max(len(lines) for lines in told)
        self._room(high + 2)
        x = MARGIN
        for column, lines in zip(columns, told, strict=True):
            at = x + column.width - PAD if column.side == "right" else x + PAD
            for n, text in enumerate(lines):
                fit = shortened(text, SIZE, column.width - 2 * PAD)
                self._items.append(Text("words", (at, self._top - LINE * (n + 1) + 0.9), fit, SIZE, column.side))
            x += column.width
        self._top -= high + 0.4
        self._items.append(Line("rule", ((MARGIN, self._top), (x, self._top))))

    def pages(self) -> list[Page]:
        """The pages written."""
        return [Page(self.paper.width, self.paper.height, tuple(items)) for items in self._pages]

    def _room(self, high: float) -> None:
        if self._top - high < LOW:
            self._begin()

    def _begin(self) -> None:
        top = self.paper.height - MARGIN
        title = shortened(self._title, 4.2, self.paper.inner[0], bold=True)
        self._items = [Text("words", (MARGIN, top - 4), title, 4.2, bold=True)]
        self._pages.append(self._items)
        self._top = top - HEAD


def _columns(width: float, units: str) -> list[Column]:
    fixed = [Column("strip", 17), Column(f"set, {units}", 17, "right")]
    after = [Column("flawed stretches", 36), Column("left", 17, "right")]
    rest = width - sum(column.width for column in [*fixed, *after])
    return [*fixed, Column(f"cross-cuts at, {units} from the end", rest), *after]


def _scene(each: HideLayout, k: float, frame: Box) -> list[Item]:
    """The hide with its pieces, lines and strips; `k` is hide mm a mm on paper, names of marks lie in the frame."""
    items: list[Item] = [Area("hide", (each.hide.outline, *each.hide.holes))]
    kinds = {kind: n for n, kind in enumerate(dict.fromkeys((p.product, p.piece) for p in each.placements))}
    items += [Area("small piece", (p.outline,), kinds[p.product, p.piece]) for p in each.placements]
    items += [Area("flaw", (flaw.outline,)) for flaw in each.hide.flaws]
    ground: BaseGeometry = each.hide.polygon
    blocks = each.straight.blocks if each.straight else ()
    lines: list[Line] = []
    numbers: list[Label] = []
    for block in blocks:
        lines += [Line("datum", block.line), *_sides(block, ground, k)]
        numbers += strip_numbers(each, block, ground, k)
        ground = _left(ground, block)
    written = [Polygon(item.rings[0]) for item in items[1:] if isinstance(item, Area)]
    written += [number.box(0.3 * k) for number in numbers]
    drawn = [LineString(line.points).buffer(0.3 * k) for line in lines]
    rim = each.hide.polygon.boundary.simplify(0.1 * k).buffer(0.5 * k)
    names = mark_names(blocks, shapely.union_all([*written, *drawn, rim]), frame, k)
    dots = [Circle("mark", mark, RADIUS * k) for block in blocks for mark in block.line]
    return [*items, *lines, *dots, *(number.text("words") for number in numbers), *names]


def _sides(block: StraightPlan, ground: BaseGeometry, k: float) -> Iterator[Line]:
    """The strips' sides over what leather there is; thin where they would be no more than lines."""
    layer = "strong rule" if min((strip.width for strip in block.strips), default=0.0) > NARROW * k else "rule"
    for strip in block.strips:
        _, _, c, d = strip_corners(block, strip, line_length(block))
        for part in shapely.get_parts(ground.intersection(LineString(longer(d, c)))):
            if part.geom_type == "LineString" and not part.is_empty:
                yield Line(layer, tuple((float(x), float(y)) for x, y in part.coords))


def _left(ground: BaseGeometry, block: StraightPlan) -> BaseGeometry:
    """What is left of the leather when the strips of a block are off, from edge to edge."""
    if not block.strips:
        return ground
    a, b, _, _ = strip_corners(block, block.strips[0], line_length(block))
    _, _, c, d = strip_corners(block, block.strips[-1], line_length(block))
    return ground.difference(Polygon((*longer(a, b), *longer(c, d))))
