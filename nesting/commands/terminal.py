"""The person at the terminal while long work goes on: a progress bar, and Ctrl-C that keeps the best so far."""

from __future__ import annotations

import contextlib
import shutil
import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TextIO

from nesting.model.settings import Progress, Report, Stop, Watch, any_of, never, silent

BAR = 24
REDRAW = 0.1
"""Seconds between two drawings of the bar."""


class ProgressBar:
    """One line on a terminal that is drawn over and over, and is gone when the work is done."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._drawn = 0.0
        self._lock = threading.Lock()

    def __call__(self, progress: Progress) -> None:
        """Draw a report, unless one was drawn a moment ago."""
        with self._lock:
            now = time.monotonic()
            if now - self._drawn < REDRAW and progress.fraction < 1:
                return
            self._drawn = now
            self._write(bar_text(progress, shutil.get_terminal_size().columns))

    def close(self) -> None:
        """Clear the line, so that the answer begins on a clean one."""
        with self._lock:
            self._write("")

    def _write(self, text: str) -> None:
        self._stream.write(f"\r\x1b[K{text}")
        self._stream.flush()


def bar_text(progress: Progress, columns: int) -> str:
    """The bar, the stage and the best so far, cut to fit the terminal's columns."""
    fraction = min(max(progress.fraction, 0.0), 1.0)
    done = round(BAR * fraction)
    best = f"  best so far: {progress.best}" if progress.best else ""
    text = f"[{'#' * done}{'.' * (BAR - done)}] {100 * fraction:3.0f} %  {progress.stage}{best}"
    return text[: max(columns - 1, 0)]


@contextmanager
def progress_on(stream: TextIO | None = None) -> Iterator[Report]:
    """A report drawn as a bar on standard error, or read by nobody where that is no terminal."""
    out = sys.stderr if stream is None else stream
    if not out.isatty():
        yield silent
        return
    bar = ProgressBar(out)
    try:
        yield bar
    finally:
        bar.close()


@contextmanager
def stop_on_interrupt(stream: TextIO | None = None) -> Iterator[Stop]:
    """A stop rule that the first Ctrl-C sets, so that the best so far is kept; a second Ctrl-C ends the program.

    Outside the main thread signals cannot be caught and the rule never stops.
    """
    if threading.current_thread() is not threading.main_thread():
        yield never
        return
    asked = threading.Event()

    def on_interrupt(number: int, frame: FrameType | None) -> None:
        if asked.is_set():
            if not callable(before):
                raise KeyboardInterrupt
            before(number, frame)
        asked.set()
        with contextlib.suppress(RuntimeError):  # the stream is being written to this very moment
            print("\nstopping with the best so far; Ctrl-C again gives up", file=stream or sys.stderr, flush=True)

    before = signal.getsignal(signal.SIGINT)
    signal.signal(signal.SIGINT, on_interrupt)
    try:
        yield asked.is_set
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def watching(*rules: Stop) -> Iterator[Watch]:
    """The watch of a command: bar and Ctrl-C, and any further stop rules (a deadline, say)."""
    with stop_on_interrupt() as interrupted, progress_on() as report:
        yield Watch(report=report, stop=any_of(interrupted, *rules))
