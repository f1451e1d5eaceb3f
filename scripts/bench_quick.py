"""How far seeds of one effort differ, and quick from normal: the scenario's pairings, seed by seed."""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Iterator
from typing import Any

from hides.hide import Hide
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Product
from nesting.model.settings import Settings
from scripts.bench_planted import pairings

SEEDS = 10


def quick(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Products that ten seeds of quick hold, how many seeds hold fewer than the best, and what they take."""
    for name, hide, made in pairings():
        if options.only in name:
            yield {"case": name} | _seeds(hide, made)


def _seeds(hide: Hide, made: Product) -> dict[str, Any]:
    cpu, wall = time.process_time(), time.monotonic()
    found = [lay_out(hide, [Want(made)], Settings(effort="quick", seed=seed)).counts[0] for seed in range(1, SEEDS + 1)]
    many = Counter(count.complete for count in found)
    return {
        "complete": " ".join(f"{number}×{times}" for number, times in sorted(many.items())),
        "short of the best": SEEDS - many[max(many)],
        "at_most": min(count.at_most for count in found),
        "CPU s each": round((time.process_time() - cpu) / SEEDS, 1),
        "s each": round((time.monotonic() - wall) / SEEDS, 1),
    }
