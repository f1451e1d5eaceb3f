"""Handing out the search: many calls of `lay_out`, in this process or over an executor, none made twice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future, wait
from dataclasses import dataclass, replace
from typing import Any

from hides.errors import HideplanError
from hides.hide import Hide
from nesting.batch.pattern import CuttingPattern, Pool, make_pattern
from nesting.batch.task import Task
from nesting.laying.lay_out import Want
from nesting.model.layout import HideLayout, Layout
from nesting.model.settings import Deadline, Progress, Settings, Stop, Watch, any_of, never

Solve = Callable[[Hide, Sequence[Want], Settings, Watch], Layout]
"""`lay_out`, or what stands in for it. Handed to other processes, so it must be a plain function."""

Known = dict[object, Layout]
"""Answers by what was asked."""

GRACE = 0.5
"""Seconds that searches which are under way elsewhere have, once all is to stop, to hand in their best."""

DIGITS = 4
"""Worths are told to the search in so many digits, so that prices alike ask for the same search."""


@dataclass(frozen=True)
class Call:
    """One search: the items to be laid on a hide of the group, what each is worth, how many at most (None: any)."""

    group: int
    items: tuple[int, ...]
    worths: tuple[float, ...]
    limits: tuple[int | None, ...]
    effort: str


class Here(Executor):
    """An executor that does the work at once, in this thread: for searches that must not start threads of their own."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        done: Future[Any] = Future()
        try:
            done.set_result(fn(*args, **kwargs))
        except BaseException as error:
            done.set_exception(error)
        return done


class Searcher:
    """Makes calls, keeps their patterns in `pool`, and remembers every answer.

    With an executor in `watch` the calls of one batch run side by side, each with one thread (a single call with
    several); else one after the other in this process. The answers do not depend on which. `budget` is how many
    searches may be made; `deadline` is the wall-clock stop, if there is one. `known` are answers of another searcher to
    share.
    """

    def __init__(
        self,
        task: Task,
        settings: Settings,
        watch: Watch,
        solve: Solve,
        deadline: Deadline | None = None,
        known: Known | None = None,
    ) -> None:
        self.task, self.settings, self.watch, self.solve = task, settings, watch, solve
        self.pool = Pool()
        self.budget, self.made, self.best = 0, 0, ""
        self.lost = 0
        """Searches that were made here because the process they were handed to ended."""
        self._deadline = deadline
        self._stop = any_of(watch.stop, deadline or never)
        self._known: Known = {} if known is None else known

    @property
    def stopped(self) -> bool:
        """Whether the person, or the clock, has asked to stop."""
        return self._stop()

    @property
    def left(self) -> int:
        """Searches left in the budget."""
        return 0 if self.stopped else max(0, self.budget - self.made)

    def one(self, call: Call) -> CuttingPattern | None:
        """The pattern of one call."""
        return self.many([call])[0]

    def many(self, calls: Sequence[Call]) -> list[CuttingPattern | None]:
        """The patterns of several calls, in their order; None where the work was stopped before its answer."""
        keys = [self._key(call) for call in calls]
        new: dict[object, Call] = {}
        for key, call in zip(keys, calls, strict=True):
            if key not in self._known and key not in new:
                new[key] = call
        for key, layout in self._layouts(new):
            if layout is not None:
                self._known[key] = layout
        return [self._pattern(call, self._known.get(key)) for key, call in zip(keys, calls, strict=True)]

    def _pattern(self, call: Call, layout: Layout | None) -> CuttingPattern | None:
        if layout is None:
            return None
        pattern = make_pattern(self.task, call.group, call.items, _on(layout, self.task.groups[call.group].hide))
        self.pool.add(pattern)
        return pattern

    def _layouts(self, calls: dict[object, Call]) -> Iterable[tuple[object, Layout | None]]:
        if self.watch.executor is None:
            for key, call in calls.items():
                yield key, None if self.stopped else self._search(call)
            return
        seconds = None
        if self._deadline is not None:
            seconds = max(0.1, self._deadline.left())
        cores = len(calls) == 1  # with nothing beside it a search may have the other cores
        futures = {
            key: self.watch.executor.submit(_apart, self.solve, *self._arguments(call), seconds, cores)
            for key, call in calls.items()
        }
        self._await(list(futures.values()))
        for key, future in futures.items():
            if _lost(future) and not self.stopped:
                self.lost += 1
                yield key, self._search(calls[key])
            else:
                yield key, _answer(future)

    def _search(self, call: Call) -> Layout:
        def report(progress: Progress) -> None:
            self._tell(progress.fraction)

        layout = self.solve(*self._arguments(call), replace(self.watch, report=report, stop=self._stop, executor=None))
        self.made += 1
        self._tell(0.0)
        return layout

    def _await(self, futures: Sequence[Future[Layout]]) -> None:
        pending = set(futures)
        while pending:
            if self.stopped:
                going = [future for future in pending if not future.cancel()]
                wait(going, timeout=GRACE)
                return
            if is_idle(self.watch.executor):
                for future in pending:
                    future.cancel()
                return
            done, pending = wait(pending, timeout=0.2)
            self.made += len(done)
            self._tell(0.0)

    def _tell(self, part: float) -> None:
        done = (self.made + part) / max(1, self.budget)
        self.watch.report(Progress("trying patterns", min(1.0, done), self.best))

    def _arguments(self, call: Call) -> tuple[Hide, tuple[Want, ...], Settings]:
        row = self.task.products[call.group]
        wants = []
        for item, worth, limit in zip(call.items, call.worths, call.limits, strict=True):
            product = row[item]
            assert product is not None, "a call asks only for items that suit its hide"
            wants.append(Want(product, worth, limit))
        return self.task.groups[call.group].hide, tuple(wants), replace(self.settings, effort=call.effort)

    def _key(self, call: Call) -> object:
        """What the answer depends on: the leather without its name and price, and what is asked of it."""
        hide, wants, settings = self._arguments(call)
        bare = replace(hide, name="", lot="", parent="", leather="", colour="", price=None, area=None, units="mm")
        asked = tuple((w.product.name, w.product.pieces, w.product.straight, w.worth, w.limit) for w in wants)
        return bare, asked, settings


def even_worths(worths: Sequence[float]) -> tuple[float, ...]:
    """Worths brought to a greatest of 1 and to `DIGITS` digits; none is nought."""
    top = max(worths)
    return tuple(max(10.0**-DIGITS, round(worth / top, DIGITS)) for worth in worths)


def _on(layout: Layout, hide: Hide) -> Layout:
    """The same layout on a hide that is alike."""
    only: HideLayout = layout.hides[0]
    return replace(layout, hides=(replace(only, hide=_edged(hide, only.hide.edge)),))


def _edged(hide: Hide, edge: float) -> Hide:
    return hide if hide.edge == edge else hide.with_edge(edge)


def _apart(
    solve: Solve, hide: Hide, wants: tuple[Want, ...], settings: Settings, seconds: float | None, cores: bool
) -> Layout:
    """One search in a worker, with its own clock: alone on its thread, or on threads of its own."""
    stop = any_of(Deadline(seconds) if seconds else never, *_orders)
    return solve(hide, wants, settings, Watch(stop=stop, executor=None if cores else Here(), stop_there=stop))


_orders: list[Stop] = []
"""In a worker process: what tells it to stop."""


def obey(stop: Stop) -> None:
    """Let every search of this (worker) process end when `stop` says so."""
    _orders.append(stop)


def told_to_stop() -> bool:
    """Whether this (worker) process was told to stop."""
    return any(rule() for rule in _orders)


def is_idle(executor: Executor | None) -> bool:
    """Whether the executor has nobody left to do its work."""
    return bool(getattr(executor, "idle", bool)())


def _lost(future: Future[Layout]) -> bool:
    """Whether there will be no answer: the worker died, or there was none. Errors of the search are no loss."""
    if not future.done() or future.cancelled():
        return True
    error = future.exception()
    return error is not None and not isinstance(error, HideplanError)


def _answer(future: Future[Layout]) -> Layout | None:
    try:
        return future.result(timeout=0) if future.done() else None
    except (CancelledError, BrokenExecutor):
        return None
