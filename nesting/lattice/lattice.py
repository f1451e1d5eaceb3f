"""The densest way found to repeat a piece without end: with its head-to-tail copy, or by shifts alone.

Terms. A *lattice* is all whole combinations of two shifts u and v. A *double lattice* holds a piece and a partner
(the piece turned by 180°, or another kind) at every lattice point; with the turned piece it is the trade's
parallelogram method of pattern assessment: join like points of four pieces that face one way, and the parallelogram
holds two pieces and the first waste (Russ & Small 1922). Density is the pieces' area over the parallelogram's.

Kuperberg, Kuperberg: Double-lattice packings of convex bodies in the plane. Discrete Comput. Geom. 5 (1990):
any convex piece reaches √3/2, with touching rows. Mount: The densest double-lattice packing of a convex polygon.
DIMACS 6 (1991): the best has such rows. For pieces that are not convex the same rows are searched: every direction
of a corner or an edge of the no-fit polygon and many between, refined; the result is a packing, not surely the best.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import Point, Polygon

from nesting.geometry.convex import Array, offsets, ring_of
from nesting.lattice.no_fit_polygon import no_fit_polygon
from nesting.lattice.rows import periods, stack

DIRECTIONS = 180
"""Row directions tried between 0° and 180° beside those of corners and edges."""

REFINED = 10
"""The best rows that are refined."""

Shift = tuple[float, float]


@dataclass(frozen=True)
class Lattice:
    """Pieces at every whole combination of `u` and `v`; a partner beside each, shifted by `partner`, if any.

    `area` is that of the pieces in one parallelogram, mm². For a head-to-tail partner, the piece is first turned by
    180° about its frame's origin, then shifted.
    """

    u: Shift
    v: Shift
    partner: Shift | None
    area: float

    @property
    def cell(self) -> float:
        """Area of the parallelogram, mm²."""
        return abs(self.u[0] * self.v[1] - self.u[1] * self.v[0])

    @property
    def density(self) -> float:
        """Share of the leather that becomes pieces."""
        return self.area / self.cell


@dataclass(frozen=True)
class Seek:
    """How many of the densest lattices are wanted; `rows`: directions (radians) of which the best is wanted too."""

    several: int = 1
    rows: tuple[float, ...] = ()


ONE = Seek()


def turned(outline: Polygon) -> Polygon:
    """An outline head to tail about its frame's origin."""
    return affinity.rotate(outline, 180, origin=(0, 0))


def shifts_only(outline: Polygon, gap: float = 0.0, seek: Seek = ONE) -> list[Lattice]:
    """The densest lattices found in which all pieces face one way, best first."""
    own = _Held.of(no_fit_polygon(outline, outline, gap))
    none = np.zeros((0, 2))
    return _sound(_best(_Rows((own,), none, none, outline.area), seek), outline, None, gap)


def head_to_tail(outline: Polygon, gap: float = 0.0, seek: Seek = ONE) -> list[Lattice]:
    """The densest double lattices found of a piece and its copy turned by 180°, best first."""
    return side_by_side(outline, turned(outline), gap, seek)


def side_by_side(first: Polygon, second: Polygon, gap: float = 0.0, seek: Seek = ONE) -> list[Lattice]:
    """The densest double lattices found in which rows of one outline alternate with rows of another, best first."""
    owns = tuple(_Held.of(no_fit_polygon(outline, outline, gap)) for outline in (first, second))
    cross, back = (ring_of(no_fit_polygon(a, b, gap)) for a, b in ((first, second), (second, first)))
    return _sound(_best(_Rows(owns, cross, back, first.area + second.area), seek), first, second, gap)


def _sound(found: list[Lattice], first: Polygon, second: Polygon | None, gap: float) -> list[Lattice]:
    """Those lattices in which no two pieces overlap.

    Rows are held against the next ones only; where rows are shallow a piece with bays can reach past its neighbours.
    """
    half = max(gap / 2 - 1e-3, 0.0)
    one = first.buffer(half, quad_segs=8) if half else first
    two = (second.buffer(half, quad_segs=8) if half else second) if second is not None else None
    return [lattice for lattice in found if worst_overlap(lattice, one, two) <= 1e-6 * first.area]


def lattices(outline: Polygon, turn: bool = True, gap: float = 0.0, seek: Seek = ONE) -> list[Lattice]:
    """The densest lattices found of one kind, best first; with `turn` its pieces may also lie head to tail.

    >>> right_angled = Polygon([(0, 0), (30, 0), (0, 40)])
    >>> [round(lattices(right_angled, turn)[0].density, 4) for turn in (True, False)]
    [1.0, 0.6667]
    """
    found = shifts_only(outline, gap, seek)
    if turn:
        found = found + head_to_tail(outline, gap, seek)
    return sorted(found, key=lambda lattice: -round(lattice.density, 7))[: seek.several + 2 * len(seek.rows)]


@dataclass(frozen=True)
class _Held:
    """A no-fit polygon of a shape with itself: its rings one after the other, and where each begins."""

    rings: Array
    at: NDArray[np.int64]

    @classmethod
    def of(cls, own: Polygon) -> _Held:
        """From a polygon with holes."""
        rings = [ring_of(own)] + [ring_of(Polygon(hole)) for hole in own.interiors]
        return cls(np.ascontiguousarray(np.concatenate(rings)), offsets(rings))

    @property
    def outer(self) -> Array:
        return self.rings[: self.at[1]]

    def inside(self, angle: float) -> list[tuple[float, float]]:
        """The open intervals of shifts along a direction that lie strictly inside."""
        found = np.zeros(len(self.rings) + 1)
        many = periods(self.rings, self.at, math.cos(angle), math.sin(angle), found)
        marks = [0.0, *found[:many].tolist()]
        return [(marks[k], marks[k + 1]) for k in range(0, len(marks) - 1, 2)]


@dataclass(frozen=True)
class _Rows:
    """What rows are judged by: where each row meets its like, its partner, and the partner the next row."""

    owns: tuple[_Held, ...]
    cross: Array
    back: Array
    area: float

    def periods(self, angle: float) -> list[float]:
        """The shortest few shifts along a direction at which all members of a row keep apart."""
        held = [own.inside(angle) for own in self.owns]
        ends = sorted({end / k for spans in held for _, end in spans for k in (1, 2, 3)})
        good = [p for p in ends if all(_apart(spans, p) for spans in held)]
        return good[:2]

    def cell(self, angle: float, period: float) -> tuple[float, NDArray[np.float64]]:
        """Parallelogram area and the stack that gives it."""
        ux, uy = math.cos(angle), math.sin(angle)
        found = stack(self.owns[0].outer, self.cross, self.back, ux, uy, period)
        return (float(found[0]) * period if found[0] > 0 else math.inf), found

    def least(self, angle: float, which: int) -> float:
        """Parallelogram area for rows along a direction with the n-th shortest shift."""
        known = self.periods(angle)
        return self.cell(angle, known[which])[0] if which < len(known) else math.inf

    def directions(self) -> Iterator[float]:
        """Angles of row directions worth trying, in [0, π)."""
        for own in self.owns:
            ring = own.outer
            for dx, dy in np.concatenate([ring, np.roll(ring, -1, axis=0) - ring]):
                yield math.atan2(dy, dx) % math.pi
        for k in range(DIRECTIONS):
            yield math.pi * (k + 0.5) / DIRECTIONS


def _apart(spans: list[tuple[float, float]], period: float) -> bool:
    """Whether no multiple of a shift lies strictly inside one of the intervals."""
    for low, high in spans:
        k = math.floor(low / period * (1 + 1e-12)) + 1
        if k * period < high * (1 - 1e-12):
            return False
    return True


def _best(rows: _Rows, seek: Seek) -> list[Lattice]:
    """The densest few, of different row directions, and the best of each direction asked for."""
    tried = [(rows.least(angle, which), angle, which) for angle in sorted(set(rows.directions())) for which in (0, 1)]
    tried.sort()
    starts = [start for start in _spread(tried, seek.several) if start[0] < math.inf]
    refined: list[tuple[float, float, int]] = []
    for cell, angle, which in sorted(_refined(rows, *start) for start in starts):
        if all(abs(cell - c) > 1e-9 * cell or abs(angle - a) > 1e-6 for c, a, _ in refined):
            refined.append((cell, angle, which))
    asked = [min((rows.least(angle, which), angle, which) for which in (0, 1)) for angle in seek.rows]
    chosen = refined[: seek.several] + [one for one in asked if one[0] < math.inf]
    return [_lattice(rows, angle, rows.periods(angle)[which]) for _, angle, which in chosen]


def _spread(tried: list[tuple[float, float, int]], several: int) -> list[tuple[float, float, int]]:
    """The best starts, and the best ones a few degrees apart where several lattices are wanted."""
    starts = tried[:REFINED]
    apart: list[tuple[float, float, int]] = []
    for start in tried if several > 1 else []:
        if len(apart) == several:
            break
        if all(abs(start[1] - a) > math.radians(4) for _, a, _ in apart):
            apart.append(start)
    return starts + apart


def _refined(rows: _Rows, cell: float, angle: float, which: int) -> tuple[float, float, int]:
    """Steps to both sides while they better the cell, ever smaller."""
    step = math.pi / DIRECTIONS
    while step > 1e-10:
        nearby = [(rows.least(angle + way * step, which), angle + way * step) for way in (-1, 1)]
        better = min(nearby)
        if better[0] < cell * (1 - 1e-13):
            cell, angle = better
        else:
            step *= 0.4
    return cell, angle, which


def _lattice(rows: _Rows, angle: float, period: float) -> Lattice:
    _, found = rows.cell(angle, period)
    c, s = math.cos(angle), math.sin(angle)

    def carried(x: float, y: float) -> Shift:
        return c * x - s * y, s * x + c * y

    partner = carried(float(found[1]), float(found[2])) if len(rows.cross) else None
    return Lattice(*_shortest(carried(period, 0.0), carried(float(found[3]), float(found[0]))), partner, rows.area)


def _shortest(u: Shift, v: Shift) -> tuple[Shift, Shift]:
    """The lattice's two shortest shifts (Gauss's reduction)."""
    while True:
        if math.hypot(*v) < math.hypot(*u):
            u, v = v, u
        times = round((u[0] * v[0] + u[1] * v[1]) / (u[0] ** 2 + u[1] ** 2))
        shorter = v[0] - times * u[0], v[1] - times * u[1]
        if math.hypot(*shorter) >= math.hypot(*v) * (1 - 1e-12):
            return u, v
        v = shorter


def worst_overlap(lattice: Lattice, first: Polygon, second: Polygon | None = None) -> float:
    """Area (mm²) that a piece of the lattice shares with all pieces round it: nought but for rounding."""
    second = turned(first) if second is None else second
    laid = [first] if lattice.partner is None else [first, affinity.translate(second, *lattice.partner)]
    reach = 2 * max(math.dist((0, 0), point) for part in laid for point in part.exterior.coords)
    shared = 0.0
    for shift in _around(lattice, reach + math.dist((0, 0), lattice.partner or (0, 0))):
        for i, one in enumerate(laid):
            for j, other in enumerate(laid):
                if shift != (0.0, 0.0) or i < j:
                    shared += float(one.intersection(affinity.translate(other, *shift)).area)
    return shared


def _around(lattice: Lattice, reach: float) -> Iterator[Shift]:
    """All lattice shifts no longer than `reach`."""
    (ux, uy), (vx, vy) = lattice.u, lattice.v
    most = [math.ceil(reach * math.hypot(*side) / lattice.cell) for side in (lattice.v, lattice.u)]
    for i in range(-most[0], most[0] + 1):
        for j in range(-most[1], most[1] + 1):
            x, y = i * ux + j * vx, i * uy + j * vy
            if Point(x, y).distance(Point(0, 0)) <= reach:
                yield x, y
