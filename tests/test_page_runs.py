"""Searches in their own process: followed, stopped at once with the best so far, and never left behind."""

from __future__ import annotations

import asyncio
import os
import time
from collections.abc import Callable, Iterator
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest

from hides.errors import InputError
from nesting.model.settings import Progress, Watch
from nesting.page import solver
from nesting.page.errors import Refusal
from nesting.page.runs import AT_ONCE, Run, Runs
from nesting.page.solver import Job


def endless(watch: Watch) -> str:
    """Work that only a stop ends, as a search does."""
    best = 0
    while not watch.stop():
        best += 1
        watch.report(Progress("looking", 0.5, f"{best} found"))
        time.sleep(0.01)
    return "the best so far"


def deaf(watch: Watch) -> None:
    """Work that hears nothing."""
    time.sleep(60)


def brief(watch: Watch) -> int:
    return os.getpid()


def unusable(watch: Watch) -> None:
    raise InputError("the strap is too long", where="rack.toml")


def broken(watch: Watch) -> None:
    raise ZeroDivisionError


def dying(watch: Watch) -> None:
    os._exit(3)


@pytest.fixture
def runs() -> Iterator[Runs]:
    made = Runs(loads="nesting.model.settings")
    yield made
    made.close()


def _until(condition: Callable[[], bool], seconds: float = 120) -> None:
    began = time.monotonic()
    while not condition():
        assert time.monotonic() - began < seconds, "it took too long"
        time.sleep(0.005)


def _run(runs: Runs, work: Callable[..., Any]) -> tuple[Run, list[Any]]:
    results: list[Any] = []
    return runs.start(Job(work, ()), lambda identity, result: results.append(result)), results


def test_a_stopped_search_hands_over_its_best(runs: Runs) -> None:
    run, results = _run(runs, endless)
    _until(lambda: run.progress.stage == "looking")
    runs.stop(run.identity)
    assert run.told()["state"] in ("stopping", "done")
    _until(lambda: run.state == "done")
    assert results == ["the best so far"]


def test_the_search_works_in_another_process(runs: Runs) -> None:
    run, results = _run(runs, brief)
    _until(lambda: run.state != "working")
    assert results
    assert results[0] != os.getpid()


def test_unusable_input_is_told_in_its_own_words(runs: Runs) -> None:
    run, _ = _run(runs, unusable)
    _until(lambda: run.state == "failed")
    assert run.problem == "rack.toml: the strap is too long"


@pytest.mark.parametrize("work", [broken, dying])
def test_a_search_that_breaks_is_told_plainly(runs: Runs, work: Callable[..., Any]) -> None:
    run, results = _run(runs, work)
    _until(lambda: run.state == "failed")
    assert run.problem
    assert "Traceback" not in run.problem
    assert not results


def test_no_more_searches_than_the_machine_bears(runs: Runs) -> None:
    for _ in range(AT_ONCE):
        _run(runs, deaf)
    with pytest.raises(Refusal) as refused:
        _run(runs, deaf)
    assert refused.value.status == 409


def test_closing_leaves_no_process_behind(runs: Runs) -> None:
    _run(runs, deaf)
    pids = [worker._process.pid for worker in runs._workers.values()]
    runs.close()
    for pid in pids:
        assert pid is not None
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


def test_the_event_loop_stays_free_while_a_search_is_followed(runs: Runs) -> None:
    """Other work gets its turn between any two reports."""
    run, _ = _run(runs, endless)
    _until(lambda: run.progress.stage == "looking")

    async def follow() -> tuple[list[dict[str, Any]], int]:
        states: list[dict[str, Any]] = []

        async def listen() -> None:
            async for state in runs.follow(run.identity):
                states.append(state)

        listening = asyncio.create_task(listen())
        turns = 0
        while len(states) < 4:
            await asyncio.sleep(0.005)
            turns += 1
        await asyncio.to_thread(runs.stop, run.identity)
        await asyncio.wait_for(listening, 5)
        return states, turns

    states, turns = asyncio.run(follow())
    assert turns >= 3
    assert len(states) > 2
    assert states[0]["best"].endswith("found")
    assert states[-1]["state"] == "done"


def test_a_result_that_cannot_be_kept_is_told(runs: Runs, tmp_path: Path) -> None:
    def full(identity: str, result: Any) -> None:
        raise InputError("cannot be written (no space left)", where=str(tmp_path))

    run = runs.start(Job(brief, ()), full)
    _until(lambda: run.state == "failed")
    assert "no space left" in run.problem


def test_a_solver_whose_page_is_gone_before_its_word_was_read_ends_in_silence(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What lies unread in a pipe that closes makes the other end's next look a reset, not an end."""
    ours, theirs = Pipe()
    send = solver._send

    def sent_and_gone(pipe: Connection, message: tuple[object, ...]) -> None:
        send(pipe, message)
        ours.close()

    monkeypatch.setattr(solver, "_stand_alone", lambda: None)
    monkeypatch.setattr(solver, "_send", sent_and_gone)
    solver.serve(theirs, "json")
