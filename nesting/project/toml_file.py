"""TOML files as people write them by hand: projects, orders, leathers."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from hides.errors import InputError

LARGEST_FILE = 10_000_000


def read_toml(path: Path, what: str, most_bytes: int = LARGEST_FILE) -> dict[str, Any]:
    """The content of `what` (as "a project file"). Raises InputError that names the file and what to do."""
    try:
        if path.stat().st_size > most_bytes:
            raise InputError(f"is larger than {most_bytes // 10**6} MB", where=str(path), remedy=f"name {what}")
        text = path.read_text("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError("is not UTF-8 text", where=str(path), remedy=f"name {what} (TOML)") from error
    except (OSError, ValueError) as error:
        problem = f"cannot be read ({getattr(error, 'strerror', None) or error})"
        raise InputError(problem, where=str(path), remedy=f"name {what}") from error
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        if text.lstrip().startswith("{"):
            problem = "is JSON, as hides and layouts are, and no TOML"
            raise InputError(problem, where=str(path), remedy=f"name {what} (TOML) in its place") from error
        remedy = "see the example in nesting/FORMATS.md"
        raise InputError(f"is no TOML: {error}", where=str(path), remedy=remedy) from error
    except ValueError as error:
        raise InputError("holds a number with too many digits", where=str(path), remedy="shorten it") from error
