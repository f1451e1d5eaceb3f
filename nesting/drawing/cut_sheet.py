"""The cut sheet: each hide on a page, to scale, and its piece lists on the pages after it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

from hides.whole_file import write_whole
from nesting.drawing.canvas import pdf_bytes
from nesting.drawing.cutting_list import parting_items
from nesting.drawing.facts import (
    area_columns,
    area_rows,
    begun_line,
    cautions,
    kept_apart,
    marking_text,
    offcut_line,
    product_lines,
    spare_line,
    title_lines,
    yield_line,
)  # fmt: skip
from nesting.drawing.ground import under
from nesting.drawing.hide_scene import hide_scene, upright
from nesting.drawing.key import KEY_ROW, key, scale_bar
from nesting.drawing.lettering import shortened, wrapped
from nesting.drawing.list_pages import list_pages
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.rulers import FAR, ROOM
from nesting.drawing.scene import Box, Item, Line, Page, Text, box_of, mapped
from nesting.drawing.sheet_style import PLAIN, SheetStyle
from nesting.drawing.strip_sheet import strip_pages
from nesting.drawing.table import ROW, paragraph, table
from nesting.model.layout import HideLayout, Layout
from nesting.result.cutting_order import CuttingOrder, cutting_order

HEAD = 14.0
FOOT = 19.0
SIDE = 66.0
WIDE_KEY = 240.0
BELOW = 40.0
LEAST_FIELD = 60.0
"""Heights of head and foot, widths of the facts at the side and of a page that takes the key in one row, least
height of the facts below and of the drawing, mm."""


def write_sheet(layout: Layout, path: Path | str, style: SheetStyle = PLAIN) -> None:
    """Write a layout's cut sheet as a PDF.

    No example: it writes a file.
    """
    write_whole(path, sheet_bytes(layout, style))


def sheet_bytes(layout: Layout, style: SheetStyle = PLAIN) -> bytes:
    """A layout's cut sheet as the bytes of a PDF; the same layout and style give the same bytes."""
    names = ", ".join(each.hide.name for each in layout.hides)
    return pdf_bytes(sheet_pages(layout, style), f"Cut sheet: {names}")


def sheet_pages(layout: Layout, style: SheetStyle = PLAIN) -> list[Page]:
    """The pages: for each hide its drawing and its lists, numbered."""
    pages: list[Page] = []
    for each in layout.hides:
        order = cutting_order(upright(each))
        pages.append(hide_page(layout, each, style, order))
        pages += [*strip_pages(layout, each, style), *list_pages(layout, each, style, order)]
    return [_numbered(page, number, len(pages)) for number, page in enumerate(pages, 1)]


def hide_page(layout: Layout, each: HideLayout, style: SheetStyle, order: CuttingOrder) -> Page:
    """One hide to scale with its facts, and the cuts that part it; `order` is that of the hide upright."""
    shown = upright(each)
    paper, side = _best_paper(layout, shown, style)
    field = _field(paper, side, _below(layout, each, paper, style)[1])
    k = scale_of(shown, field)
    photo = style.photos.get(each.hide.name)
    scene = (*hide_scene(layout, shown, k, style.units, photo is not None), *parting_items(order, k))
    left, low, right, high = box_of(shown.hide.outline)
    x = (field[0] + field[2]) / 2 - (left - (ROOM - FAR) * k + right) / 2 / k
    y = (field[1] + field[3]) / 2 - (low - (ROOM - FAR) * k + high) / 2 / k
    items: list[Item] = [*mapped(scene, 1 / k, (x, y)), *_head(layout, each, paper, style.units)]
    items += _facts_beside(layout, each, paper, style)[0] if side else _facts_below(layout, each, paper, style)
    items += _foot(layout, paper, k, style.units)
    return Page(paper.width, paper.height, tuple(items), under=under(photo, each.hide, 1 / k, (x, y)))


def scale_of(each: HideLayout, field: Box) -> float:
    """How many mm of hide one mm of a field shows, rounded up to a half."""
    left, low, right, high = box_of(each.hide.outline)
    room = ROOM + FAR
    wide = (right - left) / (field[2] - field[0] - room)
    tall = (high - low) / (field[3] - field[1] - room)
    return max(math.ceil(2 * max(wide, tall)) / 2, 0.5)


def _best_paper(layout: Layout, each: HideLayout, style: SheetStyle) -> tuple[Paper, bool]:
    """Standing or lying, facts at the side or below: whatever shows the hide largest and has room for the facts."""
    choices = [(Paper(style.paper, lying), side) for lying in (True, False) for side in (False, True)]
    below = {paper: _below(layout, each, paper, style)[1] for paper, _ in choices}
    fields = {choice: _field(choice[0], choice[1], below[choice[0]]) for choice in choices}
    roomy = [choice for choice in choices if _has_room(layout, each, choice, style, fields[choice])]
    return min(roomy or choices[2:3], key=lambda choice: scale_of(each, fields[choice]))


def _has_room(layout: Layout, each: HideLayout, choice: tuple[Paper, bool], style: SheetStyle, field: Box) -> bool:
    """Whether the facts and a drawing of some height go on the page."""
    paper, side = choice
    facts = not side or _facts_beside(layout, each, paper, style)[1] > MARGIN + _foot_height(paper) + 1
    return facts and field[3] - field[1] > LEAST_FIELD


def _field(paper: Paper, side: bool, below: float) -> Box:
    """The part of the page for the drawing; facts below it are `below` high."""
    right = paper.width - MARGIN - (SIDE + 4 if side else 0)
    low = MARGIN + _foot_height(paper) + (0 if side else below + 2)
    return MARGIN, low, right, paper.height - MARGIN - HEAD


def _foot_height(paper: Paper) -> float:
    """The key takes two rows on a narrow page."""
    return FOOT + (KEY_ROW if paper.inner[0] < WIDE_KEY else 0.0)


def _head(layout: Layout, each: HideLayout, paper: Paper, units: str) -> list[Item]:
    top, width = paper.height - MARGIN, paper.inner[0]
    title = shortened(f"Cut sheet: {each.hide.name}", 5.0, width, bold=True)
    items: list[Item] = [Text("words", (MARGIN, top - 4.4), title, 5.0, bold=True)]
    ounces = any(product.ounces for product in layout.products)
    for number, line in enumerate(title_lines(each.hide, units, ounces)):
        layer = "alert words" if number else "quiet words"
        items.append(Text(layer, (MARGIN, top - 8.6 - 3.6 * number), shortened(line, 2.8, width), 2.8, bold=number > 0))
    return items


def _facts_below(layout: Layout, each: HideLayout, paper: Paper, style: SheetStyle) -> list[Item]:
    items, high = _below(layout, each, paper, style)
    top = MARGIN + _foot_height(paper) + high
    return [Line("rule", ((MARGIN, top), (paper.width - MARGIN, top))), *mapped(items, 1.0, (0.0, top))]


def _below(layout: Layout, each: HideLayout, paper: Paper, style: SheetStyle) -> tuple[list[Item], float]:
    """The facts in three columns below y = 0, and how high they are; never less than `BELOW`."""
    third = (paper.inner[0] - 8) / 3
    first, low = _products(layout, each, MARGIN, -1, third, style)
    second, middle = _areas(each, MARGIN + third + 4, -1, third, style)
    words = marking_text(layout, each, style.units)
    last, end = paragraph(words, MARGIN + 2 * third + 8, -1, third, 2.3)
    return [*first, *second, *last], max(BELOW, 1.5 - min(low, middle, end))


def _facts_beside(layout: Layout, each: HideLayout, paper: Paper, style: SheetStyle) -> tuple[list[Item], float]:
    """The facts at the right side, and the height they end at."""
    x, top = paper.width - MARGIN - SIDE, paper.height - MARGIN - HEAD
    items: list[Item] = [Line("rule", ((x - 2, top), (x - 2, MARGIN + _foot_height(paper))))]
    part, top = _products(layout, each, x, top, SIDE, style)
    items += part
    part, top = _areas(each, x, top - 4, SIDE, style)
    items += part
    part, top = paragraph(marking_text(layout, each, style.units), x, top - 4, SIDE, 2.3)
    return items + part, top


def _products(
    layout: Layout, each: HideLayout, x: float, top: float, width: float, style: SheetStyle
) -> tuple[list[Item], float]:
    items: list[Item] = []
    for made, proven in product_lines(layout, each):
        for line in wrapped(made, 3.6, 0.9 * width):
            items.append(Text("words", (x, top - 4), line, 3.6, bold=True))
            top -= 4.4
        part, top = paragraph(proven, x, top - 0.6, width, 2.6)
        items += part
        top -= 1.4
    for line in (
        begun_line(layout),
        spare_line(each),
        kept_apart(layout, each.hide, style.units),
        offcut_line(style.units),
    ):
        part, top = paragraph(line, x, top - 0.4, width, 2.3)
        items += part
    return items, top


def _areas(each: HideLayout, x: float, top: float, width: float, style: SheetStyle) -> tuple[list[Item], float]:
    rows = area_rows(each, style.units)
    items = table(area_columns(width, style.units), rows, x, top)
    part, low = paragraph(yield_line(each.areas, style.units), x, top - ROW * (len(rows) + 1) - 1, width)
    return items + part, low


def _foot(layout: Layout, paper: Paper, k: float, units: str) -> list[Item]:
    width = paper.inner[0]
    items = scale_bar(MARGIN, MARGIN + _foot_height(paper) - 6, k, units)
    items += key(MARGIN, MARGIN + _foot_height(paper) - 10.2, width)
    items.append(Line("rule", ((MARGIN, MARGIN + 6.6), (paper.width - MARGIN, MARGIN + 6.6))))
    for number, line in enumerate(cautions(layout.products)):
        items.append(Text("words", (MARGIN, MARGIN + 3.6 - 2.9 * number), shortened(line, 2.1, width - 20), 2.1))
    return items


def _numbered(page: Page, number: int, of: int) -> Page:
    words = Text("quiet words", (page.width - MARGIN, MARGIN + 0.7), f"page {number} of {of}", 2.3, "right")
    return replace(page, items=(*page.items, words))
