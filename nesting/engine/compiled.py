"""How the kernels are compiled: by numba, kept on disk; in plain Python, slower but right, where that cannot be.

`HIDEPLAN_PLAIN=1` in the environment asks for plain Python (the tests hold the two against one another).
"""

from __future__ import annotations

import functools
import importlib
import os
import sys
from collections.abc import Callable
from typing import Any, TypeVar

import numpy as np

Kernel = TypeVar("Kernel", bound=Callable[..., Any])

REMARK = ""
"""Why the kernels run as plain Python; empty where they are compiled."""


def _without_scipy(module: str) -> None:
    """Import a module of numba that would load scipy.linalg to look for a BLAS: a quarter of a second for nothing.

    No kernel multiplies matrices. Where scipy.linalg is loaded already there is nothing to spare.
    """
    if "scipy.linalg" in sys.modules:
        return
    sys.modules["scipy.linalg"] = None  # type: ignore[assignment]  # importing it raises ImportError
    try:
        importlib.import_module(module)
    except ImportError:
        pass  # another version of numba: it finds its own way
    finally:
        del sys.modules["scipy.linalg"]


njit: Any = None
LEAN: dict[str, bool] = {}
"""Numba's option to count no references; it is not among its public ones, so another version may not have it."""

if os.environ.get("HIDEPLAN_PLAIN") == "1":
    REMARK = "kernels run as plain Python because HIDEPLAN_PLAIN is set: slower, but right"
else:
    try:
        import numba

        _without_scipy("numba.np.arraymath")
        njit = numba.njit
        known = getattr(getattr(numba.core, "options", None), "DefaultOptions", None)
        LEAN = {"_nrt": False} if hasattr(known, "_nrt") else {}
    except Exception as error:  # numba fails in its own ways where llvm or numpy do not suit it
        REMARK = f"numba cannot be used here ({type(error).__name__}): kernels run as plain Python, slower but right"


def compiled(function: Kernel) -> Kernel:
    """Compile a kernel that makes no array and gives none back; it runs without the interpreter's lock.

    Its machine code is kept between runs. It counts no references to the arrays it is handed: numba counts them at
    every call, one after the other of a tuple's, in words that all threads share, which takes longer than most of
    our kernels do.
    """
    return _compile(function, **LEAN)


def allocating(function: Kernel) -> Kernel:
    """Compile a kernel that makes arrays or gives back a view of one; otherwise as `compiled`."""
    return _compile(function)


def _compile(function: Kernel, **options: bool) -> Kernel:
    if njit is None:
        return _plain(function)
    try:
        return njit(cache=True, nogil=True, **options)(function)
    except RuntimeError:  # no folder to keep machine code in: compile every time
        return njit(nogil=True, **options)(function)


def _plain(function: Kernel) -> Kernel:
    if function.__name__ != "chance":
        return function

    @functools.wraps(function)
    def quiet(*arguments: Any) -> Any:
        with np.errstate(over="ignore"):  # 64-bit words wrap round by design
            return function(*arguments)

    return quiet  # type: ignore[return-value]
