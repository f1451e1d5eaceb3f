"""How the kernels are compiled: by numba, kept on disk; in plain Python, slower but right, where that cannot be.

`HIDEPLAN_PLAIN=1` in the environment asks for plain Python (the tests hold the two against one another).
"""

from __future__ import annotations

import functools
import os
from collections.abc import Callable
from typing import Any, TypeVar

import numpy as np

Kernel = TypeVar("Kernel", bound=Callable[..., Any])

REMARK = ""
"""Why the kernels run as plain Python; empty where they are compiled."""

njit: Any = None
if os.environ.get("HIDEPLAN_PLAIN") == "1":
    REMARK = "kernels run as plain Python because HIDEPLAN_PLAIN is set: slower, but right"
else:
    try:
        import numba

        njit = numba.njit
    except Exception as error:  # numba fails in its own ways where llvm or numpy do not suit it
        REMARK = f"numba cannot be used here ({type(error).__name__}): kernels run as plain Python, slower but right"


def compiled(function: Kernel) -> Kernel:
    """Compile a kernel so that it runs without the interpreter's lock; its machine code is kept between runs."""
    if njit is None:
        return _plain(function)
    try:
        return njit(cache=True, nogil=True)(function)
    except RuntimeError:  # no folder to keep machine code in: compile every time
        return njit(nogil=True)(function)


def _plain(function: Kernel) -> Kernel:
    if function.__name__ != "chance":
        return function

    @functools.wraps(function)
    def quiet(*arguments: Any) -> Any:
        with np.errstate(over="ignore"):  # 64-bit words wrap round by design
            return function(*arguments)

    return quiet  # type: ignore[return-value]
