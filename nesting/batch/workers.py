"""Who carries out the searches: processes of this machine or a Dask cluster, as `concurrent.futures` executors."""

from __future__ import annotations

import importlib
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing.synchronize import Event
from typing import Any

from hides.errors import InputError
from hides.fields import whole_number
from nesting.batch.searching import obey
from nesting.model.settings import Stop

POLL = 0.2


@contextmanager
def workers(told: str | None, stop: Stop) -> Iterator[Executor | None]:
    """The executor that `--workers` asks for.

    A number is so many processes here (1: none, the search has this process to itself); anything else is the address
    of a Dask scheduler. Nothing told means as many processes as there are cores. When `stop` says so, searches in
    processes here end with the best they have; those on a cluster are given up.
    """
    count = _count(told)
    if count is None:
        assert told is not None
        with _cluster(told) as executor:
            yield executor
    elif count < 2:
        yield None
    else:
        with _processes(count, stop) as executor:
            yield executor


def _count(told: str | None) -> int | None:
    if told is None:
        return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if not told.strip().lstrip("-").isnumeric():
        return None
    number = whole_number(told)
    if number is None or not 1 <= number <= 256:
        problem = f"“{told[:40]}” is no number of processes"
        raise InputError(problem, where="--workers", remedy="give 1 to 256, or an address")
    return number


@contextmanager
def _processes(count: int, stop: Stop) -> Iterator[Executor]:
    # Spawned, never forked: a fork would copy this process's threads' locks in whatever state they are.
    context = multiprocessing.get_context("spawn")
    asked, over = context.Event(), threading.Event()
    pool = ProcessPoolExecutor(count, context, initializer=_settle, initargs=(asked,))
    watcher = threading.Thread(target=_pass_on, args=(stop, asked, over), daemon=True)
    watcher.start()
    try:
        yield pool
    finally:
        over.set()
        asked.set()
        pool.shutdown(wait=True, cancel_futures=True)
        watcher.join()


def _settle(asked: Event) -> None:
    """A worker leaves Ctrl-C to the process that made it, and stops when that one says so."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    obey(asked.is_set)


def _pass_on(stop: Stop, asked: Event, over: threading.Event) -> None:
    while not over.is_set():
        if stop():
            asked.set()
            return
        time.sleep(POLL)


@contextmanager
def _cluster(address: str) -> Iterator[Executor]:
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError as error:
        raise InputError(
            f"“{address}” would be a Dask scheduler, and Dask is not installed",
            where="--workers",
            remedy="install hideplan[dask], or give a number of processes",
        ) from error
    try:
        client = distributed.Client(address, timeout=4, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        remedy = "start one (dask scheduler) and give its address: tcp://HOST:8786"
        raise InputError(f"no Dask scheduler answers at “{address}”", where="--workers", remedy=remedy) from error
    try:
        yield client.get_executor(pure=False)
    finally:
        client.close()
