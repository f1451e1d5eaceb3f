"""The [[supply]] tables of an order file."""

from __future__ import annotations

from typing import Any

from hides.fields import Fields
from hides.hide import CUTS
from hides.units import area, thickness
from nesting.batch.supply import Supply
from nesting.stock.parting import FLAT_FIELDS, flat_price_in

FIELDS = ("cut", "area", "leather", "thickness", "price", "pack", "least", "freight", "days")
MOST = 50


def supplies_in(fields: Fields) -> tuple[Supply, ...]:
    """What can be bought; nothing where the file does not say."""
    tables = fields.items("supply", ())
    if len(tables) > MOST:
        raise fields.wrong("supply", f"there are {len(tables)}", f"give at most {MOST}")
    return tuple(_supply(Fields.of(each, FIELDS, fields.where, f"supply[{n}]")) for n, each in enumerate(tables, 1))


def _supply(row: Fields) -> Supply:
    more: dict[str, Any] = {}
    with row.reading("area") as value:
        marked = area(value)
    if row.has("thickness"):
        with row.reading("thickness") as value:
            more["thickness"] = thickness(value)
    if row.has("price"):
        with row.reading("price") as value:
            more["price"] = flat_price_in(Fields.of(value, FLAT_FIELDS))
    elif row.has("freight"):
        raise row.wrong("freight", "stands without a price", "give the price too, for its currency")
    return Supply(
        row.choice("cut", [cut for cut in CUTS if cut != "offcut"]),
        marked,
        row.text("leather", ""),
        pack=row.whole("pack", 1, low=1, high=1000),
        least=row.whole("least", 1, low=1, high=1000),
        freight=row.number("freight", 0.0, low=0, high=1e6),
        days=row.whole("days", 0, low=0, high=1000),
        **more,
    )
