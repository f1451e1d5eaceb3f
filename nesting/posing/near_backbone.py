"""A problem in which pieces that pair across the backbone lie so near it, and so alike, that partners are found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import shapely
from shapely import affinity
from shapely.geometry import GeometryCollection, box
from shapely.geometry.base import BaseGeometry

from hides.hide import Hide
from nesting.geometry.solid import solid
from nesting.model.problem import Kind, Orientation, Problem
from nesting.model.product import Piece
from nesting.model.tolerance import GIVE
from nesting.posing.alike import level_of, worse_leather

SHARE = 0.8
"""Of the distance that partners may lie off their mirrored places, what may be lost across the backbone; the rest is
left for their places along it."""
LIKE = 4.0
"""Degrees that a piece may lie off the straight, so that any two lie in like direction."""


def near_backbone(problem: Problem, pieces: Sequence[Piece], hide: Hide, alike: bool = False) -> Problem | None:
    """The problem of a single product with its paired pieces kept near the backbone, as straight along or across it
    as they may lie, so that any two lie in like direction; None where none is paired.

    On a side the mirrored place lies off the leather, so only what lies near the backbone can pair. `pieces` are those
    of the problem's kinds, `hide` is in the same frame, its backbone level. Where they are to be `alike`, all paired
    pieces keep to leather of the hide's own grade; None where there is no other.
    """
    paired = {index: piece.pair_within for index, piece in enumerate(pieces) if piece.pair_within is not None}
    if not paired or hide.backbone is None or len(problem.wanted) != 1:
        return None
    level = level_of(hide.backbone)
    worse = worse_leather(hide, hide.grade) if alike else GeometryCollection()
    if alike and worse.is_empty:
        return None
    made = problem
    for index, within in paired.items():
        west, south, east, north = problem.kinds[index].outline.bounds
        reach = (SHARE * within + min(east - west, north - south)) / 2
        made = _kept(made, index, partial(_between, low=level - reach, high=level + reach, without=worse))
    return made


def mirrored_places(problem: Problem, pieces: Sequence[Piece], hide: Hide) -> Problem | None:
    """The problem of a single product with its paired pieces kept where it and its mirrored place are of best grade,
    as straight as they may lie; None where none is paired. `hide` is as in `near_backbone`.
    """
    paired = [index for index, piece in enumerate(pieces) if piece.pair_within is not None]
    if not paired or hide.backbone is None or len(problem.wanted) != 1:
        return None
    level = level_of(hide.backbone)
    worse = worse_leather(hide, hide.grade)
    made = problem
    for index in paired:
        made = _kept(made, index, partial(_good_on_both, level=level, without=worse))
    return made


def _kept(problem: Problem, index: int, part: Callable[[BaseGeometry, float], BaseGeometry]) -> Problem:
    """The problem with a kind kept to a part of each of its regions, by regions of its own; the outer ones are grown by
    so many mm as `part` is told.
    """
    kind = problem.kinds[index]
    used = sorted({region for orientation in kind.orientations for region in orientation.regions})
    number = {region: len(problem.regions) + n for n, region in enumerate(used)}
    inner = tuple(part(problem.regions[region], 0.0) for region in used)
    outer = tuple(part(problem.outer[region], GIVE) for region in used)
    bare = tuple(part(problem.bare[region], 0.0) for region in used) if problem.bare else ()
    kinds = (*problem.kinds[:index], _moved(kind, number), *problem.kinds[index + 1 :])
    return replace(
        problem, regions=problem.regions + inner, outer=problem.outer + outer, bare=problem.bare + bare, kinds=kinds
    )


def _moved(kind: Kind, number: dict[int, int]) -> Kind:
    def moved(way: Orientation) -> Orientation:
        at = _straight(way)
        return replace(way, low=at, high=at, regions=tuple(number[region] for region in way.regions))

    ways = [moved(way) for way in kind.orientations]
    straight = [way for way in ways if abs(way.low - 90 * round(way.low / 90)) <= LIKE]
    return replace(kind, orientations=tuple(straight or ways))


def _straight(way: Orientation) -> float:
    """The angle of an orientation that lies nearest to along or across the backbone."""
    quarter = 90 * round((way.low + way.high) / 180)
    return min(max(quarter, way.low), way.high)


def _between(region: BaseGeometry, grown: float, low: float, high: float, without: BaseGeometry) -> BaseGeometry:
    if region.is_empty:
        return region
    west, _, east, _ = region.bounds
    kept = shapely.intersection(region, box(west - 1, low - grown, east + 1, high + grown))
    return solid(shapely.difference(kept, without.buffer(-grown)))


def _good_on_both(region: BaseGeometry, grown: float, level: float, without: BaseGeometry) -> BaseGeometry:
    own = shapely.difference(region, without.buffer(-grown))
    return solid(shapely.intersection(own, affinity.scale(own, 1.0, -1.0, origin=(0.0, level))))
