"""Whether a straight plan's table gives the pieces: the strips and cross-cuts replayed from the hide and the table.

The replay knows the hide's outline, the struck line, and of every strip its width and cross-cuts. It cuts strip
after strip off the line, finds each part's own end, and takes the lengths from there; the pieces must come out of
these rectangles, filling them from side to side. Further lines are struck on what the strips before them left, and
their pieces lie on that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.check.depth import polygons
from nesting.check.fault import ROUNDING, TOLERANCE, Fault, title
from nesting.model.layout import HideLayout, Placement
from nesting.model.straight import CrossCut, StraightPlan, Strip

OFF = TOLERANCE + ROUNDING
LONG = 1e6
LEAST_PART = 1.0
"""Area (mm²) from which on a part of a strip counts."""


def wrongly_cut(layout: HideLayout) -> Iterator[Fault]:
    """What is wrong with the straight plan of one hide."""
    plan = layout.straight
    if plan is None:
        return
    name, seen = layout.hide.name, set[int]()
    leather: BaseGeometry = layout.hide.polygon
    for block in plan.blocks:
        yield from _line(name, leather, block)
        gone = shapely.buffer(shapely.difference(layout.hide.polygon, leather), -OFF)
        reached = 0.0
        for number, strip in enumerate(block.strips, 1):
            if strip.width <= 0 or strip.offset < reached - OFF:
                yield Fault("straight", f"strip {number} lies on the one before it, or has no width", name)
            reached = strip.offset + strip.width + plan.kerf
            for place in strip.pieces:
                if place in seen or not 0 <= place < len(layout.placements):
                    yield Fault("straight", f"strip {number} names the placement {place}, which it cannot", name)
                    return
                seen.add(place)
            yield from _strip(layout, leather, gone, block, number, strip)
        if block.strips:
            first, last = block.strips[0], block.strips[-1]
            band = _rectangle(block, first.offset, last.offset + last.width - first.offset, -LONG, LONG)
            leather = shapely.difference(leather, Polygon(band))
    yield from _across(layout, plan, seen)


def _line(name: str, leather: BaseGeometry, block: StraightPlan) -> Iterator[Fault]:
    """The two marks lie on the leather's edge, at the angle that is stated."""
    (x0, y0), (x1, y1) = block.line
    edge = leather.boundary
    for point in block.line:
        off = float(shapely.distance(shapely.Point(point), edge))
        if off > OFF:
            yield Fault("straight", f"a mark of the line is {off:.3f} mm off the hide's edge", name, (), point, off)
    long = math.hypot(x1 - x0, y1 - y0)
    turned = math.remainder(math.degrees(math.atan2(y1 - y0, x1 - x0)) - block.angle, 360)
    off = math.radians(abs(turned)) * long
    if long < TOLERANCE or off > OFF:
        text = f"the line's marks do not lie at the stated angle of {block.angle:g}°"
        yield Fault("straight", text, name, (), block.line[0], off)


def _strip(
    layout: HideLayout, leather: BaseGeometry, gone: BaseGeometry, block: StraightPlan, number: int, strip: Strip
) -> Iterator[Fault]:
    name = layout.hide.name
    if len(strip.pieces) != len(strip.cuts):
        yield Fault("straight", f"strip {number} has {len(strip.pieces)} pieces and {len(strip.cuts)} cross-cuts", name)
        return
    ends = _ends(leather, block, strip)
    reached: dict[int, float] = {}
    for place, cut in zip(strip.pieces, strip.cuts, strict=True):
        piece = layout.placements[place]
        if not 1 <= cut.part <= len(ends):
            yield Fault("straight", f"strip {number} has {len(ends)} parts, and a cut names part {cut.part}", name)
            continue
        if cut.start < reached.get(cut.part, -math.inf) - OFF or cut.end <= cut.start:
            yield Fault("straight", f"the cross-cuts of strip {number} do not follow one another", name)
        reached[cut.part] = cut.end + block.kerf
        off = _mismatch(piece, replayed(block, strip, cut, ends[cut.part - 1]))
        if off > OFF:
            text = f"{title(piece)} is off by {off:.3f} mm from what strip {number} gives by the table"
            yield Fault("straight", text, name, (title(piece),), piece.outline[0], off)
        if shapely.intersects(gone, shapely.Polygon(piece.outline)):
            text = f"{title(piece)} of strip {number} lies on leather that came off before"
            yield Fault("straight", text, name, (title(piece),), piece.outline[0])


def _ends(leather: BaseGeometry, block: StraightPlan, strip: Strip) -> list[float]:
    """The outermost points of a strip's parts along the line, from the line's first mark, ascending."""
    band = _rectangle(block, strip.offset, strip.width, -LONG, LONG)
    parts = [part for part in polygons(shapely.intersection(leather, Polygon(band))) if part.area > LEAST_PART]
    return sorted(float(_measured(block, shapely.get_coordinates(part))[:, 0].min()) for part in parts)


def replayed(block: StraightPlan, strip: Strip, cut: CrossCut, end: float) -> NDArray[np.float64]:
    """The rectangle that a cross-cut pair takes out of a strip, in hide coordinates."""
    return _rectangle(block, strip.offset, strip.width, end + cut.start, end + cut.end)


def _rectangle(block: StraightPlan, offset: float, width: float, start: float, end: float) -> NDArray[np.float64]:
    along, left = _axes(block)
    corners = [(start, offset), (end, offset), (end, offset + width), (start, offset + width)]
    return np.array([np.array(block.line[0]) + u * along + v * left for u, v in corners])


def _axes(block: StraightPlan) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    turn = math.radians(block.angle)
    return np.array([math.cos(turn), math.sin(turn)]), np.array([-math.sin(turn), math.cos(turn)])


def _measured(block: StraightPlan, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points by their distances along the line from its first mark and to its left."""
    away = points - np.array(block.line[0])
    along, left = _axes(block)
    return np.column_stack([away @ along, away @ left])


def _mismatch(piece: Placement, rectangle: NDArray[np.float64]) -> float:
    """How far the sides of a rectangle are from the outermost points of the piece, at the worst side."""
    ring = np.array(piece.outline)
    worst = 0.0
    for k in range(4):
        a, b = rectangle[k], rectangle[(k + 1) % 4]
        side = (b - a) / max(float(np.hypot(*(b - a))), 1e-12)
        inward = np.array([-side[1], side[0]])
        worst = max(worst, abs(float(((ring - a) @ inward).min())))
    return worst


def _across(layout: HideLayout, plan: StraightPlan, straight: set[int]) -> Iterator[Fault]:
    """Pieces that are not off strips and lie across a cut that runs through."""
    others = [p for place, p in enumerate(layout.placements) if place not in straight]
    for block in plan.blocks:
        sides = _sides(block)
        for piece in others:
            heights = _measured(block, np.array(piece.outline))[:, 1]
            low, high = float(heights.min()), float(heights.max())
            cut = next((s for s in sides if low + OFF < s < high - OFF), None)
            if cut is not None:
                text = f"{title(piece)} lies across the cut {cut:g} mm from the line"
                yield Fault("straight", text, layout.hide.name, (title(piece),), piece.outline[0])


def _sides(block: StraightPlan) -> Sequence[float]:
    return sorted({s for strip in block.strips for s in (strip.offset, strip.offset + strip.width)})
