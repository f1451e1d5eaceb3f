"""The attacks' frame: every kind runs so many cases, each from a seed of its own, and counts what was false.

Case k of a run has the seed S + k, so that a run may be cut anywhere and gone on with: `--seed` names the first. Each
kind is bounded in cases and time; what it could not do in its time is said. A fault is told with its seed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass

from scripts import (
    attack_books,
    attack_check,
    attack_kills,
    attack_layouts,
    attack_many,
    attack_metamorphic,
    attack_mutations,
    attack_signals,
    attack_single,
)

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


KINDS = {
    "single": Kind(attack_single.case, 50_000),
    "many": Kind(attack_many.case, 5_000),
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
    options = parser.parse_args()
    unknown = [name for name in options.names if name not in KINDS]
    if unknown:
        parser.error(f"unknown kind “{unknown[0]}”: choose of {', '.join(KINDS)}")
    faults = 0
    for name in options.names or KINDS:
        kind = KINDS[name]
        faults += attack(name, kind, kind.cases if options.cases is None else options.cases, options.seed)
    return 1 if faults else 0


def attack(name: str, kind: Kind, cases: int, first: int) -> int:
    """Run a kind; how many faults it found."""
    started, done, faults = time.monotonic(), 0, 0
    for seed in range(first, first + cases):
        if time.monotonic() - started > kind.seconds:
            print(f"{name}: out of time before seed {seed}", flush=True)
            break
        told = _told(kind.case, seed)
        done += 1
        if told is not None:
            faults += 1
            print(f"{name}, seed {seed}: {told}", flush=True)
    met = kind.met()
    print(f"{name}: {done} cases, {faults} faults{f' ({met})' if met else ''}", flush=True)
    return faults


def _told(case: Case, seed: int) -> str | None:
    """What a case found; a crash is a fault like any other."""
    try:
        return case(seed)
    except Exception as error:
        return f"{type(error).__name__}: {error}"


if __name__ == "__main__":
    sys.exit(main())
