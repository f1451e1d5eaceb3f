"""Who carries out the searches: processes of this machine or a Dask cluster, as `concurrent.futures` executors."""

from __future__ import annotations

import importlib
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import resource_tracker
from multiprocessing.connection import wait
from multiprocessing.synchronize import Event
from typing import Any

from hides.errors import InputError
from hides.fields import whole_number
from nesting.batch.searching import obey
from nesting.model.settings import Stop

POLL = 0.2
PATIENCE = 5.0
"""Seconds that a cluster may be without a worker before its searches are made here."""


@contextmanager
def workers(told: str | None, stop: Stop) -> Iterator[Executor | None]:
    """The executor that `--workers` asks for.

    A number is so many processes here (1: none, the search has this process to itself); anything else is the address
    of a Dask scheduler. Nothing told means as many processes as there are cores. When `stop` says so, searches in
    processes here end with the best they have, which counts if it is there in a moment (`searching.GRACE`); those on a
    cluster end with their time alone, and without one are given up.
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
    pool = Processes(lambda: ProcessPoolExecutor(count, context, initializer=_settle, initargs=(asked,)))
    watcher = threading.Thread(target=_pass_on, args=(stop, asked, over), daemon=True)
    watcher.start()
    try:
        yield pool
    finally:
        over.set()
        asked.set()
        if stop():
            pool.kill()  # whatever they are at, nobody waits for it any more
        pool.shutdown(wait=True, cancel_futures=True)
        watcher.join()


class Processes(Executor):
    """A pool of processes that is made anew when one of them has died; what it was at is lost, and told as such."""

    def __init__(self, make: Callable[[], ProcessPoolExecutor]) -> None:
        self._make, self._pool = make, make()

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        with interrupts_held():  # a worker that is just being born knows no better than to die of a Ctrl-C
            try:
                return self._pool.submit(fn, *args, **kwargs)
            except BrokenExecutor:
                self._pool.shutdown(wait=False, cancel_futures=True)
                self._pool = self._make()
                return self._pool.submit(fn, *args, **kwargs)

    def kill(self) -> None:
        """End the processes at once."""
        for process in list((self._pool._processes or {}).values()):  # Python 3.14 has kill_workers for this
            process.kill()

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        self._pool.shutdown(wait=wait, cancel_futures=cancel_futures)


@contextmanager
def interrupts_held() -> Iterator[None]:
    """Ctrl-C comes a moment later here, and never to a process that is started meanwhile."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # started meanwhile, it would let Ctrl-C through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _settle(asked: Event) -> None:
    """A worker leaves Ctrl-C to the process that made it, stops when that one says so, and ends when it is no more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    obey(asked.is_set)
    end_with_parent()


def end_with_parent() -> None:
    """Let this process end as soon as the one that spawned it has, however that ended."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_outlive, args=(parent.sentinel,), daemon=True).start()


def _outlive(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)


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
        yield Cluster(client, address)
    finally:
        client.close(timeout=1)


class Cluster(Executor):
    """A Dask cluster as an executor. Where it has no worker (any more), `idle` says so."""

    def __init__(self, client: Any, address: str) -> None:
        self._client, self._executor = client, client.get_executor(pure=False)
        self._seen = time.monotonic()
        if self.idle(1.0):
            raise InputError(
                f"the Dask scheduler at “{address}” has no workers",
                where="--workers",
                remedy=f"start one on each machine: dask worker {address}",
            )

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        try:
            future: Future[Any] = self._executor.submit(fn, *args, **kwargs)
        except Exception as error:  # the scheduler is gone, which Dask tells by errors of many kinds
            future = Future()
            future.set_exception(BrokenExecutor(str(error)))
        return future

    def idle(self, patience: float = PATIENCE) -> bool:
        """Whether no worker was there for so many seconds."""
        while True:
            if self._has_workers():
                self._seen = time.monotonic()
                return False
            if time.monotonic() - self._seen > patience:
                return True
            if patience >= PATIENCE:
                return False
            time.sleep(POLL)

    def _has_workers(self) -> bool:
        """Whether the scheduler answers and has workers; what a client knew of one that is gone does not count."""
        return self._client.status == "running" and bool(self._client.scheduler_info().get("workers"))

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        self._executor.shutdown(wait=False)
