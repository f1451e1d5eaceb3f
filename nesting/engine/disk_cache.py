"""Arrays kept on disk by what they were made of, so that the next run need not make them again.

In `HIDEPLAN_CACHE`, else in the user's folder for such things. Whatever goes wrong there costs time and nothing else:
what cannot be read is made anew, what cannot be written is not kept. Everything in the folder may be deleted.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from types import ModuleType

import numpy as np
import platformdirs

Arrays = dict[str, np.ndarray]

MOST = 400_000_000
"""Bytes kept in all; beyond, what was not used for longest goes."""

LEAST = 1_000_000
"""Bytes from which keeping pays."""


def kept(made_of: Iterable[np.ndarray], makers: Iterable[ModuleType], make: Callable[[], Arrays]) -> Arrays:
    """What `make` makes of some arrays, or made of them once before; `makers`: the modules whose code decides it."""
    path = _place(made_of, makers)
    if path is None:
        return make()
    with suppress(Exception):  # not there, cut short, from another numpy: all the same here
        with path.open("rb") as file, np.load(file, allow_pickle=False) as found:
            arrays = {name: found[name] for name in found.files}
        path.touch()
        return arrays
    arrays = make()
    if LEAST <= sum(array.nbytes for array in arrays.values()) <= MOST:
        with suppress(OSError):
            _write(path, arrays)
            _tidy(path.parent)
    return arrays


def _place(made_of: Iterable[np.ndarray], makers: Iterable[ModuleType]) -> Path | None:
    """The file for what is made of these arrays; None where nothing is to be kept or the makers cannot be read."""
    folder = _folder()
    with suppress(OSError):
        return folder / f"{_name(made_of, makers)}.npz" if folder else None
    return None


def _folder() -> Path | None:
    """Where arrays are kept; None where nothing is to be kept."""
    told = os.environ.get("HIDEPLAN_CACHE")
    if told is not None:
        return Path(told) if told else None
    with suppress(RuntimeError):  # no home folder
        return platformdirs.user_cache_path("hideplan", appauthor=False)
    return None


def _name(made_of: Iterable[np.ndarray], makers: Iterable[ModuleType]) -> str:
    told = hashlib.sha256()
    for module in makers:
        told.update(Path(getattr(module, "__file__", None) or "").read_bytes())
    for array in made_of:
        told.update(f"{array.dtype} {array.shape};".encode())
        told.update(np.ascontiguousarray(array).tobytes())
    return told.hexdigest()


def _write(path: Path, arrays: Arrays) -> None:
    """Write a file whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            np.savez(file, **arrays)  # type: ignore[arg-type]
        os.replace(temporary, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(temporary)
        raise


def _tidy(folder: Path) -> None:
    """Delete what was not used for longest, down to `MOST`; and parts left by a run that was killed."""
    files = sorted(((p.stat().st_mtime, p) for p in folder.glob("*.npz")), reverse=True)
    room = MOST
    for _, path in files:
        room -= path.stat().st_size
        if room < 0:
            path.unlink(missing_ok=True)
    newest = files[0][0] if files else 0.0
    for part in folder.glob("*.part"):
        if part.stat().st_mtime < newest - 3600:
            part.unlink(missing_ok=True)
