"""Rectangular pieces on rectangular leather, exactly: laid, proven impossible, or left to the general search.

Everything is turned so that the region's sides run along the axes, and measured on the coarsest grid that all sizes
share. On that grid leftmost, lowest layouts suffice (normal patterns: Herz 1972; Christofides, Whitlock 1977).

Proof. A layout may, within its tolerance, let pieces reach into one another and stand askew (`model.tolerance`); each
piece holds an upright rectangle smaller by `SMALLER` in both directions, and these lie apart in
the region grown by its tolerance. Laid leftmost and lowest, each stands at a sum of widths (heights) of a chain of
pieces; where `SMALLER` times the longest chain and the region's growth stay below one step of the grid, the whole
sizes fit the region's own sizes just as well. So no layout at all exists where none on the grid does.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import polygons, ring_of
from nesting.model.problem import Kind, Problem
from nesting.model.settings import Stop, never
from nesting.model.tolerance import SMALLER
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.goals import needed
from nesting.search.arrays.inner_fits import Laid
from nesting.search.rectangles.packing import Box, PackedItem, PackingBudget, Place, Room, pack

UNIT = 0.001
"""The finest grid, mm."""

SQUARE = 1e-6
"""How far (mm) a corner may be off for a shape to count as a rectangle."""

MOST_BLOCKED = 60


@dataclass(frozen=True)
class Filled:
    """The pieces of a goal laid, or None; `impossible` only where it is proven that no layout holds them."""

    pieces: tuple[Laid, ...] | None = None
    impossible: bool = False


def fill_rectangles(
    arrays: Arrays, goal: Sequence[int], budget: PackingBudget | None = None, seed: int = 1, stop: Stop = never
) -> Filled | None:
    """Lay all pieces of a goal (complete products of each kind wanted); None where not all is rectangular."""
    ruled = _ruled_problem(arrays.problem)
    if ruled is None:
        return None
    kinds = [index for index, many in needed(arrays.problem, tuple(goal)).items() for _ in range(many)]
    if not kinds:
        return Filled(())
    grid = _grid(ruled, sorted(set(kinds)))
    items = [grid.item(index) for index in kinds]
    packed = pack(items, grid.room, budget, seed, stop)
    if packed.places is not None:
        places = zip(kinds, packed.places, strict=True)
        return Filled(tuple(_laid(arrays, ruled, grid, index, place) for index, place in places))
    return Filled(impossible=packed.impossible and ruled.exact and grid.proves(items))


def all_rectangles(problem: Problem) -> bool:
    """Whether a problem is one of rectangular pieces on rectangular leather."""
    return _ruled_problem(problem) is not None


@dataclass(frozen=True)
class _Sides:
    """A kind of piece along the axes. `upright` and `turned`: a orientation and angle (radians) that lay it so."""

    kind: int
    product: int
    count: int
    width: float
    height: float
    upright: tuple[int, float] | None
    turned: tuple[int, float] | None


@dataclass(frozen=True)
class _Ruled:
    """A rectangular problem: the axes' turn (degrees), the region's box and what is missing from it, the kinds.

    `exact`: the region is one rectangle, nothing may lie askew, no gap is kept: only then is a proof one.
    """

    turn: float
    bounds: tuple[float, float, float, float]
    outer: tuple[float, float, float, float]
    blocked: tuple[tuple[float, float, float, float], ...]
    gap: float
    sides: tuple[_Sides, ...]
    exact: bool


def _ruled_problem(problem: Problem) -> _Ruled | None:
    used = {region for kind in problem.kinds for orientation in kind.orientations for region in orientation.regions}
    if len(used) != 1 or any(len(kind.parts) != 1 for kind in problem.kinds):
        return None
    index = used.pop()
    region = problem.regions[index]
    if not polygons(region):
        return None
    turn = _long_edge(max(polygons(region), key=lambda p: p.area))
    flat = affinity.rotate(region, -turn, origin=(0, 0))
    blocked = _missing(flat)
    sides = [_sides(n, kind, turn) for n, kind in enumerate(problem.kinds)]
    if blocked is None or any(each is None for each in sides):
        return None
    fixed = all(o.high - o.low < 1e-9 for kind in problem.kinds for o in kind.orientations)
    exact = not blocked and fixed and problem.gap == 0 and _all_square(problem, turn)
    outer = affinity.rotate(problem.outer[index], -turn, origin=(0, 0)).bounds
    return _Ruled(turn, flat.bounds, outer, blocked, problem.gap, tuple(s for s in sides if s), exact)


def _long_edge(polygon: Polygon) -> float:
    """The direction of a polygon's longest edge, degrees."""
    ring = ring_of(polygon)
    edge = np.roll(ring, -1, axis=0) - ring
    dx, dy = edge[int(np.argmax(np.hypot(edge[:, 0], edge[:, 1])))]
    turn = math.degrees(math.atan2(dy, dx)) % 90.0
    return 0.0 if turn > 90.0 - 1e-9 else turn


def _missing(flat: BaseGeometry) -> tuple[tuple[float, float, float, float], ...] | None:
    """What an upright region lacks of its box, as boxes that lie apart; None where it has slanting sides."""
    cuts_x, cuts_y = set(), set()
    for polygon in polygons(flat):
        for ring in [polygon.exterior, *polygon.interiors]:
            points = np.asarray(ring.coords)
            step = np.abs(np.diff(points, axis=0))
            if (step.min(axis=1) > SQUARE).any():
                return None
            cuts_x |= {round(float(x), 7) for x in points[:, 0]}
            cuts_y |= {round(float(y), 7) for y in points[:, 1]}
    xs, ys = sorted(cuts_x), sorted(cuts_y)
    rows = [_row(flat, xs, y0, y1) for y0, y1 in pairwise(ys)]
    boxes = _stacked([b for row in rows for b in row])
    return tuple(boxes) if len(boxes) <= MOST_BLOCKED else None


def _row(flat: BaseGeometry, xs: list[float], y0: float, y1: float) -> list[tuple[float, float, float, float]]:
    """The missing boxes between two heights, neighbours joined."""
    out: list[tuple[float, float, float, float]] = []
    for x0, x1 in pairwise(xs):
        if min(x1 - x0, y1 - y0) < 1e-5 or flat.contains(box(x0, y0, x1, y1).centroid):
            continue
        if out and out[-1][2] == x0:
            out[-1] = (out[-1][0], y0, x1, y1)
        else:
            out.append((x0, y0, x1, y1))
    return out


def _stacked(boxes: list[tuple[float, float, float, float]]) -> list[tuple[float, float, float, float]]:
    """Boxes of the same width that stand on one another, joined."""
    out: list[tuple[float, float, float, float]] = []
    for x0, y0, x1, y1 in boxes:
        below = next((n for n, b in enumerate(out) if (b[0], b[2], b[3]) == (x0, x1, y0)), None)
        if below is None:
            out.append((x0, y0, x1, y1))
        else:
            out[below] = (x0, out[below][1], x1, y1)
    return out


def _sides(index: int, kind: Kind, turn: float) -> _Sides | None:
    ring = ring_of(kind.outline)
    if len(ring) != 4:
        return None
    edge = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(edge[:, 0], edge[:, 1])
    square = max(abs(float(edge[0] @ edge[1])), abs(float(edge[1] @ edge[2])), abs(float(edge[2] @ edge[3])))
    if square > SQUARE * float(lengths.min()):
        return None
    own = math.degrees(math.atan2(edge[0, 1], edge[0, 0]))
    upright, turned = (_pose(kind, own, turn + quarter) for quarter in (0.0, 90.0))
    if upright is None and turned is None:
        return None
    return _Sides(index, kind.product, kind.count, float(lengths[0]), float(lengths[1]), upright, turned)


def _pose(kind: Kind, own: float, wanted: float) -> tuple[int, float] | None:
    """A orientation and angle (radians) at which the first side of a rectangle, at `own` degrees, runs as wanted."""
    for number, orientation in enumerate(kind.orientations):
        side = 180.0 - own if orientation.mirrored else own
        for half in range(2):
            angle = orientation.low + (wanted - side + 180.0 * half - orientation.low + 1e-7) % 360.0 - 1e-7
            if angle <= orientation.high + 1e-7:
                return number, math.radians(min(max(angle, orientation.low), orientation.high))
    return None


def _all_square(problem: Problem, turn: float) -> bool:
    """Whether every orientation of every kind lays it along the axes."""
    for kind in problem.kinds:
        edge = ring_of(kind.outline)[1] - ring_of(kind.outline)[0]
        own = math.degrees(math.atan2(edge[1], edge[0]))
        for orientation in kind.orientations:
            side = 180.0 - own if orientation.mirrored else own
            if abs(math.remainder(side + orientation.low - turn, 90.0)) > 1e-6:
                return False
    return True


@dataclass(frozen=True)
class _Grid:
    """The grid that all sizes share: its step in mm, the room and sizes in steps."""

    step: float
    room: Room
    sizes: dict[int, PackedItem]
    outer: tuple[float, float]

    def item(self, kind: int) -> PackedItem:
        return self.sizes[kind]

    def proves(self, items: Sequence[PackedItem]) -> bool:
        """Whether the tolerance of a layout cannot make room for one more step."""
        least = min(min(i.width, i.height) for i in items)
        for whole, mm in zip((self.room.width, self.room.height), self.outer, strict=True):
            chain = min(len(items), whole // least + 1)
            if math.floor((mm + SMALLER * chain) / self.step) != whole:
                return False
        return True


def _grid(ruled: _Ruled, kinds: list[int]) -> _Grid:
    x0, y0, x1, y1 = ruled.bounds
    sizes = {k: (_up(ruled.sides[k].width + ruled.gap), _up(ruled.sides[k].height + ruled.gap)) for k in kinds}
    wide, high = _down(x1 - x0 + ruled.gap), _down(y1 - y0 + ruled.gap)
    boxes = [_blocked(ruled, b) for b in ruled.blocked]
    step = math.gcd(*(n for pair in sizes.values() for n in pair), *(n for b in boxes for n in b))
    items = {k: _item(ruled.sides[k], w // step, h // step) for k, (w, h) in sizes.items()}
    scaled: tuple[Box, ...] = tuple((x // step, y // step, w // step, h // step) for x, y, w, h in boxes)
    outer = ruled.outer[2] - ruled.outer[0], ruled.outer[3] - ruled.outer[1]
    return _Grid(step * UNIT, Room(wide // step, high // step, scaled), items, outer)


def _blocked(ruled: _Ruled, missing: tuple[float, float, float, float]) -> Box:
    """A missing box in steps of `UNIT` from the region's corner, grown outward."""
    x, y = (_down(low - origin) for low, origin in zip(missing[:2], ruled.bounds[:2], strict=True))
    right, top = (_up(high - origin) for high, origin in zip(missing[2:], ruled.bounds[:2], strict=True))
    return x, y, right - x, top - y


def _item(side: _Sides, width: int, height: int) -> PackedItem:
    """An item as the packing wants it: what may lie only turned is given turned."""
    if side.upright is None:
        return PackedItem(height, width, turn=False)
    return PackedItem(width, height, turn=side.turned is not None)


def _up(mm: float) -> int:
    return math.ceil(mm / UNIT - 1e-3)


def _down(mm: float) -> int:
    return math.floor(mm / UNIT + 1e-3)


def _laid(arrays: Arrays, ruled: _Ruled, grid: _Grid, kind: int, place: Place) -> Laid:
    """A place on the grid as a pose of the piece's centre."""
    side, item = ruled.sides[kind], grid.item(kind)
    turned = place.turned or side.upright is None
    pose = side.turned if turned else side.upright
    assert pose is not None
    wide, high = (side.height, side.width) if turned else (side.width, side.height)
    if place.turned:
        assert item.turn
    x = ruled.bounds[0] + place.x * grid.step + wide / 2
    y = ruled.bounds[1] + place.y * grid.step + high / 2
    c, s = math.cos(math.radians(ruled.turn)), math.sin(math.radians(ruled.turn))
    orientation = int(arrays.tables.kind_orientations[kind]) + pose[0]
    return Laid(kind, orientation, c * x - s * y, s * x + c * y, pose[1])
