"""Random hides and products by the thousand: no layout that fails its check may leave the search.

`python -m scripts.soak [CASES] [FIRST SEED]`; `lay_out` raises where a layout fails, and that ends the run.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace

import numpy as np

from hides.hide import Flaw, Grade, Hide, Point, Ring, Zone
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Along, Cover, Piece, Product
from nesting.model.settings import Settings
from nesting.search.choosing import large_neighbourhood as windows
from nesting.search.effort import BUDGETS
from nesting.search.rectangles.packing import PackingBudget

SOAK = replace(
    BUDGETS["quick"],
    constructions=2,
    orders=3,
    pairs=2,
    tidies=1,
    sides=1,
    moves=8 * windows.COST,  # four turns of two tasks, a window's worth each
    turns=4,
    packing=PackingBudget(100_000, 0.1),
)
MOST_PIECES = 60
"""Small pieces by the hundred make a case slow and teach nothing more."""


def main() -> None:
    told = [int(word) for word in sys.argv[1:3]]
    cases, first = [*told, *[2000, 1][len(told) :]]
    started, products = time.monotonic(), 0
    for seed in range(first, first + cases):
        products += case(seed)
        if seed % 50 == 0:
            print(f"seed {seed}: {products} products so far, {time.monotonic() - started:.0f} s", flush=True)
    print(f"{cases} cases, {products} products, every layout right, {time.monotonic() - started:.0f} s")


def case(seed: int) -> int:
    """Lay out one random hide and product at an effort that meets every phase of the search; the products it gives."""
    BUDGETS["soak"] = SOAK
    rng = np.random.default_rng(seed)
    settings = Settings(float(rng.choice([0, 0, 2])), seed=seed, effort="soak")
    hide, product = _hide(rng), _product(rng)
    most = MOST_PIECES // sum(piece.count for piece in product.pieces)
    count = lay_out(hide, [Want(product, limit=most)], settings).counts[0]
    assert count.complete <= count.at_most, f"seed {seed} beats its bound"
    return count.complete


def _ring(rng: np.random.Generator, centre: Point, low: float, high: float, corners: int) -> Ring:
    turns = (np.arange(corners) + rng.uniform(0, 0.8, corners)) * 2 * np.pi / corners
    reach = rng.uniform(low, high, corners)
    return tuple((centre[0] + r * np.cos(t), centre[1] + r * np.sin(t)) for r, t in zip(reach, turns, strict=True))


def _hide(rng: np.random.Generator) -> Hide:
    outline = _ring(rng, (0, 0), 150, 400, int(rng.integers(6, 40)))
    spots = [(float(x), float(y)) for x, y in rng.uniform(-150, 150, (6, 2))]
    flaws = tuple(
        Flaw("hole", _ring(rng, spot, 3, 30, 8), Grade(int(rng.integers(1, 5))), float(rng.choice([0, 5])))
        for spot in spots[: int(rng.integers(0, 5))]
    )
    zones = (Zone("belly", _ring(rng, spots[5], 60, 200, 10), Grade.C, None, ((0, 0), (1, float(rng.uniform(-1, 1))))),)
    turn = float(rng.uniform(-1, 1))
    return Hide("soak", outline, backbone=((0, 0), (1, turn)), edge=float(rng.choice([0, 6])), flaws=flaws,
                zones=zones[: int(rng.integers(0, 2))])  # fmt: skip


def _product(rng: np.random.Generator) -> Product:
    return Product("kit", tuple(_piece(rng, k) for k in range(int(rng.integers(1, 5)))))


def _piece(rng: np.random.Generator, k: int) -> Piece:
    w, long = float(rng.integers(15, 90)), float(rng.integers(20, 160))
    rings: list[Ring] = [
        ((0, 0), (w, 0), (w, long), (0, long)),
        ((0, 0), (w, 0), (0.7 * w, long / 2), (w, long), (0, long)),
        _ring(rng, (w / 2, w / 2), w / 3, w / 2, 9),
    ]
    cover = (Cover(((0, 0), (w / 2, 0), (w / 2, long / 3), (0, long / 3)), Grade.D),)
    shape = int(rng.integers(3))
    return Piece(
        f"piece {k}",
        rings[shape],
        int(rng.integers(1, 4)),
        Grade(int(rng.integers(0, 3))),
        list(Along)[int(rng.integers(3))],
        float(rng.choice([0, 7.5, 30])),
        turn=bool(rng.integers(2)),
        mirror=bool(rng.integers(2)),
        spare=bool(rng.integers(2)),
        covered=cover if shape < 2 and rng.random() < 0.4 else (),
    )


if __name__ == "__main__":
    main()
