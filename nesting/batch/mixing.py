"""What a plan says of the leathers that its products come from."""

from __future__ import annotations

from collections.abc import Sequence

from hides.hide import Hide
from nesting.batch.demand import ProductDemand
from nesting.batch.one_leather import alike
from nesting.batch.plan import PlannedHide
from nesting.batch.task import Task


def leather_remarks(task: Task, filled: Sequence[int], cut: Sequence[PlannedHide]) -> list[str]:
    """Which products are cut from several leathers, and which lack some because their line wants one leather."""
    told = []
    for place, demand in enumerate(task.demands):
        if mixed := _mixed(demand, cut):
            told.append(mixed)
        elif filled[place] < demand.wanted and len(alike(task, place)) > 1:
            told.append(f"{demand.name} is cut from one leather; same = [] in its line would let several be mixed.")
    return told


def _mixed(demand: ProductDemand, cut: Sequence[PlannedHide]) -> str:
    parts: dict[str, list[str]] = {}
    for each in cut:
        if each.pieces(demand.name):
            parts.setdefault(_leather(each.hide, demand), []).append(each.hide.name)
    if len(parts) < 2:
        return ""
    told = "; ".join(f"{leather} ({', '.join(names)})" for leather, names in parts.items())
    same = ", ".join(demand.lines[0].same_each)
    return f"{demand.name} is cut from several{f', each of one {same}' if same else ''}: {told}."


def _leather(hide: Hide, demand: ProductDemand) -> str:
    """A leather's name, with its thickness where a line lets thicknesses differ."""
    name = hide.leather or "leather without a name"
    name += f", {hide.colour}" if hide.colour and "colour" not in demand.lines[0].same else ""
    name += f", lot {hide.lot}" if hide.lot and "lot" not in demand.lines[0].same else ""
    if "thickness" in demand.lines[0].same or hide.thickness is None:
        return name
    return f"{name}, {hide.thickness.low:.1f}-{hide.thickness.high:.1f} mm"
