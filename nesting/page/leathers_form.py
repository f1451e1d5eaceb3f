"""A leathers file as the page's form shows it, and the form as a leathers file."""

from __future__ import annotations

import json
import os
import re
import tempfile
import tomllib
from typing import Any

from hides.errors import InputError
from nesting.compare.leathers_file import FORMAT, MOST_LEATHERS, read_leathers
from nesting.page.comparing import refuse_elsewhere
from nesting.page.errors import Refusal
from nesting.page.folder import Folder

HIDE = "hide"
"""What a price or freight is for, in place of a unit of area."""
TEXTS = ("name", "thickness", "colour")
MONEY = ("price", "per", "currency", "freight", "freight_per", "freight_hide")
FORM = (*TEXTS, *MONEY, "discrepancy", "density", "grades", "cut", "area")


def form_of(folder: Folder, file: str) -> dict[str, Any]:
    """The rows of a leathers file in the folder: every field a text as it is typed, `hides` a list of names."""
    path = folder.existing(file, ".toml")
    read_leathers(path)
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    return {"file": path.name, "rows": [_row(leather) for leather in data["leather"]]}


def keep_form(folder: Folder, body: dict[str, Any]) -> str:
    """Write the form as a leathers file once it has been read without fault; gives the file's name."""
    rows = body.get("rows")
    if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_LEATHERS:
        raise Refusal(422, f"a leathers file has between 1 and {MOST_LEATHERS} leathers")
    lines = [line for number, row in enumerate(rows, 1) for line in _lines(row, number)]
    text = "\n".join([f'format = "{FORMAT}"', *lines]) + "\n"
    file = str(body.get("file") or "leathers.toml")
    refuse_elsewhere(text.encode(), file)
    _read(folder, text, file)
    return folder.save_new(file, text, ".toml", replace=body.get("replace") is True).name


def _read(folder: Folder, text: str, file: str) -> None:
    """Read the text as a file of the folder, without leaving one."""
    handle, path = tempfile.mkstemp(dir=folder.path, prefix=".leathers-", suffix=".toml")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(text)
        read_leathers(path)
    except InputError as error:
        told = error.where.replace(path, file) if error.where else file
        raise InputError(error.problem, where=told, field=error.field, remedy=error.remedy) from error
    finally:
        os.unlink(path)


def _row(leather: dict[str, Any]) -> dict[str, Any]:
    price, freight, typical = (leather.get(name, {}) for name in ("price", "freight", "typical"))
    both = "per_area" in freight and "per_hide" in freight
    return {
        **{name: str(leather.get(name, "")) for name in (*TEXTS, "discrepancy", "density")},
        "price": _number_text(price.get("per_area", price.get("per_hide", ""))),
        "per": price.get("unit", "sq ft") if "per_area" in price else HIDE,
        "currency": str(price.get("currency", "")),
        "freight": _number_text(freight.get("per_area", freight.get("per_hide", ""))),
        "freight_per": freight.get("unit", "sq ft") if "per_area" in freight else HIDE,
        "freight_hide": _number_text(freight["per_hide"]) if both else "",
        "grades": ", ".join(map(str, leather.get("grades", []))),
        "hides": [str(hide) for hide in leather.get("hides", [])],
        "cut": str(typical.get("cut", "")),
        "area": str(typical.get("area", "")),
    }


def _lines(row: object, number: int) -> list[str]:
    if not isinstance(row, dict):
        raise Refusal(400, "a leather is expected as a JSON object")
    told = {name: " ".join(str(row.get(name) or "").split())[:200] for name in FORM}
    where = told["name"] or f"leather {number}"
    for name in ("name", "thickness", "price", "currency"):
        if not told[name]:
            raise Refusal(422, f"{where}: give its {name}")
    lines = ["", "[[leather]]", *(f"{name} = {_text(told[name])}" for name in TEXTS if told[name])]
    lines.append(f"price = {{ {_each(told, 'price', 'per', where)}, currency = {_text(told['currency'])} }}")
    if told["freight"]:
        more = f", per_hide = {_number(told['freight_hide'], where, 'freight')}" if told["freight_hide"] else ""
        lines.append(f"freight = {{ {_each(told, 'freight', 'freight_per', where)}{more} }}")
    if told["discrepancy"]:
        lines.append(f"discrepancy = {_number(told['discrepancy'], where, 'discrepancy')}")
    if told["density"]:
        plain = re.fullmatch(r"[\d.]+", told["density"])
        lines.append(f"density = {_number(told['density'], where, 'density') if plain else _text(told['density'])}")
    if told["grades"]:
        letters = re.findall(r"[^\s,]+", told["grades"])
        lines.append(f"grades = {json.dumps(letters)}")
    return [*lines, _samples(row, told, where)]


def _samples(row: dict[str, Any], told: dict[str, str], where: str) -> str:
    hides = row.get("hides")
    if isinstance(hides, list) and hides:
        return f"hides = {json.dumps([str(hide) for hide in hides], ensure_ascii=False)}"
    if told["area"]:
        return f"typical = {{ cut = {_text(told['cut'] or 'side')}, area = {_text(told['area'])} }}"
    raise Refusal(422, f"{where}: choose sample hides, or give the cut and area that is bought")


def _each(told: dict[str, str], name: str, per: str, where: str) -> str:
    amount = _number(told[name], where, name)
    return f"per_hide = {amount}" if told[per] == HIDE else f"per_area = {amount}, unit = {_text(told[per] or 'sq ft')}"


def _number(text: str, where: str, what: str) -> str:
    try:
        return repr(float(text))
    except ValueError as error:
        raise Refusal(422, f"{where}: {what}: “{text[:20]}” must be a number") from error


def _number_text(value: object) -> str:
    return f"{value:g}" if isinstance(value, (int, float)) else ""


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
