"""A plain hide of 2 m × 2 m full of one shape, against the densities of its best lattice without an edge.

The edge effect: a strip about as wide as the least gap between a straight edge and a lattice stays empty, of the order
of perimeter × width ÷ 4 of the area; for a piece 80 mm wide on 2 m it is about 4 × 2000 × 80 / 4 / 2000² = 4 points at
the most. It is not taken off the figures below.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterator
from typing import Any

from hides.hide import Hide
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings

KNOWN = {"circle": math.pi / math.sqrt(12), "pentagon": (5 - math.sqrt(5)) / 3, "triangle": 1.0}


def lattices(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Circles, regular pentagons and triangles 80 mm across."""
    hide = Hide("plain", ((0, 0), (2000, 0), (2000, 2000), (0, 2000)), backbone=((0, 0), (2000, 0)))
    for name, ring in (("circle", _regular(48)), ("pentagon", _regular(5)), ("triangle", _regular(3))):
        if options.only not in name:
            continue
        started = time.monotonic()
        layout = lay_out(hide, [Want(Product(name, (Piece(name, ring),)))], Settings(effort=options.effort))
        areas = layout.hides[0].areas
        yield {
            "shape": name,
            "pieces": layout.counts[0].complete,
            "density": round(100 * areas.pieces / areas.hide, 2),
            "no_edge": round(100 * KNOWN[name], 2),
            "seconds": round(time.monotonic() - started, 1),
        }


def _regular(corners: int) -> tuple[tuple[float, float], ...]:
    turns = [2 * math.pi * (k + 0.25) / corners for k in range(corners)]
    return tuple((40 * math.cos(t), 40 * math.sin(t)) for t in turns)
