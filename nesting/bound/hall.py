"""Hall's condition over the leather that kinds can reach: rooms for every set of needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from nesting.bound.atoms import atoms
from nesting.bound.limit import SHARED, Limit
from nesting.bound.raster import Raster
from nesting.bound.reach import Fineness, Reach
from nesting.problem import Kind, Problem

MOST_KINDS = 16
"""Of more kinds than this only the largest are asked what they reach."""

MOST_CELLS = 400_000
"""Larger hides have larger cells."""

Ints = NDArray[np.int64]

MOST_NEEDS = 14
"""Sets of more needs than this are not told apart: the least are taken together."""


@dataclass(frozen=True)
class Need:
    """Parts of kinds that are looked at together: (kind, part) pairs."""

    parts: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Rooms:
    """For every set S of needs (bit i: need i): `uses[S]` areas by product, and the room there is, mm².

    Σ uses[S][p] · products[p] ≤ room[S] for every layout.
    """

    needs: tuple[Need, ...]
    uses: NDArray[np.float64]
    room: NDArray[np.float64]


def hall_limits(problem: Problem, fineness: Fineness | None) -> list[Limit]:
    """The sharpest of Hall's limits for each product alone, each pair and all together, and that of all leather."""
    got = rooms(problem, fineness)
    many = len(problem.wanted)
    sets = [{p} for p in range(many)] + [{p, q} for p in range(many) for q in range(p)] + [set(range(many))]
    chosen = [len(got.room) - 1]
    for products in sets:
        uses = got.uses[:, sorted(products)].sum(axis=1)
        told = np.divide(got.room, uses, out=np.full(len(uses), np.inf), where=uses > 0)
        sharpest = np.flatnonzero(told <= told.min() * (1 + 1e-9))
        chosen.append(int(sharpest[got.uses[sharpest].sum(axis=1).argmax()]))
    return [
        Limit(tuple(got.uses[s].tolist()), float(got.room[s]), "leather of its grade")
        for s in dict.fromkeys(chosen)
        if got.uses[s].any()
    ]


@lru_cache(maxsize=64)
def rooms(problem: Problem, fineness: Fineness | None) -> Rooms:
    """Rooms and uses of every set of needs. Without a fineness all leather of its regions counts as reached.

    Validity. A part lies on cells that it can reach (`reach`) within the regions it may lie in, each cut along all
    regions' borders (`atoms`). The parts in S are disjoint there, so their areas sum to at most the area that at
    least one of S can reach: Hall's condition (Hall 1935) for a fractional assignment. Cells on a border count
    as reached. With a gap g, pieces grown by g/2 stay disjoint and lie in what is reached, grown by g/2. What pieces
    may share within a layout's tolerance (0.01 mm along their borders) is taken off each.
    """
    needs = _needs(problem)
    areas = _signatures(problem, needs, fineness)
    size = 1 << len(needs)
    within = np.zeros(size)
    for signature, area in areas.items():
        within[signature] += area
    for bit in range(len(needs)):  # within[S] becomes the area reached by nothing outside S
        cut = within.reshape(-1, 2, 1 << bit)
        cut[:, 1] += cut[:, 0]
    room = within[-1] - within[::-1]
    return Rooms(needs, _uses(problem, needs), room + 1.0 + 1e-9 * within[-1])


def _needs(problem: Problem) -> tuple[Need, ...]:
    """Every part of every kind; beyond `MOST_NEEDS` the least areas are taken together."""
    parts = [(k, slot) for k, kind in enumerate(problem.kinds) for slot in range(len(kind.parts))]
    areas = {(k, s): problem.kinds[k].count * problem.kinds[k].parts[s].area for k, s in parts}
    parts.sort(key=lambda part: -areas[part])
    single = parts if len(parts) <= MOST_NEEDS else parts[: MOST_NEEDS - 1]
    rest = tuple(parts[len(single) :])
    return tuple(Need((part,)) for part in single) + ((Need(rest),) if rest else ())


def _uses(problem: Problem, needs: Sequence[Need]) -> NDArray[np.float64]:
    size = 1 << len(needs)
    chosen = np.arange(size)
    uses = np.zeros((size, len(problem.wanted)))
    for k, kind in enumerate(problem.kinds):
        every = np.ones(size, dtype=bool)
        parts = np.zeros(size)
        for slot, part in enumerate(kind.parts):
            bit = next(i for i, need in enumerate(needs) if (k, slot) in need.parts)
            has = (chosen >> bit & 1).astype(bool)
            every &= has
            parts += has * _part_area(part)
        uses[:, kind.product] += kind.count * np.where(every, np.maximum(parts, whole_area(kind, problem.gap)), parts)
    return uses


def _part_area(part: BaseGeometry) -> float:
    """Area that a part surely takes for itself."""
    return max(0.0, float(part.area) - SHARED * float(part.length))


def whole_area(kind: Kind, gap: float) -> float:
    """Area that a piece surely takes for itself, with its half of the gap."""
    if gap > 2 * SHARED:
        return float(kind.outline.buffer(gap / 2 - SHARED, quad_segs=4).area)
    return _part_area(kind.outline)


def _signatures(problem: Problem, needs: Sequence[Need], fineness: Fineness | None) -> dict[int, float]:
    """Areas of leather by the needs that may lie there (bit i: need i)."""
    half = problem.gap / 2
    grown = [r.buffer(half * 1.0005, quad_segs=32) if half and not r.is_empty else r for r in problem.outer]
    used = sorted({r for kind in problem.kinds for stance in kind.stances for r in stance.regions})
    found, crumbs = atoms([grown[r] for r in used])
    areas = {(1 << len(needs)) - 1: crumbs}
    bases = [_admitted(problem, needs, {used[index] for index in atom.regions}) for atom in found]
    for atom, base in zip(found, bases, strict=True):
        areas[base] = areas.get(base, 0.0) + float(atom.shape.area)
    if fineness is not None and found:
        ground = shapely.union_all([atom.shape for atom in found])
        fineness = _coarser(fineness, ground)
        raster = Raster.over(ground, fineness.cell)
        reached = _reached(problem, needs, raster, fineness)
        for atom, base in zip(found, bases, strict=True):
            _refine(areas, base, reached & base, raster, atom.shape)
    return areas


def _coarser(fineness: Fineness, ground: BaseGeometry) -> Fineness:
    """Cells twice, four times, ... as large where there would be too many."""
    west, south, east, north = ground.bounds
    cell = fineness.cell
    while (east - west) * (north - south) > MOST_CELLS * cell**2:
        cell *= 2
    return Fineness(cell, fineness.turning)


def _refine(areas: dict[int, float], base: int, reached: Ints, raster: Raster, shape: BaseGeometry) -> None:
    """Give the leather of an atom that some of its needs cannot reach to those that can."""
    whole = raster.filled(shape)
    border = raster.met(shape) & ~whole & (reached != base)
    for cells, shares in ((whole, raster.size**2), (border, raster.shares(shape, border))):
        signatures, which = np.unique(reached[cells], return_inverse=True)
        sums = np.bincount(which, np.broadcast_to(shares, which.shape), len(signatures))
        for signature, area in zip(signatures.tolist(), sums.tolist(), strict=True):
            areas[base] -= area
            areas[signature] = areas.get(signature, 0.0) + area


def _reached(problem: Problem, needs: Sequence[Need], raster: Raster, fineness: Fineness) -> Ints:
    """For every cell the needs (bit i: need i) that can reach it."""
    reach = Reach(problem, raster, fineness)
    reached = np.zeros((raster.rows, raster.columns), dtype=np.int64)
    large = sorted(range(len(problem.kinds)), key=lambda k: -problem.kinds[k].area)[:MOST_KINDS]
    masks = {k: reach.masks(problem.kinds[k]) for k in large}
    for i, need in enumerate(needs):
        for k, slot in need.parts:
            reached |= (masks[k][slot].astype(np.int64) if k in masks else np.int64(1)) << i
    return reached


def _admitted(problem: Problem, needs: Sequence[Need], regions: set[int]) -> int:
    """The needs (bit i: need i) that may lie on leather of these regions."""

    def may(kind: int, slot: int) -> bool:
        return any(stance.regions[slot] in regions for stance in problem.kinds[kind].stances)

    return sum(1 << i for i, need in enumerate(needs) if any(may(k, slot) for k, slot in need.parts))
