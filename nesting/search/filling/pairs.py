"""Pairs of pieces that fill one another's bays, laid as one compound piece.

Of two pieces head to tail or facing one way, that touch, the pair is worth the more the smaller its convex hull
against the hulls of both. Pieces without bays gain nothing so: they touch along whole edges of their own accord.
Compound pieces as a start for nesting: Adamowicz, Albano 1976 (there in rectangles; here the pair keeps its outline).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.model.problem import Kind, Orientation
from nesting.search.arrays.arrays import Pose, build
from nesting.search.arrays.empty_field import field_about
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.arrays.touching_positions import NoFit
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill

SAVED = 0.03
"""A pair must save this share of the hulls of its pieces."""

BAYS = 0.01
"""What of a piece's hull its bays must be at least, for it to be paired."""

MOST_KINDS = 8
"""Kinds of which pairs are sought: those with the largest bays."""

CLOSE = 0.01
"""Slits in a pair no wider than twice this (mm) beyond the gap are closed, so that it is one piece."""

WIDENED = 1.02
"""No-fit polygons keep up to 2 % more than the gap: they stand about it with 16 sides."""


@dataclass(frozen=True)
class Pair:
    """The second kind turned by `turn` degrees (0 or 180) and shifted by `at`, in the frame of the first.

    `orientations`: for every orientation of the compound piece those of the two, numbered within their kinds.
    """

    first: int
    second: int
    turn: float
    at: tuple[float, float]
    orientations: tuple[tuple[int, int], ...]


class Paired:
    """The kinds of some inner fits and, numbered after them, pairs of them."""

    def __init__(self, plain: InnerFits, most: int) -> None:
        problem = plain.arrays.problem
        found = _best_pairs(plain)[:most]
        self.plain, self.pairs = plain, [pair for pair, _ in found]
        kinds = (*problem.kinds, *(kind for _, kind in found))
        self.fits = InnerFits(build(replace(problem, kinds=kinds)), plain.most_angles) if found else plain

    def bottom_left_fill(self, sequence: Sequence[int], chosen: frozenset[int], sweep: Sweep) -> list[Laid]:
        """Lay a sequence of kinds, as many as go of the pairs chosen first where their first piece would come.

        What is missing then is laid singly.
        """
        laid = [
            piece
            for one in bottom_left_fill(self.fits, self._joined(sequence, chosen), sweep)
            for piece in self._two(one)
        ]
        left = Counter(sequence) - Counter(piece.kind for piece in laid)
        rest = []
        for kind in sequence:
            if left[kind] > 0:
                left[kind] -= 1
                rest.append(kind)
        return laid + bottom_left_fill(self.plain, rest, sweep, laid) if rest else laid

    def _joined(self, sequence: Sequence[int], chosen: frozenset[int]) -> list[int]:
        """The sequence with pairs in place of their pieces."""
        left, due = Counter(sequence), dict[int, int]()
        for number in sorted(chosen):
            a, b = self._members(number)
            due[number] = left[a] // 2 if a == b else min(left[a], left[b])
            left[a] -= due[number]
            left[b] -= due[number]
        taken, out = Counter[int](), []
        for kind in sequence:
            if taken[kind] > 0:
                taken[kind] -= 1
                continue
            mine = [n for n, many in due.items() if many and kind in self._members(n)]
            if not mine:
                out.append(kind)
                continue
            a, b = self._members(mine[0])
            due[mine[0]] -= 1
            taken[b if kind == a else a] += 1
            out.append(len(self.plain.arrays.problem.kinds) + mine[0])
        return out

    def _members(self, number: int) -> tuple[int, int]:
        return self.pairs[number].first, self.pairs[number].second

    def _two(self, laid: Laid) -> list[Laid]:
        """A piece as it is, a pair as its two pieces."""
        kinds = self.plain.arrays.problem.kinds
        if laid.kind < len(kinds):
            return [laid]
        pair = self.pairs[laid.kind - len(kinds)]
        whole = self.fits.arrays.pose_of(laid.kind, laid.orientation, laid.x, laid.y, laid.angle)
        one, other = pair.orientations[whole.orientation]
        c, s = math.cos(laid.angle), math.sin(laid.angle)
        x, y = (-pair.at[0], pair.at[1]) if whole.mirrored else pair.at
        second = (pair.second, other, whole.angle + pair.turn, whole.x + c * x - s * y, whole.y + s * x + c * y)
        return [self._piece(*each) for each in ((pair.first, one, whole.angle, whole.x, whole.y), second)]

    def _piece(self, kind: int, local: int, angle: float, x: float, y: float) -> Laid:
        orientation = self.plain.arrays.problem.kinds[kind].orientations[local]
        angle = min(
            max(angle + 360.0 * round(((orientation.low + orientation.high) / 2 - angle) / 360.0), orientation.low),
            orientation.high,
        )
        return Laid(kind, *self.plain.arrays.kernel_pose(Pose(kind, local, x, y, angle, orientation.mirrored)))


def _best_pairs(fits: InnerFits) -> list[tuple[Pair, Kind]]:
    """The pairs that save enough, the most saving first, each with the compound piece it makes."""
    kinds = fits.arrays.problem.kinds
    bays = {i: 1 - kind.outline.area / kind.outline.convex_hull.area for i, kind in enumerate(kinds)}
    room = {i: kinds[i].outline.convex_hull.area * share for i, share in bays.items() if share > BAYS}
    sought = sorted(sorted(room, key=lambda i: (-room[i], i))[:MOST_KINDS])
    made = [
        pair
        for a, b in combinations_with_replacement(sought, 2)
        for turn in ((180.0,) if a == b else (0.0, 180.0))
        if (pair := _pair(fits, a, b, turn)) is not None
    ]
    return [(pair, kind) for saved, pair, kind in sorted(made, key=lambda each: -round(each[0], 6)) if saved >= SAVED]


def _pair(fits: InnerFits, first: int, second: int, turn: float) -> tuple[float, Pair, Kind] | None:
    """The share of the hulls saved, the pair of least hull and its compound piece; None where they cannot lie so."""
    arrays, (a, b) = (
        fits.arrays,
        (fits.arrays.problem.kinds[first], fits.arrays.problem.kinds[second]),
    )
    orientations = list(_orientations(a, b, turn))
    if not orientations or any(kind.orientations[0].mirrored for kind in (a, b)):
        return None
    shapes = [int(arrays.tables.orientation_shape[arrays.tables.kind_orientations[kind]]) for kind in (first, second)]
    one, two = _solid(fits, shapes[0], 0.0), _solid(fits, shapes[1], turn)
    away = _corners(fits.no_fits.about(shapes[0], shapes[1], math.radians(turn)))
    ways = _shifted(two, away)
    hulls = shapely.area(shapely.convex_hull(shapely.union(one, ways)))
    best = int(np.argmin(hulls))
    at = tuple(arrays.centres[shapes[0]] + away[best] - (1.0 if turn == 0.0 else -1.0) * arrays.centres[shapes[1]])
    whole = _closed(shapely.union(one, ways[best]), arrays.problem.gap)
    if whole is None:
        return None
    outline = affinity.translate(whole, *arrays.centres[shapes[0]])
    beside = tuple(affinity.translate(affinity.rotate(part, turn, origin=(0, 0)), *at) for part in b.parts)
    kind = Kind(f"{a.name} + {b.name}", a.product, outline, a.parts + beside, 1, tuple(s for s, _ in orientations))
    saved = 1 - float(hulls[best]) / (one.convex_hull.area + two.convex_hull.area)
    return saved, Pair(first, second, turn, (float(at[0]), float(at[1])), tuple(both for _, both in orientations)), kind


def _orientations(a: Kind, b: Kind, turn: float) -> Iterator[tuple[Orientation, tuple[int, int]]]:
    """How a pair may lie: at angles that suit both, both turned over or neither."""
    for m, one in enumerate(a.orientations):
        for n, other in enumerate(b.orientations):
            for round_ in (-360.0, 0.0, 360.0):
                low, high = max(one.low, other.low - turn + round_), min(one.high, other.high - turn + round_)
                if one.mirrored == other.mirrored and low <= high + 1e-9:
                    yield Orientation(one.mirrored, low, max(low, high), one.regions + other.regions), (m, n)


def _solid(fits: InnerFits, shape: int, turn: float) -> BaseGeometry:
    """A shape about its centre as the kernel has it: the union of its convex parts."""
    t = fits.arrays.tables
    parts = range(t.shape_at[shape], t.shape_at[shape] + t.shape_solid[shape])
    rings = [Polygon(t.verts[t.part_at[p] : t.part_at[p + 1]]) for p in parts]
    return affinity.rotate(shapely.union_all(rings), turn, origin=(0, 0))


def _corners(no_fit: NoFit) -> np.ndarray:
    """Positions at the corners of a no-fit polygon, also where a piece goes in without any play; shape (n, 2).

    Four more lie far off.
    """
    reach = 2.0 * float(np.abs(no_fit.ring).max())
    hull = reach * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    planes = np.array([[-1.0, 0.0, reach], [0.0, -1.0, reach], [1.0, 0.0, reach], [0.0, 1.0, reach]])
    field = field_about(hull, planes, [(no_fit, 0.0, 0.0, 0.0)], len(no_fit.box))
    found: np.ndarray = field.points[: field.size[1]]
    return found


def _shifted(shape: BaseGeometry, shifts: np.ndarray) -> np.ndarray:
    """A shape shifted many ways."""
    return np.array([affinity.translate(shape, float(x), float(y)) for x, y in shifts], dtype=object)


def _closed(shape: BaseGeometry, gap: float) -> Polygon | None:
    """Two pieces as one polygon that holds both, the slit between them closed; None where that does not make one."""
    wide = WIDENED * gap / 2 + CLOSE
    made = shape.buffer(wide, join_style="mitre").buffer(-wide, join_style="mitre")
    made = shapely.union(made, shape)
    return Polygon(made.exterior) if isinstance(made, Polygon) else None
