"""What a program that was ended has written: a claim of its own module, for it is made in a moment, loading nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path


def stopped_text(written: Sequence[Path], changed: Sequence[Path]) -> str:
    """What a command that was ended early has left behind: files it put in their places, registers it changed.

    >>> stopped_text([], [])
    'stopped; nothing was written'
    """
    told = []
    if written:
        told.append(f"written before that, each of them whole: {_listed(written)}")
    if changed:
        told.append(f"changed before that: {_listed(changed)}")
    return "; ".join(["stopped", *(told or ["nothing was written"])])


def _listed(paths: Sequence[Path]) -> str:
    return ", ".join(str(path) for path in dict.fromkeys(paths))
