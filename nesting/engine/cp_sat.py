"""CP-SAT as it is used here: with a deterministic limit, leaving Ctrl-C alone, and ending when a stop rule says so."""

from __future__ import annotations

import threading
from functools import cache
from typing import TYPE_CHECKING

from nesting.model.settings import Stop, never

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

POLL = 0.1
"""Seconds between two looks at the stop rule."""


@cache
def _plain() -> type[cp_model.CpModel]:
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    class Plain(cp_model.CpModel):
        def _add_pre_pep8_methods(self) -> None:
            """No methods under names of former releases: to add these takes longer than a small model to solve."""

    return Plain


def small_model() -> cp_model.CpModel:
    """An empty model, soon made: where there are many of them."""
    return _plain()()


def limited(time: float, workers: int = 1, seed: int = 0) -> cp_model.CpSolver:
    """A solver that ends after so much deterministic time; the same answer on any machine under any load."""
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = time
    solver.parameters.num_workers = workers
    solver.parameters.interleave_search = workers > 1
    solver.parameters.random_seed = seed % 2**31
    solver.parameters.catch_sigint_signal = False  # it would put the default handler in ours' place
    return solver


def solve(solver: cp_model.CpSolver, model: cp_model.CpModel, stop: Stop = never) -> cp_model.CpSolverStatus:
    """The status reached; when `stop` says so, that of the best so far."""
    if stop is never:
        return solver.solve(model)
    over = threading.Event()
    watcher = threading.Thread(target=_heed, args=(solver, stop, over), daemon=True)
    watcher.start()
    try:
        return solver.solve(model)
    finally:
        over.set()
        watcher.join()


def _heed(solver: cp_model.CpSolver, stop: Stop, over: threading.Event) -> None:
    while not over.wait(POLL):
        if stop():
            solver.stop_search()
