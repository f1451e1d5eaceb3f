"""The region of a hide that a piece may lie in.

One idea carries grades, flaws, zones, the edge strip, clearances, thickness and direction: what a piece asks
for becomes the region R in which all of it must lie.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide, Segment, Thickness, Zone
from nesting.geometry.overlay import both, joined, less
from nesting.geometry.solid import solid
from nesting.model.tolerance import GIVE
from nesting.posing.places import backbone_strip, regions_named

ARC = 0.004
"""How far (mm) the polygon that stands for a round buffer may stray from it."""


@dataclass(frozen=True)
class LeatherDemand:
    """What leather must be for a part of a piece.

    `directions` are the ways of least stretch (a zone's index, or -1 for the hide's own) that suit the angle at
    which the piece lies; None means that the direction does not matter. It is `off_backbone` mm from the backbone, and
    lies in the `zones` of these names where the hide has any.
    """

    grade: Grade
    thickness: Thickness | None = None
    directions: frozenset[int] | None = None
    off_backbone: float = 0.0
    zones: tuple[str, ...] = ()


def usable(hide: Hide, demand: LeatherDemand, outer: bool = False) -> BaseGeometry:
    """Where leather meets a demand, `hide.edge` away from the outline and clear of flaws.

    With `outer` the region is grown so that it surely holds every position that a layout's tolerance allows: for
    bounds. Otherwise it strays from the exact region by at most `ARC` at round corners.
    """
    if hide.grade > demand.grade:
        return Polygon()
    give = GIVE if outer else 0.0
    region = within_edge(hide, give)
    bad: list[BaseGeometry] = [grow(Polygon(hole), -give, outer) for hole in hide.holes]
    bad += [grow(Polygon(f.outline), f.clearance - give, outer) for f in hide.flaws if f.grade > demand.grade]
    bad += [grow(Polygon(z.outline), -give, outer) for z in hide.zones if z.grade > demand.grade]
    region = _without(region, bad, outer)
    if demand.thickness is not None:
        region = _ruled(solid(region), hide.zones, _thickness_rule(hide, demand.thickness), give)
    if demand.directions is not None:
        region = _ruled(solid(region), hide.zones, _direction_rule(demand.directions), give)
    region = _less(solid(region), backbone_strip(hide, demand.off_backbone - give), outer)
    named = regions_named(hide, demand.zones) if demand.zones else None
    if named is not None:
        region = _both(solid(region), named.buffer(give, join_style="mitre") if give else named, outer)
    return solid(region)


def within_edge(hide: Hide, give: float = 0.0) -> BaseGeometry:
    """The outline less the strip kept clear along it."""
    outline = Polygon(hide.outline)
    return grow(outline, give - hide.edge, outer=give > 0)


def grow(shape: Polygon, by: float, outer: bool = False) -> BaseGeometry:
    """A polygon grown (or shrunk) by a distance, with round corners true to `ARC`."""
    if by == 0 or not shape.is_valid:
        return shape if by == 0 else grow(shapely.make_valid(shape), by, outer)
    radius = abs(by)
    quarter = max(4, math.ceil(math.pi / 4 / math.acos(max(1 - ARC / max(radius, 2 * ARC), 0.5))))
    return shape.buffer(by, quad_segs=min(quarter, 90))


Rule = Callable[[int | None, Zone | None], bool | None]
"""Whether leather is right: asked of the hide (None, None) and of each zone (None: the zone does not say)."""


def _ruled(region: BaseGeometry, zones: Iterable[Zone], rule: Rule, give: float) -> BaseGeometry:
    """The part of a region where a property that zones may override is right."""
    verdicts = [(Polygon(zone.outline), rule(index, zone)) for index, zone in enumerate(zones)]
    wrong = [grow(shape, -give, True) for shape, right in verdicts if right is False]
    if not rule(None, None):
        right_ones = [grow(shape, give, True) for shape, right in verdicts if right]
        region = solid(_both(region, joined(right_ones), give > 0)) if right_ones else Polygon()
    return _without(region, wrong, give > 0)


def _without(region: BaseGeometry, shapes: list[BaseGeometry], outer: bool) -> BaseGeometry:
    """A region less all of some shapes."""
    return _less(region, solid(shapely.union_all(shapes)), outer) if shapes else region


def _less(region: BaseGeometry, bad: BaseGeometry, outer: bool) -> BaseGeometry:
    """A region less another; of a region that proofs rest on no leather is lost."""
    return less(region, bad) if outer else region.difference(bad)


def _both(region: BaseGeometry, other: BaseGeometry, outer: bool) -> BaseGeometry:
    """What two regions share; see `_less`."""
    return both(region, other) if outer else region.intersection(other)


def _thickness_rule(hide: Hide, asked: Thickness) -> Rule:
    def rule(_: int | None, zone: Zone | None) -> bool | None:
        if zone is None:
            return hide.thickness is not None and hide.thickness.inside(asked)
        return None if zone.thickness is None else zone.thickness.inside(asked)

    return rule


def _direction_rule(allowed: frozenset[int]) -> Rule:
    def rule(index: int | None, zone: Zone | None) -> bool | None:
        if index is None or zone is None:
            return -1 in allowed
        return None if zone.backbone is None else index in allowed

    return rule


def directions(hide: Hide) -> dict[int, Segment | None]:
    """The hide's ways of least stretch: -1 its own backbone, and each zone's that states one, by index."""
    return {-1: hide.backbone} | {i: z.backbone for i, z in enumerate(hide.zones) if z.backbone is not None}
