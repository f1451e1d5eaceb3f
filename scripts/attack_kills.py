"""SIGKILL at random moments to what changes a register or saves from the page: as before or as after, never between.

A case starts a command (a fork, so that it costs milliseconds), kills it at a random moment of the time it takes and
looks. The register passes its audit, books too, and stands in the state before the command or after it; files are
whole or not there; and the same command, run again, ends in the state after. Case k does the command k modulo five.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import os
import random
import shutil
import signal
import sqlite3
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from hides.errors import HideplanError
from hides.hide import Hide, Price, Ring
from hides.hide_file import hide_to_data, read_hide, write_hide
from hides.stock import open_stock
from hides.stock.audit import faults
from hides.stock.register import ALL
from nesting.commands import batch_command, main
from nesting.page.drafts import list_drafts, new_draft, read_draft, save_draft
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from scripts.attack_fork import load_as, loaded

KINDS = ("add", "done", "undo", "commit", "page")
PRICE = Price(10 / 92903.04, "USD", 10, "sq ft")
ORDER = 'format = "hideplan-order-1"\nname = "O"\n[[line]]\nproject = "p.toml"\nquantity = 3\n'
PROJECT = (
    'format = "hideplan-project-1"\nname = "P"\n'
    '[[piece]]\nname = "a"\nshape = { rectangle = [380, 300] }\nalong = "backbone"\n'
)
ATTEMPTS = 50
"""A kill that came after the end is none; another moment is tried so often."""

met: Counter[str] = Counter()
"""How many kills there were of each kind, and how many of them inside a change of the register."""


@dataclass(frozen=True)
class Try:
    """A command in a folder where it may be run, how the folder stands before and after it, and how long it takes."""

    home: Path
    words: list[str]
    before: str
    after: str
    seconds: float


def case(seed: int) -> str | None:
    """One kill; what was wrong after it."""
    kind = KINDS[seed % len(KINDS)]
    chance = random.Random(seed)
    for _ in range(ATTEMPTS):
        with tempfile.TemporaryDirectory(prefix="attack-") as home:
            try:
                killed, told = (
                    page_case(chance, Path(home)) if kind == "page" else command_case(chance, kind, Path(home))
                )
            except (HideplanError, Refusal) as error:
                return f"{kind}: what it left cannot be read: {error}"
        if told:
            return f"{kind}: {told}"
        if killed:
            met[kind] += 1
            return None
    return f"{kind}: it ended before each of {ATTEMPTS} kills"


def told_met() -> str:
    """How many kills of each kind there were."""
    return ", ".join(f"{name} {many}" for name, many in sorted(met.items()))


def command_case(chance: random.Random, kind: str, home: Path) -> tuple[bool, str | None]:
    """Kill a command that changes a register; whether the kill came in time, and what was wrong."""
    tried = prepared(kind)
    shutil.copytree(tried.home, home, dirs_exist_ok=True)
    aimed = kind == "commit" and chance.random() < 0.7  # else nearly every kill would meet the search
    span = 0.05 if aimed else tried.seconds * 1.1
    killed = kill(lambda told: run(home, tried.words, told), span * chance.random(), aimed)
    met["in a change"] += killed and (home / "a.stock-journal").exists()
    return killed, wrong_register(home, tried) or wrong_plan(home, tried)


def wrong_register(home: Path, tried: Try) -> str | None:
    with open_stock(home / "a.stock") as stock:
        if found := faults(stock):
            return f"the audit finds {found}"
    with contextlib.closing(sqlite3.connect(home / "a.stock")) as plain:
        if plain.execute("PRAGMA integrity_check").fetchone() != ("ok",):
            return "the database is damaged"
    return None if state(home) in (tried.before, tried.after) else "neither the state before nor the one after"


def wrong_plan(home: Path, tried: Try) -> str | None:
    """The plan's file, and whether the command can be run (again) to its end."""
    plan = home / "out.json"
    if plan.exists():
        json.loads(plan.read_bytes())
    elif "--out" in tried.words and state(home) == tried.after:
        return "marked cut, and there is no plan"
    if state(home) == tried.before:
        carry_out(home, tried.words)
        if state(home) != tried.after:
            return "run again it does not end in the state after"
    return None


def page_case(chance: random.Random, home: Path) -> tuple[bool, str | None]:
    """Kill what saves a draft and a hide over and over; each must be the one reported last or the next."""
    folder, reports = Folder(home), home / "reports"
    draft = str(new_draft(folder, content(0))["id"])
    killed = kill(lambda _: save(folder, draft, reports), 0.3 * chance.random())
    last = int(([0] + [int(line) for line in reports.read_text().split()])[-1]) if reports.exists() else 0
    kept = read_draft(folder, draft)
    if kept["revision"] - 1 not in (last, last + 1) or kept["content"] != content(kept["revision"] - 1):
        return killed, f"the draft of revision {kept['revision']} after {last} saves"
    if last or (home / "h.json").exists():
        name = read_hide(home / "h.json").name
        if name not in (f"H-{last}", f"H-{last + 1}"):
            return killed, f"the hide {name} after {last} saves"
    if len(list_drafts(folder)) != 1 or len(folder.hides()) > 1:
        return killed, "a half written file is listed"
    return killed, None


def save(folder: Folder, draft: str, reports: Path) -> None:
    with reports.open("w") as told:
        for number in range(1, 10_000):
            save_draft(folder, draft, number, content(number))
            folder.save_new("h.json", json.dumps(hide_to_data(side(number))), ".json", replace=True)
            told.write(f"{number}\n")
            told.flush()


def content(number: int) -> dict[str, Any]:
    return {"number": number, "hide": {"name": f"H-{number}"}, "filling": str(number) * 50_000}


def kill(work: Callable[[int], None], after: float | None, aimed: bool = False) -> bool:
    """Do `work` in a fork and kill it `after` seconds (never: None), counted, if `aimed`, from its word that it is
    about to change the register. Whether the kill ended it; `work` gets the pipe for its word."""
    ours, theirs = os.pipe()
    child = os.fork()
    if not child:
        with contextlib.suppress(BaseException):
            os.close(ours)
            work(theirs)
        os._exit(0)
    os.close(theirs)
    try:
        if aimed:
            os.read(ours, 1)
        if after is not None:
            time.sleep(after)
            os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
    finally:
        os.close(ours)
    return os.WIFSIGNALED(status)


def carry_out(home: Path, words: list[str]) -> None:
    """A command in a folder, to its end."""
    kill(lambda told: run(home, words, told), None)


def run(home: Path, words: list[str], told: int | None = None) -> None:
    """A command in a folder, in a fork; its words go nowhere."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    os.chdir(home)
    commit = batch_command.commit

    def telling(*given: Any) -> int:
        if told is not None:
            os.write(told, b"!")
        return commit(*given)

    batch_command.commit = telling
    main(words)


@cache
def prepared(kind: str) -> Try:
    """A register and files by which a command of a kind can be tried, made once."""
    loaded()
    home = base() / kind
    home.mkdir()
    (home / "order.toml").write_text(ORDER)
    (home / "p.toml").write_text(PROJECT)
    for folder, numbers in (("first", range(4)), ("more", range(4, 30))):
        (home / folder).mkdir()
        for number in numbers:
            write_hide(home / folder / f"{number}.json", side(number))
    stock, batch = ["--stock", "a.stock"], ["batch", "order.toml", "--effort", "quick", "--workers", "1", "--hides"]
    steps = {
        "add": [["stock", "add", "first", *stock], ["stock", "add", "more", "--freight", "35 USD", *stock]],
        "done": [
            ["stock", "add", "first", *stock],
            [*batch, "a.stock", "--out", "plan.json"],
            ["stock", "done", "plan.json", *stock],
        ],
        "commit": [["stock", "add", "first", *stock], [*batch, "a.stock", "--commit", "--out", "out.json"]],
    }
    steps["undo"] = [*steps["done"], ["stock", "undo", *stock]]
    *earlier, last = steps[kind]
    for words in earlier:
        carry_out(home, words)
    trial = base() / f"{kind}-after"
    shutil.copytree(home, trial)
    tried = shutil.copytree(home, base() / f"{kind}-load")
    load_as(lambda: run(tried, last))
    started = time.monotonic()
    carry_out(trial, last)
    made = Try(home, last, state(home), state(trial), time.monotonic() - started)
    assert made.before != made.after, f"{last} changes nothing"
    return made


@cache
def base() -> Path:
    """A folder for what is made once, gone when the program ends."""
    home, ours = Path(tempfile.mkdtemp(prefix="attack-")), os.getpid()
    atexit.register(lambda: os.getpid() == ours and shutil.rmtree(home, ignore_errors=True))
    return home


def state(home: Path) -> str:
    """Where every hide is, by how many changes, and what the books say; empty where there is no register."""
    if not (home / "a.stock").exists():
        return ""
    with open_stock(home / "a.stock") as stock:
        rows = [(row.id, row.name, row.digest, row.status.value) for row in stock.rows(ALL)]
        return repr((rows, len(stock.history()), [each.to_data() for each in stock.books()]))


def side(number: int, points: int = 40) -> Hide:
    """A wavy side about 600 mm across, another one for each number, with a price."""
    from math import cos, sin, tau

    radii = [(300 + number % 7 + 9 * sin(7 * tau * k / points + number), tau * k / points) for k in range(points)]
    ring: Ring = tuple((round(400 + r * cos(a), 3), round(400 + r * sin(a), 3)) for r, a in radii)
    return Hide(f"H-{number}", ring, cut="side", backbone=((0, 0), (100, 0)), price=PRICE, lot="L-1")
