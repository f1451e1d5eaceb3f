"""Projects on the page: files in the folder, files handed in, and the simple form of pieces."""

from __future__ import annotations

import json
import os
import tempfile
import tomllib
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.fields import whole_number
from hides.hide import Hide
from hides.units import length
from nesting.model.product import Along, Product
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.intake import NAME
from nesting.project.project_file import product_for, read_product

MOST_PIECES = 60
LOOKED_OVER_AT = 3.0
"""Thickness (mm) at which a project that uses `t` is looked over before its leather is known."""


def product_in(folder: Folder, file: str, t: float | None) -> Product:
    """The product of a project file in the folder."""
    path = folder.existing(file, ".toml")
    refuse_outside(path.read_bytes(), path.name)
    return read_product(path, t)


def part_for(folder: Folder, file: str, hide: Hide) -> Product:
    """What of a project in the folder is cut from a hide: all of it, or the leathers that the hide is called."""
    path = folder.existing(file, ".toml")
    refuse_outside(path.read_bytes(), path.name)
    return product_for(path, hide)


def keep_project(folder: Folder, file: str, text: bytes, *, replace: bool) -> Path:
    """Keep a project file in the folder once it has been read without fault."""
    product_from_text(folder, text, file)
    return folder.save_new(file, text, ".toml", replace=replace)


def product_from_text(folder: Folder, text: bytes, name: str, t: float | None = None) -> Product:
    """The product a project text describes, read as a file in the folder would be."""
    refuse_outside(text, name)
    handle, path = tempfile.mkstemp(dir=folder.path, prefix=".project-", suffix=".toml")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(text)
        return read_product(path, LOOKED_OVER_AT if t is None else t)
    except InputError as error:
        raise InputError(error.problem, where=name, field=error.field, remedy=error.remedy) from error
    finally:
        os.unlink(path)


def form_text(form: object) -> bytes:
    """A project file from the page's form: name, and pieces with name, count, width, length and along."""
    if not isinstance(form, dict) or not isinstance(form.get("pieces"), list):
        raise Refusal(400, "a form with a name and pieces is expected")
    pieces = form["pieces"]
    if not 1 <= len(pieces) <= MOST_PIECES:
        raise Refusal(422, f"a product has between 1 and {MOST_PIECES} pieces")
    lines = ['format = "hideplan-project-1"', f"name = {_text(form.get('name'), 'the product')}", 'units = "mm"']
    for number, piece in enumerate(pieces, 1):
        lines += _piece_lines(piece, f"piece {number}")
    return ("\n".join(lines) + "\n").encode()


def refuse_outside(text: bytes, name: str) -> None:
    """Refuse a project whose shapes come from drawings outside the folder."""
    try:
        data = tomllib.loads(text.decode())
    except (ValueError, RecursionError) as error:
        raise Refusal(422, f"{name}: this is no TOML that can be read ({str(error)[:120]})") from error
    for drawing in _drawings(data):
        if not NAME.fullmatch(drawing) or ".." in drawing:
            raise Refusal(422, f"{name}: the drawing “{drawing[:60]}” must lie right in the folder beside the project")


def _piece_lines(piece: object, where: str) -> list[str]:
    if not isinstance(piece, dict):
        raise Refusal(400, f"{where} is not described")
    along = str(piece.get("along", "any"))
    if along not in {each.value for each in Along}:
        raise Refusal(422, f"{where}: it can run along “any”, “backbone” or “across”")
    sides = [_side(piece.get(name), f"{where}: {name}") for name in ("width", "length")]
    return [
        "",
        "[[piece]]",
        f"name = {_text(piece.get('name'), where)}",
        f"count = {_count(piece.get('count'), where)}",
        f'along = "{along}"',
        f"shape = {{ rectangle = [{sides[0]}, {sides[1]}] }}",
    ]


def _side(value: object, where: str) -> str:
    """A length as the project file takes it; a bare number is millimetres."""
    told = str(value or "").strip()
    try:
        length(told if not _is_number(told) else float(told))
    except InputError as error:
        raise error.within(where) from error
    return repr(float(told)) if _is_number(told) else json.dumps(told, ensure_ascii=False)


def _count(value: object, where: str) -> int:
    told = str(value).strip()
    number = whole_number(told)
    if number is None or not 1 <= number <= 1000:
        raise Refusal(422, f"{where}: the count “{told[:20]}” must be a whole number from 1 to 1000")
    return number


def _text(value: object, where: str) -> str:
    told = " ".join(str(value or "").split())
    if not told or len(told) > 60 or not told.isprintable():
        raise Refusal(422, f"{where}: a name of up to 60 characters is needed")
    return json.dumps(told, ensure_ascii=False)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _drawings(value: Any) -> list[str]:
    if isinstance(value, list):
        return [found for item in value for found in _drawings(item)]
    if not isinstance(value, dict):
        return []
    own = [item for key, item in value.items() if key == "drawing" and isinstance(item, str)]
    return own + [found for item in value.values() for found in _drawings(item)]
