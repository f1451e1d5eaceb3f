"""Changes to a project's text as the product bench asks for them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from hides.errors import InputError
from hides.units import FILE_UNITS, read_number
from nesting.page.errors import Refusal
from nesting.project.editing import Add, Edit, Put, Take, edited, read_text, value_at
from nesting.project.toml_sections import Path

MOST_EDITS = 200
MOST_STEPS = 12
NEW = """format = "hideplan-project-1"
name = "New product"
units = "{units}"
"""
_NUMBER = re.compile(r"[+-]?\d+(\.\d*)?|[+-]?\.\d+")


def new_text(units: object) -> str:
    """The text of a product that has no piece yet."""
    if units not in FILE_UNITS:
        raise Refusal(422, f"a product is measured in {', '.join(FILE_UNITS)}")
    return NEW.format(units=units)


def changed_text(text: str, asked: object) -> str:
    """The text after the changes asked for, each `{op, path, value}`; all of them are made, or none."""
    if not isinstance(asked, list) or not 0 < len(asked) <= MOST_EDITS:
        raise Refusal(400, f"a list of 1 to {MOST_EDITS} changes is expected")
    for each in asked:
        text = edited(text, list(_edits(text, each)))
    return text


def _edits(text: str, asked: object) -> Iterator[Edit]:
    if not isinstance(asked, dict):
        raise Refusal(400, "a change is an object with op, path and value")
    op, path = asked.get("op"), _path(asked.get("path"))
    if op == "take":
        yield Take(path)
    elif op == "rename":
        yield from _renamed(read_text(text), path, str(asked.get("value", "")))
    elif op in ("put", "add") and "value" in asked:
        value = typed(asked["value"], _units(text)) if asked.get("typed") else asked["value"]
        yield Put(path, value) if op == "put" else Add(path, value)
    else:
        raise Refusal(400, "a change is one of put, add, take and rename")


def typed(value: object, units: str) -> object:
    """A value as it is typed into a field: a number, a fraction of the file's units, else the text itself.

    >>> typed("12.50", "mm"), typed("5 1/2", "in"), typed("pi * (80 + t)", "mm")
    (12.5, '5 1/2 in', 'pi * (80 + t)')
    """
    if not isinstance(value, str):
        return value
    plain = " ".join(value.split())
    if _NUMBER.fullmatch(plain):
        number = float(plain)
        return int(number) if number == int(number) else number
    try:
        _, rest = read_number(plain)
    except InputError:
        return plain
    return plain if rest else f"{plain} {units}"


def _path(value: object) -> Path:
    steps = value if isinstance(value, list) else []
    if not 0 < len(steps) <= MOST_STEPS or not all(type(step) in (str, int) for step in steps) or type(steps[0]) is int:
        raise Refusal(400, "a change names the way to its field")
    return tuple(steps)


def _units(text: str) -> str:
    units = read_text(text).get("units", "mm")
    return units if units in FILE_UNITS else "mm"


def _renamed(data: dict[str, Any], path: Path, name: str) -> Iterator[Edit]:
    """A piece's new name, wherever it is named."""
    old = value_at(data, (*path, "name"))
    yield Put((*path, "name"), name)
    swaps = {old: name, **{f"{old} {end}": f"{name} {end}" for end in ("left", "right", "1", "2", "3", "4")}}
    taken = {piece.get("name") for piece in data.get("piece", ()) if isinstance(piece, dict)} - {old}
    for place, value in _references(data):
        if value in swaps and value not in taken:
            yield Put(place, swaps[value])


def _references(data: dict[str, Any]) -> Iterator[tuple[Path, Any]]:
    """Every place of a project that holds the name of a piece, with what it holds."""
    for table, lists in (("piece", ("near",)), ("joint", ("layers",)), ("seam", ("edges",))):
        for i, row in enumerate(_rows(data.get(table))):
            for name in lists:
                for j, item in enumerate(_rows(row.get(name))):
                    if "piece" in item:
                        yield (table, i, name, j, "piece"), item["piece"]
    for i, row in enumerate(_rows(data.get("edge"))):
        yield from (((("edge", i, "pieces", j)), item) for j, item in enumerate(row.get("pieces", ())))
    labour = data.get("labour")
    if isinstance(labour, dict):
        yield from ((("labour", "edges", j), item) for j, item in enumerate(labour.get("edges", ())))


def _rows(value: object) -> Sequence[dict[str, Any]]:
    return [row if isinstance(row, dict) else {} for row in value] if isinstance(value, list) else []
