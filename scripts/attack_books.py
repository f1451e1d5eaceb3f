"""Random sequences of all that changes a register, some cut short by SIGKILL: after each the books balance to the cent.

A case is one sequence of commands (add, plan and commit, plan and done, undo, redo, correct, sell, lose) on one
register, each in a fork. Every other one is aimed at by a kill at a random moment, which may come too late. After each
the audit and the second reckoning (`recount`) find nothing, and there is at most one change more than before.
"""

from __future__ import annotations

import json
import random
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path

from hides.hide import Flaw, Grade, Zone
from hides.hide_file import write_hide
from hides.stock import Status, open_stock
from hides.stock.audit import faults
from scripts.attack_kills import kill, run, side
from scripts.recount import book_differences, plan_differences

STEPS = 8
PROJECT = (
    'format = "hideplan-project-1"\nname = "P"\n'
    '[[piece]]\nname = "a"\nshape = { rectangle = [150, 100] }\ngrade = "B"\n'
)
KINDS = ("add", "add", "commit", "commit", "done", "undo", "redo", "correct", "sell", "lose")
PARTINGS = (
    "",
    "values = { A = 1, B = 0.6, C = 0.3, scrap = 0.1 }\n",
    'credit = { per_area = 2, unit = "sq ft", currency = "USD" }\n',
)
STOCK = ["--stock", "a.stock"]
BATCH = ["batch", "order.toml", "--effort", "quick", "--workers", "1", "--hides", "a.stock", "--partly", "--out"]

met: Counter[str] = Counter()
"""How many commands of each kind there were, and how many were killed."""


def case(seed: int) -> str | None:
    """One sequence; what was wrong in it."""
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="attack-") as told:
        home = Path(told)
        (home / "p.toml").write_text(PROJECT)
        carry_out(home, ["stock", "add", str(_new_hides(home, chance, 0)), *STOCK])
        for step in range(1, STEPS + 1):
            kind = chance.choice(KINDS)
            if wrong := _step(home, chance, kind, step):
                return f"step {step}, {kind}: {wrong}"
    return None


def told_met() -> str:
    """How many commands of each kind there were."""
    return ", ".join(f"{name} {many}" for name, many in sorted(met.items()))


def _step(home: Path, chance: random.Random, kind: str, step: int) -> str | None:
    before = _changes(home)
    words = _words(home, chance, kind, step)
    if not words:
        return None
    met[kind] += 1
    if chance.random() < 1 / 2:
        aimed = kind == "commit" and chance.random() < 0.7  # else nearly every kill would meet the search
        span = 1.0 if kind == "commit" and not aimed else 0.05
        met["killed"] += kill(lambda told: run(home, words, told), span * chance.random(), aimed)
    else:
        carry_out(home, words)
    return _wrong(home, before)


def _wrong(home: Path, before: int) -> str | None:
    with open_stock(home / "a.stock") as stock:
        if found := faults(stock):
            return f"the audit finds {found}"
        if off := [each for each in stock.books() if not each.balances]:
            return f"the books do not balance: {off}"
    if found := book_differences(home / "a.stock"):
        return f"the second reckoning finds {found}"
    if not before <= _changes(home) <= before + 1:
        return f"{before} changes became {_changes(home)}"
    plans = [json.loads(plan.read_text()) for plan in home.glob("plan-*.json")]
    found = [each for plan in plans for each in plan_differences(plan)]
    return f"the second reckoning of a plan finds {found}" if found else None


def _words(home: Path, chance: random.Random, kind: str, step: int) -> list[str]:
    """A command of a kind; none where there is nothing it could be done to."""
    with open_stock(home / "a.stock") as stock:
        names = [row.name for row in stock.rows((Status.IN,))]
    plan = f"plan-{step}.json"
    if kind == "add":
        freight = ["--freight", f"{chance.randrange(1, 9999) / 100} USD"] if chance.random() < 0.5 else []
        return ["stock", "add", str(_new_hides(home, chance, step)), *freight, *STOCK]
    if kind in ("undo", "redo"):
        return ["stock", kind, *STOCK]
    if not names:
        return []
    if kind in ("sell", "lose"):
        return ["stock", kind, chance.choice(names), *STOCK]
    if kind == "correct":
        return _corrected(home, chance.choice(names), step)
    (home / "order.toml").write_text(_order(chance, step))
    if kind == "commit":
        return [*BATCH, plan, "--commit"]
    carry_out(home, [*BATCH, plan])
    laid = (home / plan).exists() and json.loads((home / plan).read_text())["layouts"]
    return ["stock", "done", plan, "--least-offcut", chance.choice(["0 cm2", "300 cm2"]), *STOCK] if laid else []


def _corrected(home: Path, name: str, step: int) -> list[str]:
    """A new description of a hide: a mark in its middle, where it has leather."""
    with open_stock(home / "a.stock") as stock:
        own = stock.find(name).read(stock.where).hide
    middle = own.polygon.representative_point().buffer(8, quad_segs=2)
    flaw = Flaw("scar", tuple((x, y) for x, y in middle.exterior.coords[:-1]), Grade.C)
    file = home / f"correct-{step}.json"
    write_hide(file, replace(own, flaws=(*own.flaws, flaw)))
    return ["stock", "correct", name, str(file), *STOCK]


def _order(chance: random.Random, step: int) -> str:
    quantity, spares = chance.randrange(2, 25), chance.choice([0, 10])
    head = f'format = "hideplan-order-1"\nname = "O-{step}"\n{chance.choice(PARTINGS)}'
    return f'{head}[[line]]\nproject = "p.toml"\nquantity = {quantity}\nspares = {spares}\n'


def _new_hides(home: Path, chance: random.Random, step: int) -> Path:
    folder = home / f"new-{step}"
    folder.mkdir(exist_ok=True)
    for place in range(chance.randrange(1, 4)):
        hide = side(100 * step + 7 * place + chance.randrange(7))
        low, left, high, right = hide.polygon.bounds
        middle = (low + high) / 2
        belly = Zone(
            "belly", ((low, left), (middle, left), (middle, right), (low, right)), chance.choice([Grade.A, Grade.B])
        )
        write_hide(folder / f"{place}.json", replace(hide, name=f"S-{step}-{place}", zones=(belly,)))
    return folder


def carry_out(home: Path, words: list[str]) -> None:
    """A command in a folder, to its end."""
    kill(lambda told: run(home, words, told), None)


def _changes(home: Path) -> int:
    with open_stock(home / "a.stock") as stock:
        return len(stock.history())
