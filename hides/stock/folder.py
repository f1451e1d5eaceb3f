"""A folder of hide files as stock, without a register or on the way into one."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from hides.errors import InputError
from hides.finding import Finding
from hides.hide import Hide
from hides.hide_file import read_hide
from hides.stock.register import open_stock
from hides.stock.values import StockHide

Remark = Callable[[str], None]


def _unheard(text: str) -> None:
    pass


def hides_from(path: Path | str, remark: Remark = _unheard) -> list[StockHide]:
    """The hides on the shelf of a register, or all those of a folder of hide files (number 0), in a fixed order.

    InputError where there is neither, a file cannot be used, or two hides of a folder bear one name.
    """
    path = Path(path)
    if not os.path.exists(path):
        raise InputError("is neither there as a folder nor as a register", where=str(path), remedy="look at its name")
    if not path.is_dir():
        with open_stock(path, remark=remark) as stock:
            return stock.hides()
    hides = read_folder(path, remark)
    _names_differ(hides)
    return [StockHide(0, hide, source=source) for hide, source in hides]


def read_files(paths: Iterable[Path | str], remark: Remark = _unheard) -> list[tuple[Hide, str]]:
    """The hides of hide files and of folders of them, each with its file's name. InputError names the first bad one."""
    hides: list[tuple[Hide, str]] = []
    for path in map(Path, paths):
        hides += read_folder(path, remark) if path.is_dir() else [(_read(path, remark), str(path))]
    return hides


def read_folder(folder: Path, remark: Remark = _unheard) -> list[tuple[Hide, str]]:
    """The hides of all `*.json` in a folder (not in folders inside it), by file name.

    hideplan's other files there (layouts, plans) are passed over, and `remark` is told.
    """
    try:
        files = sorted(file for file in folder.iterdir() if file.suffix.lower() == ".json" and file.is_file())
    except OSError as error:
        raise InputError(f"cannot be read ({error.strerror})", where=str(folder)) from error
    others = [file for file in files if _is_another_kind(file)]
    if others:
        names = ", ".join(file.name for file in others[:3]) + (", ..." if len(others) > 3 else "")
        remark(f"{folder}: {len(others)} passed over, no hide files: {names}")
    hides = [(_read(file, remark), str(file)) for file in files if file not in others]
    if not hides:
        raise InputError("holds no hide files", where=str(folder), remedy="put hide files (*.json) in it")
    return hides


def _read(file: Path, remark: Remark) -> Hide:
    """The hide of a file; `remark` is told what had to be mended."""
    findings: list[Finding] = []
    hide = read_hide(file, findings)
    for finding in findings:
        remark(f"{file}: {finding}")
    return hide


def _is_another_kind(file: Path) -> bool:
    """Whether a file says of itself that it is one of hideplan's, but no hide file."""
    try:
        data = json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return False  # the reader of hide files tells what is wrong with it
    kind = data.get("format") if isinstance(data, dict) else None
    return isinstance(kind, str) and kind.startswith("hideplan-") and not kind.startswith("hideplan-hide-")


def _names_differ(hides: Sequence[tuple[Hide, str]]) -> None:
    seen: dict[str, str] = {}
    for hide, source in hides:
        if hide.name in seen:
            raise InputError(
                f"is called “{hide.name}” as {seen[hide.name]} is",
                where=source,
                field="name",
                remedy="name it otherwise",
            )
        seen[hide.name] = source
