"""Mirrored pairs: leather folded over on its backbone, so that one place in it is two places on the hide.

What a left piece may lie on in the folded leather is good on both sides; its partner comes to lie in the mirror image
of its place. Everything is in the hide's own frame, whose +x runs along the backbone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import affinity
from shapely.geometry import GeometryCollection, box
from shapely.geometry.base import BaseGeometry

from hides.hide import Hide
from nesting.geometry.solid import solid
from nesting.model.folded_leather import FoldedLeather
from nesting.model.problem import Problem
from nesting.model.product import Piece
from nesting.model.tolerance import GIVE
from nesting.posing.alike import level_of, unlike_places


def folded_leather(problem: Problem, pieces: Sequence[Piece], hide: Hide, alike: bool = False) -> FoldedLeather | None:
    """The folded leather for the pairs among the pieces of the only product of a problem; None where there are none.

    `pieces` are those of the problem's kinds, `hide` is in the same frame. Where they are to be `alike`, only leather
    whose mirrored place is of the same grade counts; None where all of it is.
    """
    names = [piece.name for piece in pieces]
    pairs = [
        (i, names.index(other))
        for i, piece in enumerate(pieces)
        if piece.hand == "left" and piece.pair_within is not None
        and (other := piece.name.removesuffix(" left") + " right") in names
    ]  # fmt: skip
    if not pairs or hide.backbone is None or len(problem.wanted) != 1:
        return None
    level = level_of(hide.backbone)
    unlike = unlike_places(hide, level) if alike else GeometryCollection()
    if alike and unlike.is_empty:
        return None
    inner = tuple(_folded(region.difference(unlike), level, level + problem.gap / 2) for region in problem.regions)
    spared = unlike.buffer(-GIVE)
    outer = tuple(_folded(region.difference(spared), level, level + problem.gap / 2 - GIVE) for region in problem.outer)
    kinds = tuple(replace(problem.kinds[left], spare=False) for left, _ in pairs)
    bounds = [pieces[left].polygon.bounds for left, _ in pairs]
    return FoldedLeather(
        replace(problem, regions=inner, outer=outer, kinds=kinds),
        tuple(left for left, _ in pairs),
        tuple(right for _, right in pairs),
        tuple(west + east for west, _, east, _ in bounds),
        level,
    )


def _folded(region: BaseGeometry, level: float, least: float) -> BaseGeometry:
    """The part of a region above the backbone whose mirror image is in it too."""
    if region.is_empty:
        return region
    west, _, east, north = region.bounds
    _, south, _, _ = region.bounds
    top = max(north, 2 * level - south) + 1
    upper = region.intersection(box(west - 1, least, east + 1, top))
    return solid(shapely.intersection(upper, affinity.scale(region, 1.0, -1.0, origin=(0.0, level))))
