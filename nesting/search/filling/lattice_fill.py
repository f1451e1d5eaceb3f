"""Many equal pieces laid in the usable region as the best lattice: rows of pieces that interlock head to tail."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon

from nesting.engine.compiled import compiled
from nesting.geometry.convex import Array
from nesting.geometry.simplify import outer
from nesting.lattice.lattice import Lattice, Seek, lattices
from nesting.lattice.minkowski import Floats
from nesting.search.arrays.inner_fits import InnerFits, Laid, Rotation
from nesting.search.arrays.touching_positions import Field, free

STRAY = 0.01
"""How far (mm) a curve may be drawn out in a lattice: finer than the kernel's, for it is lost in every row."""

SEVERAL = 4
"""Different lattices tried."""

MOST_STARTS = 48
"""Corners of the free region at which a lattice is begun."""


@compiled
def count_free(f: Field, x: float, y: float, ux: float, uy: float, vx: float, vy: float, out: Floats) -> int:
    """Points (x, y) + i·u + j·v in the field's box at which its rotation is free, into `out`; returns how many.

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
    """A lattice turned to one angle: the rotations of the piece and of its partner, and the shifts."""

    first: Rotation
    second: Rotation | None
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
        for rotation, dx, dy in self._members():
            many = count_free(rotation.empty, x + dx, y + dy, *self.u, *self.v, room)
            out += [
                Laid(rotation.kind, rotation.orientation, float(px), float(py), rotation.angle)
                for px, py in room[:many]
            ]
        return out

    def count(self, x: float, y: float) -> int:
        none = np.zeros((0, 2))
        return sum(count_free(v.empty, x + dx, y + dy, *self.u, *self.v, none) for v, dx, dy in self._members())

    def _members(self) -> Iterator[tuple[Rotation, float, float]]:
        yield self.first, 0.0, 0.0
        if self.second is not None:
            yield self.second, *self.partner


def lattice_fill(fits: InnerFits, kind: int) -> list[Laid]:
    """The most pieces of a kind that one lattice lays in the empty region, clear of its flaws.

    Several lattices, the piece's angles and many offsets are tried; gaps that remain at the edge are left.
    """
    best: tuple[int, _Set, tuple[float, float]] | None = None
    for made in _sets(fits, kind):
        for start in made.starts():
            many = made.count(*start)
            if best is None or many > best[0]:
                best = many, made, start
    if best is None:
        return []
    many, made, start = best
    return made.lay(*start, np.zeros((many + 1, 2)))


def lattices_of(fits: InnerFits, kind: int, orientation: int) -> tuple[Lattice, ...]:
    """The densest lattices of a kind in an orientation, about its centre and at no angle yet."""
    t, gap = fits.arrays.tables, fits.arrays.problem.gap
    low, high = (float(a) for a in t.orientation_angles[orientation])
    bearing = math.radians(fits.arrays.problem.bearing)
    turn = _opposite(fits, kind, orientation, low) is not None
    rows = (bearing - low, bearing - low + math.pi / 2) if high - low < 1e-9 else ()
    return _of_outline(_centred(fits, kind, orientation), turn, gap, rows)


def _few(rotation: Rotation) -> Array:
    """Some corners of a rotation's empty field, spread over all of them."""
    points = rotation.empty.points[: rotation.empty.size[1]]
    points = points[np.lexsort((points[:, 1], points[:, 0]))]
    step = max(1, math.ceil(len(points) / MOST_STARTS))
    return points[::step]


def _sets(fits: InnerFits, kind: int) -> Iterator[_Set]:
    t, bearing = fits.arrays.tables, math.radians(fits.arrays.problem.bearing)
    for orientation in range(t.kind_orientations[kind], t.kind_orientations[kind + 1]):
        low, high = (float(a) for a in t.orientation_angles[orientation])
        for lattice in lattices_of(fits, kind, orientation):
            for angle in _angles(lattice, low, high, bearing):
                made = _set(fits, kind, orientation, lattice, angle)
                if made is not None:
                    yield made


def _centred(fits: InnerFits, kind: int, orientation: int) -> Polygon:
    """The outline as the kernel sees it: turned over as its orientation is, about its centre, curves all but kept."""
    outline = fits.arrays.problem.kinds[kind].outline
    if (
        fits.arrays.problem.kinds[kind]
        .orientations[orientation - int(fits.arrays.tables.kind_orientations[kind])]
        .mirrored
    ):
        outline = affinity.scale(outline, -1.0, 1.0, origin=(0, 0))
    x, y = fits.arrays.centres[fits.arrays.tables.orientation_shape[orientation]]
    return affinity.translate(outer(Polygon(outline.exterior), STRAY), -float(x), -float(y))


def _angles(lattice: Lattice, low: float, high: float, bearing: float) -> list[float]:
    """Angles within an interval at which the lattice's rows run along or across the bearing; its middle if none do."""
    (ux, uy), (vx, vy) = lattice.u, lattice.v
    rows = [(ux, uy), (vx, vy), (ux + vx, uy + vy), (ux - vx, uy - vy)]
    turns = [bearing + k * math.pi / 2 - math.atan2(y, x) for x, y in rows for k in range(4)]
    inside = {round(low + (turn - low) % (2 * math.pi), 12) for turn in turns}
    return sorted(a for a in inside if a <= high) or [(low + high) / 2]


def _set(fits: InnerFits, kind: int, orientation: int, lattice: Lattice, angle: float) -> _Set | None:
    """The lattice at an angle; None where its pieces fit nowhere."""
    c, s = math.cos(angle), math.sin(angle)

    def carry(shift: tuple[float, float]) -> tuple[float, float]:
        return c * shift[0] - s * shift[1], s * shift[0] + c * shift[1]

    first, second = fits.rotation(kind, orientation, angle), None
    if first is None:
        return None
    if lattice.partner is not None:
        other = _opposite(fits, kind, orientation, angle)
        second = fits.rotation(kind, *other) if other else None
    return _Set(first, second, carry(lattice.u), carry(lattice.v), carry(lattice.partner or (0.0, 0.0)))


def _opposite(fits: InnerFits, kind: int, orientation: int, angle: float) -> tuple[int, float] | None:
    """The orientation and angle that lie head to tail with a orientation's at an angle, if the kind may lie so."""
    t = fits.arrays.tables
    for other in range(t.kind_orientations[kind], t.kind_orientations[kind + 1]):
        low, high = (float(a) for a in t.orientation_angles[other])
        turned = low + (angle + math.pi - low + 1e-9) % (2 * math.pi) - 1e-9
        if t.orientation_shape[other] == t.orientation_shape[orientation] and turned <= high + 1e-9:
            return other, min(max(turned, low), high)
    return None


@lru_cache(maxsize=64)
def _of_outline(outline: Polygon, turn: bool, gap: float, rows: tuple[float, ...]) -> tuple[Lattice, ...]:
    return tuple(lattices(outline, turn, gap, Seek(SEVERAL, rows)))
