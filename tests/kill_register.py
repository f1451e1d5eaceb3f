"""Kill a process at a random moment while it changes a register, again and again: nothing may be lost or doubled.

A worker (a fork, so that a round takes milliseconds) imports folders, takes hides out, commits cuts with offcuts,
undoes and redoes. After each change it writes the change's number and the state of the whole register into a pipe.
It is killed with SIGKILL. Then the register must be sound, hold every change that was reported and at most one
more, be in the state that was reported last or in the one after it, and hold no hide twice. The next worker goes on
with the same register.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import json
import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from hides.errors import InputError
from hides.hide import Hide, Ring
from hides.hide_file import write_hide
from hides.offcut import offcuts
from hides.stock import Cut, Status, Stock, open_stock, read_folder
from hides.stock.audit import faults, replay
from hides.stock.register import ALL

Folder = list[tuple[Hide, str]]
OLDEST_KEPT = 60
"""A register is put aside for a fresh one after so many changes, so that every size is met."""


def ring(number: int, points: int = 200) -> Ring:
    """A wavy outline about 600 mm across, another one for each number."""
    from math import cos, sin, tau

    waves = [(300 + number % 97 + 9 * sin(7 * tau * k / points + number), tau * k / points) for k in range(points)]
    return tuple((round(500 + r * cos(a), 3), round(500 + r * sin(a), 3)) for r, a in waves)


def hide(number: int) -> Hide:
    return Hide(f"H-{number}", ring(number), cut="side", backbone=((0, 0), (100, 0)), lot="L-1")


def write_folders(into: Path, folders: int = 12, hides: int = 6) -> list[Path]:
    """Folders of hide files; some hides lie in two folders."""
    made = []
    for number in range(folders):
        folder = into / f"folder-{number}"
        folder.mkdir()
        for i in range(hides):
            write_hide(folder / f"{i}.json", hide(number * (hides - 1) + i))
        made.append(folder)
    return made


def change_something(stock: Stock, chance: random.Random, folders: list[Folder]) -> int:
    """One change of a random kind; 0 where that kind has nothing to do."""
    shelf = stock.rows()
    kind = chance.choice(["add", "take", "back", "cut", "cut", "cut", "undo", "undo", "redo"])
    with contextlib.suppress(InputError):
        if kind == "add":
            return stock.add(chance.choice(folders)).change
        if kind == "take" and shelf:
            return stock.take([row.name for row in chance.sample(shelf, min(3, len(shelf)))])
        if kind == "back":
            return stock.put_back([row.name for row in stock.rows((Status.OUT,))][:2])
        if kind == "cut" and shelf:
            return stock.commit_cuts([cut(row.id, stock) for row in chance.sample(shelf, min(3, len(shelf)))])
        if kind == "undo":
            return stock.undo()
        if kind == "redo":
            return stock.redo()
    return 0


def cut(number: int, stock: Stock) -> Cut:
    """A cut with two offcuts, and a layout file's text of some 20 kB in place of a real one."""
    whole = next(row.read(stock.where).hide for row in stock.rows() if row.id == number)
    x0, y0, x1, y1 = whole.polygon.buffer(-1).bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    left = ((x - 60, y - 20), (x - 20, y - 20), (x - 20, y + 20), (x - 60, y + 20))
    right = ((x + 20, y - 20), (x + 60, y - 20), (x + 60, y + 20), (x + 20, y + 20))
    parts = offcuts(whole, [left, right] if (x1 - x0) > 200 else [])
    return Cut(number, json.dumps({"hide": number, "filling": "x" * 20_000}), parts)


def state(stock: Stock) -> str:
    """A digest of where every hide is and by what it was cut."""
    rows = [(row.id, row.digest, row.status.value) for row in stock.rows(ALL)]
    return hashlib.sha256(repr(rows).encode()).hexdigest()[:16]


def work(path: Path, folders: list[Folder], seed: int, report: int) -> None:
    """Change the register without end; after each change tell its number and the state."""
    chance = random.Random(seed)
    os.write(report, b"ready\n")
    with open_stock(path, create=True) as stock:
        # Next to no memory for pages, so that unfinished changes are in the file when the kill comes.
        stock._database.execute("PRAGMA cache_size = 2")
        while True:
            number = change_something(stock, chance, folders)
            if number:
                os.write(report, f"{number} {state(stock)}\n".encode())


def kill_once(path: Path, folders: list[Folder], seed: int) -> tuple[list[list[str]], bool]:
    """Start a worker, kill it at a random moment; what it reported, and whether a transaction was under way."""
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        os.close(reader)
        with contextlib.suppress(BaseException):
            work(path, folders, seed, writer)
            os._exit(0)
        os._exit(1)
    os.close(writer)
    with os.fdopen(reader) as reports:
        assert reports.readline() == "ready\n"
        time.sleep(random.Random(seed).uniform(0, 0.4))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        told = [line.split() for line in reports.read().splitlines()]
    assert os.WIFSIGNALED(status), "the worker ended by itself"
    return told, Path(f"{path}-journal").exists()


def check_after(path: Path, told: list[list[str]], before: int) -> int:
    """Hold the register against what was reported; the number of its changes."""
    if not path.exists() or not path.stat().st_size:
        assert not told, "a register with reported changes is gone"
        assert before == 0
        with open_stock(path, create=True):
            return 0
    with open_stock(path, create=True) as stock:
        history = stock.history()
        assert not (found := faults(stock)), found
        reported = before + len(told)
        assert [change.id for change in history] == list(range(1, len(history) + 1))
        assert reported <= len(history) <= reported + 1, f"{reported} reported, {len(history)} there"
        if told:
            assert int(told[-1][0]) == reported
            assert told[-1][1] == _state_at(stock, reported), "the state is not the reported one"
        rows = stock.rows((Status.IN, Status.OUT))
        doubled = [name for name, times in Counter(row.name for row in rows).items() if times > 1]
        assert not doubled, doubled
    with contextlib.closing(sqlite3.connect(path)) as plain:
        assert plain.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert plain.execute("PRAGMA foreign_key_check").fetchall() == []
    return len(history)


def _state_at(stock: Stock, change: int) -> str:
    """The state as it was after a change, from the history alone."""
    status, _ = replay([each for each in stock.history() if each.id <= change])
    found = [
        (row.id, row.digest, status[row.id].value)
        for row in stock.rows(tuple(Status))
        if status.get(row.id, Status.GONE) is not Status.GONE
    ]
    return hashlib.sha256(repr(found).encode()).hexdigest()[:16]


def run(rounds: int, seed: int) -> str:
    """So many kills; one line that tells what was met."""
    home = Path(tempfile.mkdtemp(prefix="hideplan-kill-"))
    try:
        folders = [read_folder(folder) for folder in write_folders(home)]
        register, changes, all_changes, open_journals, unreported = 0, 0, 0, 0, 0
        for number in range(rounds):
            path = home / f"{register}.stock"
            told, journal = kill_once(path, folders, seed * 100_003 + number)
            after = check_after(path, told, changes)
            unreported += after - changes - len(told)
            all_changes += after - changes
            open_journals += journal
            register, changes = (register + 1, 0) if after > OLDEST_KEPT else (register, after)
        return (
            f"{rounds} kills, {register + 1} registers, {all_changes} changes; {open_journals} kills inside a"
            f" transaction, {unreported} after a commit and before its report: nothing lost, nothing doubled"
        )
    finally:
        shutil.rmtree(home)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    print(run(options.rounds, options.seed))
    sys.exit(0)
