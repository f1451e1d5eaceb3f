"""Many equal pieces laid in the usable region as the best lattice: rows of pieces that interlock head to tail."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon

from nesting.geometry.convex import Array
from nesting.geometry.simplify import outer
from nesting.interlock.lattice import Lattice, Seek, lattices
from nesting.search.compiled import compiled
from nesting.search.corners import Field, Floats, free
from nesting.search.yard import Laid, Variant, Yard

STRAY = 0.01
"""How far (mm) a curve may be drawn out in a lattice: finer than the kernel's, for it is lost in every row."""

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
            out += [Laid(variant.kind, variant.stance, float(px), float(py), variant.angle) for px, py in room[:many]]
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
    t, gap, bearing = yard.book.tables, yard.book.problem.gap, math.radians(yard.book.problem.bearing)
    for stance in range(t.kind_stances[kind], t.kind_stances[kind + 1]):
        low, high = (float(a) for a in t.stance_angles[stance])
        outline = _centred(yard, kind, stance)
        turn = _opposite(yard, kind, stance, low) is not None
        rows = (bearing - low, bearing - low + math.pi / 2) if high - low < 1e-9 else ()
        for lattice in _of_outline(outline, turn, gap, rows):
            for angle in _angles(lattice, low, high, bearing):
                made = _set(yard, kind, stance, lattice, angle)
                if made is not None:
                    yield made


def _centred(yard: Yard, kind: int, stance: int) -> Polygon:
    """The outline as the kernel sees it: turned over where the stance is, about its centre, its curves all but kept."""
    outline = yard.book.problem.kinds[kind].outline
    if yard.book.problem.kinds[kind].stances[stance - int(yard.book.tables.kind_stances[kind])].mirrored:
        outline = affinity.scale(outline, -1.0, 1.0, origin=(0, 0))
    x, y = yard.book.centres[yard.book.tables.stance_shape[stance]]
    return affinity.translate(outer(Polygon(outline.exterior), STRAY), -float(x), -float(y))


def _angles(lattice: Lattice, low: float, high: float, bearing: float) -> list[float]:
    """Angles within an interval at which the lattice's rows run along or across the bearing; its middle if none do."""
    (ux, uy), (vx, vy) = lattice.u, lattice.v
    rows = [(ux, uy), (vx, vy), (ux + vx, uy + vy), (ux - vx, uy - vy)]
    turns = [bearing + k * math.pi / 2 - math.atan2(y, x) for x, y in rows for k in range(4)]
    inside = {round(low + (turn - low) % (2 * math.pi), 12) for turn in turns}
    return sorted(a for a in inside if a <= high) or [(low + high) / 2]


def _set(yard: Yard, kind: int, stance: int, lattice: Lattice, angle: float) -> _Set | None:
    """The lattice at an angle; None where its pieces fit nowhere."""
    c, s = math.cos(angle), math.sin(angle)

    def carry(shift: tuple[float, float]) -> tuple[float, float]:
        return c * shift[0] - s * shift[1], s * shift[0] + c * shift[1]

    first, second = yard.variant(kind, stance, angle), None
    if first is None:
        return None
    if lattice.partner is not None:
        other = _opposite(yard, kind, stance, angle)
        second = yard.variant(kind, *other) if other else None
    return _Set(first, second, carry(lattice.u), carry(lattice.v), carry(lattice.partner or (0.0, 0.0)))


def _opposite(yard: Yard, kind: int, stance: int, angle: float) -> tuple[int, float] | None:
    """The stance and angle that lie head to tail with a stance's at an angle, if the kind may lie so."""
    t = yard.book.tables
    for other in range(t.kind_stances[kind], t.kind_stances[kind + 1]):
        low, high = (float(a) for a in t.stance_angles[other])
        turned = low + (angle + math.pi - low + 1e-9) % (2 * math.pi) - 1e-9
        if t.stance_shape[other] == t.stance_shape[stance] and turned <= high + 1e-9:
            return other, min(max(turned, low), high)
    return None


@lru_cache(maxsize=64)
def _of_outline(outline: Polygon, turn: bool, gap: float, rows: tuple[float, ...]) -> tuple[Lattice, ...]:
    return tuple(lattices(outline, turn, gap, Seek(SEVERAL, rows)))
