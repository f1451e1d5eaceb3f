"""Overlays that proofs rest on: what they give is never less than what is there.

An overlay may lose leather (GEOS 3.14 lost a whole zone beside others that all but touch it). Here each is laid out on
a grid as well, which takes other ways through the engine, and the larger of the two is taken.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from nesting.geometry.solid import solid

GRID = 1e-6
"""The grid (mm) on which overlays are made a second time."""


def less(region: BaseGeometry, bad: BaseGeometry) -> BaseGeometry:
    """A region less another."""
    left = shapely.difference(region, bad)
    return left if bad.is_empty else max(left, shapely.difference(region, bad, grid_size=GRID), key=_area)


def both(region: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """What two regions share."""
    return max(shapely.intersection(region, other), shapely.intersection(region, other, grid_size=GRID), key=_area)


def joined(regions: Sequence[BaseGeometry]) -> BaseGeometry:
    """All of some regions together.

    >>> from shapely.geometry import box
    >>> joined([box(0, 0, 2, 1), box(1, 0, 3, 1)]).area
    3.0
    """
    if len(regions) == 1:
        return solid(regions[0])
    return max((solid(shapely.union_all(list(regions), grid_size=grid)) for grid in (None, GRID)), key=_area)


def _area(region: BaseGeometry) -> float:
    return float(region.area)
