"""Every file that is drawn of a layout, by kind: the one list for `hideplan sheet` and the page.

A new kind of file goes in here, with a word for it among the command's arguments and a name in the page's `NAMES`.
"""

from __future__ import annotations

from collections.abc import Callable

from nesting.drawing.canvas import pdf_bytes
from nesting.drawing.cut_sheet import sheet_bytes
from nesting.drawing.hide_drawing import hide_dxf, hide_png, hide_svg
from nesting.drawing.hide_pattern import hide_pattern
from nesting.drawing.piece_list import csv_text
from nesting.drawing.piece_pattern import piece_patterns
from nesting.drawing.sheet_style import SheetStyle
from nesting.model.layout import HideLayout, Layout


def _cards(layout: Layout, style: SheetStyle) -> bytes:
    from nesting.drawing.cards.card_pages import cards_pdf  # heavy: only where it is needed

    return cards_pdf(layout, style)


def _tiles(layout: Layout, each: HideLayout, style: SheetStyle) -> bytes:
    return pdf_bytes(hide_pattern(layout, each, style), f"Full-size layout: {each.hide.name}")


def _png(layout: Layout, each: HideLayout, style: SheetStyle) -> bytes:
    return hide_png(layout, each, style.units, photo=style.photos.get(each.hide.name))


OF_A_LAYOUT: dict[str, Callable[[Layout, SheetStyle], bytes | str]] = {
    "pdf": sheet_bytes,
    "patterns": lambda layout, style: pdf_bytes(piece_patterns(layout, style), "Patterns at full size"),
    "cards": _cards,
    "csv": lambda layout, style: csv_text(layout, style.units),
}
"""Files of a whole layout, whatever its hides."""

OF_A_HIDE: dict[str, Callable[[Layout, HideLayout, SheetStyle], bytes | str]] = {
    "tiles": _tiles,
    "svg": lambda layout, each, style: hide_svg(layout, each, style.units),
    "dxf": lambda layout, each, style: hide_dxf(layout, each, style.units),
    "png": _png,
}
"""Files that show one hide of a layout."""

KINDS = ("pdf", "tiles", "patterns", "cards", "svg", "dxf", "png", "csv")
