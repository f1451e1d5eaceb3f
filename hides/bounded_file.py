"""A file's bytes, of a file that is not larger than its kind can be."""

from __future__ import annotations

from pathlib import Path

from hides.errors import InputError


def read_bounded(path: Path | str, most_bytes: int, larger: str, unread: str = "name a file that can be read") -> bytes:
    """What a file holds, at most `most_bytes`.

    Raises InputError with the remedy `unread` for a file that cannot be read, `larger` for one that is too large.
    """
    try:
        with Path(path).open("rb") as stream:
            content = stream.read(most_bytes + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"cannot be read ({reason})", where=str(path), remedy=unread) from error
    refuse_larger(content, most_bytes, str(path), larger)
    return content


def refuse_larger(content: bytes, most_bytes: int, where: str, larger: str) -> None:
    """Raise InputError with the remedy `larger` for more than `most_bytes` of content."""
    if len(content) > most_bytes:
        raise InputError(f"is larger than {most_bytes // 10**6} MB", where=where, remedy=larger)
