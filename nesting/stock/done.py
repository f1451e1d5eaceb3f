"""From a layout or plan file to the cuts that a register commits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from shapely.geometry import Polygon

from hides.errors import InputError
from hides.fields import told
from hides.hide import Hide, Price
from hides.json_text import read_json
from hides.offcut import offcuts
from hides.stock import Cut, Stock, StockHide
from nesting.model.layout import HideLayout, Layout
from nesting.model.value_table import USUAL, ValueTable
from nesting.result.begun import with_begun_cut, without_begun
from nesting.result.layout_file import layout_from_data, layout_text
from nesting.stock.split import kept_values
from nesting.stock.table import thickness_text

HAIR = 1e-6
SAME_AREA = 1.0
"""The register's hide is the layout's if their outlines differ by at most this, mm²."""


def layouts_of(path: Path) -> list[Layout]:
    """The layouts in a layout file or in a plan file. InputError where it is neither."""
    data = read_json(path)
    kind = data.get("format") if isinstance(data, dict) else None
    if kind != "hideplan-plan-1":
        return [layout_from_data(data, str(path))]
    listed: Any = data.get("layouts")
    if not isinstance(listed, list) or not listed:
        raise InputError(f"is {told(listed)}, no list of layouts", where=str(path), field="layouts")
    return [_in_plan(each, number, str(path)) for number, each in enumerate(listed)]


def cuts_of(
    stock: Stock,
    layouts: Iterable[Layout],
    where: str,
    least_offcut: float = 0.0,
    table: ValueTable | Price | None = None,
    begun: bool = False,
) -> list[Cut]:
    """A cut for every hide of the layouts, with its leftovers of at least `least_offcut` mm².

    Pieces of a product only begun are cut only where `begun` says so. `table` says how the hide's value is parted: by
    grade (the default), or a flat price for the offcuts' area.

    InputError where a hide is not in the register, or is another one than the layout was made for.
    """
    cut = [with_begun_cut(layout) if begun else without_begun(layout) for layout in layouts]
    return [_cut(stock, layout, laid, where, least_offcut, table or USUAL) for layout in cut for laid in layout.hides]


def split_remarks(stock: Stock, layouts: Iterable[Layout]) -> list[str]:
    """Which hides count as split: their layouts are of thinner leather than the register has."""
    told = []
    for laid in (each for layout in layouts for each in layout.hides):
        own = stock.find(laid.hide.name).read(stock.where).hide
        if _as_split(own, laid.hide) is not own:
            told.append(
                f"{own.name} counts as split, from {thickness_text(own.thickness)} to "
                f"{thickness_text(laid.hide.thickness)}, and so do its offcuts; if it was not, undo this and plan anew"
            )
    return told


def _in_plan(data: object, number: int, where: str) -> Layout:
    try:
        return layout_from_data(data, where)
    except InputError as error:
        raise error.within(field=f"layouts[{number}]") from error


def _cut(
    stock: Stock, layout: Layout, laid: HideLayout, where: str, least_offcut: float, table: ValueTable | Price
) -> Cut:
    own = stock.find(laid.hide.name).read(stock.where)
    if not _is_same(own.hide, laid.hide):
        raise InputError(
            f"the hide “{laid.hide.name}” of this layout is not the one in {stock.where}: their outlines differ",
            where=where,
            remedy="use the layout made for the register's hide",
        )
    rings = [ring for ring in laid.offcuts if Polygon(ring).area >= least_offcut]
    kept = replace(laid, hide=own.hide, offcuts=tuple(rings))
    work = _split_cost(own, laid.hide)
    values = kept_values(kept, own.value.cents + work, table) if own.value else [0] * len(rings)
    return Cut(own.id, layout_text(layout), offcuts(_as_split(own.hide, laid.hide), rings), values, work)


def _split_cost(own: StockHide, laid: Hide) -> int:
    """What splitting cost, in cents: the layout's hide bears it in its price (0 where it was not split)."""
    if own.value is None or laid.cost is None or _as_split(own.hide, laid) is own.hide:
        return 0
    return max(0, round(laid.cost * 100) - own.value.cents)


def _as_split(own: Hide, laid: Hide) -> Hide:
    """The register's hide in the thickness it was split to, where its layout says that it was."""
    if own.thickness is None or laid.thickness is None or laid.thickness.high >= own.thickness.high - HAIR:
        return own
    return replace(own, thickness=laid.thickness, zones=laid.zones)


def _is_same(a: Hide, b: Hide) -> bool:
    return float(a.polygon.symmetric_difference(b.polygon).area) <= SAME_AREA
