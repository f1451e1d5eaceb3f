"""The pages after a hide's drawing: what is cut of each kind, and where each piece lies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.drawing.facts import marking_text
from nesting.drawing.lettering import shortened
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.piece_list import kind_rows, place_rows
from nesting.drawing.scene import Item, Page, Text
from nesting.drawing.table import ROW, Column, paragraph, table
from nesting.model.layout import HideLayout, Layout

if TYPE_CHECKING:
    from nesting.drawing.sheet_style import SheetStyle

NAMING = "A name is code and product number (+: spare); on the drawing a small piece may bear its number alone."
HEAD = 9.0
BETWEEN = 3.0
LOW = MARGIN + 5


def list_pages(layout: Layout, each: HideLayout, style: SheetStyle) -> list[Page]:
    """Tables of kinds and of places over as many pages as they need."""
    writer = _Writer(f"Piece list: {each.hide.name}", Paper(style.paper))
    kinds = kind_rows(layout, each, style.units, style.part)
    writer.heading(f"What is cut (sizes in {style.units})")
    writer.tables(
        _kind_columns(writer.paper.inner[0], len(layout.products) > 1), _shown(kinds, len(layout.products) > 1), 1
    )
    writer.heading(f"Where each piece lies (distances in {style.units})")
    writer.words(f"{marking_text(each.hide)} {NAMING}")
    places = place_rows(layout, each, style.units, style.part)
    any_over = any(row[-1] for row in places)
    shown = places if any_over else [row[:-1] for row in places]
    writer.tables(_place_columns((writer.paper.inner[0] - BETWEEN) / 2, any_over), shown, 2)
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


def _place_columns(width: float, any_over: bool) -> list[Column]:
    figures = [Column(f"{mark} {way}", 14.2, "right") for mark in (1, 2) for way in ("along", "across")]
    turned = [Column("", 8)] if any_over else []
    taken = 12 + 4 * 14.2 + 8 * len(turned)
    return [Column("name", 12), Column("piece", width - taken), *figures, *turned]


class _Writer:
    """Fills pages from the top; begins a new one where the room ends."""

    def __init__(self, title: str, paper: Paper) -> None:
        self.paper, self._title = paper, title
        self._pages: list[list[Item]] = []
        self._top = 0.0
        self._begin()

    def heading(self, words: str) -> None:
        """A heading that does not stand alone at a page's foot."""
        if self._top - LOW < 8 * ROW:
            self._begin()
        self._items.append(Text("words", (MARGIN, self._top - 5), words, 3.2, bold=True))
        self._top -= 7

    def words(self, text: str) -> None:
        """A paragraph."""
        items, self._top = paragraph(text, MARGIN, self._top, self.paper.inner[0], 2.4, "quiet words")
        self._items += items
        self._top -= 1.5

    def tables(self, columns: list[Column], rows: list[tuple[str, ...]], blocks: int) -> None:
        """Rows in one or more blocks side by side, over as many pages as they need."""
        while rows:
            room = max(int((self._top - LOW) / ROW) - 1, 1)
            high = min(room, -(-len(rows) // blocks))
            for block in range(blocks):
                part = rows[block * high : (block + 1) * high]
                x = MARGIN + block * (sum(column.width for column in columns) + BETWEEN)
                self._items += table(columns, part, x, self._top) if part else []
            rows = rows[blocks * high :]
            self._top -= ROW * (high + 1) + 2
            if rows:
                self._begin()

    def pages(self) -> list[Page]:
        """The pages written."""
        return [Page(self.paper.width, self.paper.height, tuple(items)) for items in self._pages]

    def _begin(self) -> None:
        top = self.paper.height - MARGIN
        title = shortened(self._title, 4.2, self.paper.inner[0], bold=True)
        self._items: list[Item] = [Text("words", (MARGIN, top - 4), title, 4.2, bold=True)]
        self._pages.append(self._items)
        self._top = top - HEAD
