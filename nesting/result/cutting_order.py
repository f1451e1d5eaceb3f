"""In what order a layout is cut with a knife, and on which side of every cut the waste lies.

First come *partings*: straight cuts from edge to edge of the leather that run through no piece, so that what lies on
the bench gets smaller; none of them cuts an offcut worth keeping to pieces. Then the pieces of each part, from the
outside in: of those that lie nearest the outside of the part the one nearest to the last.
Sides are told as on the sheet, where the backbone lies level.

The order is a proposal: partings are sought along the main directions of long edges and every `STEP` degrees, the one
that parts the leather most evenly first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import split
from shapely.strtree import STRtree

from hides.hide import Point
from nesting.model.layout import HideLayout

SHARED = 0.05
"""Lines nearer than this (mm) are one."""
CLEAR = 3.0
"""What a parting in the open leaves between itself and every piece, mm."""
STEP = 15
"""Degrees between the directions tried beside those of long edges."""
LONG = 100.0
"""An edge that gives a direction is at least so long, mm."""
FEW, SMALL, UNEVEN = 12, 15e4, 0.1
"""A part with so few pieces, or so little leather (mm²), is not parted; nor is a smaller share of a part cut off."""
MOST_WAYS, MOST_GAPS, MOST_PARTINGS = 8, 2, 6
"""Directions of long edges tried, gaps in each (those that part the pieces most evenly), partings of a hide."""
KEPT = 0.98
"""A parting leaves at least this share of an offcut in one piece."""
RING = 60.0
"""Pieces that lie no further from the outside than the outermost and so much more (mm) are next alike."""
SAMPLE = 4.0
"""mm between the points at which a piece's edge is looked at."""
SIDES = ("right", "above", "left", "below")
TOLD = 0.25
"""A side has waste where more than this share of its edge has."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Parting:
    """A straight cut across one part of the leather.

    `line`: where it begins and ends. `along`: the pieces whose edges it cuts, by their places; none where it runs in
    the open. `waste`: the sides of it that are waste all along, as words.
    """

    line: tuple[Point, Point]
    along: tuple[int, ...]
    waste: tuple[str, ...]


@dataclass(frozen=True)
class PieceCut:
    """A piece to cut out: its place among the placements, the part it lies in (from 0), the sides with waste."""

    place: int
    part: int
    waste: tuple[str, ...]

    @property
    def all_round(self) -> bool:
        """Whether there is waste on every side."""
        return len(self.waste) == len(SIDES)


@dataclass(frozen=True)
class CuttingOrder:
    """The partings in their order, then the pieces in theirs."""

    partings: tuple[Parting, ...]
    pieces: tuple[PieceCut, ...]

    @property
    def parts(self) -> int:
        """How many parts the partings leave that hold pieces."""
        return len({cut.part for cut in self.pieces})


def cutting_order(each: HideLayout) -> CuttingOrder:
    """The order for one hide; of a hide cut in strips that of the pieces beside the strips."""
    direction = each.hide.direction or 0.0
    angle = (direction + 90) % 180 - 90
    in_strips = _in_strips(each)
    places = [n for n in range(len(each.placements)) if n not in in_strips]
    pieces = {n: affinity.rotate(Polygon(each.placements[n].outline), -angle, origin=(0, 0)) for n in places}
    ground = affinity.rotate(each.hide.polygon, -angle, origin=(0, 0))
    offcuts = [affinity.rotate(Polygon(ring), -angle, origin=(0, 0)) for ring in each.offcuts]
    order = _ordered(ground, pieces, offcuts, parted=not in_strips)
    return CuttingOrder(tuple(_turned(parting, angle) for parting in order.partings), order.pieces)


def _in_strips(each: HideLayout) -> frozenset[int]:
    blocks = each.straight.blocks if each.straight else ()
    return frozenset(place for block in blocks for strip in block.strips for place in strip.pieces)


def _turned(parting: Parting, angle: float) -> Parting:
    line = affinity.rotate(LineString(parting.line), angle, origin=(0, 0))
    (a, b), (c, d) = line.coords
    return Parting(((a, b), (c, d)), parting.along, parting.waste)


def _ordered(ground: Polygon, pieces: dict[int, Polygon], offcuts: list[Polygon], *, parted: bool) -> CuttingOrder:
    parts: list[tuple[BaseGeometry, list[int]]] = [(ground, list(pieces))]
    partings: list[Parting] = []
    done: list[tuple[BaseGeometry, list[int]]] = []
    while parts:
        part, inside = parts.pop()
        found = _parting(part, inside, pieces, offcuts) if parted and len(partings) < MOST_PARTINGS else None
        if found is None:
            done.append((part, inside))
            continue
        parting, halves = found
        partings.append(parting)
        parts += reversed(halves)
    lines = [LineString(parting.line) for parting in partings]
    tree, keys = STRtree(list(pieces.values())), list(pieces)
    cuts = tuple(
        PieceCut(place, number, _waste(pieces[place], _beside(place, pieces, tree, keys), [*lines, ground.boundary]))
        for number, (part, inside) in enumerate(done)
        for place in _outside_in(part, inside, pieces)
    )
    return CuttingOrder(tuple(partings), cuts)


# Partings.


@dataclass(frozen=True)
class _Gap:
    """A line that separates pieces: its direction (radians), its place across it, and how wide the gap is."""

    way: float
    at: float
    wide: float
    left: tuple[int, ...]
    right: tuple[int, ...]


def _parting(
    part: BaseGeometry, inside: list[int], pieces: dict[int, Polygon], offcuts: list[Polygon]
) -> tuple[Parting, list[tuple[BaseGeometry, list[int]]]] | None:
    """The cut that parts a part most evenly, and the two halves; None where none was found worth its while."""
    if len(inside) <= FEW or part.area < SMALL:
        return None
    best, most = None, UNEVEN
    for gap in _gaps(inside, pieces):
        left = part.intersection(_half_plane(gap, part))
        even = min(left.area, part.area - left.area) / part.area
        worth = even * (1.0 if gap.wide >= 2 * CLEAR else 0.8)
        if worth > most + 1e-9 and _keeps(_across(gap, part), offcuts):
            best, most = (gap, left), worth
    if best is None:
        return None
    gap, left = best
    line = _across(gap, part)
    halves = [(left, list(gap.left)), (part.difference(left), list(gap.right))]
    return _told(gap, line, pieces), halves


def _gaps(inside: list[int], pieces: dict[int, Polygon]) -> list[_Gap]:
    """All straight ways between the pieces, along the directions that are tried."""
    rings = {place: np.array(pieces[place].exterior.coords) for place in inside}
    found = []
    for way in _ways(rings.values()):
        normal = np.array([-math.sin(way), math.cos(way)])
        reach = sorted((float((ring @ normal).min()), float((ring @ normal).max()), n) for n, ring in rings.items())
        everyone = tuple(sorted(inside))
        found.append(_Gap(way, reach[0][0] - CLEAR, 2 * CLEAR, everyone, ()))
        found.append(_Gap(way, max(high for _, high, _ in reach) + CLEAR, 2 * CLEAR, (), everyone))
        found += sorted(_between(way, reach), key=lambda gap: -min(len(gap.left), len(gap.right)))[:MOST_GAPS]
    return found


def _between(way: float, reach: list[tuple[float, float, int]]) -> list[_Gap]:
    """The gaps between pieces in one direction, from where each begins and ends across it, in order."""
    found, highest = [], -math.inf
    for k, (low, high, _) in enumerate(reach):
        if k and low - highest >= -SHARED / 2:
            right, left = (tuple(sorted(n for *_, n in side)) for side in (reach[:k], reach[k:]))
            found.append(_Gap(way, (low + highest) / 2, low - highest, left, right))
        highest = max(highest, high)
    return found


def _keeps(line: LineString, offcuts: list[Polygon]) -> bool:
    """Whether a cut leaves every offcut nearly whole."""
    return all(
        max(part.area for part in shapely.get_parts(split(offcut, line))) >= KEPT * offcut.area
        for offcut in offcuts
        if offcut.intersects(line)
    )


def _ways(rings: Iterable[Floats]) -> list[float]:
    """Directions from 0 to less than pi: every `STEP` degrees, and those that most length of long edges has."""
    length: dict[float, float] = {}
    for ring in rings:
        edges = np.diff(ring, axis=0)
        long = np.hypot(edges[:, 0], edges[:, 1])
        degrees = np.degrees(np.arctan2(edges[:, 1], edges[:, 0])) % 180
        for degree, mm in zip(degrees[long >= LONG], long[long >= LONG], strict=True):
            at = round(float(degree), 2) % 180
            length[at] = length.get(at, 0.0) + float(mm)
    most = sorted(length, key=lambda at: (-length[at], at))[:MOST_WAYS]
    return [math.radians(d) for d in sorted({*most, *map(float, range(0, 180, STEP))})]


def _frame(gap: _Gap) -> tuple[Floats, Floats]:
    return np.array([math.cos(gap.way), math.sin(gap.way)]), np.array([-math.sin(gap.way), math.cos(gap.way)])


def _half_plane(gap: _Gap, part: BaseGeometry) -> Polygon:
    """What lies left of a gap's line, as far as the part reaches."""
    along, normal = _frame(gap)
    far = 4 * max(map(abs, part.bounds)) + 1
    corners = [(-far, gap.at), (far, gap.at), (far, gap.at + 2 * far), (-far, gap.at + 2 * far)]
    return Polygon([tuple(s * along + t * normal) for s, t in corners])


def _across(gap: _Gap, part: BaseGeometry) -> LineString:
    """The line from where it enters the part to where it leaves it."""
    along, normal = _frame(gap)
    far = 4 * max(map(abs, part.bounds)) + 1
    met = part.intersection(LineString([tuple(s * along + gap.at * normal) for s in (-far, far)]))
    at = np.array(shapely.get_coordinates(met)) @ along
    return LineString([tuple(s * along + gap.at * normal) for s in (at.min(), at.max())])


def _told(gap: _Gap, line: LineString, pieces: dict[int, Polygon]) -> Parting:
    (a, b), (c, d) = line.coords
    level = abs(math.cos(gap.way)) >= abs(math.sin(gap.way))
    names = ("left", "right")
    if level:
        names = ("above", "below") if math.cos(gap.way) > 0 else ("below", "above")
    if gap.wide >= 2 * CLEAR:
        return Parting(((a, b), (c, d)), (), names)
    sides = [tuple(n for n in side if pieces[n].distance(line) <= SHARED) for side in (gap.left, gap.right)]
    waste = tuple(name for name, edges in zip(names, sides, strict=True) if not edges)
    return Parting(((a, b), (c, d)), tuple(sorted(sides[0] + sides[1])), waste)


# Pieces.


def _outside_in(part: BaseGeometry, inside: Sequence[int], pieces: dict[int, Polygon]) -> list[int]:
    """The pieces of a part in their order."""
    if not inside:
        return []
    shapes = np.array([pieces[place] for place in inside])
    deep = shapely.distance(shapes, part.boundary)
    middles = shapely.get_coordinates(shapely.centroid(shapes))
    left = np.ones(len(inside), dtype=bool)
    order: list[int] = []
    near = middles[:, 0]  # begins at the left
    while left.any():
        ring = left & (deep <= deep[left].min() + RING)
        nearest = int(np.lexsort((np.arange(len(inside)), np.round(near, 3), ~ring))[0])
        order.append(inside[nearest])
        left[nearest] = False
        near = np.hypot(*(middles - middles[nearest]).T)
    return order


def _beside(place: int, pieces: dict[int, Polygon], tree: STRtree, keys: list[int]) -> list[BaseGeometry]:
    """The pieces that share a line with one."""
    found = (keys[k] for k in tree.query(pieces[place], predicate="dwithin", distance=SHARED))
    return [pieces[n] for n in sorted(found) if n != place]


def _waste(piece: Polygon, neighbours: list[BaseGeometry], ends: Sequence[BaseGeometry]) -> tuple[str, ...]:
    """The sides of a piece where waste lies beyond its edge: no neighbour, no parting, not the end of the hide."""
    points, sides = _edge_points(piece)
    met = shapely.points(points)
    taken = np.zeros(len(points), dtype=bool)
    for shape in [*neighbours, *ends]:
        shapely.prepare(shape)
        taken |= shapely.dwithin(shape, met, SHARED)
    return tuple(side for k, side in enumerate(SIDES) if np.any(sides == k) and np.mean(~taken[sides == k]) > TOLD)


def _edge_points(piece: Polygon) -> tuple[Floats, NDArray[np.int64]]:
    """Points amid short stretches of a piece's edge, and the side each faces (an index of `SIDES`)."""
    ring = np.array(shapely.segmentize(shapely.geometry.polygon.orient(piece).exterior, SAMPLE).coords)
    steps = np.diff(ring, axis=0)
    outward = np.degrees(np.arctan2(-steps[:, 0], steps[:, 1]))
    return (ring[:-1] + ring[1:]) / 2, (np.floor((outward + 45) / 90) % 4).astype(np.int64)
