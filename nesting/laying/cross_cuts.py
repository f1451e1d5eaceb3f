"""From strips on a hide to what a person cuts by: the line's two marks, and every cross-cut from its strip's end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from hides.hide import Point
from nesting.geometry.convex import polygons
from nesting.geometry.solid import solid
from nesting.model.layout import Layout, Placement
from nesting.model.straight import CrossCut, StraightPlan, Strip
from nesting.posing.frame import Frame
from nesting.search.straight.plan import PosedStrip, StraightFound

FAR = 1e6
LONGER = 1.0
"""A line along an edge meets it only in part, by rounding; one beside it, longer by so much (mm), stands for it."""
CRUMB = 1.0
"""A part of a strip of less than this (mm²) is no part."""


def with_strips(layout: Layout, found: StraightFound, frame: Frame, kerf: float) -> Layout:
    """The layout of one hide with the table of its strips; pieces are known by where they lie."""
    only = layout.hides[0]
    places: dict[tuple[float, float, str], int] = {}
    for place, p in enumerate(only.placements):
        places[p.x, p.y, f"{p.angle:.6f}"] = place
    leather: BaseGeometry = only.hide.polygon
    plans: list[StraightPlan] = []
    for block in found.blocks:
        strips = [CutStrip(s.offset - block.height, s.width, _places(s, places, frame)) for s in block.strips]
        turn = math.radians(block.angle)
        through = frame.outward((-math.sin(turn) * block.height, math.cos(turn) * block.height))
        known = found.at_most if not plans else None
        plan = straight_plan(leather, through, block.angle + frame.bearing, strips, only.placements, kerf, known)
        plans.append(plan)
        leather = without(leather, plan)
    if not plans:
        return layout
    whole = replace(plans[0], beside=tuple(plans[1:]))
    return replace(layout, hides=(replace(only, straight=whole),))


def _places(strip: PosedStrip, places: dict[tuple[float, float, str], int], frame: Frame) -> tuple[int, ...]:
    out = []
    for pose in strip.poses:
        x, y = (round(value, 6) for value in frame.outward((pose.x, pose.y)))
        out.append(places[x, y, f"{round(pose.angle + frame.bearing, 9):.6f}"])
    return tuple(out)


@dataclass(frozen=True)
class CutStrip:
    """A strip before its cross-cuts are told: its offset from the line, its width, and its pieces' places."""

    offset: float
    width: float
    places: tuple[int, ...]


def straight_plan(
    leather: BaseGeometry,
    through: Point,
    angle: float,
    strips: Sequence[CutStrip],
    placements: Sequence[Placement],
    kerf: float,
    at_most: int | None = None,
) -> StraightPlan:
    """The plan of strips to the left of the line through a point at an angle, in hide coordinates.

    `leather` is what is there when the line is struck.
    """
    lies = _in_frame(leather, through, angle)
    told = []
    for strip in strips:
        tips = _parts(lies, strip.offset, strip.width)
        reach = [_reach(placements[place], through, angle) for place in strip.places]
        order = sorted(range(len(reach)), key=lambda n: reach[n])
        cuts = tuple(_cut(tips, *reach[n]) for n in order)
        pieces = tuple(strip.places[n] for n in order)
        told.append(Strip(round(strip.width, 6), round(strip.offset, 6), pieces, cuts))
    line = _marks(_in_hand(leather, [placements[place] for strip in strips for place in strip.places]), through, angle)
    return StraightPlan(line, round(angle, 9), tuple(told), kerf, at_most)


def _in_hand(leather: BaseGeometry, pieces: Sequence[Placement]) -> BaseGeometry:
    """The parts of what is left on which pieces lie: slips that came off before bear no marks."""
    inside = shapely.union_all([Polygon(piece.outline).representative_point() for piece in pieces])
    return shapely.union_all([part for part in polygons(leather) if part.intersects(inside)]) if pieces else leather


def without(leather: BaseGeometry, plan: StraightPlan) -> BaseGeometry:
    """What is left of the leather when the strips of a plan are off, from edge to edge."""
    if not plan.strips:
        return leather
    first, last = plan.strips[0], plan.strips[-1]
    band = box(-FAR, first.offset, FAR, last.offset + last.width)
    turned = affinity.rotate(band, plan.angle, origin=(0, 0))
    return solid(leather).difference(affinity.translate(turned, *plan.line[0]))


def _in_frame(shape: BaseGeometry, through: Point, angle: float) -> BaseGeometry:
    moved = affinity.translate(shape, -through[0], -through[1])
    return affinity.rotate(moved, -angle, origin=(0, 0))


def _parts(lies: BaseGeometry, offset: float, width: float) -> list[tuple[float, float]]:
    """From where to where every part of a strip reaches along the line, from its first mark on."""
    band = lies.intersection(box(-FAR, offset, FAR, offset + width))
    parts = [part.bounds for part in polygons(band) if part.area > CRUMB]
    return sorted((float(b[0]), float(b[2])) for b in parts)


def _reach(placement: Placement, through: Point, angle: float) -> tuple[float, float]:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    along = (np.array(placement.outline) - through) @ (c, s)
    return float(along.min()), float(along.max())


def _cut(tips: Sequence[tuple[float, float]], start: float, end: float) -> CrossCut:
    middle = (start + end) / 2
    part = next(n for n, (a, b) in enumerate(tips) if a <= middle <= b)
    return CrossCut(part + 1, round(start - tips[part][0], 6), round(end - tips[part][0], 6))


def _marks(leather: BaseGeometry, through: Point, angle: float) -> tuple[Point, Point]:
    """The two outermost points at which the line meets the leather's edge."""
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    best: tuple[float, float] | None = None
    for shift in (0.0, 1e-6, -1e-6, 1e-4, -1e-4, 1e-2, -1e-2):
        x, y = through[0] - s * shift, through[1] + c * shift
        met = leather.intersection(LineString([(x - FAR * c, y - FAR * s), (x + FAR * c, y + FAR * s)]))
        points = [p for part in getattr(met, "geoms", [met]) for p in part.coords]
        along = [(p[0] - through[0]) * c + (p[1] - through[1]) * s for p in points]
        if met.length > 0 and (best is None or max(along) - min(along) > best[1] - best[0] + LONGER):
            best = min(along), max(along)
    assert best is not None, "the line runs through leather"
    low, high = best
    return (
        (round(through[0] + low * c, 6), round(through[1] + low * s, 6)),
        (round(through[0] + high * c, 6), round(through[1] + high * s, 6)),
    )
