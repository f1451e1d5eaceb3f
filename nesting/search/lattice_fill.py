"""Many equal pieces laid in the usable region as the best lattice: rows of pieces that interlock head to tail."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon

from nesting.geometry.convex import Array
from nesting.interlock.lattice import Lattice, lattices
from nesting.search.compiled import compiled
from nesting.search.construct import Laid, Variant, Yard
from nesting.search.corners import Field, Floats, free

SEVERAL = 4
"""Different lattices tried."""

MOST_STARTS = 48
"""Corners of the free region at which a lattice is begun."""


@compiled
def count_free(f: Field, x: float, y: float, ux: float, uy: float, vx: float, vy: float, out: Floats) -> int:
    """Points (x, y) + i·u + j·v in the field's box at which its variant is free, into `out`; returns how many.

    Those beyond the room in `out` are counted but not kept.
    """
    x1, y1 = f.grid[0] + f.grid[3] / f.grid[2], f.grid[1] + f.grid[4] / f.grid[2]
    det = ux * vy - uy * vx
    i_low = j_low = 1e300
    i_high = j_high = -1e300
    for cx in (f.grid[0], x1):
        for cy in (f.grid[1], y1):
            i, j = ((cx - x) * vy - (cy - y) * vx) / det, (ux * (cy - y) - uy * (cx - x)) / det
            i_low, i_high, j_low, j_high = min(i_low, i), max(i_high, i), min(j_low, j), max(j_high, j)
    many = 0
    for i in range(int(np.floor(i_low)), int(np.ceil(i_high)) + 1):
        for j in range(int(np.floor(j_low)), int(np.ceil(j_high)) + 1):
            px, py = x + i * ux + j * vx, y + i * uy + j * vy
            if f.grid[0] <= px <= x1 and f.grid[1] <= py <= y1 and free(f, px, py):
                if many < out.shape[0]:
                    out[many, 0], out[many, 1] = px, py
                many += 1
    return many


@dataclass(frozen=True)
class _Set:
    """A lattice turned to one angle: the variants of the piece and of its partner, and the shifts."""

    first: Variant
    second: Variant | None
    u: tuple[float, float]
    v: tuple[float, float]
    partner: tuple[float, float]

    def starts(self) -> Iterator[tuple[float, float]]:
        """Positions of the first piece: in the corners of its free region, its partner in those of its own."""
        for x, y in _few(self.first):
            yield x, y
        for x, y in _few(self.second) if self.second else []:
            yield x - self.partner[0], y - self.partner[1]

    def lay(self, x: float, y: float, room: Array) -> list[Laid]:
        """All the pieces that are free with the first one begun at a position."""
        out: list[Laid] = []
        for variant, dx, dy in self._members():
            many = count_free(variant.empty, x + dx, y + dy, *self.u, *self.v, room)
            out += [
                Laid(variant.kind, variant.stance, float(px), float(py), variant.angle) for px, py in room[:many]
            ]
        return out

    def count(self, x: float, y: float) -> int:
        none = np.zeros((0, 2))
        return sum(count_free(v.empty, x + dx, y + dy, *self.u, *self.v, none) for v, dx, dy in self._members())

    def _members(self) -> Iterator[tuple[Variant, float, float]]:
        yield self.first, 0.0, 0.0
        if self.second is not None:
            yield self.second, *self.partner


def lattice_fill(yard: Yard, kind: int) -> list[Laid]:
    """The most pieces of a kind that one lattice lays in the empty region, clear of its flaws.

    Several lattices, the piece's angles and many offsets are tried; gaps that remain at the edge are left.
    """
    best: tuple[int, _Set, tuple[float, float]] | None = None
    for made in _sets(yard, kind):
        for start in made.starts():
            many = made.count(*start)
            if best is None or many > best[0]:
                best = many, made, start
    if best is None:
        return []
    many, made, start = best
    return made.lay(*start, np.zeros((many + 1, 2)))


def _few(variant: Variant) -> Array:
    """Some corners of a variant's empty field, spread over all of them."""
    points = variant.empty.points[: variant.empty.size[1]]
    points = points[np.lexsort((points[:, 1], points[:, 0]))]
    step = max(1, math.ceil(len(points) / MOST_STARTS))
    return points[::step]


def _sets(yard: Yard, kind: int) -> Iterator[_Set]:
    for variant in yard.variants(kind):
        opposite = _opposite(yard, variant)
        shape = int(yard.book.tables.stance_shape[variant.stance])
        for lattice in _of_shape(yard.book.problem.gap, *_solid(yard, shape), opposite is not None):
            yield _turned(lattice, variant, opposite)


def _opposite(yard: Yard, variant: Variant) -> Variant | None:
    """The variant that lies head to tail with another, if the kind may."""
    for other in yard.variants(variant.kind):
        same = yard.book.tables.stance_shape[other.stance] == yard.book.tables.stance_shape[variant.stance]
        if same and abs(math.remainder(other.angle - variant.angle - math.pi, 2 * math.pi)) < 1e-9:
            return other
    return None


def _solid(yard: Yard, shape: int) -> tuple[bytes, tuple[int, ...]]:
    """The vertices of a shape's solid parts, and how many each has."""
    t = yard.book.tables
    first = t.shape_at[shape]
    at = t.part_at[first : first + t.shape_solid[shape] + 1]
    return t.verts[at[0] : at[-1]].tobytes(), tuple(int(n) for n in np.diff(at))


@lru_cache(maxsize=64)
def _of_shape(gap: float, verts: bytes, sizes: tuple[int, ...], turn: bool) -> tuple[Lattice, ...]:
    points = np.frombuffer(verts).reshape(-1, 2)
    rings = np.split(points, np.cumsum(sizes)[:-1])
    outline = shapely.union_all([Polygon(ring) for ring in rings])
    if not isinstance(outline, Polygon):  # parts that meet in a point
        outline = outline.convex_hull
    return tuple(lattices(outline, turn, gap, SEVERAL))


def _turned(lattice: Lattice, variant: Variant, opposite: Variant | None) -> _Set:
    c, s = math.cos(variant.angle), math.sin(variant.angle)

    def carry(shift: tuple[float, float]) -> tuple[float, float]:
        return c * shift[0] - s * shift[1], s * shift[0] + c * shift[1]

    second = opposite if lattice.partner is not None else None
    return _Set(variant, second, carry(lattice.u), carry(lattice.v), carry(lattice.partner or (0.0, 0.0)))
