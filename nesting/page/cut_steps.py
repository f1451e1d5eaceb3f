"""A layout in steps for the cutting table: a strip or a piece at a time, with its marks and where they are.

The marks are those of the cut sheet, along and across the same datum line, so that page and paper agree.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from hides.hide import Point
from nesting.drawing.cutting_list import parting_lines
from nesting.drawing.described import described
from nesting.drawing.hide_scene import upright
from nesting.drawing.mark_points import mark_points
from nesting.drawing.marks import datum_of, marks
from nesting.drawing.names import LaidName, named
from nesting.drawing.scene import turned_by
from nesting.drawing.sheet_style import SheetStyle
from nesting.drawing.strip_table import StripRow, cut_lines
from nesting.model.layout import HideLayout, Layout
from nesting.result.cutting_order import PieceCut, cutting_order


def cut_steps(layout: Layout, style: SheetStyle) -> dict[str, Any]:
    """Steps in cutting order, each with the places of its pieces in the layout, its words and its marks.

    Lengths are mm (`along` and `across` the datum line), points in the hide's own coordinates; `datum` is the datum
    line's zero and a point 100 mm further. Words of strips are in the style's units.
    """
    layout = described(layout)
    own = layout.hides[0]
    each = upright(own)
    turn = (own.hide.direction or 0.0) - (each.hide.direction or 0.0)
    datum = datum_of(each.hide)
    place_of = {id(placement): place for place, placement in enumerate(each.placements)}
    laid = {place_of[id(one.placement)]: one for one in named(layout, each)}
    strips = list(_strips(layout, each, style))
    free = _free(layout, each, laid, style)
    for step in strips:
        step["marks"] = []
    for step in free:
        step["marks"] = _marks(laid[step["pieces"][0]], each, turn)
    steps = strips + free
    for step in steps:
        step["names"] = [laid[place].name for place in step["pieces"]]
    line = [turned_by(point, turn) for point in (datum.zero, datum.at(100.0, 0.0))]
    return {"steps": steps, "datum": line, "level": own.hide.backbone is None}


def _free(layout: Layout, each: HideLayout, laid: dict[int, LaidName], style: SheetStyle) -> list[dict[str, Any]]:
    """A step for every piece beside the strips; the first also says which cuts part the hide."""
    order = cutting_order(each)
    steps = [{"title": _title(laid[cut.place]), "words": [*_waste(cut)], "pieces": [cut.place]} for cut in order.pieces]
    if steps:
        steps[0]["words"] = [*parting_lines(layout, each, order, style), *steps[0]["words"]]
    return steps


def _waste(cut: PieceCut) -> list[str]:
    """Where the waste lies, as the sheet shows the hide."""
    return [f"Waste: {'all round' if cut.all_round else ', '.join(cut.waste)}."] if cut.waste else []


def _strips(layout: Layout, each: HideLayout, style: SheetStyle) -> Iterator[dict[str, Any]]:
    """A step for every strip that bears pieces; the first of a line says how the line is struck."""
    if each.straight is None:
        return
    lines = cut_lines(layout, each, style.units, style.part)
    for number, (block, line) in enumerate(zip(each.straight.blocks, lines, strict=True), 1):
        words = [line.marks]
        for n, strip in enumerate(block.strips, 1):
            rows = [row for row in line.rows if row.number == f"{n}" or row.number.startswith(f"{n} part")]
            words += [_row_words(row, style) for row in rows]
            if strip.pieces:
                yield {"title": f"Line {number}, strip {n}", "words": words, "pieces": list(strip.pieces)}
                words = []


def _row_words(row: StripRow, style: SheetStyle) -> str:
    flawed = f" Flawed: {row.flawed}." if row.flawed else ""
    return f"Strip {row.number}: {row.width} {style.units} wide; {row.cuts}.{flawed} Left over: {row.left}."


def _title(one: LaidName) -> str:
    over = ", turned over" if one.placement.mirrored else ""
    return f"{one.name}: {one.piece.name}{over}"


def _marks(one: LaidName, each: HideLayout, turn: float) -> list[dict[str, Any]]:
    """The marks of a piece; a strip has its line instead."""
    datum = datum_of(each.hide)
    found = []
    for mark, point in zip(mark_points(one.piece), marks(one.piece, one.placement), strict=True):
        along, across = datum.measured(point)
        at: Point = turned_by(point, turn)
        found.append({"words": mark.words, "along": along, "across": across, "at": at})
    return found
