"""The order of cutting in words for a sheet: partings by their ends, then pieces with arrows to the waste."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from nesting.drawing.marks import datum_of
from nesting.drawing.names import named
from nesting.drawing.scene import Circle, Item, Line, Text
from nesting.model.layout import HideLayout, Layout
from nesting.result.cutting_order import CuttingOrder, Parting, PieceCut
from nesting.result.knife_travel import knife_travel, metres
from nesting.result.wording import place_text

if TYPE_CHECKING:
    from nesting.drawing.sheet_style import SheetStyle

ARROWS = {"right": "→", "above": "↑", "left": "←", "below": "↓"}
ROUND = "○"
SHARED = "–"
NOTE = (
    "After each group arrows point to its waste; ○: waste all round; –: every side is shared with a neighbour or cut."
)
FIRST = "Punch holes and cut openings while a piece still lies in the leather."


def order_lines(layout: Layout, each: HideLayout, order: CuttingOrder, style: SheetStyle) -> list[str]:
    """A line a cut, a line a part with its pieces in their order, and how far the knife travels.

    `each` lies as on the sheet, its backbone level.
    """
    names = _names(layout, each)
    lines = _parting_lines(each, order, style, names)
    several = order.parts > 1
    for number, (_, cuts) in enumerate(groupby(order.pieces, key=lambda cut: cut.part), 1):
        told = " · ".join(
            " ".join([*(names[cut.place] for cut in alike), arrows]) for arrows, alike in groupby(cuts, key=_arrows)
        )
        lines.append(f"Part {number}: {told}" if several else told)
    return [*lines, f"{FIRST} {_travel(layout, each)}"]


def parting_lines(layout: Layout, each: HideLayout, order: CuttingOrder, style: SheetStyle) -> list[str]:
    """A line a parting cut: where it runs, which pieces' edges it is, where waste lies beside it."""
    return _parting_lines(each, order, style, _names(layout, each))


def _parting_lines(each: HideLayout, order: CuttingOrder, style: SheetStyle, names: list[str]) -> list[str]:
    return [
        f"Cut {number}{_ends(parting, each, style)}: {_beside(parting, names)}."
        for number, parting in enumerate(order.partings, 1)
    ]


def parting_items(order: CuttingOrder, k: float) -> list[Item]:
    """The partings on the hide's drawing, numbered at their beginnings; `k` mm of it are one of lettering."""
    items: list[Item] = []
    for number, parting in enumerate(order.partings, 1):
        (x, y), _ = parting.line
        items += [Line("parting", parting.line), Circle("parting spot", (x, y), 3.4 * k)]
        items.append(Text("words", (x, y - 0.85 * k), f"{number}", 2.4 * k, "middle", bold=True))
    return items


def _names(layout: Layout, each: HideLayout) -> list[str]:
    name_of = {id(one.placement): one.name for one in named(layout, each)}
    return [name_of[id(placement)] for placement in each.placements]


def _ends(parting: Parting, each: HideLayout, style: SheetStyle) -> str:
    """From where to where, along and across the datum line."""
    datum = datum_of(each.hide)
    told = [
        " / ".join(place_text(value, style.units, style.mark_part) for value in datum.measured(point))
        for point in parting.line
    ]
    return f" from {told[0]} to {told[1]} (along / across)"


def _beside(parting: Parting, names: list[str]) -> str:
    if not parting.along:
        return "clear of every piece"
    edges = " ".join(names[place] for place in parting.along)
    waste = f"; waste {parting.waste[0]}" if parting.waste else "; no waste beside it"
    return f"the edge of {edges}{waste}"


def _arrows(cut: PieceCut) -> str:
    return ROUND if cut.all_round else "".join(ARROWS[side] for side in cut.waste) or SHARED


def _travel(layout: Layout, each: HideLayout) -> str:
    travel = knife_travel(Layout(layout.counts, layout.products, layout.gap, layout.seed, layout.effort, (each,)))
    return f"The knife travels {metres(travel.travel)} round pieces and openings, shared lines once."
