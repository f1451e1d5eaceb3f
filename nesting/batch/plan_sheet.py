"""A plan on paper: a summary, then each hide's cut sheet and lists; and the plan as CSV and as pictures."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from hides.hide import Point
from nesting.batch.answer import bound_text, buying_lines, cost_text, filled_text, hide_rows, product_rows
from nesting.batch.plan import Plan, PlannedHide
from nesting.drawing.canvas import pdf_bytes
from nesting.drawing.cut_sheet import hide_page
from nesting.drawing.facts import cautions
from nesting.drawing.hide_drawing import hide_png
from nesting.drawing.hide_scene import upright
from nesting.drawing.lettering import shortened
from nesting.drawing.list_pages import list_pages
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.piece_list import csv_text
from nesting.drawing.scene import Area, Item, Page, Text, box_of, mapped
from nesting.drawing.sheet_style import PLAIN, SheetStyle
from nesting.drawing.table import ROW, Column, paragraph, table, unfolded
from nesting.result.cutting_order import cutting_order

HEAD = 16.0
ACROSS = 4
"""Small pictures side by side."""
PICTURE = 34.0
"""Height of a small picture with its name, mm."""
LOW = MARGIN + 10


def plan_pdf(plan: Plan, style: SheetStyle = PLAIN) -> bytes:
    """Summary and cut sheets as the bytes of a PDF; the same plan and style give the same bytes."""
    return pdf_bytes(plan_pages(plan, style), f"Plan: {plan.order.name}")


def plan_pages(plan: Plan, style: SheetStyle = PLAIN) -> list[Page]:
    """The summary, then for each hide in cutting order its drawing and its lists, numbered."""
    pages = [*_Summary(plan, style).pages()]
    for cut in plan.cuts:
        order = cutting_order(upright(cut.on))
        pages += [hide_page(cut.layout, cut.on, style, order), *list_pages(cut.layout, cut.on, style, order)]
    return [_numbered(page, number, len(pages)) for number, page in enumerate(pages, 1)]


def plan_csv(plan: Plan, units: str = "mm") -> str:
    """The piece list of every hide, under one heading."""
    texts = [csv_text(cut.layout, units) for cut in plan.cuts]
    return "".join(text if not number else text.split("\n", 1)[1] for number, text in enumerate(texts))


def totals_csv(plan: Plan) -> str:
    """Totals of pieces: product, piece, how many are cut, from how many hides."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("product", "piece", "pieces", "hides"))
    writer.writerows(piece_totals(plan))
    return out.getvalue()


def plan_pictures(plan: Plan, units: str = "mm") -> dict[str, bytes]:
    """A picture (PNG) of every hide by a file name that begins with its place in the cutting order."""
    return {
        f"{number:02d}-{_plain(cut.hide.name)}.png": hide_png(cut.layout, cut.on, units)
        for number, cut in enumerate(plan.cuts, 1)
    }


def piece_totals(plan: Plan) -> list[tuple[str, str, str, str]]:
    """Each kind of piece: product, name, how many are cut in all, and from how many hides."""
    many: Counter[tuple[str, str]] = Counter()
    hides: Counter[tuple[str, str]] = Counter()
    for cut in plan.cuts:
        here = Counter((each.product, each.piece) for each in cut.on.placements)
        many.update(here)
        hides.update(here.keys())
    return [(product, piece, str(n), str(hides[product, piece])) for (product, piece), n in sorted(many.items())]


class _Summary:
    """Writes the summary from the top of a page downwards; begins another where the room ends."""

    def __init__(self, plan: Plan, style: SheetStyle) -> None:
        self.plan, self.style, self.paper = plan, style, Paper(style.paper)
        self.written: list[list[Item]] = []
        self.begin()

    def pages(self) -> list[Page]:
        plan, units = self.plan, self.style.units
        for text in (filled_text(plan), cost_text(plan), bound_text(plan), *plan.remarks):
            self.words(text)
        self.table("The order and the plan", (46, 18, 17, 19, 15, 30, 45), product_rows(plan))
        if plan.cuts:
            self.table("Hides to cut, in this order", (26, 54, 14, 17, 16, 21, 21, 21), hide_rows(plan, units))
            self.pictures()
            rows = [("product", "piece", "pieces", "hides"), *piece_totals(plan)]
            self.table("Pieces in all", (60, 60, 25, 25), rows)
        for text in buying_lines(plan, units):
            self.words(text)
        width, height = self.paper.width, self.paper.height
        return [Page(width, height, (*items, *self.cautions())) for items in self.written]

    def begin(self) -> None:
        top = self.paper.height - MARGIN
        title = shortened(f"Plan: {self.plan.order.name}", 5.0, self.paper.inner[0], bold=True)
        self.items: list[Item] = [Text("words", (MARGIN, top - 4.4), title, 5.0, bold=True)]
        self.written.append(self.items)
        self.top = top - HEAD / 2

    def room(self, height: float) -> None:
        if self.top - height < LOW:
            self.begin()

    def words(self, text: str) -> None:
        if text:
            self.room(8)
            items, self.top = paragraph(text, MARGIN, self.top - 1, self.paper.inner[0], 3.0)
            self.items += items

    def table(self, heading: str, widths: Sequence[float], rows: Sequence[tuple[str, ...]]) -> None:
        scale = self.paper.inner[0] / sum(widths)
        sides = ["left", *("left" if name in ("products", "piece", "due") else "right" for name in rows[0][1:])]
        columns = [Column(n, w * scale, s) for n, w, s in zip(rows[0], widths, sides, strict=True)]
        rest = [part for row in rows[1:] for part in unfolded(row, columns)]
        while rest:
            self.room(7 + 3 * ROW)
            self.heading(heading)
            fit = max(1, int((self.top - LOW) / ROW) - 1)
            self.items += table(columns, rest[:fit], MARGIN, self.top)
            self.top -= ROW * (min(fit, len(rest)) + 1) + 2
            rest = rest[fit:]

    def heading(self, words: str) -> None:
        self.items.append(Text("words", (MARGIN, self.top - 5), words, 3.4, bold=True))
        self.top -= 7

    def pictures(self) -> None:
        """Every hide small, all to one scale, several in a row."""
        wide = self.paper.inner[0] / ACROSS
        shown = [replace(cut, layout=replace(cut.layout, hides=(upright(cut.on),))) for cut in self.plan.cuts]
        boxes = [box_of(cut.hide.outline) for cut in shown]
        scale = min(
            min((wide - 4) / (right - left) for left, _, right, _ in boxes),
            min((PICTURE - 8) / (high - low) for _, low, _, high in boxes),
        )
        tints = _tints(self.plan)
        for number, (cut, box) in enumerate(zip(shown, boxes, strict=True)):
            if number % ACROSS == 0:
                self.room(PICTURE + 2)
                self.top -= PICTURE
            at = MARGIN + wide * (number % ACROSS) + 2, self.top + 5
            shift = at[0] - box[0] * scale, at[1] - box[1] * scale
            self.items += small_picture(cut, scale, shift, tints)
            name = shortened(f"{number + 1}  {cut.hide.name}", 2.4, wide - 4)
            self.items.append(Text("words", (at[0], self.top + 1.4), name, 2.4))
        self.top -= 2

    def cautions(self) -> list[Item]:
        products = [product for cut in self.plan.cuts for product in cut.layout.products]
        return [
            Text("quiet words", (MARGIN, MARGIN + 5.6 - 2.9 * number), line, 2.1)
            for number, line in enumerate(cautions(products))
        ]


def small_picture(cut: PlannedHide, scale: float, shift: Point, tints: dict[str, int]) -> list[Item]:
    """A hide with its offcuts and pieces in outline, each product in a tint of its own."""
    drawn: list[Item] = [Area("hide", (cut.hide.outline, *cut.hide.holes))]
    drawn += [Area("offcut", (ring,)) for ring in cut.on.offcuts]
    drawn += [Area("piece", (each.outline,), tints[each.product]) for each in cut.on.placements]
    drawn += [Area("flaw", (flaw.outline,)) for flaw in cut.hide.flaws]
    return list(mapped(drawn, scale, shift))


def _tints(plan: Plan) -> dict[str, int]:
    return {demand.name: number for number, demand in enumerate(plan.demands)}


def _numbered(page: Page, number: int, of: int) -> Page:
    at = page.width - MARGIN, MARGIN + 0.7
    return replace(page, items=(*page.items, Text("quiet words", at, f"page {number} of {of}", 2.3, "right")))


def _plain(name: str) -> str:
    """A hide's name as part of a file name."""
    return "".join(letter if letter.isalnum() or letter in "-_." else "-" for letter in name).strip(".") or "hide"
