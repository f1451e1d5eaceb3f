"""Hall's condition over the leather that kinds may lie on: rooms for every set of needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from nesting.bound.atoms import atoms
from nesting.bound.limit import Limit
from nesting.model.problem import Kind, Problem
from nesting.model.tolerance import SHARED

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


def hall_limits(problem: Problem) -> list[Limit]:
    """The sharpest of Hall's limits for each product alone, each pair and all together, and that of all leather."""
    got = rooms(problem)
    many = len(problem.wanted)
    sets = [{p} for p in range(many)] + [{p, q} for p in range(many) for q in range(p)] + [set(range(many))]
    chosen = [len(got.room) - 1]
    for products in sets:
        uses = got.uses[:, sorted(products)].sum(axis=1)
        told = np.divide(got.room, uses, out=np.full(len(uses), np.inf), where=uses > 0)
        sharpest = np.flatnonzero(told <= told.min() * (1 + 1e-9))
        chosen.append(int(sharpest[got.uses[sharpest].sum(axis=1).argmax()]))
    return [
        Limit(tuple(got.uses[s].tolist()), float(got.room[s]), "the area of leather good enough for its pieces")
        for s in dict.fromkeys(chosen)
        if got.uses[s].any()
    ]


def rooms(problem: Problem) -> Rooms:
    """Rooms and uses of every set of needs.

    Validity. A part lies within the regions it may lie in, cut along all regions' borders (`atoms`). The parts in S
    are disjoint there, so their areas sum to at most the area that at least one of S may lie on: Hall's condition
    (Hall 1935) for a fractional assignment. With a gap g, pieces grown by g/2 stay disjoint and lie in their regions
    grown by g/2. What pieces may share within a layout's tolerance (0.01 mm along their borders) is taken off each.
    """
    needs = _needs(problem)
    areas = _signatures(problem, needs)
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


def _signatures(problem: Problem, needs: Sequence[Need]) -> dict[int, float]:
    """Areas of leather by the needs that may lie there (bit i: need i)."""
    half = problem.gap / 2
    grown = [r.buffer(half * 1.0005, quad_segs=32) if half and not r.is_empty else r for r in problem.outer]
    used = sorted({r for kind in problem.kinds for orientation in kind.orientations for r in orientation.regions})
    found, crumbs = atoms([grown[r] for r in used])
    areas = {(1 << len(needs)) - 1: crumbs}
    bases = [_admitted(problem, needs, {used[index] for index in atom.regions}) for atom in found]
    for atom, base in zip(found, bases, strict=True):
        areas[base] = areas.get(base, 0.0) + float(atom.shape.area)
    return areas


def _admitted(problem: Problem, needs: Sequence[Need], regions: set[int]) -> int:
    """The needs (bit i: need i) that may lie on leather of these regions."""

    def may(kind: int, slot: int) -> bool:
        return any(orientation.regions[slot] in regions for orientation in problem.kinds[kind].orientations)

    return sum(1 << i for i, need in enumerate(needs) if any(may(k, slot) for k, slot in need.parts))
