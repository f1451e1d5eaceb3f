"""CP-SAT's stop rule and its manners towards Ctrl-C."""

from __future__ import annotations

import os
import signal
import time
from types import FrameType

import pytest
from ortools.sat.python import cp_model

from nesting.engine.cp_sat import limited, solve
from nesting.model.settings import Deadline
from nesting.search.rectangles.packing import PackedItem, Room, pack


def endless() -> cp_model.CpModel:
    """Fifteen pigeons in fourteen holes, told in a way that hides it: far beyond a second's work."""
    model = cp_model.CpModel()
    lies = [[model.new_bool_var("") for _ in range(14)] for _ in range(15)]
    for row in lies:
        model.add_bool_or(row)
    for hole in range(14):
        for one in range(15):
            for two in range(one):
                model.add_bool_or([~lies[one][hole], ~lies[two][hole]])
    return model


def without_presolve() -> cp_model.CpSolver:
    solver = limited(1e6)
    solver.parameters.cp_model_presolve = False
    solver.parameters.symmetry_level = 0
    solver.parameters.linearization_level = 0
    return solver


def test_a_solve_ends_when_it_is_told_to() -> None:
    assert solve(without_presolve(), endless(), Deadline(0.5)) == cp_model.UNKNOWN  # else it would go on for hours


def test_ctrl_c_still_reaches_the_program_after_a_solve() -> None:
    heard: list[int] = []

    def hear(number: int, _frame: FrameType | None) -> None:
        heard.append(number)

    before = signal.signal(signal.SIGINT, hear)
    try:
        model = cp_model.CpModel()
        model.maximize(model.new_int_var(0, 9, ""))
        solve(limited(1.0), model)
        os.kill(os.getpid(), signal.SIGINT)
        time.sleep(0.05)
    finally:
        signal.signal(signal.SIGINT, before)
    assert heard == [signal.SIGINT]


@pytest.mark.parametrize("workers", [1, 8])
def test_the_same_limit_gives_the_same_answer(workers: int) -> None:
    def best() -> float:
        solver, model = limited(0.05, workers, 3), cp_model.CpModel()
        x = [model.new_int_var(0, 50, "") for _ in range(40)]
        for k in range(30):
            model.add(sum(((7 * k + 3 * i) % 11 + 1) * v for i, v in enumerate(x)) <= 900 + 13 * k)
        model.maximize(sum((i % 9 + 1) * v for i, v in enumerate(x)))
        solve(solver, model)
        return solver.objective_value

    assert best() == best()


def test_packing_gives_up_when_it_is_told_to() -> None:
    """Squares that all but fill a room with a blocked corner: the solver alone works on it."""
    items = [PackedItem(n, n) for n in (18, 15, 14, 10, 9, 8, 7, 4, 1)] * 2
    stop = Deadline(1.0)
    found = pack(items, Room(66, 33, ((0, 0, 1, 1),)), stop=stop)
    assert stop()
    assert not found.impossible
