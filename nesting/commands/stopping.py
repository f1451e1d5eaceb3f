"""How the program ends when it is told to: at once, every file whole, with a true sentence about what was written.

Python's own way (an exception out of wherever the program is, then waiting for every thread) takes as long as the
longest search, and native code that still runs then can bring the interpreter down. So the program ends itself.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import multiprocessing.util
import os
import signal
import sys
import threading
import time
from types import FrameType
from typing import NoReturn

from hides.stock import database
from hides.whole_file import leave_no_part, written
from nesting.result.stopped import stopped_text

AT_ONCE = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))
PATIENCE = 1.0
"""Seconds that Python may take to come to a signal (native code may be running); then a thread of its own ends it."""


class StopGuard:
    """The program's answer to signals outside of a search, and inside of it to a second one."""

    def __init__(self) -> None:
        self.number = 0
        """The signal by which the program is being ended; nought until then."""

    def __call__(self, number: int, frame: FrameType | None) -> None:
        """A handler of signals: the program ends, first rolling back a change of the register that is under way."""
        self.number = number
        if database.is_changing():
            raise KeyboardInterrupt
        end(number)

    def settle(self) -> None:
        """Answer for this process from now on; call it once, in the main thread."""
        for number in (signal.SIGINT, *AT_ONCE):
            signal.signal(number, self)
        ours, theirs = os.pipe()
        os.set_blocking(theirs, False)
        signal.set_wakeup_fd(theirs, warn_on_full_buffer=False)
        threading.Thread(target=self._wait, args=(ours,), daemon=True).start()

    def rest(self) -> None:
        """All is done and said: what comes now finds the program leaving, and changes its status no more."""
        for number in (signal.SIGINT, *AT_ONCE):
            signal.signal(number, signal.SIG_IGN)

    def _wait(self, pipe: int) -> None:
        """See to it that the program ends, even if the main thread is long in native code."""
        interrupts = 0
        while got := os.read(pipe, 1):
            interrupts += got[0] == signal.SIGINT
            if got[0] in AT_ONCE or interrupts > 1:
                time.sleep(PATIENCE)
                if not database.is_changing():
                    end(got[0])


def end(number: int) -> NoReturn:
    """End this process and all it started by the signal `number`; the exit status is 128 more than that."""
    for number_ in (signal.SIGINT, *AT_ONCE):
        with contextlib.suppress(ValueError):  # outside the main thread
            signal.signal(number_, signal.SIG_IGN)
    for process in multiprocessing.active_children():
        process.kill()
    leave_no_part()
    with contextlib.suppress(Exception):
        sys.stdout.flush()
    with contextlib.suppress(Exception):
        told = f"\nhideplan: {stopped_text(written(), database.changed())}\n"
        os.write(2, told.encode(errors="backslashreplace"))
    with contextlib.suppress(Exception):
        multiprocessing.util._run_finalizers(0)  # type: ignore[attr-defined]  # semaphores have names that outlive the process
    os._exit(128 + number)
