"""How time and memory grow: 50 to 3,200 pieces, the first layout and all; 400 small curved pieces at many angles."""

from __future__ import annotations

import argparse
import resource
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
from shapely.geometry import Point, box

from hides.hide import Hide
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Piece, Product
from nesting.model.settings import Progress, Settings, Watch

KIT = 5
FILLED = 0.5
"""Share of the leather that the pieces take: what is asked for goes on at the first try."""

GOES = 0.85
"""Share of the leather that as many as go take, about."""


def growth(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Time to the first layout and in all as pieces and leather double; then many curved pieces at the effort."""
    _first(1)  # machine code is read
    before = 0.0
    for pieces in (50, 100, 200, 400, 800, 1600, 3200):
        seconds = min(_first(pieces // KIT) for _ in range(options.seeds))
        row = {"case": f"{pieces} pieces", "seconds to the first": round(seconds, 2)}
        yield row | ({"times the one before": round(seconds / before, 2)} if before else {})
        before = seconds
    before = 0.0
    for pieces in (50, 100, 200, 400, 800, 1600, 3200):
        row = _as_many_as_go(pieces // KIT)
        yield row | ({"times the one before": round(row["CPU s"] / before, 2)} if before else {})
        before = row["CPU s"]
    yield _curved(options.effort)


def _as_many_as_go(kits: int) -> dict[str, Any]:
    """CPU of a whole quick search for as many kits as go on leather for about so many."""
    made = _kit()
    begun = time.process_time()
    layout = lay_out(_board(kits * made.area / GOES), [Want(made)], Settings(effort="quick"), Watch())
    told = {"case": f"as many as go, about {kits * KIT} pieces", "complete": layout.counts[0].complete}
    return told | {"at_most": layout.counts[0].at_most, "CPU s": round(time.process_time() - begun, 2)}


def _first(kits: int) -> float:
    """Seconds until there is a layout of so many kits of five."""
    made = _kit()
    started = time.monotonic()
    told = [0.0]

    def report(progress: Progress) -> None:
        if not told[0] and not progress.best.startswith("0"):
            told[0] = time.monotonic() - started

    lay_out(_board(kits * made.area / FILLED), [Want(made, limit=kits)], Settings(effort="quick"), Watch(report=report))
    return told[0] or time.monotonic() - started


def _kit() -> Product:
    rng = np.random.default_rng(1)
    return Product("kit", tuple(_piece(rng, k) for k in range(KIT)))


def _piece(rng: np.random.Generator, number: int) -> Piece:
    """Straps, tapered and round-ended pieces by turns."""
    wide, long = rng.uniform(30, 60), rng.uniform(80, 220)
    shapes = (
        box(0, 0, wide, long),
        box(0, 0, wide, long).union(Point(wide / 2, long).buffer(wide / 2, quad_segs=8)),
        Point(0, 0).buffer(wide, quad_segs=8),
    )
    shape = shapes[number % len(shapes)]
    return Piece(f"piece {number}", tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1]))


def _curved(effort: str) -> dict[str, Any]:
    """400 small leaves with a bay, each at sixteen angles."""
    leaf = Point(0, 0).buffer(24).intersection(Point(26, 0).buffer(24)).difference(Point(13, 22).buffer(8))
    ring = tuple((float(x), float(y)) for x, y in leaf.exterior.coords[:-1])
    made = Product("leaf", (replace(Piece("leaf", ring), angles=tuple(22.5 * k for k in range(16))),))
    started = time.monotonic()
    layout = lay_out(_board(400 * made.area / 0.75), [Want(made, limit=400)], Settings(effort=effort), Watch())
    scale = 1e6 if sys.platform == "darwin" else 1e3  # bytes there, kilobytes here
    return {
        "case": "400 leaves, 16 angles",
        "complete": layout.counts[0].complete,
        "at_most": layout.counts[0].at_most,
        "seconds": round(time.monotonic() - started, 1),
        "MB": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / scale),
    }


def _board(area: float) -> Hide:
    """A plain board of an area, two by one, its backbone along it."""
    high = float(np.sqrt(area / 2))
    return Hide("board", ((0, 0), (2 * high, 0), (2 * high, high), (0, high)), backbone=((0, 0), (1, 0)))
