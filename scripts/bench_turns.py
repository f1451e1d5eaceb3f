"""What turning pieces freely gives: generated sets in a strip at right angles, then at any angle."""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterator
from statistics import mean
from typing import Any

import numpy as np

from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.separation.depth_maps import atlas
from nesting.search.separation.guided_local_search import pull_apart
from scripts.bench_strips import WIDTH, Strip

SETS, KINDS, EACH = 10, 12, 2
SHORTER, LEAST = 0.02, 0.004
"""Shares by which a strip is shortened at first and at last; halved where it does not go."""

MOVES = 8_000
"""Moves for a length."""

RIGHT = (0.0, 90.0, 180.0, 270.0)


def turns(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Density of ten sets of convex, bent and round-ended pieces, all lengths tried with the same moves."""
    gains = []
    for number in range(1, SETS + 1):
        begun = time.process_time()
        right, any_angle = (shortened(generated(number, angles), number) for angles in (RIGHT, None))
        gains.append(any_angle - right)
        told = {"right angles": round(right, 2), "any angle": round(any_angle, 2)}
        yield {"case": f"set {number}"} | told | {"CPU s": round(time.process_time() - begun, 1)}
    yield {"case": "MEAN", "any angle gains": round(mean(gains), 2)}


def generated(number: int, angles: tuple[float, ...] | None) -> Strip:
    """A set of its number in a strip some four pieces wide."""
    rng = np.random.default_rng(number)
    rings = [_ring(rng) for _ in range(KINDS)]
    pieces = [{"vertices": ring, "angles": angles, "quantity": EACH} for ring in rings]
    area = sum(_area(ring) for ring in rings) * EACH
    return Strip({"strip_width": WIDTH, "total_area": area, "pieces": pieces}, widened=False)


def _ring(rng: np.random.Generator) -> list[list[float]]:
    """Corners at random about a centre, longer one way than the other, some of them drawn in."""
    many = int(rng.integers(3, 9))
    turn = (np.arange(many) + rng.uniform(0, 0.7, many)) * (2 * math.pi / many)
    reach = rng.uniform(90, 170) * rng.uniform(0.55, 1.0, many)
    at = np.column_stack([reach * np.cos(turn), rng.uniform(0.5, 1.0) * reach * np.sin(turn)])
    return [[float(x), float(y)] for x, y in at]


def _area(ring: list[list[float]]) -> float:
    x, y = np.array(ring).T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def shortened(strip: Strip, seed: int) -> float:
    """The density reached, per cent, verified."""
    laid, step, turn = strip.first(), SHORTER, 0
    extent = strip.extent(laid)
    maps = atlas(InnerFits(strip.arrays(extent), 8))
    while step > LEAST:
        turn, target = turn + 1, extent * (1 - step)
        arrays = strip.arrays(target)
        start = strip.pressed(laid, target)
        done = pull_apart(arrays, maps.on(InnerFits(arrays, 8)), start, [], seed * 1000 + turn, MOVES)
        if done.apart:
            laid = list(done.pieces)
            extent = strip.extent(laid)
        else:
            step /= 2
    strip.verify(laid)
    return 100 * strip.area / (WIDTH * extent)
