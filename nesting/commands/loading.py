"""Loading what a command needs at its end while it searches: most of a search leaves Python to others."""

from __future__ import annotations

import contextlib
import importlib
import threading
from collections.abc import Sequence


def load_meanwhile(*modules: str) -> None:
    """Load modules in a thread of its own; whoever imports one of them meanwhile waits for it and is told of errors."""
    threading.Thread(target=_load, args=(modules,), name="loading").start()


def _load(modules: Sequence[str]) -> None:
    for module in modules:
        with contextlib.suppress(ImportError):
            importlib.import_module(module)
