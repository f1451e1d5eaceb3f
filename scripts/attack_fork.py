"""The program as a fork of a process that has loaded everything, so that an attack on it costs little.

A fork is its session's first process, works in a folder of its own and answers for its signals as the program does. At
its end it does what Python does at its end. Workers that it starts are started as the program starts them.
"""

from __future__ import annotations

import atexit
import contextlib
import importlib
import importlib.util
import os
import sys
import threading
import traceback
import types
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

from nesting.commands import COMMANDS, main
from nesting.search.warm import warm


@cache
def loaded() -> None:
    """Load the kernels and every command, once, before the first fork."""
    for name in COMMANDS:
        importlib.import_module(f"nesting.commands.{name}_command")
    warm()


def load_as(work: Callable[[], object]) -> None:
    """Load what some work loads only when it is at it: it is done in a fork, which tells the names of its modules."""
    ours, theirs = os.pipe()
    if not (child := os.fork()):
        with contextlib.suppress(BaseException):
            os.close(ours)
            work()
        with os.fdopen(theirs, "w") as told:
            told.write("\n".join(sys.modules))
        os._exit(0)
    os.close(theirs)
    with os.fdopen(ours) as names:
        for name in names.read().split("\n"):
            with contextlib.suppress(Exception):
                importlib.import_module(name)
    os.waitpid(child, 0)


def start(words: Sequence[str], home: Path, output: int, errors: int) -> int:
    """The program's number, started with these words in a folder; what it says goes to two open files."""
    if child := os.fork():
        return child
    status = 1
    try:
        status = _begun(words, home, output, errors)
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else 1
    except BaseException:
        traceback.print_exc()
    finally:
        with contextlib.suppress(BaseException):
            threading._shutdown()  # type: ignore[attr-defined]  # as Python does at its end
            atexit._run_exitfuncs()
            sys.stdout.flush()
        os._exit(status)


def _begun(words: Sequence[str], home: Path, output: int, errors: int) -> int:
    os.setsid()
    os.chdir(home)
    os.dup2(output, 1)
    os.dup2(errors, 2)
    atexit._clear()  # what the attack itself has to clear away is none of the program's
    sys.argv = ["hideplan", *words]
    main_module = types.ModuleType("__main__")  # what a worker is told to load
    main_module.__spec__ = importlib.util.find_spec("nesting.__main__")
    sys.modules["__main__"] = main_module
    return main()
