"""How time grows with the points of an outline: the same pieces, then the same hide, in ever more points that waver."""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterator
from typing import Any

import numpy as np

from hides.hide import Hide, Ring
from nesting.check import faults
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings, Watch

KINDS, PIECES = 6, 80
NOISE = 0.3
"""How far a digitiser's points stray, mm, either way."""

FILLED = 0.6
"""Share of the leather that the pieces take."""


def detail(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """CPU of a layout of 80 pieces in ever more points, and of its check; then of hides in ever more points."""
    _pieces(50, NOISE, 1)  # machine code is read
    for points in (50, 100, 200, 400, 800):
        yield {"case": f"80 pieces of {points} points"} | _pieces(points, NOISE, options.seeds)
    for points in (100, 1000, 10_000):
        yield {"case": f"hide of {points} points"} | _hide(points)


def _pieces(points: int, noise: float, seeds: int) -> dict[str, Any]:
    rng = np.random.default_rng(points)
    rings = [blob(70.0, 3 + k % 4, 0.2 + 0.02 * k, points, noise, rng) for k in range(KINDS)]
    counts = [PIECES // KINDS + (k < PIECES % KINDS) for k in range(KINDS)]
    pieces = [
        Piece(f"blob {k}", ring, count=many, angles=(0.0, 90.0, 180.0, 270.0))
        for k, (ring, many) in enumerate(zip(rings, counts, strict=True))
    ]
    made = Product("goods", tuple(pieces))
    high = math.sqrt(made.area / FILLED / 2)
    board = Hide("board", ((0, 0), (2 * high, 0), (2 * high, high), (0, high)), backbone=((0, 0), (1, 0)))
    return min((_timed(board, made, seed) for seed in range(1, seeds + 1)), key=lambda row: row["CPU s"])


def _hide(points: int) -> dict[str, Any]:
    rng = np.random.default_rng(points)
    side = Hide("side", blob(700.0, 2, 0.15, points, NOISE, rng), backbone=((-700, 0), (700, 0)), edge=8.0)
    strap = Piece("strap", ((0, 0), (40, 0), (40, 400), (20, 420), (0, 400)))
    return _timed(side, Product("strap", (strap, Piece("tab", ((0, 0), (90, 0), (60, 120), (30, 120)), count=2))), 1)


def _timed(hide: Hide, made: Product, seed: int) -> dict[str, Any]:
    begun = time.process_time()
    layout = lay_out(hide, [Want(made, limit=20)], Settings(effort="quick", seed=seed), Watch())
    laid = time.process_time()
    faults(layout)
    return {
        "complete": layout.counts[0].complete,
        "CPU s": round(laid - begun, 2),
        "check s": round(time.process_time() - laid, 2),
    }


def blob(size: float, bays: int, deep: float, points: int, noise: float, rng: np.random.Generator) -> Ring:
    """A blob with bays in so many points, each nearer or farther by up to `noise`."""
    turn = np.linspace(0, 2 * math.pi, points, endpoint=False)
    reach = size * (1 + deep * np.sin(bays * turn)) + rng.uniform(-noise, noise, points)
    at = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
    return tuple((float(x), float(y)) for x, y in at)
