"""How the search takes many kinds of pieces: 100 at four angles, and the 40 kinds of five products on a side."""

from __future__ import annotations

import argparse
import math
import os
import resource
import sys
import time
from collections.abc import Iterator
from typing import Any
from unittest import mock

import numpy as np

from hides.hide import Hide
from nesting.laying.case import case_of
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Progress, Settings, Watch
from scripts.bench_detail import blob

KINDS, POINTS, ANGLES = 100, 90, 4
PRODUCTS, KINDS_EACH = 5, 8
FILLED = 0.6
"""Share of the leather that the hundred pieces take."""

SIDE = 2.4e6
"""The side's area, mm²."""


def kinds(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """CPU to the first layout and in all, and memory: a hundred kinds, then five products of eight kinds each."""
    _hundred("quick", 6)  # machine code is read
    for effort in ("quick", options.effort):
        yield {"case": f"{KINDS} kinds, {effort}"} | _hundred(effort, KINDS)
    yield {"case": f"tables of {KINDS} kinds"} | _tables(KINDS)
    yield {"case": f"{PRODUCTS} products of {KINDS_EACH} kinds, {options.effort}"} | _order(options.effort)


def _hundred(effort: str, many: int) -> dict[str, Any]:
    return _timed(*_goods(many), effort)


def _tables(many: int) -> dict[str, Any]:
    """CPU of all no-fit polygons and all maps, none of them read from disk, and the rotations that they are of."""
    ground = case_of(*_goods(many)).ground
    begun = time.process_time()
    ground.inner_fits(ANGLES).ready(range(many))
    fits = time.process_time()
    with mock.patch.dict(os.environ, HIDEPLAN_CACHE=""):
        rotations = len(ground.depth_maps(ANGLES).rotations)
    told = {"rotations": rotations, "no-fit polygons, CPU s": round(fits - begun, 1)}
    return told | {"maps, CPU s": round(time.process_time() - fits, 1), "MB": _most_memory()}


def _goods(many: int) -> tuple[Hide, list[Want]]:
    """So many kinds of blobs, each once in a product, and a board on which it goes once."""
    rng = np.random.default_rng(1)
    pieces = tuple(
        Piece(f"blob {k}", blob(rng.uniform(40, 90), 2 + k % 4, 0.25, POINTS, 0.0, rng), angles=(0, 90, 180, 270))
        for k in range(many)
    )
    made = Product("goods", pieces)
    high = math.sqrt(made.area / FILLED / 2)
    board = Hide("board", ((0, 0), (2 * high, 0), (2 * high, high), (0, high)), backbone=((0, 0), (1, 0)))
    return board, [Want(made)]


def _order(effort: str) -> dict[str, Any]:
    """Five products of eight kinds on one side, of each as many as leave room for the others."""
    rng = np.random.default_rng(2)
    high = math.sqrt(SIDE / 2)
    ring = blob(high, 2, 0.1, 200, 1.0, rng)
    side = Hide("side", tuple((1.41 * x, 0.71 * y) for x, y in ring), backbone=((-high, 0), (high, 0)), edge=5.0)
    wants = []
    for number in range(PRODUCTS):
        pieces = tuple(_piece(rng, number, k) for k in range(KINDS_EACH))
        made = Product(f"product {number}", pieces)
        wants.append(Want(made, limit=max(1, int(0.9 * SIDE / PRODUCTS / made.area))))
    return _timed(side, wants, effort)


def _piece(rng: np.random.Generator, product: int, k: int) -> Piece:
    """A rounded panel, a strap or a tapered piece by turns."""
    name, wide, long = f"piece {product}.{k}", float(rng.uniform(40, 120)), float(rng.uniform(100, 300))
    if k % 3 == 0:
        return Piece(name, blob(wide, 3, 0.15, POINTS, 0.0, rng), along=Along.BACKBONE, tolerance=10.0, turn=True)
    if k % 3 == 1:
        strap = ((0.0, 0.0), (wide / 2, 0.0), (wide / 2, long), (0.0, long))
        return Piece(name, strap, count=2, along=Along.BACKBONE, tolerance=5.0, turn=True)
    return Piece(name, ((0.0, 0.0), (wide, 0.0), (0.7 * wide, long), (0.3 * wide, long)))


def _timed(hide: Hide, wants: list[Want], effort: str) -> dict[str, Any]:
    begun, told = time.process_time(), [0.0]

    def report(progress: Progress) -> None:
        if not told[0] and any(part.split()[0] != "0" for part in progress.best.split(", ") if part):
            told[0] = time.process_time() - begun

    layout = lay_out(hide, wants, Settings(effort=effort), Watch(report=report))
    return {
        "complete": " ".join(str(count.complete) for count in layout.counts),
        "at_most": " ".join(str(count.at_most) for count in layout.counts),
        "first CPU s": round(told[0], 1),
        "CPU s": round(time.process_time() - begun, 1),
        "MB": _most_memory(),
    }


def _most_memory() -> int:
    """The most memory that was in use so far, MB."""
    scale = 1e6 if sys.platform == "darwin" else 1e3  # bytes there, kilobytes here
    return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / scale)
