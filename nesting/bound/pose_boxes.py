"""Boxes of poses of one convex piece, and what of level lines every pose in a box surely covers.

A box holds the poses whose angle lies in an interval and whose centre lies in a rectangle. Lines run along y, so far
apart in x; the piece's core is what all poses in the box have in common but for the shift along the lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from nesting.bound.chords import nearly_round
from nesting.geometry.convex import convex_parts, normals, polygons, ring_of
from nesting.geometry.half_planes import cut
from nesting.model.problem import Kind, Orientation, Problem
from nesting.model.tolerance import SHARED, TURNED

Array = NDArray[np.float64]

DRAWN_IN = 1e-6
"""How much (mm) a core is smaller than it may be: more than what its corners are rounded by."""

TOUCHING = 1e-8
"""Intervals of angles no farther apart than this (degrees) touch: there the problem has what suits both."""

CORNERS = 64
"""Corners of the ring that stands for a disc; it loses less than 0.2 % of the disc's radius by them."""

STEEP = 1e-9
"""Edges whose normal leans less than this (a sine) along the lines bound them sideways only."""


@dataclass(frozen=True)
class Stance:
    """A kind in one of its orientations, its middle at nought: convex rings and the angles it may take.

    `takes` are what it surely takes for itself, with its half of the gap: one ring of a convex kind. `asks` are rings
    that lie in it, each with the region that it must lie in. Degrees and mm.
    """

    kind: int
    takes: tuple[Array, ...]
    asks: tuple[tuple[int, Array], ...]
    low: float
    high: float

    @property
    def whole(self) -> Array:
        """What a convex kind takes."""
        return self.takes[0]

    @property
    def wide(self) -> float:
        """The least width of the widest ring that it takes, mm."""
        return max(least_width(ring) for ring in self.takes)


def least_width(ring: Array) -> float:
    """The least distance of two parallel lines with a convex ring between them, mm."""
    out = normals(ring)
    reach = ring @ out.T
    return float((reach.max(axis=0) - reach.min(axis=0)).min())


def is_convex_kind(kind: Kind) -> bool:
    """Whether a kind's outline is convex, but for rounding."""
    return float(kind.outline.area) >= float(kind.outline.convex_hull.area) * (1 - 1e-9)


def stances(problem: Problem, kind: int) -> list[Stance]:
    """All ways to lie of a kind, equal ones once; none of a kind so narrow that nothing of it is surely its own.

    Pieces are taken smaller by what they may share and be askew within a layout's tolerance; with a gap g what they
    take is grown by g/2. Of a nearly round kind the problem has one angle, but a layout may turn it as it likes, and
    over: the largest disc in it stands for it. None of a kind that may stand between two ways.
    """
    own = problem.kinds[kind]
    if stands_between(own):
        return []
    found: dict[object, Stance] = {}
    for orientation in own.orientations:
        pose = _round_stance if len(own.parts) == 1 and nearly_round(own) else _stance
        stance = pose(problem, kind, own, orientation)
        if stance is None:
            return []
        found.setdefault(_key(stance), stance)
    return list(found.values())


def stands_between(kind: Kind) -> bool:
    """Whether a layout's tolerance lets a piece stand between two of its ways, as right for the one as for the other.

    It may then lie on the leather of both at once, as on two zones whose backbones differ by a hundredth of a degree:
    no region of the problem tells where.
    """
    west, south, east, north = kind.outline.bounds
    corners = shapely.get_coordinates(kind.outline) - ((west + east) / 2, (south + north) / 2)
    most = 2 * max(math.degrees(TURNED / float(np.hypot(*corners.T).max())), 1e-6)
    return any(
        a.mirrored == b.mirrored and a.regions != b.regions and TOUCHING < _between(a, b) <= most
        for a, b in combinations(kind.orientations, 2)
    )


def _between(a: Orientation, b: Orientation) -> float:
    """How far apart two intervals of angles are, degrees."""
    if (b.low - a.low) % 360.0 <= a.high - a.low or (a.low - b.low) % 360.0 <= b.high - b.low:
        return 0.0
    return min((b.low - a.high) % 360.0, (a.low - b.high) % 360.0)


def _stance(problem: Problem, kind: int, own: Kind, orientation: Orientation) -> Stance | None:
    less = SHARED + TURNED
    join = "round" if problem.gap else "mitre"
    whole = own.outline.buffer(problem.gap / 2 - less, join_style=join)
    if is_convex_kind(own):
        cells = [ring_of(whole)] if isinstance(whole, Polygon) and not whole.is_empty else []
    else:
        cells = _parts(whole)
    if not cells:
        return None
    west, south, east, north = own.outline.bounds
    middle = (west + east) / 2, (south + north) / 2

    def ring(shape: Polygon) -> Array:
        shape = affinity.translate(shape, -middle[0], -middle[1])
        return ring_of(affinity.scale(shape, -1, 1, origin=(0, 0)) if orientation.mirrored else shape)

    asks = []
    for part, region in zip(own.parts, orientation.regions, strict=True):
        for polygon in polygons(part.buffer(-less, join_style="mitre")):
            asks += [(region, ring(Polygon(cell))) for cell in _parts(polygon)]
    takes = tuple(ring(Polygon(cell)) for cell in cells)
    return Stance(kind, takes, tuple(asks), orientation.low, orientation.high)


def _round_stance(problem: Problem, kind: int, own: Kind, orientation: Orientation) -> Stance | None:
    middle = Point(shapely.maximum_inscribed_circle(own.outline, tolerance=0.01).coords[0])
    radius = float(own.outline.boundary.distance(middle)) - SHARED - TURNED
    if radius <= 0:
        return None
    angles = np.arange(CORNERS) * (2 * math.pi / CORNERS)
    circle = np.column_stack([np.cos(angles), np.sin(angles)])
    asks = tuple((region, radius * circle) for region in orientation.regions)
    return Stance(kind, ((radius + problem.gap / 2) * circle,), asks, 0.0, 0.0)


def _parts(shape: BaseGeometry) -> list[Array]:
    """Convex parts of a shape; none where they came out larger than it, of which nothing can be told for sure."""
    parts = convex_parts(shape)
    return parts if sum(Polygon(part).area for part in parts) <= float(shape.area) * (1 + 1e-9) else []


def _key(stance: Stance) -> object:
    """The same for two ways to lie that no layout could tell apart."""
    return round(stance.high - stance.low, 9), corners_at(stance, stance.low % 360.0, 5)


def corners_at(stance: Stance, angle: float, decimals: int) -> object:
    """What a stance takes and asks for when turned to an angle (degrees), rounded (mm), in an order of its own."""
    rings = [*((-1, ring) for ring in stance.takes), *stance.asks]
    turned = [(region, (np.round(turn(ring, angle), decimals) + 0.0).tolist()) for region, ring in rings]
    return tuple(sorted((region, tuple(sorted(map(tuple, points)))) for region, points in turned))


def turn(ring: Array, angle: float) -> Array:
    """A ring turned about nought by degrees."""
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turned: Array = ring @ np.array([[c, s], [-s, c]])
    return turned


def core(ring: Array, low: float, high: float, across: float, along: float) -> Array:
    """What a convex ring covers at every angle between `low` and `high` and every shift: a ring, (0, 2) if nothing.

    Degrees; shifts up to `across` (mm) in x and `along` in y, either way. A polygon of half-planes, for the reason that
    `core_chords` gives; drawn in by a millionth of a millimetre more, so that rounding makes it no larger.
    """
    wide = math.radians(high - low)
    if wide >= math.pi:
        return np.empty((0, 2))
    out = normals(ring)
    reach = float(np.hypot(ring[:, 0], ring[:, 1]).max())
    spare = reach * (1 - math.cos(wide / 2)) + DRAWN_IN
    far = 1.01 * reach
    left = [(-far, -far), (far, -far), (far, far), (-far, far)]
    for angle in sorted({low, high}):
        edges = turn(out, angle)
        room = (out * ring).sum(axis=1) - across * np.abs(edges[:, 0]) - along * np.abs(edges[:, 1]) - spare
        for (x, y), most in zip(edges.tolist(), room.tolist(), strict=True):
            left = cut(left, x, y, most)
            if len(left) < 3:
                return np.empty((0, 2))
    corners = np.array(left)
    corners = corners[np.hypot(*(corners - np.roll(corners, 1, axis=0)).T) > DRAWN_IN]
    return corners if len(corners) > 2 else np.empty((0, 2))


def core_chords(ring: Array, low: float, high: float, half: float, at: Array) -> tuple[Array, Array]:
    """Where lines at some x meet the core of a convex ring: what it covers at every angle and every shift in x.

    Angles between `low` and `high` (degrees), shifts up to `half` (mm) either way. Gives the lower and the upper end of
    each line's chord; the upper below the lower where it has none.

    Validity. A point z lies in the ring turned by φ when n(φ)·z ≤ b for every edge, n turning with it. Over an interval
    of angles of width Δ the sinusoid n(φ)·z exceeds the larger of its values at the two ends by at most |z| (1 − cos
    (Δ/2)), and |z| is at most the ring's reach; so it is enough that both ends hold by so much, for z shifted either
    way. That is a polygon again, of half-planes, and its chords are told edge by edge.
    """
    out = normals(ring)
    most = (out * ring).sum(axis=1)
    reach = float(np.hypot(ring[:, 0], ring[:, 1]).max())
    spare = (reach + half) * (1 - math.cos(math.radians(high - low) / 2)) + 1e-9
    lower, upper = np.full(len(at), -np.inf), np.full(len(at), np.inf)
    for angle in {low, high}:
        edges = turn(out, angle)
        room = most - half * np.abs(edges[:, 0]) - spare
        for (nx, ny), b in zip(edges.tolist(), room.tolist(), strict=True):
            if abs(ny) < STEEP:
                upper = np.where(nx * at > b - reach * STEEP, -np.inf, upper)
            elif ny > 0:
                upper = np.minimum(upper, (b - nx * at) / ny)
            else:
                lower = np.maximum(lower, (b - nx * at) / ny)
    return lower, upper
