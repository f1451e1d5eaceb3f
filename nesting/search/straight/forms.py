"""Pieces as strips see them: which have two long straight sides, and how each lies along or across a line.

Terms. *Straight kind*: its two long sides are parallel and straight; its ends may have any shape. *Form*: one way a
straight kind may come off a strip: the strip's width, the length along it, and what of the rectangle asks for which
leather. *Frame of the line*: turned so that the line runs along +x.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import polygons, ring_of
from nesting.model.problem import Orientation, Problem
from nesting.model.straight import StraightRules

SIDE = 0.6
"""The share of a piece's length that is straight on both long sides, at least."""
STRAP = 3.0
"""A piece so many times as long as it is wide is a strap: it comes off the cutter or not at all."""
SLABS = 12
SLACK = 1e-6
"""Degrees."""


@dataclass(frozen=True)
class Box:
    """A rectangle of a form, from its lower left corner, that must lie on a region of the problem."""

    region: int
    left: float
    low: float
    right: float
    high: float


@dataclass(frozen=True)
class Form:
    """One way for a kind to come off a strip of `width`, `length` long; see the module.

    `turn` is the piece's angle less the line's, degrees; `corner` its lower left corner in the line's frame when it
    stands at the origin. The first box is the whole rectangle on the loosest region.
    """

    kind: int
    width: float
    length: float
    boxes: tuple[Box, ...]
    orientation: int
    turn: float
    mirrored: bool
    corner: tuple[float, float]


@dataclass(frozen=True)
class Straight:
    """A straight kind: the direction of its long sides in its own frame (degrees), its length and its width."""

    kind: int
    direction: float
    length: float
    width: float

    @property
    def strap(self) -> bool:
        """Whether it is long and narrow."""
        return self.length >= STRAP * self.width


def straight_kinds(problem: Problem) -> tuple[Straight, ...]:
    """The kinds whose two long sides are parallel and straight."""
    found = (_straight(index, kind.outline) for index, kind in enumerate(problem.kinds))
    return tuple(each for each in found if each)


def _straight(index: int, outline: Polygon) -> Straight | None:
    ring = ring_of(outline)
    edges = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    longest = int(np.argmax(np.round(lengths, 6)))
    direction = math.degrees(math.atan2(edges[longest, 1], edges[longest, 0]))
    lies = affinity.rotate(outline, -direction, origin=(0, 0))
    west, south, east, north = lies.bounds
    flat = ring_of(lies)
    ends = np.roll(flat, -1, axis=0)

    def straight_at(height: float) -> float:
        on = (np.abs(flat[:, 1] - height) < 1e-3) & (np.abs(ends[:, 1] - height) < 1e-3)
        return float(np.abs(ends[on, 0] - flat[on, 0]).sum())

    long = east - west
    if long < north - south - 1e-6 or min(straight_at(south), straight_at(north)) < SIDE * long:
        return None
    return Straight(index, direction % 180.0, long, north - south)


def meets(problem: Problem, straight: Straight, angle: float) -> bool:
    """Whether a line at an angle suits a kind, along it or across."""
    return any(True for _ in _ways(problem, straight, angle))


def _ways(problem: Problem, straight: Straight, angle: float) -> Iterator[tuple[int, Orientation, float]]:
    """Orientations of a kind with the piece's angles at which its long sides run along a line or across it."""
    for index, orientation in enumerate(problem.kinds[straight.kind].orientations):
        side = -straight.direction if orientation.mirrored else straight.direction
        for quarter in range(4):
            at = angle - side + 90.0 * quarter
            over = (at - orientation.low + SLACK) % 360.0
            if over <= orientation.high - orientation.low + 2 * SLACK:
                yield index, orientation, min(orientation.low + max(over - SLACK, 0.0), orientation.high)


def forms_at(problem: Problem, straights: tuple[Straight, ...], angle: float, rules: StraightRules) -> tuple[Form, ...]:
    """All forms of the kinds along a line at an angle whose widths the cutter opens to, each once."""
    found: dict[tuple[object, ...], Form] = {}
    for straight in straights:
        for index, orientation, at in _ways(problem, straight, angle):
            form = _form(problem, straight.kind, index, orientation, at - angle)
            if rules.opens_to(form.width):
                key = (form.kind, round(form.width, 4), round(form.length, 4), _rounded(form.boxes))
                found.setdefault(key, form)
    return tuple(found.values())


def _rounded(boxes: tuple[Box, ...]) -> tuple[object, ...]:
    return tuple((b.region, *(round(v, 4) for v in (b.left, b.low, b.right, b.high))) for b in boxes)


def _form(problem: Problem, number: int, index: int, orientation: Orientation, turn: float) -> Form:
    kind = problem.kinds[number]

    def lain(shape: BaseGeometry) -> BaseGeometry:
        faced = affinity.scale(shape, -1, 1, origin=(0, 0)) if orientation.mirrored else shape
        return affinity.rotate(faced, turn, origin=(0, 0))

    west, south, east, north = lain(kind.outline).bounds
    loosest = max(orientation.regions, key=lambda region: problem.regions[region].area)
    boxes = [Box(loosest, 0.0, 0.0, east - west, north - south)]
    if len(kind.parts) > 1:
        for part, region in zip(kind.parts, orientation.regions, strict=True):
            if region != loosest:
                boxes += _cover(affinity.translate(lain(part), -west, -south), region)
    width = float(north - south)
    return Form(number, width, float(east - west), tuple(boxes), index, turn, orientation.mirrored, (west, south))


def _cover(part: BaseGeometry, region: int) -> list[Box]:
    """Rectangles that hold a part: its own where it is made of them, a few that are somewhat larger where not."""
    marks = np.unique(np.round(shapely.get_coordinates(part)[:, 0], 6))
    if len(marks) > SLABS + 1:
        marks = marks[np.linspace(0, len(marks) - 1, SLABS + 1).round().astype(int)]
    found = []
    _, low, _, high = part.bounds
    for left, right in pairwise(marks):
        for piece in polygons(part.intersection(box(left, low, right, high))):
            if piece.area > 1e-9:
                found.append(Box(region, *(float(value) for value in piece.bounds)))
    return found
