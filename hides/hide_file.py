"""The hide file (JSON, described in hides/FORMATS.md): read strictly, written so that it reads back equal.

Lengths are held to a millionth of a millimetre, so that a hide written in inches reads back as the same value.
"""

from __future__ import annotations

from pathlib import Path

from hides.finding import Finding
from hides.hide import Hide
from hides.hide_reader import HideReader
from hides.hide_writer import FORMAT, hide_to_data
from hides.json_text import json_text, read_json
from hides.whole_file import write_whole

__all__ = ["FORMAT", "hide_from_data", "hide_text", "hide_to_data", "read_hide", "write_hide"]


def read_hide(path: Path | str, findings: list[Finding] | None = None) -> Hide:
    """The hide in a file; what had to be mended is added to `findings`.

    Raises InputError that names the file, the field (or the points) and what would be right.

    >>> from importlib.resources import files
    >>> read_hide(str(files("nesting") / "scenario" / "side-1.json")).cut
    'side'
    """
    return hide_from_data(read_json(path), str(path), findings)


def hide_from_data(data: object, where: str = "", findings: list[Finding] | None = None) -> Hide:
    """The hide that a hide file's content describes. `where` names it in messages; a nameless hide takes its stem.

    >>> data = {"format": "hideplan-hide-1", "units": "mm", "outline": [[0, 0], [300, 0], [300, 200], [0, 200]]}
    >>> hide_from_data(data, "board.json").name
    'board'
    """
    reader = HideReader(where)
    hide = reader.hide(data)
    if findings is not None:
        findings.extend(reader.findings)
    return hide


def hide_text(hide: Hide) -> str:
    """The text of a hide file. The same hide gives the same bytes."""
    return json_text(hide_to_data(hide))


def write_hide(path: Path | str, hide: Hide) -> None:
    """Write a hide file, whole or not at all.

    No example: it writes a file.
    """
    write_whole(path, hide_text(hide))
