"""Which lines of some files each test runs, and how long it takes; tests are run in a child of the process."""

from __future__ import annotations

import os
import sys
import threading
import time
import traceback
from collections.abc import Collection
from types import FrameType
from typing import Any

import pytest
from _pytest.runner import runtestprotocol

OUTPUT = os.dup(2)


def say(text: str) -> None:
    """Tells how far the work is, from whatever child."""
    os.write(OUTPUT, f"{text}\n".encode())


class Watch:
    """Notes the lines run of certain files, for the thread that asks and those it starts."""

    def __init__(self, files: Collection[str]) -> None:
        self.files = set(files)
        self.seen: set[tuple[str, int]] = set()

    def call(self, frame: FrameType, event: str, arg: object) -> Any:
        if frame.f_code.co_filename not in self.files:
            return None
        self.seen.add((frame.f_code.co_filename, frame.f_lineno))
        return self.line

    def line(self, frame: FrameType, event: str, arg: object) -> Any:
        self.seen.add((frame.f_code.co_filename, frame.f_lineno))
        return self.line

    def __enter__(self) -> Watch:
        threading.settrace(self.call)
        sys.settrace(self.call)
        return self

    def __exit__(self, *_: object) -> None:
        sys.settrace(None)
        threading.settrace(None)  # type: ignore[arg-type]


def passed(item: pytest.Item, then: pytest.Item | None) -> bool:
    """Runs a test and tells whether it passed (or was skipped)."""
    reports = runtestprotocol(item, log=False, nextitem=then)
    return not any(report.failed for report in reports)


def reached(items: list[pytest.Item], files: Collection[str]) -> dict[str, dict[str, Any]]:
    """Of every test that passes: its CPU seconds, and the lines of the files that it ran."""
    found: dict[str, dict[str, Any]] = {}
    for item, then in zip(items, [*items[1:], None], strict=True):
        began = time.process_time()
        with Watch(files) as watch:
            good = passed(item, then)
        if good and watch.seen:
            lines: dict[str, list[int]] = {}
            for path, line in sorted(watch.seen):
                lines.setdefault(path, []).append(line)
            found[item.nodeid] = {"seconds": round(time.process_time() - began, 3), "lines": lines}
        elif not good:
            say(f"fails without any change: {item.nodeid}")
    return found


def fork(work: Any, seconds: float) -> int:
    """The exit status of work done in a child; minus a signal's number where one ended it."""
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if child == 0:
        status = 3
        try:
            import resource

            resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
            status = work()
        except Exception:
            say(traceback.format_exc())
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(status)
    return os.waitstatus_to_exitcode(_waited(child, 20 * seconds + 60))


def _waited(child: int, seconds: float) -> int:
    """The child's wait status; it is killed where it takes too long, as one that waits for ever does."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        pid, status = os.waitpid(child, os.WNOHANG)
        if pid:
            return status
        time.sleep(0.02)
    os.kill(child, 9)
    return os.waitpid(child, 0)[1]
