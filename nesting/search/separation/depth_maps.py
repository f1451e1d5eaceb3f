"""Depth maps of a problem: its rotations, their no-fit polygons about one another and their inner-fit regions."""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from nesting.engine.disk_cache import kept
from nesting.geometry.convex import Array, polygons
from nesting.lattice import minkowski
from nesting.search.arrays import no_fit_polygons, touching_positions
from nesting.search.arrays.inner_fits import InnerFits, Laid, Rotation
from nesting.search.arrays.overlap_kernel import spread
from nesting.search.arrays.touching_positions import NoFit
from nesting.search.separation import map_kernel
from nesting.search.separation.map_kernel import FAR, WINDOW, Ints, Maps, Rough, raster, raster_deepest

GROWN = 1.2
"""How much more room than it takes there is for maps when it runs out."""

STRIDE = 2
"""A coarse map takes every so many nodes."""

NODES_A_WIDTH = 10
"""Steps of the grid across the middling piece."""

MOST_NODES, NODES_A_PAIR = 10_000_000, 400
"""Of all maps together (4 bytes each), or so many a pair: the grid is made coarser where it would have more."""

MOST_HEFT = 2047
"""The greatest whole number that stands for a map's unit: 4,000 pieces on one heap are still counted in 32 bits."""

MOST_ROTATIONS, OF_MANY, AT_LEAST = 96, 240, 4
"""Of all kinds together, and where kinds are many; beyond, a kind has fewer angles, but so many at least."""

UNITED = 96
"""Up to so many rotations a map is of the united no-fit polygon; beyond, of the deepest of its convex ones: a tenth of
the work."""

SAME = 1e9
"""Angles that are equal when rounded to such parts of a radian are the same."""

NO_AREA = 1e-3
"""An inner-fit region of less (mm²) is drawn as its corners."""


@dataclass(frozen=True)
class Atlas:
    """The maps of a problem with what is needed to translate between poses and rotations."""

    rotations: tuple[Rotation, ...]
    maps: Maps

    def rough(self, pieces: Sequence[Laid], seed: int) -> Rough:
        """Pieces as they lie, each turned to its nearest rotation."""
        n = len(pieces)
        return Rough(
            np.array([p.kind for p in pieces], dtype=np.int64),
            np.array([self.nearest(p) for p in pieces], dtype=np.int64),
            np.array([(p.x, p.y) for p in pieces], dtype=np.float64).reshape(n, 2),
            np.ones((n, n)),
            np.ones(n),
            np.array([spread(seed)], dtype=np.uint64),
        )

    def board(self) -> np.ndarray:
        """Room for the largest scan."""
        return np.zeros(min(WINDOW, int(self.maps.coarse_size[self.maps.wall].prod(axis=1).max())), dtype=np.float32)

    def nearest(self, piece: Laid) -> int:
        """The rotation nearest to how a piece lies."""
        first, last = self.maps.of_kind[piece.kind], self.maps.of_kind[piece.kind + 1]

        def off(a: int) -> tuple[bool, float]:
            v = self.rotations[a]
            return v.orientation != piece.orientation, abs(float(np.angle(np.exp(1j * (v.angle - piece.angle)))))

        return min(range(first, last), key=off)

    def laid(self, kinds: Sequence[int], rotation: Ints, at: Array) -> tuple[Laid, ...]:
        """Pieces in kernel terms."""
        chosen = [self.rotations[a] for a in rotation]
        return tuple(
            Laid(int(k), v.orientation, float(x), float(y), v.angle)
            for k, v, (x, y) in zip(kinds, chosen, at, strict=True)
        )

    def on(self, fits: InnerFits) -> Atlas:
        """The same rotations on other leather: only what depends on it is drawn anew."""
        rotations, first = _rotations(fits), int(self.maps.wall[0])
        m = self.maps
        ends = {"values": int(m.start[first]), "coarse": int(m.coarse_start[first])}
        pairs = {name: getattr(m, name)[: ends.get(name, first)] for name in SHEETS}
        return Atlas(rotations, m._replace(**_after(pairs, _walls(rotations, float(m.step[0])))))


def atlas(fits: InnerFits) -> Atlas:
    """All maps of a problem; of every kind as many of its rotations as there is room for."""
    t, gap = fits.arrays.tables, fits.arrays.problem.gap
    rotations = _rotations(fits)
    shape = np.array([t.orientation_shape[v.orientation] for v in rotations])
    step = _step(rotations, t.span[shape])
    angle = np.array([v.angle for v in rotations])
    first = np.searchsorted([v.kind for v in rotations], np.arange(len(fits.arrays.problem.kinds) + 1)).astype(np.int64)
    made_of = [t.verts, t.part_at, t.shape_at, t.shape_solid, shape, angle, np.array([gap, step])]
    makers = [sys.modules[__name__], map_kernel, no_fit_polygons, touching_positions, minkowski]
    pairs = kept(made_of, makers, lambda: _pairs(fits, rotations, step))
    pair, first_wall = pairs.pop("pair"), len(pairs["start"])
    heavy = t.weightiness[shape] * pairs["unit"][pair]
    gauge = max(float(heavy.max()), 1e-9) / MOST_HEFT
    maps = Maps(
        **_after(pairs, _walls(rotations, step)),
        step=np.array([step]),
        stride=np.array([STRIDE]),
        pair=pair,
        wall=np.arange(len(rotations), dtype=np.int64) + first_wall,
        mass=t.weightiness[shape],
        heft=np.rint(heavy / gauge).astype(np.int64),
        gauge=np.array([gauge]),
        reach=t.radius[shape] + gap,
        of_kind=first,
    )
    return Atlas(rotations, maps)


def _pairs(fits: InnerFits, rotations: Sequence[Rotation], step: float) -> dict[str, np.ndarray]:
    """The maps of all rotations about one another, and which is which."""
    count = len(rotations)
    sheets, pair = _Sheets(step), np.zeros((count, count), dtype=np.int64)
    draw = _united if count <= UNITED else _Deepest()
    for b, fixed in enumerate(rotations):
        for a in range(b, count):
            pair[a, b] = draw(sheets, fits, fixed, rotations[a])
            pair[b, a] = pair[a, b] if a == b else sheets.turned(int(pair[a, b]))
    return sheets.arrays() | {"pair": pair}


def _united(sheets: _Sheets, fits: InnerFits, fixed: Rotation, moving: Rotation) -> int:
    """The map of a united no-fit polygon; its number."""
    return sheets.add(_no_fit(fits, fixed, moving), 1.0)


class _Deepest:
    """Draws maps of convex polygons; those of two shapes that only lie a quarter turn on are one map turned."""

    def __init__(self) -> None:
        self.drawn: dict[tuple[int, int], tuple[int, int, NoFit]] = {}

    def __call__(self, sheets: _Sheets, fits: InnerFits, fixed: Rotation, moving: Rotation) -> int:
        no_fit, flipped = fits.about(fixed, moving)
        turn = moving.angle + math.pi if flipped else fixed.angle
        quarters = round(turn / (math.pi / 2))
        key = id(no_fit), round((turn - quarters * math.pi / 2) * SAME)
        if key not in self.drawn:
            self.drawn[key] = sheets.deepest(no_fit, turn), quarters, no_fit  # kept, or its id may be another's
            return self.drawn[key][0]
        index, then, _ = self.drawn[key]
        return sheets.turned_quarters(index, (quarters - then) % 4)


def _walls(rotations: Sequence[Rotation], step: float) -> dict[str, np.ndarray]:
    """The maps of all rotations over the leather."""
    sheets = _Sheets(step)
    for v in rotations:
        sheets.add(_inner_fit(v), -1.0)
    return sheets.arrays()


SHEETS = ("values", "start", "size", "origin", "box", "coarse", "unit", "coarse_start", "coarse_size")


def _after(first: dict[str, np.ndarray], then: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Maps one after the other; the first ones are used up, for they may be large."""
    shift = {"start": len(first["values"]), "coarse_start": len(first["coarse"])}
    return {
        name: np.concatenate([first.pop(name), then[name] + shift[name] if name in shift else then[name]])
        for name in SHEETS
    }


def _rotations(fits: InnerFits) -> tuple[Rotation, ...]:
    """The rotations of all kinds, spread evenly over a kind's where they are too many."""
    kinds = range(len(fits.arrays.problem.kinds))
    many = max(1, len(kinds))
    most = max(MOST_ROTATIONS // many, AT_LEAST, OF_MANY // many if MOST_ROTATIONS // many < AT_LEAST else 0)
    made: list[Rotation] = []
    for kind in kinds:
        rotations = fits.rotations(kind)
        share = min(1.0, most / max(1, len(rotations)))
        made += [v for k, v in enumerate(rotations) if int((k + 1) * share) > int(k * share)]
    return tuple(made)


def _step(rotations: Sequence[Rotation], spans: Array) -> float:
    """The grid's step, mm: a share of the middling piece's width, and no more nodes than there is room for."""
    boxes = np.array([np.ptp(v.rings, axis=0) for v in rotations])
    wide, high = (boxes[:, None, k] + boxes[None, :, k] for k in (0, 1))
    pairs = float((wide * high).sum())
    walls = float(sum(np.ptp(v.empty.hull, axis=0).prod() for v in rotations))
    most = max(MOST_NODES, NODES_A_PAIR * len(rotations) ** 2)
    return max(float(np.median(spans)) / NODES_A_WIDTH, float(np.sqrt((pairs + walls) / most)))


def _no_fit(fits: InnerFits, fixed: Rotation, moving: Rotation) -> BaseGeometry:
    """Centres of `moving` at which it overlaps `fixed`, whose centre is the origin."""
    shape = fits.arrays.tables.orientation_shape
    region = fits.no_fits.region(
        int(shape[fixed.orientation]), int(shape[moving.orientation]), moving.angle - fixed.angle
    )
    return affinity.rotate(region, fixed.angle, origin=(0, 0), use_radians=True)


def _inner_fit(v: Rotation) -> BaseGeometry:
    """The inner-fit region of a rotation; where it has no area, a speck at each of its corners."""
    f = v.empty
    region: BaseGeometry = Polygon(f.hull) if len(f.hull) >= 3 else Polygon()
    rings = [Polygon(f.ring[f.at[k] : f.at[k + 1]]) for k in range(int(f.size[0]))]
    if rings:
        region = region.difference(shapely.union_all(rings))
    return region if region.area > NO_AREA else MultiPoint(f.points[: int(f.size[1])]).buffer(0.05, quad_segs=1)


class _Sheets:
    """Gathers maps."""

    def __init__(self, step: float) -> None:
        self.step = step
        self.room, self.start = np.zeros(0, dtype=np.float32), [0]
        self.shape: list[tuple[int, ...]] = []
        self.origin: list[tuple[float, float]] = []

    def add(self, region: BaseGeometry, sign: float) -> int:
        """The map of a region: depth inside it (sign 1), or how far outside it (sign −1); its number."""
        rings = [ring for polygon in polygons(region) for ring in (polygon.exterior, *polygon.interiors)]
        if not rings:
            return self._keep(
                np.full((STRIDE + 1, STRIDE + 1), FAR if sign < 0 else -FAR, dtype=np.float32), (0.0, 0.0)
            )
        points = [np.asarray(ring.coords)[:, :2] for ring in rings]
        edges = np.ascontiguousarray(np.concatenate([np.column_stack([p[:-1], p[1:]]) for p in points]))
        x0, y0, x1, y1 = region.bounds
        margin = self.step * (1.0 if sign > 0 else 2.0)
        x0, y0 = x0 - margin, y0 - margin
        wide, high = (self._nodes(last - start + margin) for start, last in ((x0, x1), (y0, y1)))
        out = np.zeros(wide * high, dtype=np.float32)
        raster(edges, x0, y0, self.step, wide, high, sign, out)
        return self._keep(out.reshape(high, wide), (x0, y0))

    def deepest(self, no_fit: NoFit, angle: float) -> int:
        """The map of convex polygons, turned by an angle: the depth in the one a node lies deepest in; its number."""
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([[c, s], [-s, c]])
        ring, norm = no_fit.ring @ turn, no_fit.norm @ turn
        x0, y0 = ring.min(axis=0) - self.step
        wide, high = (self._nodes(float(length) + 2 * self.step) for length in np.ptp(ring, axis=0))
        out = np.full(wide * high, -2 * self.step, dtype=np.float32)
        raster_deepest(ring, norm, no_fit.at, x0, y0, self.step, wide, high, out)
        return self._keep(out.reshape(high, wide), (x0, y0))

    def _nodes(self, length: float) -> int:
        """Nodes along a length: whole strides and one."""
        return -(-int(np.ceil(length / self.step)) // STRIDE) * STRIDE + 1

    def turned(self, index: int) -> int:
        """The map of the second about the first: the same by half a turn."""
        values = self._values(index)
        far = [o + (n - 1) * self.step for o, n in zip(self.origin[index], values.shape[::-1], strict=True)]
        return self._keep(np.ascontiguousarray(values[::-1, ::-1]), (-far[0], -far[1]))

    def turned_quarters(self, index: int, quarters: int) -> int:
        """A map turned by so many quarter turns; the same one for none."""
        values, (x, y) = self._values(index), self.origin[index]
        for _ in range(quarters):
            x, y = -(y + (len(values) - 1) * self.step), x
            values = values.T[:, ::-1]
        return self._keep(np.ascontiguousarray(values), (x, y)) if quarters else index

    def _keep(self, values: np.ndarray, origin: tuple[float, float]) -> int:
        first, last = self.start[-1], self.start[-1] + values.size
        if last > len(self.room):
            self.room.resize(int(GROWN * last), refcheck=False)  # no view of it is kept
        self.room[first:last] = values.ravel()
        self.start.append(last)
        self.shape.append(values.shape)
        self.origin.append(origin)
        return len(self.shape) - 1

    def _values(self, index: int) -> np.ndarray:
        return self.room[self.start[index] : self.start[index + 1]].reshape(self.shape[index])

    def arrays(self) -> dict[str, np.ndarray]:
        """All maps, and the coarse ones, one after the other."""
        many = range(len(self.shape))
        size, origin = np.array([shape[::-1] for shape in self.shape], dtype=np.int64), np.array(self.origin)
        coarse_size = size // STRIDE + 1
        ends = np.concatenate([[0], np.cumsum(STRIDE**2 * coarse_size.prod(axis=1))]).astype(np.int64)
        unit, coarse = np.zeros(len(many)), np.zeros(ends[-1], dtype=np.uint8)
        for n in many:
            values = self._values(n)
            unit[n] = max(float(values.max()), 1e-9) / 255
            coarse[ends[n] : ends[n + 1]] = _strided(values / unit[n])
        return {
            "values": self.room[: self.start[-1]],
            "start": np.array(self.start[:-1], dtype=np.int64),
            "size": size,
            "origin": origin,
            "box": np.concatenate([origin, origin + (size - 1) * self.step], axis=1),
            "coarse": coarse,
            "unit": unit,
            "coarse_start": ends[:-1],
            "coarse_size": coarse_size,
        }


def _strided(values: np.ndarray) -> np.ndarray:
    """Every STRIDE-th node, from each node of the first square of STRIDE by STRIDE on, rounded up; 0 beyond."""
    rows, columns = (-(-n // STRIDE) * STRIDE for n in values.shape)
    whole = np.zeros((rows, columns), dtype=np.uint8)
    whole[: values.shape[0], : values.shape[1]] = np.minimum(np.ceil(np.maximum(values, 0.0)), 255.0)
    return np.concatenate([whole[r::STRIDE, c::STRIDE].ravel() for r in range(STRIDE) for c in range(STRIDE)])
