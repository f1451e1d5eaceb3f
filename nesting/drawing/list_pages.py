"""The pages after a hide's drawing: what is cut of each kind, and where each piece lies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.drawing.cutting_list import NOTE, order_lines
from nesting.drawing.hide_scene import upright
from nesting.drawing.lettering import shortened, wrapped
from nesting.drawing.mark_pictures import mark_pictures
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.piece_list import kind_rows
from nesting.drawing.place_list import Chunk, place_chunks, rounding_words
from nesting.drawing.place_table import ROW as PLACE_ROW
from nesting.drawing.place_table import SIZE, columns_on, drawn, filled
from nesting.drawing.registration import registration_words
from nesting.drawing.scene import Item, Page, Text, mapped
from nesting.drawing.table import Column, paragraph, table, unfolded
from nesting.model.layout import HideLayout, Layout
from nesting.result.cutting_order import CuttingOrder

if TYPE_CHECKING:
    from nesting.drawing.sheet_style import SheetStyle

NAMING = "A name is code and product number (+: spare)."
HEAD = 7.5
KIND_ROW = 3.5
ORDER_ROW = 2.95
LOW = MARGIN + 4.5


def list_pages(layout: Layout, each: HideLayout, style: SheetStyle, order: CuttingOrder) -> list[Page]:
    """Kinds, their marks and all places over as many pages as they need."""
    writer = _Writer(f"Piece list: {each.hide.name}", Paper(style.paper))
    several = len(layout.products) > 1
    unit = "inches" if style.units == "in" else style.units
    rows = _shown(kind_rows(layout, each, style.units, style.part), several)
    writer.kinds(f"What is cut (sizes in {unit})", _kind_columns(writer.paper.inner[0], several), rows)
    writer.pictures(layout, each)
    columns, width = columns_on(writer.paper.inner[0])
    places = place_chunks(layout, each, style, width, SIZE)
    note = f"Along and across the datum line, {rounding_words(style)}. {NAMING}"
    writer.places(f"Where each piece lies ({unit})", note, places, columns, width)
    lines = order_lines(layout, upright(each), order, style)
    writer.order("Order of cutting", "from the outside in", [*lines[:-1], f"{lines[-1]} {NOTE}"])
    writer.words(registration_words(each, style.units, style.mark_part))
    return writer.pages()


def _kind_columns(width: float, several: bool) -> list[Column]:
    product = [Column("product", 28)] if several else []
    fixed = [
        Column("size", 27), Column("pieces", 14, "right"), Column("spare", 13, "right"), Column("grade", 14, "middle"),
        Column("grain", 25),
    ]  # fmt: skip
    taken = 13 + sum(column.width for column in [*product, *fixed])
    name = min(34.0, (width - taken) / 2)
    return [Column("code", 13), Column("piece", name), *product, *fixed, Column("notes", width - taken - name)]


def _shown(rows: list[tuple[str, ...]], several: bool) -> list[tuple[str, ...]]:
    """The rows without the product where there is only one."""
    return rows if several else [row[:2] + row[3:] for row in rows]


class _Writer:
    """Fills pages from the top; begins a new one where the room ends."""

    def __init__(self, title: str, paper: Paper) -> None:
        self.paper, self._title = paper, title
        self._pages: list[list[Item]] = []
        self._top = 0.0
        self._begin()

    def kinds(self, heading: str, columns: list[Column], rows: list[tuple[str, ...]]) -> None:
        """The table of kinds, over as many pages as it needs."""
        self._heading(heading)
        rows = [part for row in rows for part in unfolded(row, columns)]
        while rows:
            fit = max(int((self._top - LOW) / KIND_ROW) - 1, 1)
            self._items += table(columns, rows[:fit], MARGIN, self._top, KIND_ROW)
            self._top -= KIND_ROW * (min(fit, len(rows)) + 1) + 1
            rows = rows[fit:]
            if rows:
                self._begin()

    def pictures(self, layout: Layout, each: HideLayout) -> None:
        """Every kind with its marks, row by row."""
        for items, high in mark_pictures(layout, each, MARGIN, self.paper.inner[0]):
            if self._top - LOW < high:
                self._begin()
            self._items += mapped(items, 1.0, (0.0, self._top))
            self._top -= high

    def places(self, heading: str, note: str, chunks: list[Chunk], columns: int, width: float) -> None:
        """Where each piece lies, over as many pages as it needs."""
        if chunks:
            self._heading(heading, note)
        while chunks:
            lines = max(int((self._top - LOW) / PLACE_ROW) - 1, 1)
            taken, chunks = filled(chunks, lines, columns)
            items, self._top = drawn(taken, width, MARGIN, self._top)
            self._items += items
            if chunks:
                self._begin()

    def order(self, heading: str, note: str, lines: list[str]) -> None:
        """Lines that flow over as many pages as they need."""
        self._heading(heading, note, least=14)
        for text in lines:
            for line in wrapped(text, SIZE, self.paper.inner[0]):
                if self._top - LOW < ORDER_ROW:
                    self._begin()
                self._top -= ORDER_ROW
                self._items.append(Text("words", (MARGIN, self._top + 0.8), line, SIZE))

    def words(self, text: str) -> None:
        """A quiet line or two."""
        items, low = paragraph(text, MARGIN, self._top - 1, self.paper.inner[0], SIZE, "quiet words")
        if low < LOW:
            self._begin()
            items, low = paragraph(text, MARGIN, self._top, self.paper.inner[0], SIZE, "quiet words")
        self._items += items
        self._top = low

    def _heading(self, words: str, note: str = "", least: float = 30) -> None:
        """A heading that does not stand alone at a page's foot: it has so much below it."""
        if self._top - LOW < least:
            self._begin()
        self._items.append(Text("words", (MARGIN, self._top - 3.6), words, 2.9, bold=True))
        if note:
            at = self.paper.width - MARGIN, self._top - 3.6
            self._items.append(Text("quiet words", at, note, 2.2, "right"))
        self._top -= 5.2

    def pages(self) -> list[Page]:
        """The pages written."""
        return [Page(self.paper.width, self.paper.height, tuple(items)) for items in self._pages]

    def _begin(self) -> None:
        top = self.paper.height - MARGIN
        title = shortened(self._title, 4.2, self.paper.inner[0], bold=True)
        self._items: list[Item] = [Text("words", (MARGIN, top - 4), title, 4.2, bold=True)]
        self._pages.append(self._items)
        self._top = top - HEAD
