"""In which order places are visited so that the tool does not run to and fro."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hides.hide import Point


def nearest_first(places: Sequence[Point], start: Point = (-1e6, -1e6)) -> list[int]:
    """The places by number, each the nearest of those left to the one before; from `start`."""
    left, order, at = list(range(len(places))), [], start
    while left:
        best = min(left, key=lambda k: (round(math.dist(at, places[k]), 6), k))
        left.remove(best)
        order.append(best)
        at = places[best]
    return order
