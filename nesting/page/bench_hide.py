"""The hide as the bench holds it: a hide file's content in millimetres, with blanks where nothing was filled in."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hides.hide import Hide
from hides.hide_file import hide_from_data, hide_to_data
from nesting.page.errors import Refusal

WHERE = "the hide"


def hide_of(data: object) -> Hide:
    """The bench's content as a hide, exactly as a saved and reloaded hide file gives it, so that page and command
    line work on the same numbers; InputError where it cannot be one."""
    if not isinstance(data, dict):
        raise Refusal(400, "a hide is expected as a JSON object")
    filled = {"format": "hideplan-hide-1", **_without_blanks(data), "units": "mm"}
    if "outline" not in filled:
        raise Refusal(422, "the hide has no outline yet")
    return hide_from_data(hide_to_data(hide_from_data(filled, WHERE)), WHERE)


def bench_data(hide: Hide) -> dict[str, Any]:
    """A hide as the bench takes it."""
    data = hide_to_data(replace(hide, units="mm"))
    data.pop("format", None)
    for holder in (data, *data.get("zones", ())):
        if holder.get("thickness"):
            holder["thickness"] = _thickness_text(holder["thickness"])
    data["edge"] = _length_text(hide.edge)
    for shown, flaw in zip(data.get("flaws", ()), hide.flaws, strict=True):
        shown["clearance"] = _length_text(flaw.clearance)
    return {"holes": [], "flaws": [], "zones": [], "backbone": None, **data}


def _length_text(mm: float) -> str:
    """A length as a field shows it: with its unit, so that nobody takes it for inches; nought is a blank."""
    return f"{mm:.15g} mm" if mm else ""


def _thickness_text(told: Any) -> str:
    """A range in mm as a field shows it; text stays as it is."""
    return told if isinstance(told, str) else f"{told[0]:g}-{told[1]:g} mm"


def _without_blanks(data: dict[str, Any]) -> dict[str, Any]:
    filled = {key: value for key, value in data.items() if value not in ("", None, [])}
    for name in ("flaws", "zones"):
        if isinstance(filled.get(name), list):
            filled[name] = [_without_blanks(item) if isinstance(item, dict) else item for item in filled[name]]
    price = filled.get("price")
    if isinstance(price, dict):
        filled["price"] = {key: _number(value) if key == "per_area" else value for key, value in price.items()}
    flaws = filled.get("flaws")
    for holder in (filled, *(flaws if isinstance(flaws, list) else ())):
        for name in ("edge", "clearance"):
            if isinstance(holder, dict) and name in holder:
                holder[name] = _number(holder[name])
    return filled


def _number(value: Any) -> Any:
    """A bare number typed into a field is millimetres (or money); anything else is left to the hide file's rules."""
    try:
        return float(value) if isinstance(value, str) else value
    except ValueError:
        return value
