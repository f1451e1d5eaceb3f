"""Two files given the wrong way round: told as that, before either reader calls its own file useless."""

from __future__ import annotations

import re
import shlex
from collections.abc import Collection
from pathlib import Path

from hides.errors import InputError

_SAYS = re.compile(rb'^[\s{]*"?format"?\s*[:=]\s*"hideplan-([a-z]+)-', re.MULTILINE)
_REGISTER = b"SQLite format 3\0"
_HEAD = 100_000


def refuse_swapped(
    right: str, first: str, first_wanted: Collection[str], second: str, second_wanted: Collection[str]
) -> None:
    """InputError where each of two files is of a kind that is wanted in the other's place, and of none for its own.

    `right` is the command with {0} for the first place and {1} for the second, as "yield {0} {1}".
    """
    one, other = kind_of(first), kind_of(second)
    if one in second_wanted and other in first_wanted and one not in first_wanted and other not in second_wanted:
        command = right.format(shlex.quote(second), shlex.quote(first))
        raise InputError(
            f"the two are the wrong way round: {first} is {_a(one)}, {second} {_a(other)}",
            where=right.split()[0],
            remedy=f"give the {_name(other)} first, then the {_name(one)}: hideplan {command}",
        )


def kind_of(path: str) -> str:
    """What a file says it is ("hide", "project", "order", ...), "folder", "register", or "" where nothing says."""
    file = Path(path)
    try:
        if file.is_dir():
            return "folder"
        if not file.is_file():  # a pipe gives its content once, and the reader needs it
            return ""
        with file.open("rb") as content:
            head = content.read(_HEAD)
    except (OSError, ValueError):
        return ""
    says = _SAYS.search(head)
    return "register" if head.startswith(_REGISTER) else says[1].decode() if says else ""


def _name(kind: str) -> str:
    return {"leathers": "leathers file"}.get(kind, kind)


def _a(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {_name(kind)}"
