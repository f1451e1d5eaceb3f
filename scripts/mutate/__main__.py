"""Changes one thing at a time in check, bound, stock and units and asks whether a test notices.

`nice -n 19 python -m scripts.mutate --resume FILE` measures once which lines every test runs, then tries each change in
a forked child: the changed function is put in place of the right one, and only the tests that run its line are run,
quickest first, up to the first that fails. A change that counts while a module is loaded is tried from the beginning:
in a child that has loaded nothing of ours yet. Nothing in the checkout is written to. What is in FILE already is not
done again, but for what went unnoticed; with `--patient` that is asked of the slow tests too, and of those that run the
bounds and the check as the program does. `equivalent.toml` beside this lists the changes that change nothing, each with
its reason; they are not counted.
"""

from __future__ import annotations

import argparse
import gc
import hashlib
import importlib
import json
import os
import random
import re
import sys
import tempfile
import tomllib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

from scripts.mutate.changes import ROOT, Change, changes
from scripts.mutate.reach import Loader, fork, passed, reached, say, telling

STOCK = ("ledger", "recount", "slips", "stock", "stock_by_hand", "stock_command", "stock_files")
PLACES = {
    "hides/units.py": ("making", "units", "wording"),
    "hides/stock": STOCK,
    "nesting/stock": STOCK,
    "nesting/check": ("check", "check_by_hand", "check_straight", "check_wishes", "slips"),
    "nesting/bound": ("bound", "bound_by_hand", "second_proofs", "slips"),
}
"""What is changed, and the tests that are asked about it."""
PROOFS = ("attacks", "areas", "claims", "depth_maps", "tight", "planner", "lay_out", "layout_file", "straight",
          "make_plan", "answer_gap", "odd_input", "pairs", "places")  # fmt: skip
PATIENT = {
    "hides/units.py": (),
    "hides/stock": ("stock_kill", "belonging", "growing_stock", "make_plan"),
    "nesting/stock": ("stock_kill", "belonging", "growing_stock", "make_plan", "attacks"),
    "nesting/check": PROOFS,
    "nesting/bound": PROOFS,
}
"""The tests that are asked besides, with patience."""
HEAVY = ("numpy", "shapely", "scipy.optimize", "ortools.sat.python.cp_model", "numba", "matplotlib.figure",
         "ezdxf", "PIL.Image", "tomlkit", "skimage.graph")  # fmt: skip


@dataclass(frozen=True)
class Round:
    """Which tests are asked of a place's changes, and how much: CPU seconds of one test, of all for one change, and to
    measure once which lines they run, which is kept under `name`."""

    name: str
    tests: dict[str, tuple[str, ...]]
    slowest: float
    most: float
    measuring: float

    @property
    def files(self) -> list[str]:
        return sorted({name for tests in self.tests.values() for name in tests})


QUICK = Round("tests", PLACES, 1.0, 4.0, 3000)
SLOW = Round("patient", {place: (*tests, *PATIENT[place]) for place, tests in PLACES.items()}, 40.0, 100.0, 20_000)


def files(only: str) -> list[Path]:
    """The files that are changed."""
    found = [p for place in PLACES for p in (sorted((ROOT / place).rglob("*.py")) or [ROOT / place])]
    return [path for path in found if str(path.relative_to(ROOT)).startswith(only)]


class Kept:
    """What is known so far, in a file of its own."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.data: dict[str, Any] = json.loads(path.read_text()) if path.exists() else {"tests": {}, "noticed": {}}

    def write(self) -> None:
        beside = self.path.with_suffix(".new")
        beside.write_text(json.dumps(self.data))
        beside.replace(self.path)


class Session:
    """Stands in for pytest's own loop: what it does with the tests that were found is handed in."""

    def __init__(self, loop: Any) -> None:
        self.loop = loop

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.loop(session.items)
        return True


def with_tests(names: Sequence[str], loop: Any) -> None:
    """Has pytest find the tests of some files and hands them to the loop; only for a child: its output is shut."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    pytest.main(["-q", "--assert=plain", "-p", "no:cacheprovider", *names], plugins=[Session(loop)])


def measured(kept: Kept, asking: Round) -> None:
    """Brings up to date which lines the tests run: those of test files that changed, all where the code did."""
    code = _digest(files(""))
    if kept.data.get("code") != code:
        kept.data.update(code=code, tests={}, patient={})
    paths = {name: ROOT / "tests" / f"test_{name}.py" for name in asking.files}
    known = kept.data.setdefault(asking.name, {})
    stale = {name: _digest([p]) for name, p in paths.items() if known.get(name, {}).get("digest") != _digest([p])}
    if not stale:
        return
    with tempfile.NamedTemporaryFile("r") as told:

        def work() -> int:
            for file in files(""):
                sys.meta_path.insert(0, Loader(file, str(file.relative_to(ROOT)), partial(telling, file)))

            def loop(items: list[pytest.Item]) -> None:
                Path(told.name).write_text(json.dumps(reached(items, asking.slowest)))

            with_tests([str(paths[name]) for name in stale], loop)
            return 0

        fork(work, asking.measuring)
        reach = json.loads(told.read() or "{}")
    for name, digest in stale.items():
        own = {test: found for test, found in reach.items() if test.startswith(f"tests/test_{name}.py::")}
        known[name] = {"digest": digest, "reach": own}
        say(f"test_{name}.py: {sum(found['seconds'] for found in own.values()):.0f} s of CPU")
    kept.write()


def _digest(paths: list[Path]) -> str:
    return hashlib.sha256(b"".join(path.read_bytes() for path in paths)).hexdigest()


def place_of(change: Change) -> str:
    """The place of `PLACES` that a change is made in."""
    return next(place for place in PLACES if change.path.startswith(place))


def asked(change: Change, kept: Kept, asking: Round) -> list[str]:
    """The tests that run the line of a change, quickest first; of one made as a module is loaded, any."""
    found = []
    own = asking.tests[place_of(change)]
    for told in (kept.data[asking.name].get(name, {"reach": {}}) for name in own):
        for name, test in told["reach"].items():
            lines = test["lines"].get(str(ROOT / change.path), [])
            if change.function is None or set(lines) & set(change.lines):
                found.append((test["seconds"], name))
    names, left = [], asking.most
    for seconds, name in sorted(found):
        left -= seconds
        if seconds <= asking.slowest and left > 0:
            names.append(name)
    return names


Functions = dict[tuple[str, str, int], list[FunctionType]]


def functions_of(paths: Sequence[Path]) -> Functions:
    """All functions there are of some files, wherever they are held, by file, name and line."""
    found: Functions = {}
    named = {str(path) for path in paths}
    for held in gc.get_objects():
        if isinstance(held, FunctionType) and held.__code__.co_filename in named:
            found.setdefault(_place(held.__code__), []).append(held)
    return found


def put(change: Change, functions: Functions) -> bool:
    """Puts the changed function in place of the right one."""
    assert change.function is not None
    code = change.code
    for name in change.function.split("."):
        code = [c for c in code.co_consts if isinstance(c, CodeType) and c.co_name == name][-1]
    for function in functions.get(_place(code), []):
        function.__code__ = code
    return _place(code) in functions


def _place(code: CodeType) -> tuple[str, str, int]:
    return code.co_filename, code.co_qualname, code.co_firstlineno


def quickly(wanted: list[Change], kept: Kept, asking: Round) -> None:
    """Tries changes within functions, each in a child of this process, which has all tests loaded."""
    names = sorted({f"{ROOT}/{test.split('::')[0]}" for change in wanted for test in asked(change, kept, asking)})

    def loop(items: list[pytest.Item]) -> None:
        by_name = {item.nodeid: item for item in items}
        functions = functions_of(files(""))
        gc.freeze()  # children share what is there
        for number, change in enumerate(wanted):
            tests = [by_name[name] for name in asked(change, kept, asking) if name in by_name]

            def work(change: Change = change, tests: list[pytest.Item] = tests) -> int:
                return 0 if put(change, functions) and all(_run(tests)) else 1

            status = fork(work, 2 * asking.most) if tests else 0
            kept.data["noticed"][change.key] = status != 0
            if number % 10 == 9 or change is wanted[-1]:
                kept.write()
                say(f"{number + 1} of {len(wanted)} tried")

    if names:
        with_tests(names, loop)
    else:
        kept.data["noticed"].update((change.key, False) for change in wanted)


def _run(tests: list[pytest.Item]) -> Any:
    for test, then in zip(tests, [*tests[1:], None], strict=True):
        yield passed(test, then)


def afresh(change: Change, kept: Kept, asking: Round) -> bool:
    """Whether a test notices a change that was there before anything of ours was loaded."""
    tests = asked(change, kept, asking)

    def work() -> int:
        sys.meta_path.insert(0, Loader(ROOT / change.path, change.path, lambda: change.code))
        told: list[str] = []

        def loop(items: list[pytest.Item]) -> None:
            by_name = {item.nodeid: item for item in items}
            found = all(name in by_name for name in tests)  # or the tests' files could not be loaded
            told.append("passed" if found and all(_run([by_name[name] for name in tests])) else "failed")

        with_tests(sorted({f"{ROOT}/{test.split('::')[0]}" for test in tests}), loop)
        return 0 if told == ["passed"] else 1

    return bool(tests) and fork(work, 240 + 2 * asking.most) != 0


def score(known: list[Change], kept: Kept, equivalent: set[str]) -> None:
    """Prints what was noticed of every place, and all that was not."""
    tried: Counter[str] = Counter()
    noticed: Counter[str] = Counter()
    same: Counter[str] = Counter()
    for change in known:
        place = place_of(change)
        if change.key not in kept.data["noticed"]:
            continue
        if kept.data["noticed"][change.key]:
            noticed[place] += 1
        elif change.key in equivalent:
            same[place] += 1
            continue
        else:
            print(f"not noticed: {change.path}:{change.lines[0]}: {change.text}    [{change.what} | {change.number}]")
        tried[place] += 1
    for place in [*tried, ""]:
        got, of, left = (sum(c.values()) if not place else c[place] for c in (noticed, tried, same))
        print(f"{place or 'all'}: {got} of {of} noticed ({100 * got / max(of, 1):.1f} %), {left} more equivalent")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, help="so many changes of each place [all]")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="only files whose path begins so")
    parser.add_argument("--resume", type=Path, help="the file of what is known so far [none]")
    parser.add_argument("--patient", action="store_true", help="asks the slow tests about what went unnoticed")
    parser.add_argument("--score", action="store_true", help="only tells what is known so far")
    options = parser.parse_args()
    os.environ["HIDEPLAN_CACHE"] = ""
    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    for name in HEAVY:
        importlib.import_module(name)
    with tempfile.TemporaryDirectory() as place:
        kept = Kept(options.resume or Path(place) / "known.json")
        known = [change for path in files(options.only) for change in changes(path)]
        if options.most is not None:
            known = sampled(known, options.most, options.seed)
        listed = tomllib.loads((Path(__file__).parent / "equivalent.toml").read_text(encoding="utf-8"))["equivalent"]
        equivalent = {change.key for change in known if any(_is(change, entry) for entry in listed)}
        if not options.score:
            try_all(known, kept, equivalent, SLOW if options.patient else QUICK)
        score(known, kept, equivalent)


def try_all(known: list[Change], kept: Kept, equivalent: set[str], asking: Round) -> None:
    """Tries what is not yet known to be noticed."""
    measured(kept, asking)
    wanted = [c for c in known if not kept.data["noticed"].get(c.key) and c.key not in equivalent]
    within = [change for change in wanted if change.function is not None]
    if within:

        def work() -> int:
            quickly(within, kept, asking)
            return 0

        fork(work, 100_000)
        kept.data = Kept(kept.path).data
    for change in wanted:
        if change.function is None:
            kept.data["noticed"][change.key] = afresh(change, kept, asking)
            kept.write()


def sampled(known: list[Change], most: int, seed: int) -> list[Change]:
    """At most so many of every place, the same each time."""
    chance = random.Random(seed)
    found = []
    for place in PLACES:
        of = [change for change in known if change.path.startswith(place)]
        found += sorted(chance.sample(of, min(most, len(of))), key=of.index)
    return found


def _is(change: Change, entry: dict[str, Any]) -> bool:
    """Whether a change is one of those listed; stars in file and line stand for anything."""
    return (
        _fits(change.path, entry["file"])
        and _fits(change.text, entry["line"])
        and change.what == entry["change"]
        and entry.get("number", change.number) == change.number
    )


def _fits(text: str, pattern: str) -> bool:
    return re.fullmatch(".*".join(map(re.escape, pattern.split("*"))), text) is not None


if __name__ == "__main__":
    main()
