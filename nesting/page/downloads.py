"""The files of a layout that a browser can keep: by the same makers as `hideplan sheet`."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from hides.errors import InputError, LayoutFault
from nesting.check import faults
from nesting.drawing.described import described
from nesting.drawing.exports import OF_A_HIDE, OF_A_LAYOUT
from nesting.drawing.machine.files import machine_files
from nesting.drawing.paper import PAPERS
from nesting.drawing.sheet_style import PLAIN, SheetStyle
from nesting.model.layout import Layout
from nesting.page.errors import Refusal
from nesting.project.settings_reader import distance
from nesting.result.layout_file import read_layout

if TYPE_CHECKING:
    from hides.photo import FlatPicture

Made = tuple[str, str, bytes | str]
PDF = "application/pdf"
UNITS = ("mm", "cm", "in")
FRACTIONS = ("16", "32", "64")
TOOLS = ("knife", "laser", "press")
ZIP_TIME = (1980, 1, 1, 0, 0, 0)
"""The one time given to files in an archive, so that the same layout gives the same bytes."""


NAMES = {
    "sheet.pdf": (PDF, "pdf"),
    "tiles.pdf": (PDF, "tiles"),
    "patterns.pdf": (PDF, "patterns"),
    "cards.pdf": (PDF, "cards"),
    "drawing.svg": ("image/svg+xml", "svg"),
    "drawing.dxf": ("image/vnd.dxf", "dxf"),
    "picture.png": ("image/png", "png"),
    "pieces.csv": ("text/csv; charset=utf-8", "csv"),
}
"""What a browser is given: media type and kind (`drawing.exports`) by the end of the file's name."""
MACHINES = {"cut.dxf": "image/vnd.dxf", "cut.svg": "image/svg+xml", "cut.plt": "application/vnd.hp-hpgl"}


def made(path: Path, kind: str, told: Mapping[str, str] | None = None, photo: FlatPicture | None = None) -> Made:
    """Name, media type and content of one file of the layout kept at `path`, once the layout has passed its check.

    `told` is what was chosen: paper, units and fraction; tool, kerf and twice of a file for a machine.
    A `photo` of the hide lies under the cut sheet and the picture.
    """
    if not path.is_file():
        raise Refusal(404, "this layout is not in the folder any more")
    return made_from(read_layout(path), kind, told, photo)


def made_from(
    layout: Layout, kind: str, told: Mapping[str, str] | None = None, photo: FlatPicture | None = None
) -> Made:
    """The same for a layout in hand."""
    if kind not in NAMES and kind not in MACHINES:
        raise Refusal(404, f"“{kind[:40]}” is no file that is made here")
    wrong = faults(layout)
    if wrong:
        raise LayoutFault(f"the layout fails its check, so it is not drawn: {wrong[0]}")
    if kind in MACHINES:
        return _for_machine(described(layout), kind, told or {})
    media, drawn = NAMES[kind]
    shown, style = described(layout), replace(style_in(told or {}), photos=_photos(layout, photo))
    if drawn in OF_A_HIDE:
        return f"{stem(layout)} {kind}", media, OF_A_HIDE[drawn](shown, shown.hides[0], style)
    return f"{stem(layout)} {kind}", media, OF_A_LAYOUT[drawn](shown, style)


def _photos(layout: Layout, photo: FlatPicture | None) -> dict[str, FlatPicture]:
    return {each.hide.name: photo for each in layout.hides} if photo else {}


def style_in(told: Mapping[str, str]) -> SheetStyle:
    """Paper and units as chosen; the usual ones where nothing was."""
    paper = _one_of(told, "paper", tuple(PAPERS), PLAIN.paper)
    units = _one_of(told, "units", UNITS, PLAIN.units)
    finest = _one_of(told, "fraction", FRACTIONS, "")
    plain = SheetStyle(paper, units, chosen="units" in told)
    return replace(plain, part=int(finest), mark_part=int(finest)) if finest else plain


def stem(layout: Layout) -> str:
    """What files of a layout are called: product and hide, in signs that every file system takes."""
    told = " ".join([*(count.name for count in layout.counts), "on", *(each.hide.name for each in layout.hides)])
    return re.sub(r"[^\w() .+-]+", "-", told).strip()[:80] or "layout"


def _for_machine(layout: Layout, kind: str, told: Mapping[str, str]) -> Made:
    """What a machine cuts; a press has a file for every die beside it, and they come as one archive."""
    tool = _one_of(told, "tool", TOOLS, TOOLS[0])
    try:
        kerf = distance("kerf", told.get("kerf", "").strip() or "0")
    except InputError as error:
        raise Refusal(422, str(error)) from error
    files = machine_files(layout, layout.hides[0], kind, tool, kerf, told.get("twice") != "yes")
    name = f"{stem(layout)} {kind}"
    if len(files) == 1:
        return name, MACHINES[kind], files[kind]
    return f"{Path(name).stem}.zip", "application/zip", _archive(files)


def _archive(files: Mapping[str, bytes | str]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, ZIP_TIME), content, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def _one_of(told: Mapping[str, str], name: str, known: tuple[str, ...], usual: str) -> str:
    value = told.get(name) or usual
    if value and value not in known:
        raise Refusal(422, f"{name}: “{value[:20]}” must be one of {', '.join(known)}")
    return value
