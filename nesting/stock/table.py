"""The register's hides and history as plain text tables and single lines."""

from __future__ import annotations

from collections.abc import Sequence

from hides.hide import Thickness
from hides.stock import Change, Status
from hides.stock.listing import Entry
from hides.units import OUNCE
from nesting.result.wording import area_text, count_text, in_all, money
from nesting.stock.books import Posted, moved_text

PLACES = {
    Status.IN: "on the shelf",
    Status.OUT: "taken out",
    Status.CUT: "cut",
    Status.SOLD: "sold",
    Status.LOST: "written off",
    Status.GONE: "gone",
}
HEADINGS = ("no.", "name", "where", "cut", "grade", "thickness", "area left", "cost", "leather", "lot", "from")
WIDEST = 40
NOTHING = "–"


def stock_table(entries: Sequence[Entry]) -> str:
    """One line a hide, and a line of sums."""
    rows = [[_short(cell) for cell in (*_cells(entry), _remark(entry))] for entry in entries]
    remarked = any(row[-1] for row in rows)
    table = columns((*HEADINGS, "remark"), rows) if remarked else columns(HEADINGS, [row[:-1] for row in rows])
    return "\n".join([*table, "", sums(entries)])


def _remark(entry: Entry) -> str:
    """Whom a hide is kept for, and the note on it."""
    own = entry.stock_hide
    told = [f"kept for {own.reserved}" if own.reserved else "", own.note]
    return "; ".join(text for text in told if text)


def columns(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows under headings, each column as wide as it needs to be."""
    table = [headings, *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(headings))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in table]


def sums(entries: Sequence[Entry]) -> str:
    """How many hides, how much leather, what it cost."""
    on_hand = [entry for entry in entries if entry.stock_hide.status in (Status.IN, Status.OUT)]
    units = on_hand[0].stock_hide.hide.units if on_hand else "mm"
    told = [count_text(len(on_hand), "hide"), area_text(sum(entry.area_left for entry in on_hand), units)]
    costs: dict[str, list[float]] = {}
    for hide in (entry.stock_hide.hide for entry in on_hand):
        if hide.cost is not None and hide.price:
            costs.setdefault(hide.price.currency, []).append(hide.cost)
    told += [money(in_all(each), currency) for currency, each in sorted(costs.items())]
    return "on hand: " + ", ".join(told)


def details(entry: Entry) -> list[tuple[str, str]]:
    """Everything that is known of a hide, in words."""
    own, hide = entry.stock_hide, entry.stock_hide.hide
    _, _, where, cut, grade, thickness, left, cost, leather, lot, source = _cells(entry)
    lines = [
        ("where", where),
        ("cut", cut),
        ("grade", grade),
        ("thickness", thickness),
        ("area left", left),
        ("area measured", area_text(hide.measured_area, hide.units)),
        ("area marked", area_text(hide.area, hide.units) if hide.area else NOTHING),
        ("cost", cost),
        ("leather", leather),
        ("lot", lot),
        ("flaws", str(len(hide.flaws) + len(hide.holes))),
        ("zones", ", ".join(zone.name for zone in hide.zones) or NOTHING),
        ("from", source),
        ("kept for", own.reserved or NOTHING),
        ("note", own.note or NOTHING),
    ]
    return lines + ([("parent", f"{hide.parent} (number {own.parent})")] if own.parent else [])


def history_table(changes: Sequence[Change], posted: Posted = ()) -> str:
    """One line a change, oldest first, with what it moved in the books."""
    rows = [
        [
            str(change.id),
            change.at.replace("T", " ")[:19],
            change_text(change),
            hides_text(change),
            moved_text(posted, change.id),
            _short(change.note),
        ]
        for change in changes
    ]
    return "\n".join(columns(("no.", "when (UTC)", "change", "hides", "leather", "note"), rows))


def change_text(change: Change) -> str:
    """The kind of a change, what it reverses, and whether it has been reversed."""
    what = f"{change.kind} of {change.reverses}" if change.reverses else change.kind
    return what if change.in_force else f"{what}, undone"


def hides_text(change: Change, most: int = 4) -> str:
    """The names of the hides that a change touched; offcuts of what was cut (or is whole again) are counted."""
    cut = [step for step in change.steps if Status.CUT in (step.was, step.became)]
    names = list(dict.fromkeys(step.name for step in cut or change.steps))  # one described anew stands there twice
    more = f" and {len(names) - most} more" if len(names) > most else ""
    offcuts = len(change.steps) - len(cut) if cut else 0
    return ", ".join(names[:most]) + more + (f" ({count_text(offcuts, 'offcut')})" if offcuts else "")


def thickness_text(thickness: Thickness | None, units: str = "mm") -> str:
    """A range in mm, or in leather ounces where the hide's file is in inches."""
    if thickness is None:
        return NOTHING
    unit, one = ("oz", OUNCE) if units == "in" else ("mm", 1.0)
    low, high = (f"{value / one:.1f}".removesuffix(".0") for value in (thickness.low, thickness.high))
    return f"{low} {unit}" if low == high else f"{low}-{high} {unit}"


def _cells(entry: Entry) -> tuple[str, ...]:
    own, hide = entry.stock_hide, entry.stock_hide.hide
    area = area_text(entry.area_left, hide.units) + (" (estimate)" if hide.estimate else "")
    return (
        str(own.id),
        hide.name,
        PLACES[own.status],
        hide.cut,
        hide.grade.label,
        thickness_text(hide.thickness, hide.units),
        area,
        NOTHING if hide.cost is None or hide.price is None else money(hide.cost, hide.price.currency),
        hide.leather or NOTHING,
        hide.lot or NOTHING,
        own.source,
    )


def _short(text: str) -> str:
    """A cell's text, its middle left out where it is very long."""
    return text if len(text) <= WIDEST else f"{text[: WIDEST // 2 - 2]}...{text[-WIDEST // 2 + 1 :]}"
