"""A stop is heard everywhere, leaves whole files and no process, and what is said of it is true."""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import threading
import time
from concurrent.futures import BrokenExecutor, Future
from pathlib import Path
from typing import Any

import pytest
from stocks import cut_of, stock_of

from hides import whole_file
from hides.hide import Hide
from hides.stock import database, open_stock
from hides.whole_file import leave_no_part, write_whole, written
from nesting.batch.limits import Limits, by_area, task_limits
from nesting.batch.searching import Call, Searcher
from nesting.batch.task import Group, Item, Task
from nesting.batch.workers import Cluster
from nesting.commands import solving
from nesting.laying.lay_out import lay_out
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings, Watch
from nesting.page.runs import Run, Runs, Worker
from nesting.page.solver import Job
from nesting.result.stopped import stopped_text
from scripts import attack_signals

SCENARIO = Path(__file__).parent.parent / "nesting" / "scenario"
HIDE = Hide("h", ((0, 0), (300, 0), (300, 200), (0, 200)))
PRODUCT = Product("P", (Piece("a", ((0, 0), (50, 0), (50, 40), (0, 40)), 1),))


def test_nothing_was_written_is_said_only_where_that_is_so(tmp_path: Path) -> None:
    assert stopped_text([], []) == "stopped; nothing was written"
    assert "nothing was" not in stopped_text([tmp_path], [])
    assert "nothing was" not in stopped_text([], [tmp_path])


def test_a_file_counts_as_written_from_the_moment_it_is_in_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, seen = tmp_path / "a.json", []
    replace = os.replace

    def watched(source: Any, target: Any) -> None:
        seen.append(path in written())
        replace(source, target)
        seen.append(path in written())

    monkeypatch.setattr(whole_file.os, "replace", watched)
    write_whole(path, "{}")
    assert seen == [False, True]


def test_a_process_that_ends_in_a_write_leaves_no_part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    left = []

    def ending(source: Any, target: Any) -> None:
        leave_no_part()
        left.extend(tmp_path.iterdir())
        raise OSError("the end")

    monkeypatch.setattr(whole_file.os, "replace", ending)
    with pytest.raises(Exception, match="the end"):
        write_whole(tmp_path / "a.json", "{}")
    assert left == []


def test_a_register_counts_as_changed_once_its_change_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    with stock_of(path, "S") as stock:
        many = database.changed().count(path)
        with pytest.raises(Exception, match="no hide number"):
            stock.commit_cuts([cut_of(stock, "S"), type(cut_of(stock, "S"))(99, "", ())])
        assert database.changed().count(path) == many
        assert not database.is_changing()
        stock.take(["S"])
        assert database.changed().count(path) == many + 1
    with open_stock(path) as stock:
        assert len(stock.history()) == 2


def started(tmp_path: Path, *words: str) -> subprocess.Popen[str]:
    """The program under way, in a session of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "nesting", *words],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(SCENARIO.parent.parent)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def children(parent: int) -> list[int]:
    """Processes that a process has started."""
    found = []
    for each in Path("/proc").glob("[0-9]*"):
        try:
            if int((each / "stat").read_text().rsplit(")", 1)[1].split()[1]) == parent:
                found.append(int(each.name))
        except (OSError, IndexError):
            continue
    return found


def settled(process: int) -> bool:
    """Whether a worker has all that its parent hands it: it then leaves Ctrl-C to that one."""
    try:
        told = dict(line.split(":", 1) for line in Path(f"/proc/{process}/status").read_text().splitlines())
    except OSError:
        return False
    return bool(int(told["SigIgn"], 16) & 1 << (signal.SIGINT - 1))


def wait_for(condition: Any) -> Any:
    """The condition's first true answer."""
    for _ in range(1200):
        if found := condition():
            return found
        time.sleep(0.05)
    raise AssertionError("it never came")


@pytest.mark.skipif(sys.platform != "linux", reason="looks for processes in /proc")
@pytest.mark.parametrize(("number", "status"), [(signal.SIGTERM, 143), (signal.SIGKILL, -9)])
def test_a_batch_that_is_ended_leaves_no_worker_and_no_part(number: int, status: int, tmp_path: Path) -> None:
    words = ["batch", str(SCENARIO / "order.toml"), "--hides", str(SCENARIO), "--workers", "2", "--out", "plan.json"]
    going = started(tmp_path, *words)
    workers = wait_for(lambda: len(found := children(going.pid)) > 2 and all(map(settled, found)) and found)
    going.send_signal(number)
    _, told = going.communicate(timeout=60)
    assert going.returncode == status
    assert "Traceback" not in told
    if number == signal.SIGTERM:
        assert "stopped; nothing was written" in told
    assert list(tmp_path.iterdir()) == []
    wait_for(lambda: not any(Path(f"/proc/{each}").exists() for each in workers))


class Dying:
    """An executor whose workers die, or that has none."""

    def __init__(self, *, none: bool) -> None:
        self.none = none

    def submit(self, *arguments: Any) -> Future[Any]:
        future: Future[Any] = Future()
        if not self.none:
            future.set_exception(RuntimeError("a worker died"))
        return future

    def idle(self) -> bool:
        return self.none


@pytest.mark.parametrize("none", [True, False])
def test_limits_whose_worker_died_are_worked_out_here(none: bool) -> None:
    limits = task_limits([HIDE], [[PRODUCT]], Settings(), by_area, Watch(executor=Dying(none=none)))  # type: ignore[arg-type]
    assert limits == (by_area(HIDE, [PRODUCT], Settings()),)


def test_limits_heed_a_stop_where_no_worker_answers() -> None:
    class Silent(Dying):
        def idle(self) -> bool:
            return False

    def never_asked(hide: Hide, products: Any, settings: Settings) -> Limits:
        raise AssertionError("the work was stopped")

    watch = Watch(stop=lambda: True, executor=Silent(none=True))  # type: ignore[arg-type]
    assert task_limits([HIDE], [[PRODUCT]], Settings(), never_asked, watch)[0].most[0] >= 30


@pytest.mark.parametrize("none", [True, False])
def test_a_search_whose_worker_died_is_made_here_and_told(none: bool) -> None:
    task = Task((), (Item(0),), (Group((HIDE,), (0,), 1.0, 0.0),), ((PRODUCT,),), False, "")
    search = Searcher(task, Settings(effort="quick"), Watch(executor=Dying(none=none)), lay_out)  # type: ignore[arg-type]
    assert search.one(Call(0, (0,), (1.0,), (None,), "quick")) is not None
    assert search.lost == 1


class Client:
    """A Dask client whose scheduler may be gone, as far as `Cluster` asks it."""

    def __init__(self, *workers: str, status: str = "running") -> None:
        self.workers, self.status = workers, status

    def get_executor(self, **options: Any) -> Client:
        return self

    def scheduler_info(self) -> dict[str, Any]:
        return {"workers": dict.fromkeys(self.workers)}

    def submit(self, *work: Any) -> Future[Any]:
        raise RuntimeError("Client is closed. Can't send update-graph message.")


def test_a_cluster_without_workers_is_told_at_once() -> None:
    with pytest.raises(Exception, match="has no workers"):
        Cluster(Client(), "tcp://127.0.0.1:1")


def test_searches_for_a_scheduler_that_is_gone_are_made_here(monkeypatch: pytest.MonkeyPatch) -> None:
    client = Client("tcp://127.0.0.1:2")
    cluster = Cluster(client, "tcp://127.0.0.1:1")
    client.status = "closed"
    monkeypatch.setattr(cluster, "_seen", 0.0)
    assert cluster.idle()
    assert isinstance(cluster.submit(waits).exception(), BrokenExecutor)


def waits(watch: Watch) -> str:
    """Work that ends when it is told to."""
    for _ in range(1200):
        if watch.stop():
            return "stopped"
        time.sleep(0.05)
    return "never"


def sized(load: bytes, watch: Watch) -> str:
    """Work with a large load that ends when it is told to."""
    return f"{waits(watch)} {len(load)}"


def kept(runs: Runs, job: Job) -> list[Any]:
    found: list[Any] = []
    run: Run = runs.start(job, lambda identity, result: found.append(result))
    runs.stop(run.identity)
    wait_for(lambda: run.state != "working")
    assert run.problem == ""
    return found


def test_a_stop_while_a_large_job_is_sent_follows_the_job() -> None:
    runs = Runs("json")
    try:
        assert kept(runs, Job(sized, (b"x" * 4_000_000,))) == ["stopped 4000000"]
    finally:
        runs.close()


def test_a_stop_before_the_job_is_sent_is_not_taken_for_it() -> None:
    worker = Worker("json")
    worker.stop()
    try:
        assert [rest[0] for kind, *rest in worker.carry_out(Job(waits, ())) if kind == "done"] == ["stopped"]
    finally:
        worker.end()


def test_a_search_does_not_fail_because_the_waiting_process_has_died() -> None:
    runs = Runs("json")
    runs.warm_up()
    assert runs._warm is not None
    runs._warm._process.kill()
    try:
        assert kept(runs, Job(waits, ())) == ["stopped"]
    finally:
        runs.close()


def test_a_solver_ends_when_the_page_has_gone() -> None:
    worker = Worker("json")
    threading.Thread(target=lambda: list(worker.carry_out(Job(waits, ()))), daemon=True).start()
    wait_for(lambda: worker.alive)
    worker.end()
    wait_for(lambda: not worker.alive)


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at processes in /proc")
@pytest.mark.parametrize(("name", "how"), [("page", "int"), ("page", "int int"), ("batch", "int int")])
def test_ctrl_c_ends_a_command_and_its_processes_without_a_traceback(name: str, how: str, tmp_path: Path) -> None:
    """Cases of `scripts/attack signals`: also while the page's solver or the workers are still loading."""
    assert attack_signals.told_of(random.Random(3), name, how, tmp_path) is None


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_to_a_program_that_is_leaving_changes_its_status_no_more(number: signal.Signals) -> None:
    program = (
        "import atexit, os, sys; from nesting.commands import main; "
        f"atexit.register(os.kill, os.getpid(), {int(number)}); sys.argv = ['hideplan', '--version']; sys.exit(main())"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("hideplan ")


@pytest.mark.parametrize(
    ("time", "loaded", "draws", "left"),
    [
        ("10", 0.0, False, 9.5),
        ("10", 2.0, True, 6.0),
        ("5", 4.0, True, 2.5),
        ("1", 0.7, True, 0.5),
        ("0.3", 0.7, True, 0.3),
        ("2", 1.0, False, 1.0),
    ],
)
def test_the_time_given_holds_starting_up_and_drawing_and_leaves_most_to_the_search(
    time: str, loaded: float, draws: bool, left: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(solving, "_loaded", [100.0])
    monkeypatch.setattr(solving.time, "monotonic", lambda: 100.0 + loaded)
    told = solving.deadline_from(argparse.Namespace(time=time), draws)
    assert told is not None
    assert told.left() == pytest.approx(left)
    assert solving.deadline_from(argparse.Namespace(time=None), draws) is None
