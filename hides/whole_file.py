"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path

from hides.errors import InputError

_begun: list[tuple[Path, str]] = []
"""Writes under way: the folder and how the temporary file's name begins."""
_placed: list[tuple[Path, int]] = []
"""Paths with the number of the file that was to take the place, noted before it did."""


def write_whole(path: Path | str, content: bytes | str) -> None:
    """Write `content` to `path` so that a crash at any moment leaves the old file or the new one.

    Half a character (a byte of a file's name that is no UTF-8) is written as its escape, which JSON reads back.

    Raises InputError where the folder is missing or may not be written.
    """
    path = Path(path)
    prefix = f".{path.name}.{os.getpid()}."
    _begun.append((path.parent, prefix))
    data = content.encode("utf-8", "backslashreplace") if isinstance(content, str) else content
    try:
        handle, temporary = _new(path.parent, prefix)
    except OSError as error:
        raise _unwritable(path, error) from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        _placed.append((path, os.stat(temporary).st_ino))
        os.replace(temporary, path)
    except OSError as error:
        raise _unwritable(path, error) from error
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(temporary)
        _begun.remove((path.parent, prefix))


def written() -> list[Path]:
    """The files that this process has put in their places, and that stand there now. True at any moment."""
    return [path for path, node in _placed if _stands(path, node)]


def leave_no_part() -> None:
    """Take away what is half written; for a process that is about to end in the middle of it."""
    for folder, prefix in _begun:
        with contextlib.suppress(OSError):
            for each in os.listdir(folder):
                if each.startswith(prefix) and each.endswith(".part"):
                    os.unlink(folder / each)


def _stands(path: Path, node: int) -> bool:
    try:
        return os.stat(path).st_ino == node
    except OSError:
        return False


def _new(folder: Path, prefix: str) -> tuple[int, Path]:
    """A new file with the rights that the process gives any file: asking for them would change them for a moment."""
    while True:
        path = folder / f"{prefix}{secrets.token_hex(6)}.part"
        with contextlib.suppress(FileExistsError):
            return os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0), 0o666), path


def _unwritable(path: Path, error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError(
        f"cannot be written ({reason})",
        where=str(path),
        remedy="name a file in a folder that exists and may be written",
    )
