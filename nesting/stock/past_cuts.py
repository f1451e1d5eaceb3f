"""The layouts by which a register's hides have been cut, for what can be learned of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from hides.errors import InputError
from hides.hide import Hide
from hides.json_text import parse_json
from hides.stock import Status, Stock, open_stock
from hides.stock.content import Row
from nesting.model.layout import Layout
from nesting.result.layout_file import layout_from_data


def past_cuts(path: Path) -> list[Layout]:
    """Layouts of measured hides that were bought and cut, the latest first, one hide in each; none of a folder.

    What cannot be read is left out: it is no reason not to plan.
    """
    if not path.is_file():
        return []
    with open_stock(path) as stock:
        rows = [row for row in stock.rows((Status.CUT,)) if not row.parent]
        return [layout for row in reversed(rows) for layout in _layouts(stock, row)]


def _layouts(stock: Stock, row: Row) -> Iterator[Layout]:
    try:
        layout = layout_from_data(parse_json(stock.layout(row.id) or "", stock.where), stock.where)
        hide = row.read(stock.where).hide
    except InputError:
        return
    yield from (_alone(layout, laid.hide, hide) for laid in layout.hides if laid.hide.name == hide.name)


def _alone(layout: Layout, laid: Hide, hide: Hide) -> Layout:
    """The layout with this hide alone, counted on it."""
    on = next(each for each in layout.hides if each.hide == laid)
    numbers = {(each.product, each.number) for each in on.placements if each.number}
    counts = [
        replace(count, complete=min(count.complete, sum(product == count.name for product, _ in numbers)))
        for count in layout.counts
    ]
    return replace(layout, counts=tuple(counts), hides=(replace(on, hide=replace(on.hide, area=hide.area)),))
