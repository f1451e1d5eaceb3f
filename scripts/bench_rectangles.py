"""Rectangles: sets that fill their object exactly, and squares 1 … n in their smallest rectangle."""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Iterator
from typing import Any

from hides.hide import Hide
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings
from scripts.bench_strips import BENCHMARKS

SCALE = 10.0


def rectangles(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Hopper and Turton's C1-C3, squared rectangles, consecutive squares."""
    if not BENCHMARKS.is_dir():
        print(f"the public instances are not here ({BENCHMARKS})")
        return
    for name, sizes, wide, high in _cases():
        if options.only not in name:
            continue
        started = time.monotonic()
        layout = lay_out(_board(wide, high), [Want(_all(sizes))], Settings(effort=options.effort))
        yield {
            "case": name,
            "pieces": len(sizes),
            "filled": layout.counts[0].complete,
            "seconds": round(time.monotonic() - started, 1),
        }


def _cases() -> Iterator[tuple[str, list[tuple[float, float]], float, float]]:
    data = json.loads((BENCHMARKS / "hopper_turton_C.json").read_text())["instances"]
    for name, case in data.items():
        if name[:2] in ("C1", "C2", "C3"):
            yield name, [(w, h) for h, w in case["rects_h_w"]], case["width"], case["optimal_height"]
    for name, case in json.loads((BENCHMARKS / "squared.json").read_text()).items():
        yield name, [(s, s) for _, _, s in case["squares"]], case["W"], case["H"]
    known = json.loads((BENCHMARKS / "consecutive_squares.json").read_text())["rect"]
    for n in range(6, 11):
        yield f"squares 1-{n}", [(k, k) for k in range(1, n + 1)], *known[str(n)]


def _board(wide: float, high: float) -> Hide:
    w, h = SCALE * wide, SCALE * high
    return Hide("board", ((0, 0), (w, 0), (w, h), (0, h)), backbone=((0, 0), (w, 0)))


def _all(sizes: list[tuple[float, float]]) -> Product:
    pieces = [
        Piece(f"{k}", ((0, 0), (SCALE * w, 0), (SCALE * w, SCALE * h), (0, SCALE * h)), angles=(0.0, 90.0))
        for k, (w, h) in enumerate(sizes)
    ]
    return Product("all", tuple(pieces))
