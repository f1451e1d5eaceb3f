"""Runs: searches under way, each in a process of its own, followed live and stopped at once."""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import AsyncIterator, Callable
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import Any

from nesting.batch.workers import interrupts_held
from nesting.model.settings import Progress
from nesting.page.errors import Refusal
from nesting.page.folder import new_identity
from nesting.page.solver import Job, serve

AT_ONCE = 2
GRACE = 90.0
"""Seconds a stopped search may take to hand over its best before its process is ended."""
KEPT_RUNS = 50
PULSE = 0.1
Finish = Callable[[str, Any], None]


class Run:
    """One search: its latest progress, and how it ended."""

    def __init__(self, identity: str, finish: Finish) -> None:
        self.identity, self.finish = identity, finish
        self.state, self.progress, self.problem = "working", Progress("starting", 0.0), ""
        self.started, self.stopping = time.monotonic(), False
        self.version = 0
        self.shown: object = None
        self.shown_version = 0

    def told(self) -> dict[str, Any]:
        """What a page shows of it."""
        progress = self.progress
        return {
            "id": self.identity,
            "state": "stopping" if self.stopping and self.state == "working" else self.state,
            "stage": progress.stage,
            "fraction": round(progress.fraction, 4),
            "best": progress.best,
            "problem": self.problem,
            "seconds": round(time.monotonic() - self.started, 1),
        }


class Runs:
    """All runs of this server. Processes are watched by threads; nothing here blocks the event loop."""

    def __init__(self, loads: str = "nesting.laying.lay_out") -> None:
        """`loads` names the module a solver process loads while it waits for its job."""
        self._loads = loads
        self._runs: dict[str, Run] = {}
        self._workers: dict[str, Worker] = {}
        self._lock = threading.Lock()
        self._warm: Worker | None = None
        self._closed = False

    def warm_up(self) -> None:
        """Have a process loaded and waiting, so that the first answer does not wait for imports."""
        with self._lock:
            if self._warm is None and not self._closed:
                self._warm = Worker(self._loads)

    def start(self, job: Job, finish: Finish) -> Run:
        """Begin a search. `finish(run id, result)` keeps its result, in a thread of its own."""
        with self._lock:
            if len(self._workers) >= AT_ONCE:
                raise Refusal(409, f"{AT_ONCE} searches are under way already; stop one or wait for it")
            run = Run(new_identity(), finish)
            waiting, self._warm = self._warm, None
            worker = waiting if waiting is not None and waiting.alive else Worker(self._loads)
            self._workers[run.identity] = worker
            self._runs[run.identity] = run
            for old in list(self._runs)[:-KEPT_RUNS]:
                del self._runs[old]
        threading.Thread(target=self._attend, args=(run, worker, job), daemon=True).start()
        return run

    def find(self, identity: str) -> Run | None:
        """A run of this server, or None."""
        return self._runs.get(identity)

    def stop(self, identity: str) -> None:
        """Tell a search to end with its best so far."""
        run, worker = self._runs.get(identity), self._workers.get(identity)
        if run is None:
            raise Refusal(404, "there is no such search")
        if worker is not None:
            run.stopping = True
            run.version += 1
            worker.stop()

    async def follow(self, identity: str) -> AsyncIterator[dict[str, Any]]:
        """The run's state now and after every change, until it has ended."""
        seen, drawn = -1, 0
        while (run := self._runs.get(identity)) is not None:
            if run.version != seen:
                seen = run.version
                shown = {"shown": run.shown} if run.shown_version > drawn else {}
                drawn = run.shown_version
                yield {**run.told(), **shown}
                if run.state != "working":
                    return
            await asyncio.sleep(PULSE)

    def close(self) -> None:
        """End everything; called when the server goes down."""
        with self._lock:
            self._closed = True
            workers = [*self._workers.values(), *([self._warm] if self._warm else [])]
        for worker in workers:
            worker.end()

    def _attend(self, run: Run, worker: Worker, job: Job) -> None:
        try:
            state, problem = self._hear_out(run, worker, job)
            if not worker.heard and not self._closed:
                worker = self._another(run, worker)  # it had died while it waited
                state, problem = self._hear_out(run, worker, job)
        except Exception as error:
            state, problem = "failed", f"the result could not be kept ({error})"
        with self._lock:
            self._workers.pop(run.identity, None)
        worker.end()
        run.state, run.problem = state, problem
        run.version += 1
        self.warm_up()

    def _another(self, run: Run, dead: Worker) -> Worker:
        dead.end()
        worker = Worker(self._loads)
        with self._lock:
            self._workers[run.identity] = worker
        if run.stopping:
            worker.stop()
        return worker

    def _hear_out(self, run: Run, worker: Worker, job: Job) -> tuple[str, str]:
        for kind, *rest in worker.carry_out(job):
            if kind == "progress":
                run.progress = rest[0]
                if rest[0].shown is not None:
                    run.shown, run.shown_version = rest[0].shown, run.shown_version + 1
                run.version += 1
            elif kind == "done":
                run.finish(run.identity, rest[0])
                return "done", ""
            elif kind == "failed":
                return "failed", rest[0]
        return "failed", "the search's process ended before it had an answer; try again"


class Worker:
    """A solver process and our end of its pipe."""

    def __init__(self, loads: str) -> None:
        spawn = multiprocessing.get_context("spawn")
        self._pipe: Connection
        self._pipe, theirs = spawn.Pipe()
        self._process: SpawnProcess = spawn.Process(target=serve, args=(theirs, loads), name="hideplan-solver")
        with interrupts_held():  # loading takes seconds, and a Ctrl-C then would end in a traceback
            self._process.start()
        theirs.close()
        self._stopped_at: float | None = None
        self.heard = False
        """Whether it has said anything of its job."""

    @property
    def alive(self) -> bool:
        """Whether the process is there."""
        return self._process.is_alive()

    def carry_out(self, job: Job) -> Any:
        """Send the job; yield the process's messages until it ends or a stopped one outstays its grace.

        Nobody else writes into the pipe: a stop that was asked for meanwhile follows the job from here.
        """
        told = False
        with contextlib.suppress(OSError):
            self._pipe.send(job)
        while True:
            if self._stopped_at is not None and not told:
                told = True
                with contextlib.suppress(OSError):
                    self._pipe.send("stop")
            if self._stopped_at is not None and time.monotonic() - self._stopped_at > GRACE:
                return
            try:
                if self._pipe.poll(PULSE):
                    message = self._pipe.recv()
                    self.heard = self.heard or message[0] != "ready"
                    yield message
            except (EOFError, OSError):
                return

    def stop(self) -> None:
        """Ask for the best so far."""
        self._stopped_at = time.monotonic()

    def end(self) -> None:
        """Close the pipe, which the process takes for a stop; kill it if it stays."""
        with contextlib.suppress(OSError):
            self._pipe.close()
        self._process.join(0.5)
        if self._process.is_alive():
            _kill_group(self._process)
            self._process.join(1)


def _kill_group(process: SpawnProcess) -> None:
    with contextlib.suppress(OSError, AttributeError):
        if process.pid and os.getpgid(process.pid) == process.pid:
            os.killpg(process.pid, signal.SIGKILL)
    process.kill()
