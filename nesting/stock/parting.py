"""How a hide's cost is parted, as a plan file holds it, so that what is committed later is parted as the plan said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hides.fields import Fields, told
from hides.hide import Price
from hides.json_text import read_json
from hides.units import area_unit
from nesting.model.value_table import GRADES, ValueTable

NAMES = ("A", "B", "C", "D")
TABLE_FIELDS = (*NAMES, "scrap")
FLAT_FIELDS = ("per_area", "unit", "currency")


def parting_to_data(parting: ValueTable | Price) -> dict[str, Any]:
    """A table of grades, or a flat price, as JSON holds it."""
    if isinstance(parting, ValueTable):
        return {**dict(zip(NAMES, parting.grades, strict=False)), "scrap": parting.scrap}
    return {"per_area": parting.per_area, "unit": parting.unit, "currency": parting.currency}


def noted(note: str, parting: ValueTable | Price) -> str:
    """A change's note that also says how the leather was parted, where that was not the usual way.

    With it the books can be recounted from the register alone.
    """
    if parting == ValueTable():
        return note
    told = parting.reason if isinstance(parting, ValueTable) else f"at {parting.per_area:.12g} {parting.currency} a "
    return f"{note}; parted {told}" + ("" if isinstance(parting, ValueTable) else f"{parting.unit} of offcut")


def parting_of(path: Path) -> ValueTable | Price:
    """What a plan file says of it; the usual table for a layout file or an older plan."""
    data = read_json(path)
    given = data.get("parting") if isinstance(data, dict) else None
    if given is None:
        return ValueTable()
    fields = Fields.of(given, (*TABLE_FIELDS, *FLAT_FIELDS), str(path), "parting")
    return flat_price_in(fields) if fields.has("per_area") else table_in(fields)


def table_in(fields: Fields) -> ValueTable:
    """The table of grades that fields give, as an order and a plan write it; what they leave out is as usual."""
    grades = [fields.number(name, known, low=0, high=1000) for name, known in zip(NAMES, GRADES, strict=False)]
    return ValueTable((*grades, 0.0), fields.number("scrap", 0.0, low=0, high=1000))


def flat_price_in(fields: Fields) -> Price:
    """The flat price of offcuts that fields give, as an order and a plan write it."""
    per_area = fields.number("per_area", low=0, high=1e6)
    with fields.reading("unit") as unit:
        mm2 = area_unit(unit if isinstance(unit, str) else told(unit))
    return Price(per_area / mm2, fields.text("currency"), per_area, fields.text("unit"))
