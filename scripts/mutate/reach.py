"""Which lines of some files each test runs, and how long it takes; tests are run in a child of the process."""

from __future__ import annotations

import ast
import importlib.abc
import importlib.util
import os
import signal
import sys
import time
import traceback
from collections.abc import Callable
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any

import pytest
from _pytest.runner import runtestprotocol

OUTPUT = os.dup(2)


def say(text: str) -> None:
    """Tells how far the work is, from whatever child."""
    os.write(OUTPUT, f"{text}\n".encode())


SEEN: set[tuple[str, int]] = set()
"""File and line of every statement that was run since the set was last cleared, in files loaded to tell."""


def telling(path: Path) -> CodeType:
    """The code of a file in which every statement of a function first tells that it is run."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            for node in ast.walk(function):
                for field in ("body", "orelse", "finalbody"):
                    _tell(node, field, str(path))
    future = [i for i, statement in enumerate(tree.body) if getattr(statement, "module", "") == "__future__"]
    first = max(future, default=0) + 1
    tree.body[first:first] = ast.parse("from scripts.mutate.reach import SEEN as _reach_").body
    return compile(ast.fix_missing_locations(tree), str(path), "exec")


def _tell(node: ast.AST, field: str, path: str) -> None:
    """Puts a telling call before each statement of a block; a docstring stays first."""
    block = getattr(node, field, None)
    if not isinstance(block, list) or getattr(node, f"told_{field}", False):
        return
    told = []
    for at, statement in enumerate(block):
        if at or not (isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)):
            call = ast.parse(f"_reach_.add(({path!r}, {statement.lineno}))")
            told.append(ast.copy_location(call.body[0], statement))
        told.append(statement)
    setattr(node, field, told)
    setattr(node, f"told_{field}", True)


class Loader(importlib.abc.MetaPathFinder, SourceFileLoader):
    """Loads one module of the checkout from other code than its file's."""

    def __init__(self, path: Path, name: str, code: Callable[[], CodeType]) -> None:
        super().__init__(name.removesuffix(".py").replace("/", ".").removesuffix(".__init__"), str(path))
        self.code = code

    def find_spec(self, fullname: str, path: object = None, target: ModuleType | None = None) -> ModuleSpec | None:
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def get_code(self, fullname: str) -> CodeType:
        return self.code()


def passed(item: pytest.Item, then: pytest.Item | None) -> bool:
    """Runs a test and tells whether it passed (or was skipped)."""
    reports = runtestprotocol(item, log=False, nextitem=then)
    return not any(report.failed for report in reports)


class TooSlowError(BaseException):
    """A test took more CPU seconds than it may."""


def _end(*_: object) -> None:
    raise TooSlowError


def reached(items: list[pytest.Item], slowest: float) -> dict[str, dict[str, Any]]:
    """Of every test that passes in so many CPU seconds: how many, and the lines it ran of the files loaded to tell."""
    found: dict[str, dict[str, Any]] = {}
    signal.signal(signal.SIGPROF, _end)
    for item, then in zip(items, [*items[1:], None], strict=True):
        began = time.process_time()
        SEEN.clear()
        try:
            signal.setitimer(signal.ITIMER_PROF, slowest)
            good = passed(item, then)
            signal.setitimer(signal.ITIMER_PROF, 0)
        except TooSlowError:  # where pytest was between two steps of a test
            good = False
        if good and SEEN:
            lines: dict[str, list[int]] = {}
            for path, line in sorted(SEEN):
                lines.setdefault(path, []).append(line)
            found[item.nodeid] = {"seconds": round(time.process_time() - began, 3), "lines": lines}
        elif not good:
            say(f"too slow, or fails without any change: {item.nodeid}")
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
