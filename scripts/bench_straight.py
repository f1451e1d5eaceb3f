"""Straight plans against free layouts: products, leather and CPU time on ten generated hides of straps and rectangles.

`python -m scripts.bench_straight [--only N]` prints a line a hide. The hides are the typical side with its outline
shaken, flaws strewn over it, and products of straps and rectangles drawn at random; none is a test's or a demo's.
"""

from __future__ import annotations

import argparse
import json
import math
import time

import numpy as np
from shapely.geometry import Polygon

from hides.hide import Flaw, Grade, Hide
from hides.typical import typical_hide
from nesting.laying.lay_out import lay_out
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules
from nesting.model.want import Want

HIDES = 10
WIDTHS = (20, 25, 32, 38, 45)


def main() -> None:
    """A line for every hide: products and CPU seconds, free and straight."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", type=int, help="only the hide of this number")
    parser.add_argument("--effort", default="normal", help="of the free layout and the straight one [normal]")
    parser.add_argument("--straight-only", action="store_true", help="leave the free layouts out")
    options = parser.parse_args()
    _run(1000, options.effort, False)  # what is compiled and loaded once is no one's
    for number in range(1, HIDES + 1):
        if options.only in (None, number):
            print(json.dumps({"hide": number} | _run(number, options.effort, not options.straight_only)), flush=True)


def _run(number: int, effort: str, free_too: bool) -> dict[str, object]:
    hide, product = generated(number)
    told: dict[str, object] = {"pieces": sum(piece.count for piece in product.pieces)}
    for name, rules in (("straight", StraightRules()), ("free", None)):
        if name == "free" and not free_too:
            continue
        started = time.process_time()
        layout = lay_out(hide, [Want(product)], Settings(effort=effort, straight=rules))
        told |= {
            name: layout.counts[0].complete,
            f"{name} leather": round(layout.hides[0].areas.pieces),
            f"{name} s": round(time.process_time() - started, 2),
            "at most": layout.counts[0].at_most,
        }
        plan = layout.hides[0].straight
        if plan:
            told |= {"straight at most": plan.at_most, "lines": len(plan.blocks)}
    return told


def generated(number: int) -> tuple[Hide, Product]:
    """A side and a product of one to three kinds of straps and up to two of rectangles, by the number alone."""
    rng = np.random.default_rng((17, number))
    scale = math.sqrt(float(rng.uniform(0.5, 1.0)))
    typical = typical_hide("side", 1.9e6)
    ring = np.array(typical.outline) * scale
    ring += rng.normal(0, 3.0, ring.shape)
    outline = tuple((float(x), float(y)) for x, y in ring)
    inner = Polygon(outline).buffer(-40)
    flaws = []
    while len(flaws) < int(rng.integers(3, 12)):
        x, y = (float(rng.uniform(a, b)) for a, b in zip(inner.bounds[:2], inner.bounds[2:], strict=True))
        turns = np.linspace(0, 2 * math.pi, 10, endpoint=False)
        spot = tuple((x + float(rng.uniform(4, 18)) * math.cos(t), y + 6 * math.sin(t)) for t in turns)
        if inner.contains(Polygon(spot)):
            flaws.append(Flaw("scar", spot, Grade.NONE, 2.0))
    backbone = typical.backbone
    assert backbone is not None
    spine = tuple((x * scale, y * scale) for x, y in backbone)
    hide = Hide(f"generated {number}", outline, "side", backbone=spine, edge=5.0, flaws=tuple(flaws))  # type: ignore[arg-type]
    straps = [
        _rectangle(f"strap {k}", float(rng.choice(WIDTHS)), float(rng.integers(20, 110) * 10), int(rng.integers(1, 5)))
        for k in range(int(rng.integers(1, 4)))
    ]
    panels = [
        _rectangle(f"panel {k}", float(rng.integers(6, 16) * 10), float(rng.integers(12, 30) * 10), 1)
        for k in range(int(rng.integers(0, 3)))
    ]
    return hide, Product("set", (*straps, *panels))


def _rectangle(name: str, width: float, length: float, count: int) -> Piece:
    ring = ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length))
    return Piece(name, ring, count, along=Along.BACKBONE, tolerance=5.0)


if __name__ == "__main__":
    main()
