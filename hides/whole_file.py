"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from hides.errors import InputError


def write_whole(path: Path | str, content: bytes | str) -> None:
    """Write `content` to `path` so that a crash at any moment leaves the old file or the new one.

    Half a character (a byte of a file's name that is no UTF-8) is written as its escape, which JSON reads back.

    Raises InputError where the folder is missing or may not be written.
    """
    path = Path(path)
    data = content.encode("utf-8", "backslashreplace") if isinstance(content, str) else content
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except OSError as error:
        raise _unwritable(path, error) from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, 0o666 & ~_umask())
        os.replace(temporary, path)
    except OSError as error:
        raise _unwritable(path, error) from error
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(temporary)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _unwritable(path: Path, error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError(
        f"cannot be written ({reason})",
        where=str(path),
        remedy="name a file in a folder that exists and may be written",
    )
