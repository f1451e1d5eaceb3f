"""The leather that each kind of piece can reach at all: corners, necks and crumbs that it cannot are no leather for it.

Validity. Every stance's interval of angles is cut into steps, and positions into squares of the raster's cell side.
All poses of one step and one square differ from the middle one by at most a distance d (half the square's diagonal,
and the farthest corner's way through half a step; the layout's own tolerance is added). The middle pose shrunk by d
lies in every one of them, so if it meets a cell that the region does not, none of them is possible. The middle pose
grown by d holds every one of them, so the cells it meets, over all poses not ruled out, hold all that can be
reached. Cells of a region count as outside only where they are disjoint from `Problem.outer`. Correlations are
counts of cells worked out by fast Fourier transforms: their error is far below the half that they are compared with.
A nearly round piece stands in the problem at one angle but may lie at any: it is off by what it is out of round, too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import fft
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nesting.bound.raster import Mask, Raster, Stencil, stencil
from nesting.problem import Kind, Problem, Stance

SLACK = 0.05
"""Added (mm) to every way a piece may be off: angles off within the layout's tolerance, poses taken for the same."""

MOST_STEPS = 64
"""Steps of angle for one stance at most."""

ARC = 1.002
"""Buffers are drawn with chords (16 to a quarter circle): so much more makes up for them."""


@dataclass(frozen=True)
class Fineness:
    """How finely reach is worked out: side of a cell (mm), and steps of angle for each cell that a corner travels."""

    cell: float
    turning: float = 1.0


class Reach:
    """Which cells each part of each kind can reach, asked for one kind at a time."""

    def __init__(self, problem: Problem, raster: Raster, fineness: Fineness) -> None:
        self.problem, self.raster, self.fineness = problem, raster, fineness
        radius = max(float(shapely.minimum_bounding_radius(kind.outline)) for kind in problem.kinds)
        margin = 2 * math.ceil((radius * 1.1 + problem.gap) / raster.size + 8)
        rows, columns = raster.rows + margin, raster.columns + margin
        self.shape = (fft.next_fast_len(rows, real=True), fft.next_fast_len(columns, real=True))
        self._outside: dict[int, NDArray[np.complex128]] = {}

    def masks(self, kind: Kind) -> list[Mask]:
        """For each part of a kind the cells that some allowed pose of it may meet."""
        sums = [np.zeros((self.shape[0], self.shape[1] // 2 + 1), dtype=np.complex128) for _ in kind.parts]
        for regions, cores, hulls in self._poses(kind):
            free = self._free(regions, cores)
            if free is None:
                continue
            places = fft.rfft2(free, self.shape)
            for total, hull in zip(sums, hulls, strict=True):
                total += places * self._of(hull)
        rows, columns = self.raster.rows, self.raster.columns
        return [fft.irfft2(total, self.shape)[:rows, :columns] > 0.5 for total in sums]

    def _free(self, regions: tuple[int, ...], cores: list[Stencil | None]) -> NDArray[np.float64] | None:
        """1 at the raster's corners where the middle pose, shrunk, meets no cell outside its regions; None: nowhere."""
        blocked = np.zeros((self.shape[0], self.shape[1] // 2 + 1), dtype=np.complex128)
        for region, core in zip(regions, cores, strict=True):
            if core is not None:
                blocked += self._without(region) * np.conj(self._of(core))
        met = fft.irfft2(blocked, self.shape)[: self.raster.rows, : self.raster.columns]
        free = met < 0.5
        return free.astype(np.float64) if free.any() else None

    def _without(self, region: int) -> NDArray[np.complex128]:
        if region not in self._outside:
            out = np.ones(self.shape)
            out[: self.raster.rows, : self.raster.columns] = ~self.raster.met(self.problem.outer[region])
            self._outside[region] = fft.rfft2(out)
        return self._outside[region]

    def _of(self, shape: Stencil) -> NDArray[np.complex128]:
        grid = np.zeros(self.shape)
        j = (shape.south + np.arange(shape.cells.shape[0])) % self.shape[0]
        i = (shape.west + np.arange(shape.cells.shape[1])) % self.shape[1]
        grid[np.ix_(j, i)] = shape.cells
        transformed: NDArray[np.complex128] = fft.rfft2(grid)
        return transformed

    def _poses(self, kind: Kind) -> Iterator[tuple[tuple[int, ...], list[Stencil | None], list[Stencil]]]:
        """(regions of the parts, each part shrunk, each part grown) for every step of every stance, each once."""
        seen: dict[tuple[int, ...], list[list[BaseGeometry]]] = {}
        circle = shapely.minimum_bounding_circle(kind.outline)
        radius = float(shapely.minimum_bounding_radius(kind.outline))
        out_of_round = radius - float(kind.outline.exterior.distance(circle.centroid)) if nearly_round(kind) else 0.0
        for stance in kind.stances:
            if any(self.problem.outer[region].is_empty for region in stance.regions):
                continue
            steps = self._steps(stance, radius)
            half = math.radians(stance.high - stance.low) / 2 / steps
            off = (self.raster.size / math.sqrt(2) + radius * half + SLACK + out_of_round) * ARC
            grown = off + self.problem.gap / 2 * ARC
            for step in range(steps):
                angle = stance.low + (stance.high - stance.low) * (step + 0.5) / steps
                parts = [_turned(part, circle.centroid, stance.mirrored, angle) for part in kind.parts]
                known = seen.setdefault(stance.regions, [])
                if any(_same(parts, others) for others in known):
                    continue
                known.append(parts)
                cores = [self._stencil(part.buffer(-off, quad_segs=16)) for part in parts]
                hulls = [stencil(part.buffer(grown, quad_segs=16), self.raster.size) for part in parts]
                yield stance.regions, cores, hulls

    def _steps(self, stance: Stance, radius: float) -> int:
        wanted = math.radians(stance.high - stance.low) * radius / self.raster.size * self.fineness.turning
        return max(1, min(math.ceil(wanted), MOST_STEPS))

    def _stencil(self, core: BaseGeometry) -> Stencil | None:
        return None if core.is_empty else stencil(core, self.raster.size)


def nearly_round(kind: Kind) -> bool:
    """Whether a piece may stand in the problem at one angle only because turning it gains next to nothing."""
    return float(kind.outline.area) >= 0.96 * float(shapely.minimum_bounding_circle(kind.outline).area)


def _turned(part: BaseGeometry, centre: shapely.Point, mirrored: bool, angle: float) -> BaseGeometry:
    """A part in its own frame, carried to the origin, mirrored if need be and turned (degrees)."""
    moved = affinity.translate(part, -centre.x, -centre.y)
    if mirrored:
        moved = affinity.scale(moved, -1, 1, origin=(0, 0))
    return affinity.rotate(moved, angle, origin=(0, 0))


def _same(parts: list[BaseGeometry], others: list[BaseGeometry]) -> bool:
    """Whether shapes turned differently lie alike, well within `SLACK`."""
    pairs = list(zip(parts, others, strict=True))
    if any(max(abs(a - b) for a, b in zip(p.bounds, q.bounds, strict=True)) > SLACK / 5 for p, q in pairs):
        return False
    return all(shapely.hausdorff_distance(p, q) < SLACK / 5 for p, q in pairs)
