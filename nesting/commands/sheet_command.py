"""`hideplan sheet LAYOUT.json`: cut sheet, full-size patterns, drawings and piece list of a layout."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from hides.errors import InputError, LayoutFault
from hides.whole_file import write_whole
from nesting.check import faults, unchecked
from nesting.drawing.described import described
from nesting.drawing.exports import KINDS, OF_A_HIDE, OF_A_LAYOUT
from nesting.drawing.machine.files import machine_files, writer_for
from nesting.drawing.machine.job import tool_remarks
from nesting.drawing.paper import PAPERS
from nesting.drawing.registration import registration_words
from nesting.drawing.sheet_style import PLAIN, SheetStyle
from nesting.model.layout import HideLayout, Layout
from nesting.project.settings_reader import distance
from nesting.result.layout_file import read_layout

if TYPE_CHECKING:
    from hides.photo import FlatPicture

ENDINGS = {".pdf": "pdf", ".svg": "svg", ".dxf": "dxf", ".png": "png", ".csv": "csv"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The words this command takes."""
    parser.add_argument("layout", metavar="LAYOUT.json", help="the layout to draw")
    files = parser.add_argument_group("what to write (any of them, together if need be)")
    files.add_argument(
        "--out", metavar="FILE", action="append", default=[],
        help="by the file's ending: .pdf cut sheet, .svg, .dxf or .png drawing, .csv piece list; may be given again",
    )  # fmt: skip
    files.add_argument("--pdf", metavar="FILE", help="cut sheet")
    files.add_argument("--tiles", metavar="FILE", help="the whole hide's layout at full size on many pages (PDF)")
    files.add_argument("--patterns", metavar="FILE", help="every kind of piece once at full size (PDF)")
    files.add_argument("--cards", metavar="FILE", help="bench cards: punches, edges and joints of every product (PDF)")
    files.add_argument("--svg", metavar="FILE", help="drawing of the hide at full size")
    files.add_argument("--dxf", metavar="FILE", help="drawing of the hide at full size, in its own coordinates, mm")
    files.add_argument("--png", metavar="FILE", help="picture of the hide")
    files.add_argument("--csv", metavar="FILE", help="piece list with where each piece lies")
    files.add_argument("--machine", metavar="FILE", help="pieces only, in cutting order: .dxf, .svg or .plt (HPGL/2)")
    machine = parser.add_argument_group("for --machine")
    machine.add_argument(
        "--tool", choices=("knife", "laser", "press"),
        help="what cuts [knife]; for a press every outline is whole, and a file for each pattern is written too",
    )  # fmt: skip
    machine.add_argument("--kerf", metavar="LENGTH", help="width the tool takes away; lines keep off by half of it [0]")
    machine.add_argument("--twice", action="store_true", help="cut a line that pieces share for each of them")
    look = parser.add_argument_group("how")
    look.add_argument(
        "--hide", metavar="NAME", help="only this hide, by its name or its place (1, 2, ...) in the layout"
    )
    look.add_argument("--paper", choices=PAPERS, default="A4", help="paper [A4]")
    look.add_argument("--units", choices=("mm", "cm", "in"), help="units of what is written [mm; cards: the project's]")
    look.add_argument(
        "--photo", nargs="?", const="", metavar="FOLDER",
        help="show each hide's photo under its layout (.pdf, .png); FOLDER is where it lies [that of the layout]",
    )  # fmt: skip
    look.add_argument("--json", action="store_true", help="print what was written as JSON")
    look.add_argument(
        "--fraction", choices=("16", "32", "64"), help="finest part of an inch [16 for sizes, 32 for marks]"
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Check the layout, make all that is asked for, then write it; nothing is written where anything fails."""
    asked = _asked(options)
    cut = _cut(options)
    layout = _chosen(_checked(options.layout), options)
    work = _Work(layout, _style(options, layout), options.layout)
    made = [(kind, path, _made(kind, work)) for kind, path in asked]
    remarks: list[str] = []
    if cut:
        files, remarks = _machine(work, cut)
        made += [("machine", path, content) for path, content in files.items()]
        _refuse_doubles(options.layout, [path for _, path, _ in made])
    for _, path, content in made:
        write_whole(path, content)
    _tell(options, [(kind, path) for kind, path, _ in made], remarks)
    return 0


def _tell(options: argparse.Namespace, written: list[tuple[str, str]], remarks: list[str]) -> None:
    """What was written, and what is to be heeded."""
    if not options.json:
        print("\n".join([*(f"wrote {path}" for _, path in written), *remarks]))
        return
    data = {"format": "hideplan-sheets-1", "written": [{"kind": kind, "file": path} for kind, path in written]}
    more = {"remarks": remarks} if remarks else {}
    print(json.dumps({**data, **more}, ensure_ascii=False, indent=1))


def _style(options: argparse.Namespace, layout: Layout) -> SheetStyle:
    photos: Mapping[str, FlatPicture] = {}
    if options.photo is not None:
        from nesting.drawing.photo_under import photos_of  # heavy: only where it is needed

        photos = photos_of(
            [each.hide for each in layout.hides], Path(options.photo) if options.photo else Path(options.layout).parent
        )
    plain = SheetStyle(options.paper, options.units or PLAIN.units, chosen=bool(options.units), photos=photos)
    finest = options.fraction and int(options.fraction)
    return replace(plain, part=finest, mark_part=finest) if finest else plain


@dataclass(frozen=True)
class _Work:
    """What every maker works from."""

    layout: Layout
    style: SheetStyle
    where: str

    def one_hide(self) -> HideLayout:
        """The layout's only hide; a drawing shows one."""
        if len(self.layout.hides) == 1:
            return self.layout.hides[0]
        names = ", ".join(each.hide.name for each in self.layout.hides)
        raise InputError(
            f"the layout has {len(self.layout.hides)} hides and this file shows one",
            where=self.where, field="hides", remedy=f"choose with --hide: {names}",
        )  # fmt: skip


def _made(kind: str, work: _Work) -> bytes | str:
    if kind in OF_A_HIDE:
        return OF_A_HIDE[kind](work.layout, work.one_hide(), work.style)
    return OF_A_LAYOUT[kind](work.layout, work.style)


@dataclass(frozen=True)
class _Cut:
    """What is asked for a machine."""

    path: str
    tool: str
    kerf: float
    once: bool


def _cut(options: argparse.Namespace) -> _Cut | None:
    """The machine's file that is asked for; InputError for its words without it, and for an ending it has not."""
    if options.machine is None:
        for word, given in (("--tool", options.tool), ("--kerf", options.kerf), ("--twice", options.twice)):
            if given:
                raise InputError("belongs to --machine", where="sheet", field=word, remedy="add --machine cut.dxf")
        return None
    kerf = distance("--kerf", options.kerf or "0")
    writer_for(options.machine)
    return _Cut(options.machine, options.tool or "knife", kerf, not options.twice)


def _machine(work: _Work, cut: _Cut) -> tuple[dict[str, str | bytes], list[str]]:
    """The machine's files by their paths, and what is to be said."""
    each = work.one_hide()
    files = machine_files(work.layout, each, cut.path, cut.tool, cut.kerf, cut.once)
    words = registration_words(each, work.style.units, work.style.mark_part)
    return files, [words, *tool_remarks(each, cut.tool, cut.kerf)]


def _asked(options: argparse.Namespace) -> list[tuple[str, str]]:
    """Kinds and paths asked for; InputError where there are none, or two for one path."""
    asked = [(_kind_of(path), path) for path in options.out]
    asked += [(kind, path) for kind in KINDS if (path := getattr(options, kind))]
    if not asked and options.machine is None:
        raise InputError("nothing to write is named", where="sheet", field="--out", remedy="name one: --out sheet.pdf")
    _refuse_doubles(options.layout, [path for _, path in asked] + ([options.machine] if options.machine else []))
    return asked


def _refuse_doubles(layout: str, paths: list[str]) -> None:
    """No file may be written over another, or over the layout."""
    met = {Path(layout).resolve()}
    for path in paths:
        if Path(path).resolve() in met:
            raise InputError("would be written over", where="sheet", field=path, remedy="give every file its own name")
        met.add(Path(path).resolve())


def _kind_of(path: str) -> str:
    ending = Path(path).suffix.lower()
    if ending not in ENDINGS:
        known = ", ".join(ENDINGS)
        raise InputError(
            f"the ending “{ending}” names no kind of file", where="--out", field=path, remedy=f"use {known}"
        )
    return ENDINGS[ending]


def _checked(path: str) -> Layout:
    """The layout in the file, if it passes its check."""
    layout = read_layout(path)
    wrong = faults(layout)
    if wrong:
        more = f" (and {len(wrong) - 1} more)" if len(wrong) > 1 else ""
        raise LayoutFault(f"{path}: fails its check, so it is not drawn: {wrong[0]}{more}")
    for question in unchecked(layout):
        print(f"not checked: {question}", file=sys.stderr)
    return described(layout)


def _chosen(layout: Layout, options: argparse.Namespace) -> Layout:
    """The layout with only the hide asked for."""
    if options.hide is None:
        return layout
    names = [each.hide.name for each in layout.hides]
    places = [str(number) for number in range(1, len(names) + 1)]
    for known in (names, places):
        if known.count(options.hide) == 1:
            return replace(layout, hides=(layout.hides[known.index(options.hide)],))
    raise InputError(
        f"the layout has no hide “{options.hide}” (or several)",
        where=options.layout, field="--hide", remedy=f"it has {', '.join(names)}; or give a place, 1 to {len(names)}",
    )  # fmt: skip
