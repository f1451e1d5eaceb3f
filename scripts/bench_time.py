"""Whether `--time T` ends within T + 2 s: every command that searches, on the scenario and on awkward cases.

Each command is run as a user runs it, files and sheets included; told are wall-clock seconds beyond T and the CPU
seconds of all its processes, which show where a busy machine, not the program, took the time.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hides.hide_file import write_hide
from scripts.bench_stock import CASES as CASES_OF_STOCK
from scripts.bench_stock import varied

ROOT = Path(__file__).parent.parent
HOME = ROOT / "nesting" / "scenario"
CASES = ROOT.parent / "shared" / "cases"
"""Awkward cases, where they lie beside the checkout."""
SECONDS = (1, 5)
ALLOWED = 2.0


def commands() -> Iterator[tuple[str, list[str]]]:
    """Names and words of the commands, their `--time` left open."""
    rack, leathers = str(HOME / "map-rack.toml"), str(HOME / "leathers.toml")
    batch = ["batch", str(HOME / "order.toml"), "--hides", str(HOME), "--effort", "thorough", "--out", "a.json"]
    for hide in ("side-1", "shoulder-1"):
        yield f"yield {hide}", ["yield", str(HOME / f"{hide}.json"), rack, "--effort", "thorough", "--sheet", "a.pdf"]
    yield "yield tool-roll", ["yield", str(HOME / "side-2.json"), str(HOME / "tool-roll.toml"), "--out", "a.json"]
    strips = ["yield", str(HOME / "side-2.json"), str(HOME / "belt.toml"), "--straight", "--sheet", "a.pdf"]
    yield "yield straight", strips
    shell = ["--leather", "shell", "--out", "a.json"]
    yield "yield satchel", ["yield", str(HOME / "side-1.json"), str(HOME / "satchel.toml"), *shell]
    yield "batch", batch
    yield "batch alone", [*batch, "--workers", "1"]
    yield "batch drawn", [*batch, "--sheet", "a.pdf", "--csv", "a.csv"]
    yield "batch of 84 hides", ["batch", "ORDER", "--hides", "HIDES", "--effort", "quick", "--out", "a.json"]
    yield "compare", ["compare", rack, leathers, "--effort", "thorough", "--out", "a.pdf"]
    if CASES.is_dir():
        yield "yield angles", ["yield", str(HOME / "bend-1.json"), str(CASES / "angles.toml"), "--effort", "quick"]
        for case, product in (("noisy", "noisy-400"), ("min", "min"), ("slanting-80", "slanting")):
            yield f"yield {product}", ["yield", str(CASES / f"{case}.json"), str(CASES / f"{product}.toml")]


def times(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """A row a command and T: seconds beyond T, CPU seconds, exit status, and whether it kept within T + 2 s."""
    for name, words in commands():
        for seconds in SECONDS:
            if options.only in name:
                yield {"case": name, "T": seconds, **timed([*words, "--time", str(seconds)], seconds)}


def fill(home: Path) -> dict[str, str]:
    """A folder of many hides and an order that takes most of them, made in a folder; what words stand for them."""
    hides, order, case = home / "hides", home / "order.toml", CASES_OF_STOCK["racks"]
    hides.mkdir()
    for number in range(case.hides):
        write_hide(hides / f"{number}.json", varied(number))
    lines = [f'[[line]]\nproject = "{HOME / name}.toml"\nquantity = {many}\n' for name, many in case.wanted.items()]
    order.write_text('format = "hideplan-order-1"\nname = "many"\n' + "".join(lines))
    return {"HIDES": str(hides), "ORDER": str(order)}


def timed(words: list[str], seconds: float) -> dict[str, Any]:
    with tempfile.TemporaryDirectory(prefix="bench-time-") as home:
        made = fill(Path(home)) if "HIDES" in words else {}
        words = [made.get(word, word) for word in words]
        before, started = os.times(), time.monotonic()
        done = subprocess.run(
            [sys.executable, "-m", "nesting", *words], cwd=home, env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True, check=False,
        )  # fmt: skip
        over, after = time.monotonic() - started - seconds, os.times()
    used = after.children_user + after.children_system - before.children_user - before.children_system
    return {"beyond": round(over, 2), "cpu": round(used, 2), "status": done.returncode, "kept": over <= ALLOWED}
