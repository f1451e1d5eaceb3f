"""Depth maps of a problem: its rotations, their no-fit polygons about one another and their inner-fit regions."""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nesting.engine.disk_cache import kept
from nesting.geometry.convex import Array
from nesting.lattice import minkowski
from nesting.search.arrays import no_fit_polygons, touching_positions
from nesting.search.arrays.inner_fits import InnerFits, Laid, Rotation
from nesting.search.arrays.overlap_kernel import spread
from nesting.search.arrays.touching_positions import NoFit
from nesting.search.separation import map_kernel, sheets
from nesting.search.separation.map_kernel import WINDOW, Ints, Maps, Rough
from nesting.search.separation.sheets import SHEETS, STRIDE, Sheets, after, inner_fit
from nesting.search.separation.turned_maps import on_other_leather, turning
from nesting.search.separation.turning_kernel import ROUND, Turning

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


@dataclass(frozen=True)
class Atlas:
    """The maps of a problem with what is needed to translate between poses and rotations."""

    rotations: tuple[Rotation, ...]
    maps: Maps
    turning: Turning

    def rough(self, pieces: Sequence[Laid], seed: int) -> Rough:
        """Pieces as they lie, each with its nearest rotation."""
        n = len(pieces)
        rotation, at = self.lying(pieces)
        kind = np.array([p.kind for p in pieces], dtype=np.int64)
        return Rough(kind, rotation, at, np.ones((n, n)), np.ones(n), np.array([spread(seed)], dtype=np.uint64))

    def lying(self, pieces: Sequence[Laid]) -> tuple[Ints, Array]:
        """The rotation nearest to how each piece lies; its place and its angle within that rotation's orientation."""
        rotation = np.array([self.nearest(p) for p in pieces], dtype=np.int64)
        at = [(p.x, p.y, self._angle(int(a), p.angle)) for p, a in zip(pieces, rotation, strict=True)]
        return rotation, np.array(at, dtype=np.float64).reshape(len(pieces), 3)

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
        angles = [self._angle(int(a), float(angle)) for a, angle in zip(rotation, at[:, 2], strict=True)]
        return tuple(
            Laid(int(k), v.orientation, float(x), float(y), angle)
            for k, v, angle, (x, y) in zip(kinds, chosen, angles, at[:, :2], strict=True)
        )

    def _angle(self, rotation: int, angle: float) -> float:
        """The angle of a piece, within those of its orientation; where no kind may turn that of its rotation."""
        if len(self.turning.start) == 0:
            return self.rotations[rotation].angle
        low, high = (float(a) for a in self.turning.span[rotation])
        middle = (low + high) / 2
        return min(max(middle + math.remainder(angle - middle, ROUND), low), high)

    def on(self, fits: InnerFits) -> Atlas:
        """The same rotations on other leather: only what depends on it is drawn anew."""
        rotations, first = _rotations(fits), int(self.maps.wall[0])
        m = self.maps
        ends = {"values": int(m.start[first]), "coarse": int(m.coarse_start[first])}
        pairs = {name: getattr(m, name)[: ends.get(name, first)] for name in SHEETS}
        step = float(m.step[0])
        turned = on_other_leather(self.turning, fits, rotations, step)
        return Atlas(rotations, m._replace(**after(pairs, _walls(rotations, step))), turned)


def atlas(fits: InnerFits) -> Atlas:
    """All maps of a problem; of every kind as many of its rotations as there is room for."""
    t, gap = fits.arrays.tables, fits.arrays.problem.gap
    rotations = _rotations(fits)
    shape = np.array([t.orientation_shape[v.orientation] for v in rotations])
    step = _step(rotations, t.span[shape])
    angle = np.array([v.angle for v in rotations])
    first = np.searchsorted([v.kind for v in rotations], np.arange(len(fits.arrays.problem.kinds) + 1)).astype(np.int64)
    made_of = [t.verts, t.part_at, t.shape_at, t.shape_solid, shape, angle, np.array([gap, step])]
    makers = [sys.modules[__name__], sheets, map_kernel, no_fit_polygons, touching_positions, minkowski]
    pairs = kept(made_of, makers, lambda: _pairs(fits, rotations, step))
    pair, first_wall = pairs.pop("pair"), len(pairs["start"])
    heavy = t.weightiness[shape] * pairs["unit"][pair]
    gauge = max(float(heavy.max()), 1e-9) / MOST_HEFT
    maps = Maps(
        **after(pairs, _walls(rotations, step)),
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
    return Atlas(rotations, maps, turning(fits, rotations, step))


def _pairs(fits: InnerFits, rotations: Sequence[Rotation], step: float) -> dict[str, np.ndarray]:
    """The maps of all rotations about one another, and which is which."""
    count = len(rotations)
    drawn, pair = Sheets(step), np.zeros((count, count), dtype=np.int64)
    draw = _united if count <= UNITED else _Deepest()
    for b, fixed in enumerate(rotations):
        for a in range(b, count):
            pair[a, b] = draw(drawn, fits, fixed, rotations[a])
            pair[b, a] = pair[a, b] if a == b else drawn.turned(int(pair[a, b]))
    return drawn.arrays() | {"pair": pair}


def _united(drawn: Sheets, fits: InnerFits, fixed: Rotation, moving: Rotation) -> int:
    """The map of a united no-fit polygon; its number."""
    return drawn.add(_no_fit(fits, fixed, moving), 1.0)


class _Deepest:
    """Draws maps of convex polygons; those of two shapes that only lie a quarter turn on are one map turned."""

    def __init__(self) -> None:
        self.drawn: dict[tuple[int, int], tuple[int, int, NoFit]] = {}

    def __call__(self, drawn: Sheets, fits: InnerFits, fixed: Rotation, moving: Rotation) -> int:
        no_fit, flipped = fits.about(fixed, moving)
        turn = moving.angle + math.pi if flipped else fixed.angle
        quarters = round(turn / (math.pi / 2))
        key = id(no_fit), round((turn - quarters * math.pi / 2) * SAME)
        if key not in self.drawn:
            self.drawn[key] = drawn.deepest(no_fit, turn), quarters, no_fit  # kept, or its id may be another's
            return self.drawn[key][0]
        index, then, _ = self.drawn[key]
        return drawn.turned_quarters(index, (quarters - then) % 4)


def _walls(rotations: Sequence[Rotation], step: float) -> dict[str, np.ndarray]:
    """The maps of all rotations over the leather."""
    drawn = Sheets(step)
    for v in rotations:
        drawn.add(inner_fit(v), -1.0)
    return drawn.arrays()


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
