"""How tidy a layout is, worked out from where its pieces lie."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from nesting.geometry.convex import Array
from nesting.model.layout import HideLayout
from nesting.posing.datum import datum
from nesting.search.tidying.tidiness import scores, shapes_of

__all__ = ["tidiness"]


def tidiness(layouts: Sequence[HideLayout], gap: float) -> dict[str, float]:
    """The tidiness (0 to 1, four decimals) of hides together, under its name; empty where no piece is straight."""
    told = [_weighed(each, gap) for each in layouts if each.placements]
    weight = sum(weight for weight, _ in told)
    return {"tidiness": round(sum(score for _, score in told) / weight, 4)} if weight > 0 else {}


def _weighed(layout: HideLayout, gap: float) -> tuple[float, float]:
    """The weights of a hide's pieces together, and the same with each one's score."""
    rings = [_counter_clockwise(np.array(placement.outline, dtype=np.float64)) for placement in layout.placements]
    middles = [ring.mean(axis=0) for ring in rings]
    shapes = shapes_of([ring - middle for ring, middle in zip(rings, middles, strict=True)])
    poses = np.array([(x, y, 0.0) for x, y in middles])
    each = scores(shapes, np.arange(len(rings), dtype=np.int64), poses, math.radians(datum(layout.hide)), gap)
    return float(shapes.weight.sum()), float((shapes.weight * each).sum())


def _counter_clockwise(ring: Array) -> Array:
    x, y = ring.T
    return ring if float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) >= 0 else ring[::-1]
