"""`hideplan yield HIDE PROJECT`: how many complete products a hide gives, and where each piece goes."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from hides.errors import InputError, NeedsThickness
from hides.finding import Finding
from hides.hide import Hide
from hides.hide_file import read_hide
from nesting.commands.kept_options import add_kept_arguments, former_from, most_from, pieces_from, without_gone
from nesting.commands.loading import load_meanwhile
from nesting.commands.solving import (
    add_choose_argument,
    add_leather_argument,
    add_solving_arguments,
    chosen_from,
    deadline_from,
    settings_from,
    watch_from,
)
from nesting.commands.straight_options import add_straight_arguments, straight_from
from nesting.commands.swapped import refuse_swapped
from nesting.engine.compiled import REMARK
from nesting.laying.case import case_of
from nesting.laying.lay_out import solve
from nesting.laying.remnant import Left, lay_some
from nesting.laying.shortage import shortages
from nesting.model.product import Product
from nesting.model.want import Want
from nesting.project.choices import Chosen
from nesting.project.part import part_of_product
from nesting.project.project_file import product_for
from nesting.result.answer import answer_data, answer_text
from nesting.result.layout_file import layout_to_data, write_layout

if TYPE_CHECKING:
    from hides.photo import FlatPicture


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The hide, the project, where to write, how to search."""
    parser.add_argument("hide", metavar="HIDE", help="hide file (JSON)")
    parser.add_argument("project", metavar="PROJECT", help="project file (TOML)")
    parser.add_argument("--out", metavar="LAYOUT.json", help="write the layout to this file")
    parser.add_argument("--sheet", metavar="SHEET.pdf", help="write the cut sheet to this file")
    parser.add_argument(
        "--paper", choices=("A4", "A3", "Letter", "Tabloid"), default="A4", help="the sheet's paper [A4]"
    )
    parser.add_argument(
        "--units", choices=("mm", "cm", "in"), help="units of the sheet and the answer [the hide file's]"
    )
    parser.add_argument("--photo", action="store_true", help="show the hide's photo under the layout on the sheet")
    parser.add_argument("--json", action="store_true", help="print the answer and the layout as JSON")
    add_choose_argument(parser)
    add_leather_argument(parser, "lay the pieces of this of the product's leathers [those that the hide is called]")
    add_straight_arguments(parser)
    add_kept_arguments(parser)
    add_solving_arguments(parser)


def run(options: argparse.Namespace) -> int:
    """Lay out, check, answer; 0 also where not one product fits."""
    settings = replace(settings_from(options), straight=straight_from(options))
    refuse_swapped("yield {0} {1}", options.hide, ["hide"], options.project, ["project"])
    findings: list[Finding] = []
    hide = without_gone(read_hide(options.hide, findings), options.gone)
    product = read_for(options.project, hide, findings, chosen_from(options), options.leather)
    part, most = part_of_product(product, pieces_from(options)), most_from(options)
    catalogue = [read_for(path, hide) for path in options.catalogue]
    for finding in findings:
        print(f"hideplan: {finding}", file=sys.stderr)
    if REMARK:
        print(f"hideplan: {REMARK}", file=sys.stderr)
    photos = _photos(options, hide)
    with watch_from(options, deadline_from(options, draws=bool(options.sheet))) as watch:
        if options.sheet:
            load_meanwhile("nesting.drawing.cut_sheet")
        want = Want(part, limit=most if part is product else 1)
        former = former_from(options, hide)
        case = case_of(hide, [want], settings, [each for each in former if each.keep], former)
        left = Left(solve(case, watch), {}) if most is None else lay_some(case, catalogue, watch)
    layout = left.layout
    units = options.units or hide.units
    short = [] if layout.counts[0].complete == most else shortages(case, layout, units)
    if options.out:
        write_layout(options.out, layout)
    if options.sheet:
        from nesting.drawing.cut_sheet import write_sheet  # heavy: only where it is needed
        from nesting.drawing.sheet_style import SheetStyle

        write_sheet(layout, options.sheet, SheetStyle(options.paper, units, photos=photos))
    if options.json:
        print(json.dumps(answer_data(layout, short) | left.data() | {"layout": layout_to_data(layout)}, indent=1))
    else:
        print(answer_text(layout, short, units), *left.lines(), sep="", end="")
        if settings.straight is not None:
            from nesting.drawing.strip_table import table_text

            print(table_text(layout, layout.hides[0], units), end="")
        for path in (options.out, options.sheet):
            if path:
                print(f"Written: {path}")
    return 0


def _photos(options: argparse.Namespace, hide: Hide) -> dict[str, FlatPicture]:
    """The hide's photo where it was asked for; told before the search where there is none."""
    if not options.photo:
        return {}
    if not options.sheet:
        raise InputError("belongs to a sheet", where="yield", field="--photo", remedy="add --sheet SHEET.pdf")
    from nesting.drawing.photo_under import photos_of  # heavy: only where it is needed

    return photos_of([hide], Path(options.hide).parent)


def read_for(
    project: str,
    hide: Hide,
    findings: list[Finding] | None = None,
    chosen: Chosen | None = None,
    leathers: Sequence[str] = (),
) -> Product:
    """The product as it is made of a hide's leather; InputError where it needs a thickness the hide does not state.

    Of a product of several leathers it is the part that the hide is called by, or of those named in `leathers`.
    """
    try:
        return product_for(project, hide, findings, chosen, leathers)
    except NeedsThickness as error:
        raise error.within(where=project) from error
