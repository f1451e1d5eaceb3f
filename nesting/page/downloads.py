"""The files of a layout that a browser can keep: by the same makers as `hideplan sheet`."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from hides.errors import LayoutFault
from nesting.check import faults
from nesting.drawing.cut_sheet import sheet_bytes
from nesting.drawing.described import described
from nesting.drawing.hide_drawing import hide_dxf, hide_png, hide_svg
from nesting.drawing.piece_list import csv_text
from nesting.model.layout import Layout
from nesting.page.errors import Refusal
from nesting.result.layout_file import read_layout

MAKERS: dict[str, tuple[str, Callable[[Layout], bytes | str]]] = {
    "sheet.pdf": ("application/pdf", sheet_bytes),
    "drawing.svg": ("image/svg+xml", lambda layout: hide_svg(layout, layout.hides[0])),
    "drawing.dxf": ("image/vnd.dxf", lambda layout: hide_dxf(layout, layout.hides[0])),
    "picture.png": ("image/png", lambda layout: hide_png(layout, layout.hides[0])),
    "pieces.csv": ("text/csv; charset=utf-8", csv_text),
}


def made(path: Path, kind: str) -> tuple[str, str, bytes | str]:
    """Name, media type and content of one file of the layout kept at `path`, once the layout has passed its check."""
    if not path.is_file():
        raise Refusal(404, "this layout is not in the folder any more")
    return made_from(read_layout(path), kind)


def made_from(layout: Layout, kind: str) -> tuple[str, str, bytes | str]:
    """The same for a layout in hand."""
    if kind not in MAKERS:
        raise Refusal(404, f"“{kind[:40]}” is no file that is made here")
    wrong = faults(layout)
    if wrong:
        raise LayoutFault(f"the layout fails its check, so it is not drawn: {wrong[0]}")
    media, make = MAKERS[kind]
    return f"{stem(layout)} {kind}", media, make(described(layout))


def stem(layout: Layout) -> str:
    """What files of a layout are called: product and hide, in signs that every file system takes."""
    told = " ".join([*(count.name for count in layout.counts), "on", *(each.hide.name for each in layout.hides)])
    return re.sub(r"[^\w() .+-]+", "-", told).strip()[:80] or "layout"
