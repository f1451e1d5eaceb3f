"""The attacks' frame: every kind runs so many cases, each from a seed of its own, and counts what was false.

Case k of a run has the seed S + k, so that a run may be cut anywhere and gone on with: `--seed` names the first. Each
kind is bounded in cases and time; what it could not do in its time is said. A fault is told with its seed. With
`--resume` the next seed, the cases of every commit and the faults are kept in a file; with `--portion` kinds take
turns.
"""

from __future__ import annotations

import argparse
import math
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from scripts import (
    attack_books,
    attack_check,
    attack_kills,
    attack_layouts,
    attack_many,
    attack_metamorphic,
    attack_mixed,
    attack_mutations,
    attack_signals,
    attack_single,
)
from scripts.attack_state import State

Case = Callable[[int], str | None]
"""One case of a seed: None where all held, else what was false."""


@dataclass(frozen=True)
class Kind:
    """A kind of attack: its case, how many it runs where nobody says, and its longest time in seconds."""

    case: Case
    cases: int
    seconds: float = 3000.0
    met: Callable[[], str] = str
    """What its cases met, for the line at the end; nothing where nobody counts."""


HANG = 600.0
"""Seconds beyond its turn after which a kind's process is taken to hang."""

KINDS = {
    "single": Kind(attack_single.case, 50_000),
    "many": Kind(attack_many.case, 5_000),
    "mixed": Kind(attack_mixed.case, 5_000, met=attack_mixed.told_met),
    "layouts": Kind(attack_layouts.case, 10_000),
    "check": Kind(attack_check.case, 2_000),
    "metamorphic": Kind(attack_metamorphic.case, 2_000),
    "mutations": Kind(attack_mutations.case, 100_000),
    "signals": Kind(attack_signals.case, 500),
    "books": Kind(attack_books.case, 200, met=attack_books.told_met),
    "kills": Kind(attack_kills.case, 1000, met=attack_kills.told_met),
}


def main() -> int:
    parser = argparse.ArgumentParser(prog="scripts/attack", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"kinds [all]: {', '.join(KINDS)}")
    parser.add_argument("--cases", type=int, help="so many of each kind [what the kind says]")
    parser.add_argument("--seed", type=int, default=1, help="the first case's seed [1]")
    parser.add_argument("--resume", type=Path, metavar="FILE", help="go on from what the file says, and keep it there")
    parser.add_argument("--seconds", type=float, help="the longest time, of each kind or of the rounds [what it says]")
    parser.add_argument("--portion", type=float, metavar="S", help="with --resume: kinds by turns of S seconds")
    options = parser.parse_args()
    unknown = [name for name in options.names if name not in KINDS]
    if unknown:
        parser.error(f"unknown kind “{unknown[0]}”: choose of {', '.join(KINDS)}")
    if options.portion and not options.resume:
        parser.error("--portion goes with --resume")
    names = options.names or list(KINDS)
    if options.portion:
        return rounds(names, options.resume, options.portion, options.seconds or math.inf)
    state = State(options.resume, options.seed)
    for name in names:
        attack(name, state, options.cases, options.seconds)
    return 1 if any(state.of(name).faults for name in names) else 0


def attack(name: str, state: State, cases: int | None, seconds: float | None) -> None:
    """Run a kind from where it stands until its cases are done or its time is up."""
    kind, progress, started = KINDS[name], state.of(name), time.monotonic()
    while progress.done < (kind.cases if cases is None else cases):
        if time.monotonic() - started > (kind.seconds if seconds is None else seconds):
            print(f"{name}: out of time before seed {progress.next}", flush=True)
            break
        seed = progress.next
        told = _told(kind.case, seed)
        state.add(name, seed, told)
        if told is not None:
            print(f"{name}, seed {seed}: {told}", flush=True)
    state.keep()
    met = kind.met()
    print(f"{name}: {progress.done} cases, {len(progress.faults)} faults{f' ({met})' if met else ''}", flush=True)


def rounds(names: list[str], path: Path, portion: float, seconds: float) -> int:
    """The kinds by turns, each turn in a process of its own, until all are done or the time is up."""
    started = time.monotonic()
    while True:
        progress = State(path, 1)
        left = [name for name in names if progress.of(name).done < KINDS[name].cases]
        if not left or time.monotonic() - started > seconds:
            return 1 if any(progress.of(name).faults for name in names) else 0
        for name in left:
            turn(name, path, portion)


def turn(name: str, path: Path, seconds: float) -> None:
    """A kind's turn; that it did not end, or ended by a crash, is a fault of the case it was at."""
    words = [name, "--resume", str(path), "--seconds", str(seconds)]
    going = subprocess.Popen([sys.executable, "-m", "scripts.attack_all", *words])
    try:
        ended = (
            f"the attack's own process ended with {status}"
            if (status := going.wait(seconds + HANG)) not in (0, 1)
            else None
        )
    except subprocess.TimeoutExpired:
        going.kill()
        going.wait()
        ended = "a case did not end"
    if ended:
        state = State(path, 1)
        state.add(name, state.of(name).next, ended)


def _told(case: Case, seed: int) -> str | None:
    """What a case found; a crash is a fault like any other."""
    try:
        return case(seed)
    except Exception as error:
        return f"{type(error).__name__}: {error}"


if __name__ == "__main__":
    sys.exit(main())
