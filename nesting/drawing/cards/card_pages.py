"""Bench cards on paper: one product a page, or more pages where its joints need them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.drawing.canvas import pdf_bytes
from nesting.drawing.cards.card import Card, Finish, card_of
from nesting.drawing.cards.step_drawing import step_drawing
from nesting.drawing.cards.words import first_words, step_lines
from nesting.drawing.lettering import shortened
from nesting.drawing.mark_pictures import picture
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.scene import Item, Line, Page, Text, mapped
from nesting.drawing.sheet_style import SheetStyle
from nesting.drawing.table import ROW, Column, paragraph, table
from nesting.model.layout import Layout
from nesting.result.wording import length_text

LOW = MARGIN + 9
DRAWN = 74.0
"""Width of a step's drawing with its names, mm."""
CAUTION = (
    "Blades, punches and needles are sharp; a mallet wants the other hand away. Leather dust harms the lungs: extract "
    "it. Ventilate solvents."
)
HANGS = "Nothing here rates a load: test what hangs before use, inspect it often, fix it by local codes."


def cards_pdf(layout: Layout, style: SheetStyle) -> bytes:
    """The cards of all products of a layout as one PDF; the same layout gives the same bytes."""
    names = ", ".join(product.name for product in layout.products)
    return pdf_bytes(cards_pages(layout, style), f"Bench cards: {names}")


def cards_pages(layout: Layout, style: SheetStyle) -> list[Page]:
    """Every product's pages, in the units that were chosen or else in those of its own project."""
    made = {count.name: count.complete for count in layout.counts}
    thickness = layout.hides[0].hide.thickness if layout.hides else None
    pages: list[Page] = []
    for product in layout.products:
        card = card_of(product, made.get(product.name, 0), thickness.middle if thickness else None)
        pages += _Writer(card, style if style.chosen else replace(style, units=product.units)).pages()
    return pages


class _Writer:
    """Fills a card's pages from the top."""

    def __init__(self, card: Card, style: SheetStyle) -> None:
        self.card, self.style, self.paper = card, style, Paper(style.paper)
        self.written: list[list[Item]] = []
        self.begin()

    def pages(self) -> list[Page]:
        """Punches, edges, straps, steps."""
        self.punches()
        self.finishes()
        self.straps()
        if self.card.steps:
            self.heading("How it goes together, in the order of making (front above, back below)", 34)
        for step in self.card.steps:
            self.step(step_lines(self.card, step, self.style), step_drawing(step))
        for remark in self.card.remarks:
            self.words(remark, "quiet words")
        number = len(self.written)
        return [
            Page(self.paper.width, self.paper.height, (*items, *self.foot(n, number)))
            for n, items in enumerate(self.written, 1)
        ]

    def begin(self) -> None:
        top = self.paper.height - MARGIN
        title = shortened(f"Bench card: {self.card.product.name}", 5.0, self.paper.inner[0], bold=True)
        self.items: list[Item] = [Text("words", (MARGIN, top - 4.4), title, 5.0, bold=True)]
        self.items.append(Text("quiet words", (MARGIN, top - 8.8), first_words(self.card), 2.8))
        self.written.append(self.items)
        self.top = top - 11

    def heading(self, words: str, room: float = 16) -> None:
        """A heading with room for what follows."""
        if self.top - room < LOW:
            self.begin()
        self.items.append(Text("words", (MARGIN, self.top - 5), words, 3.2, bold=True))
        self.top -= 6.6

    def words(self, text: str, layer: str = "words") -> None:
        if self.top - 8 < LOW:
            self.begin()
        items, self.top = paragraph(text, MARGIN, self.top - 0.6, self.paper.inner[0], 2.5, layer)
        self.items += items

    def rows(self, columns: Sequence[Column], rows: Sequence[tuple[str, ...]]) -> None:
        left = list(rows)
        while left:
            fit = max(int((self.top - LOW) / ROW) - 1, 1)
            self.items += table(columns, left[:fit], MARGIN, self.top)
            self.top -= ROW * (min(fit, len(left)) + 1) + 1
            left = left[fit:]
            if left:
                self.begin()

    def punches(self) -> None:
        if not self.card.punches:
            return
        self.heading("Punches")
        wide = self.paper.inner[0]
        columns = [
            Column("punch", 22), Column("holes in a piece × pieces in a product", wide - 62),
            Column("a product", 20, "right"), Column("in all", 20, "right"),
        ]  # fmt: skip
        rows = []
        for punch in self.card.punches:
            where = ", ".join(f"{name} {holes} × {count}" for name, holes, count in punch.pieces)
            rows.append((f"⌀ {self.size(punch.diameter)}", where, str(punch.each), str(punch.each * self.card.made)))
        self.rows(columns, rows)

    def finishes(self) -> None:
        if not self.card.finishes:
            return
        self.heading("Edges, all round each piece")
        wide, unit = self.paper.inner[0], "ft" if self.style.units == "in" else "m"
        columns = [
            Column("operation", 60), Column("pieces", wide - 60 - 72), Column(f"{unit} a product", 24, "right"),
            Column(f"{unit} in all", 24, "right"), Column("min a product", 24, "right"),
        ]  # fmt: skip
        self.rows(columns, [self.finish_row(finish, unit) for finish in self.card.finishes])

    def finish_row(self, finish: Finish, unit: str) -> tuple[str, ...]:
        work, long = finish.work, finish.metres / (0.3048 if unit == "ft" else 1)
        where = {"edge": "", "grain": " on the grain side", "flesh": " on the flesh side", "both": " on both sides"}
        inset = f", {self.size(work.inset)} inside" if work.inset else ""
        minutes = "–" if finish.minutes is None else f"{finish.minutes:.0f}"
        name = f"{work.name}{where[work.faces]}{inset}"
        return name, ", ".join(work.pieces), f"{long:.2f}", f"{long * self.card.made:.1f}", minutes

    def straps(self) -> None:
        if not self.card.straps:
            return
        self.heading("Straps, face up with the head upwards: left is left", 30)
        across = 3
        field = self.paper.inner[0] / across
        for start in range(0, len(self.card.straps), across):
            if self.top - 19 < LOW:
                self.begin()
            for n, ends in enumerate(self.card.straps[start : start + across]):
                x = MARGIN + n * field
                self.items += picture(ends.piece, (), (x + 5, self.top - 8.6), 8)
                hand = f" ({ends.piece.hand})" if ends.piece.hand else ""
                words = f"{ends.piece.count} × {ends.piece.name}{hand}: head {ends.head}, foot {ends.foot}"
                if ends.left:
                    words += f"; holes {', '.join(map(self.size, ends.left))} from the left edge"
                self.items += paragraph(words, x + 12, self.top - 1, field - 15, 2.4)[0]
            self.top -= 18

    def step(self, lines: list[str], drawing: tuple[list[Item], float]) -> None:
        """A numbered step: its drawing on the left, words on the right."""
        drawn, tall = drawing
        width, x = self.paper.inner[0] - DRAWN - 4, MARGIN + DRAWN + 4
        title = shortened(lines[0], 2.8, width, True)
        written: list[Item] = [Text("words", (x, -3.4), title, 2.8, bold=True)]
        low = -4.4
        for line in lines[1:]:
            part, low = paragraph(line, x, low, width, 2.4)
            written += part
        high = max(tall, -low) + 2.5
        if self.top - high < LOW:
            self.begin()
        self.items += _shifted(written, 0, self.top)
        self.items += _shifted(drawn, MARGIN, self.top - 1)
        self.top -= high
        self.items.append(Line("rule", ((MARGIN, self.top + 0.8), (self.paper.width - MARGIN, self.top + 0.8))))

    def foot(self, number: int, of: int) -> list[Item]:
        words = [CAUTION, HANGS] if self.card.product.making.care.hangs else [CAUTION]
        page = Text("quiet words", (self.paper.width - MARGIN, MARGIN + 0.7), f"page {number} of {of}", 2.3, "right")
        lines = [
            Text("words", (MARGIN, MARGIN + 3.6 - 2.9 * n), shortened(line, 2.1, self.paper.inner[0] - 18), 2.1)
            for n, line in enumerate(words)
        ]
        return [Line("rule", ((MARGIN, MARGIN + 6.6), (self.paper.width - MARGIN, MARGIN + 6.6))), *lines, page]

    def size(self, mm: float) -> str:
        return f"{length_text(mm, self.style.units, part=64)} {self.style.units}"


def _shifted(items: Sequence[Item], x: float, y: float) -> list[Item]:
    return list(mapped(items, 1.0, (x, y)))
