"""What there is to tell of each hide in a register: the hide, and how much of it is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hides.errors import InputError
from hides.stock.content import Row
from hides.stock.register import ALL, Stock
from hides.stock.values import Status, StockHide


@dataclass(frozen=True)
class Entry:
    """One hide of a list. `area_left` (mm²) of a cut hide is what its offcuts on hand measure."""

    stock_hide: StockHide
    area_left: float

    def to_data(self) -> dict[str, Any]:
        """The entry as `--json` prints it."""
        hide, own = self.stock_hide.hide, self.stock_hide
        return {
            "number": own.id,
            "name": hide.name,
            "status": own.status.value,
            "cut": hide.cut,
            "grade": hide.grade.label,
            "thickness_mm": hide.thickness and [hide.thickness.low, hide.thickness.high],
            "area_mm2": round(hide.measured_area, 1),
            "area_left_mm2": round(self.area_left, 1),
            "marked_area_mm2": hide.area and round(hide.area, 1),
            "cost": None if hide.cost is None else round(hide.cost, 2),
            "currency": hide.price and hide.price.currency,
            "leather": hide.leather,
            "lot": hide.lot,
            "estimate": hide.estimate,
            "source": own.source,
            "parent": own.parent or None,
            "reserved": own.reserved or None,
            "note": own.note or None,
        }


def entries(stock: Stock, statuses: Sequence[Status]) -> tuple[list[Entry], list[InputError]]:
    """The hides of these statuses, and an error for each whose content is damaged."""
    found: dict[int, StockHide] = {}
    faults: list[InputError] = []
    for row in stock.rows(ALL):
        try:
            found[row.id] = row.read(stock.where)
        except InputError as error:
            if row.status in statuses:
                faults.append(error)
    left = _areas_left(found)
    return [Entry(each, left[each.id]) for each in found.values() if each.status in statuses], faults


def one(stock: Stock, row: Row) -> Entry:
    """The entry of one hide. InputError where its content is damaged."""
    row.read(stock.where)
    found, _ = entries(stock, (row.status,))
    return next(entry for entry in found if entry.stock_hide.id == row.id)


def _areas_left(hides: dict[int, StockHide]) -> dict[int, float]:
    """For each hide its own area while it is on hand, and what its offcuts hold afterwards."""
    left = {
        id: each.hide.measured_area if each.status in (Status.IN, Status.OUT) else 0.0 for id, each in hides.items()
    }
    # Offcuts carry higher numbers than what they were cut from, so the youngest pass theirs on first.
    for id in sorted(hides, reverse=True):
        parent = hides[id].parent
        if parent in left:
            left[parent] += left[id]
    return left
