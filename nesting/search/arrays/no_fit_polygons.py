"""No-fit polygons of one shape about another, made once for each angle between them.

The convex polygons of all pairs of parts together are the positions that overlap; only what of their edges lies on
the outside of them all can hold a touching position. Where the pairs are many they are united and parted anew: far
fewer polygons, but a position without any play is lost. Lozano-Pérez 1983; Bennell, Oliveira 2008; united no-fit
polygons: Burke et al. 2007.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache, partial
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.engine.compiled import allocating, compiled
from nesting.geometry.convex import Array, convex_parts, normals, offsets
from nesting.lattice.minkowski import Floats, grown, no_fit
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.touching_positions import Flags, Ints, NoFit, within

MOST_KEPT = 40_000
"""Pairs kept; of those beyond, the one not asked for longest is forgotten."""

MANY = 48
"""Where more pairs of parts make a no-fit polygon they are united."""

SEAM = 1e-4
"""How far (mm) the parts of a united no-fit polygon reach into one another: no position between two of them is free."""

SHARP = 0.02
"""Corners of less than some 16 degrees are sharp: 1 and the cosine of the turn together."""

TICKS = 1e11
"""Angles are kept in such parts of a radian: the same whoever asks first."""

HALF_TURN = round(math.pi * TICKS) - 1000
"""In ticks, less what angles may be off by."""


class NoFits:
    """The no-fit polygons of a arrays's shapes."""

    def __init__(self, arrays: Arrays) -> None:
        # Over functions, not methods: what is kept must not hold the one who keeps it, or it outlives its problem.
        self._united = lru_cache(MOST_KEPT)(partial(_region, arrays))
        self._kept = lru_cache(MOST_KEPT)(partial(_made, arrays, self._united))

    def one(self, fixed: int, moving: int, angle: float) -> tuple[NoFit, bool]:
        """The one no-fit polygon that serves two shapes both ways round.

        It is that of `moving`, turned by `angle` (radians), about `fixed`, its centre at the origin; or (True) that of
        `fixed`, turned back, about `moving`: what is asked for once it is turned by `angle` and half a turn.
        """
        ticks = _ticks(angle)
        key, back = (fixed, moving, ticks), (moving, fixed, _whole(-ticks))
        return (self._kept(*key), False) if key <= back else (self._kept(*back), True)

    def about(self, fixed: int, moving: int, angle: float) -> NoFit:
        """Of shape `moving`, turned by `angle` (radians), about shape `fixed` as it is, centre at the origin."""
        made, back = self.one(fixed, moving, angle)
        if not back:
            return made
        c, s = math.cos(angle), math.sin(angle)
        return no_fit_of(made.ring @ -np.array([[c, s], [-s, c]]), made.at, made.rim)

    def region(self, fixed: int, moving: int, angle: float) -> BaseGeometry:
        """All positions at which they overlap."""
        return self._united(fixed, moving, _ticks(angle))


def _many(arrays: Arrays, fixed: int, moving: int) -> bool:
    solid = arrays.tables.shape_solid
    return bool(solid[fixed] * solid[moving] > MANY)


def _made(
    arrays: Arrays, united: Callable[[int, int, int], BaseGeometry], fixed: int, moving: int, ticks: int
) -> NoFit:
    if not _many(arrays, fixed, moving):
        return _sums(arrays, fixed, moving, ticks, rims=True)
    parts = [_seamed(ring) for ring in convex_parts(united(fixed, moving, ticks))]
    made = no_fit_of(np.concatenate(parts), offsets(parts), np.ones(sum(map(len, parts)), dtype=np.bool_))
    find_rims(made)
    return made


def _seamed(ring: Array) -> Array:
    """A convex ring with every edge moved outwards by `SEAM`; sharp corners are cut off."""
    after = normals(ring)
    before = np.roll(after, 1, axis=0)
    along = 1.0 + (after * before).sum(axis=1)
    blunt = along > SHARP
    corner = ring + SEAM * (before + after) / np.where(blunt, along, 1.0)[:, None]
    both = np.stack([np.where(blunt[:, None], corner, ring + SEAM * before), ring + SEAM * after], axis=1)
    keep = np.stack([np.ones(len(ring), dtype=bool), ~blunt], axis=1)
    return np.ascontiguousarray(both[keep])


def _sums(arrays: Arrays, fixed: int, moving: int, ticks: int, rims: bool) -> NoFit:
    gap, a, b = arrays.problem.gap, _parts(arrays, fixed, 0.0), _parts(arrays, moving, ticks / TICKS)
    a = [grown(ring, gap) for ring in a] if gap > 0 else a
    return sums(np.concatenate(a), offsets(a), np.concatenate(b), offsets(b), rims)


def _region(arrays: Arrays, fixed: int, moving: int, ticks: int) -> BaseGeometry:
    made = _sums(arrays, fixed, moving, ticks, rims=False)
    rings = [Polygon(made.ring[k:m]) for k, m in pairwise(made.at)]
    return rings[0] if len(rings) == 1 else shapely.union_all(rings)


def _parts(arrays: Arrays, shape: int, angle: float) -> list[Array]:
    t = arrays.tables
    c, s = math.cos(angle), math.sin(angle)
    first = t.shape_at[shape]
    parts = range(first, first + t.shape_solid[shape])
    turn = np.array([[c, s], [-s, c]])
    return [np.ascontiguousarray(t.verts[t.part_at[p] : t.part_at[p + 1]] @ turn) for p in parts]


def _ticks(angle: float) -> int:
    """An angle from just above minus a half turn to a half turn, in ticks."""
    return _whole(round(math.remainder(angle, 2 * math.pi) * TICKS))


def _whole(ticks: int) -> int:
    """A half turn back is one forth."""
    return -ticks if ticks <= -HALF_TURN else ticks


@allocating
def sums(fixed: Floats, fixed_at: Ints, moving: Floats, moving_at: Ints, rims: bool) -> NoFit:
    """The no-fit polygon of every fixed ring and every moving one; `rims`: find out which edges lie outside."""
    n, m = fixed_at.shape[0] - 1, moving_at.shape[0] - 1
    ring = np.zeros((m * fixed.shape[0] + n * moving.shape[0], 2))
    at = np.zeros(n * m + 1, dtype=np.int64)
    for i in range(n):
        for j in range(m):
            q = i * m + j
            a, b = fixed[fixed_at[i] : fixed_at[i + 1]], moving[moving_at[j] : moving_at[j + 1]]
            at[q + 1] = at[q] + no_fit(a, b, ring[at[q] :])
    ring = ring[: at[n * m]].copy()
    made = no_fit_of(ring, at, np.ones(ring.shape[0], dtype=np.bool_))
    if rims and n * m > 1:
        find_rims(made)
    return made


@allocating
def no_fit_of(ring: Floats, at: Ints, rim: Flags) -> NoFit:
    """Convex polygons, one after the other, with their normals and boxes."""
    made = NoFit(ring, np.zeros_like(ring), at, np.zeros((at.shape[0] - 1, 4)), rim)
    for q in range(at.shape[0] - 1):
        _norms(made, q)
    return made


@compiled
def find_rims(f: NoFit) -> None:
    """Find out which edges lie outside the other polygons."""
    for q in range(f.box.shape[0]):
        for k in range(f.at[q], f.at[q + 1]):
            f.rim[k] = _outside(f, q, k)


@compiled
def _norms(f: NoFit, q: int) -> None:
    """Outward normals and box of a polygon."""
    first, last = f.at[q], f.at[q + 1]
    f.box[q, 0] = f.box[q, 1] = 1e300
    f.box[q, 2] = f.box[q, 3] = -1e300
    for k in range(first, last):
        m = k + 1 if k + 1 < last else first
        f.box[q, 0], f.box[q, 2] = min(f.box[q, 0], f.ring[k, 0]), max(f.box[q, 2], f.ring[k, 0])
        f.box[q, 1], f.box[q, 3] = min(f.box[q, 1], f.ring[k, 1]), max(f.box[q, 3], f.ring[k, 1])
        dx, dy = f.ring[m, 0] - f.ring[k, 0], f.ring[m, 1] - f.ring[k, 1]
        long = np.sqrt(dx * dx + dy * dy)
        if long > 0.0:
            f.norm[k, 0], f.norm[k, 1] = dy / long, -dx / long
    for k in range(first, last):
        if f.norm[k, 0] == 0.0 and f.norm[k, 1] == 0.0:  # a repeated vertex: any normal of its neighbours serves
            m = k + 1 if k + 1 < last else first
            f.norm[k, 0], f.norm[k, 1] = f.norm[m, 0], f.norm[m, 1]


@compiled
def _outside(f: NoFit, q: int, k: int) -> bool:
    """Whether any of edge k of polygon q is not well inside one of the others (in the middle alone does not count)."""
    m = k + 1 if k + 1 < f.at[q + 1] else f.at[q]
    x, y = f.ring[k, 0], f.ring[k, 1]
    dx, dy = f.ring[m, 0] - x, f.ring[m, 1] - y
    x0, x1, y0, y1 = min(x, x + dx), max(x, x + dx), min(y, y + dy), max(y, y + dy)
    low, high = 0.0, 1.0
    again = True
    while again:
        again = False
        for p in range(f.box.shape[0]):
            if p == q or f.box[p, 0] > x1 or f.box[p, 2] < x0 or f.box[p, 1] > y1 or f.box[p, 3] < y0:
                continue
            first, last, _, _ = within(f, p, x, y, dx, dy)
            if first <= low < last:
                low = last
                again = True
            if first < high <= last:
                high = first
                again = True
            if low >= high:
                return False
    return True
