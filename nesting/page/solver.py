"""The process that searches, so that the page itself never waits.

It is spawned (not forked: a forked solver under a server ignores its signals), loads the search once, and then
waits for a job on its pipe. Messages in: a `Job`, then perhaps `"stop"`. Messages out: `("ready",)`,
`("progress", Progress)`, `("done", Layout)`, `("failed", text)`. When the page goes away, however it ended, the pipe
closes, and the process ends, so nothing is left running.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import signal
import threading
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any

from hides.errors import HideplanError
from nesting.model.settings import Progress, Watch


@dataclass(frozen=True)
class Job:
    """A piece of long work: `work(*arguments, watch)` with `work` a function at the top of a module."""

    work: Callable[..., Any]
    arguments: tuple[Any, ...]


def serve(pipe: Connection, loads: str) -> None:
    """Do the one job that comes through the pipe."""
    _stand_alone()
    importlib.import_module(loads)  # before the job comes, so that no answer waits for it
    _send(pipe, ("ready",))
    try:
        job = pipe.recv()
    except (EOFError, OSError):
        return
    _send(pipe, _carry_out(job, pipe))


def _stand_alone() -> None:
    """A process group of its own, so that whatever the search starts ends with it and Ctrl-C is the page's alone."""
    with contextlib.suppress(AttributeError, OSError):
        os.setsid()
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _carry_out(job: Job, pipe: Connection) -> tuple[Any, ...]:
    stopped = threading.Event()
    threading.Thread(target=_listen, args=(pipe, stopped), daemon=True).start()

    def report(progress: Progress) -> None:
        _send(pipe, ("progress", progress))

    try:
        return ("done", job.work(*job.arguments, Watch(report=report, stop=stopped.is_set)))
    except HideplanError as error:
        return ("failed", str(error))
    except Exception as error:
        traceback.print_exc()
        return ("failed", f"something in hideplan went wrong ({type(error).__name__}), so there is no answer")


def _listen(pipe: Connection, stopped: threading.Event) -> None:
    try:
        while True:
            if pipe.recv() == "stop":
                stopped.set()
    except (EOFError, OSError):
        os._exit(1)


_sending = threading.Lock()


def _send(pipe: Connection, message: tuple[Any, ...]) -> None:
    with _sending, contextlib.suppress(OSError):
        pipe.send(message)
