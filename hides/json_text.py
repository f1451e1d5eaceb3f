"""JSON read strictly and written so that a person can read it and a diff stays small."""

from __future__ import annotations

import json
import math
import tomllib
from pathlib import Path
from typing import Any

from hides.bounded_file import read_bounded
from hides.errors import InputError

MOST_BYTES = 50_000_000
_WIDTH = 110


def read_json(path: Path | str, most_bytes: int = MOST_BYTES) -> Any:
    """The content of a JSON file. Raises InputError that names the file and the line where it goes wrong."""
    return parse_json(read_bounded(path, most_bytes, "a file of this kind is small"), str(path))


def parse_json(content: bytes | str, where: str = "") -> Any:
    """JSON in which NaN, Infinity, a field given twice, nesting without end and other encodings are refused."""
    try:
        text = content.decode("utf-8-sig") if isinstance(content, bytes) else content
        data = json.loads(text, parse_constant=_no_constant, parse_float=_finite, object_pairs_hook=_once)
        if "\\u" in text:
            json.dumps(data, ensure_ascii=False).encode()
        return data
    except UnicodeEncodeError as error:
        raise InputError("holds half a character (a lone surrogate)", where=where, remedy="write it anew") from error
    except UnicodeDecodeError as error:
        problem = f"is not UTF-8 text (byte {error.start + 1})"
        raise InputError(problem, where=where, remedy="save it as UTF-8") from error
    except json.JSONDecodeError as error:
        if _is_toml(text):
            problem = "is TOML, as projects and orders are, and no JSON"
            raise InputError(problem, where=where, remedy="name a JSON file in its place") from error
        problem = f"is not JSON: {error.msg} (line {error.lineno}, column {error.colno})"
        raise InputError(problem, where=where, remedy="see whether the file is whole") from error
    except RecursionError as error:
        raise InputError("nests too deep", where=where, remedy="take the brackets apart") from error
    except InputError as error:
        raise error.within(where) from error
    except ValueError as error:
        raise InputError("holds a number with too many digits", where=where, remedy="shorten it") from error


def _is_toml(text: str) -> bool:
    try:
        return bool(tomllib.loads(text))
    except (ValueError, RecursionError):
        return False


def _no_constant(name: str) -> float:
    raise InputError(f"{name} is not a finite number", remedy="give a number, or leave the field out")


def _finite(text: str) -> float:
    number = float(text)
    return number if math.isfinite(number) else _no_constant(text[:40])


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for name, value in pairs:
        if name in table:
            raise InputError("is given twice", field=name[:80], remedy="leave one of them out")
        table[name] = value
    return table


def json_text(data: Any) -> str:
    """The text of a JSON file: short tables and lists on one line, long ones wrapped, the same data the same bytes."""
    return _told(data, 0) + "\n"


def _told(data: Any, depth: int) -> str:
    flat = json.dumps(data, ensure_ascii=False, allow_nan=False)
    if len(flat) + depth <= _WIDTH or not isinstance(data, (dict, list)):
        return flat
    pad = " " * (depth + 1)
    if isinstance(data, dict):
        items = [f"{json.dumps(key, ensure_ascii=False)}: {_told(value, depth + 1)}" for key, value in data.items()]
        return "{\n" + ",\n".join(pad + item for item in items) + "\n" + pad[1:] + "}"
    items = [_told(value, depth + 1) for value in data]
    lines = _wrapped(items, _WIDTH - depth) if not any("\n" in item or "{" in item for item in items) else items
    return "[\n" + ",\n".join(pad + line for line in lines) + "\n" + pad[1:] + "]"


def _wrapped(items: list[str], width: int) -> list[str]:
    lines: list[str] = []
    for item in items:
        if lines and len(lines[-1]) + len(item) + 3 <= width:
            lines[-1] += f", {item}"
        else:
            lines.append(item)
    return lines
