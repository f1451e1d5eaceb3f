"""A problem in which pieces that pair across the backbone lie so near it, and so alike, that partners are found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from hides.hide import Hide
from nesting.geometry.solid import solid
from nesting.model.problem import Kind, Orientation, Problem
from nesting.model.product import Piece
from nesting.model.tolerance import GIVE

SHARE = 0.8
"""Of the distance that partners may lie off their mirrored places, what may be lost across the backbone; the rest is
left for their places along it."""


def near_backbone(problem: Problem, pieces: Sequence[Piece], hide: Hide) -> Problem | None:
    """The problem of a single product with its paired pieces kept near the backbone, in the middle of the angles that
    they may take, so that any two lie in like direction; None where none is paired.

    On a side the mirrored place lies off the leather, so only what lies near the backbone can pair. `pieces` are those
    of the problem's kinds, `hide` is in the same frame, its backbone level.
    """
    paired = {index: piece.pair_within for index, piece in enumerate(pieces) if piece.pair_within is not None}
    if not paired or hide.backbone is None or len(problem.wanted) != 1:
        return None
    level = (hide.backbone[0][1] + hide.backbone[1][1]) / 2
    made = problem
    for index, within in paired.items():
        west, south, east, north = problem.kinds[index].outline.bounds
        reach = (SHARE * within + min(east - west, north - south)) / 2
        made = _kept(made, index, level - reach, level + reach)
    return made


def _kept(problem: Problem, index: int, low: float, high: float) -> Problem:
    """The problem with a kind kept between two heights, by regions of its own."""
    kind = problem.kinds[index]
    used = sorted({region for orientation in kind.orientations for region in orientation.regions})
    number = {region: len(problem.regions) + n for n, region in enumerate(used)}
    inner = tuple(_between(problem.regions[region], low, high) for region in used)
    outer = tuple(_between(problem.outer[region], low - GIVE, high + GIVE) for region in used)
    bare = tuple(_between(problem.bare[region], low, high) for region in used) if problem.bare else ()
    kinds = (*problem.kinds[:index], _moved(kind, number), *problem.kinds[index + 1 :])
    return replace(
        problem, regions=problem.regions + inner, outer=problem.outer + outer, bare=problem.bare + bare, kinds=kinds
    )


def _moved(kind: Kind, number: dict[int, int]) -> Kind:
    def moved(way: Orientation) -> Orientation:
        middle = (way.low + way.high) / 2
        return replace(way, low=middle, high=middle, regions=tuple(number[region] for region in way.regions))

    return replace(kind, orientations=tuple(moved(way) for way in kind.orientations))


def _between(region: BaseGeometry, low: float, high: float) -> BaseGeometry:
    if region.is_empty:
        return region
    west, _, east, _ = region.bounds
    return solid(shapely.intersection(region, box(west - 1, low, east + 1, high)))
