"""Few large pieces: how many lie beside one another at most, told by which places exclude which.

Validity. All poses that a kind may have are parted into boxes (`free_boxes`); each piece of a layout has its pose in
one of them. A point that two boxes' cores hold would lie in both pieces, and pieces do not overlap: of all boxes whose
cores hold one point, at most one has a piece, and that has one alone. So where CP-SAT proves that no choice of boxes
with so many of each kind keeps to this at some points, no layout has so many. Where a choice does, points that two of
its boxes share are added, or, where there are none, its boxes are halved: then cores grow, and more of them meet. That
tells whole pieces apart, of any outline, at any angle: what areas and shares of leather cannot.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nesting.bound.free_boxes import FreeBoxes, free_boxes
from nesting.bound.limit import Limit
from nesting.bound.pose_boxes import least_width
from nesting.engine.cp_sat import limited, small_model, solve
from nesting.geometry.convex import normals
from nesting.geometry.half_planes import area_of, cut
from nesting.model.problem import Problem
from nesting.model.settings import Stop, never

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

NOWHERE = "a piece that fits nowhere on leather good enough for it"
BESIDE = "how its large pieces can lie beside one another"


@dataclass(frozen=True)
class ExclusionBudget:
    """How much is done: pieces looked at together, boxes of a kind, rounds and CP-SAT's deterministic time in all."""

    pieces: int
    boxes: int
    rounds: int
    time: float


EXCLUSIONS = {
    "quick": ExclusionBudget(pieces=0, boxes=800, rounds=0, time=0.0),
    "normal": ExclusionBudget(pieces=12, boxes=4_000, rounds=60, time=15.0),
    "thorough": ExclusionBudget(pieces=20, boxes=12_000, rounds=400, time=150.0),
}
"""What is done at each effort; at quick only whether a piece fits anywhere."""


def exclusion_limit(
    problem: Problem, product: int, known: int, found: int, budget: ExclusionBudget, stop: Stop = never
) -> Limit | None:
    """A limit for one product that says less than `known`; None where none is proven. `found` of it are laid.

    Kinds of which a product takes most leather are looked at first, alone and then with more. Where none is laid, a
    kind that fits nowhere tells at once.
    """
    most, crowd, each = known, Crowd([], [], budget.time, budget.rounds), list[int]()
    for kind in sorted(problem.kinds_of(product), key=lambda k: (-problem.kinds[k].count * problem.kinds[k].area, k)):
        count = problem.kinds[kind].count
        few = (sum(each) + count) * (found + 1) <= budget.pieces
        if stop() or most <= found or (found and not few):
            break
        boxes = free_boxes(problem, kind, budget.boxes, stop)
        if boxes is not None and not len(boxes):
            return _limit(problem, product, 0, NOWHERE)
        if boxes is None or not few:
            continue
        crowd, each = crowd.with_kind(boxes), [*each, count]
        while most > found and sum(each) * most <= budget.pieces and crowd.rules_out([n * most for n in each], stop):
            most -= 1
    # cut up finely, a kind may turn out to have no box
    why = BESIDE if all(len(own) for own in crowd.free) else NOWHERE
    return _limit(problem, product, most, why) if most < known else None


def _limit(problem: Problem, product: int, most: int, why: str) -> Limit:
    return Limit(tuple(float(p == product) for p in range(len(problem.wanted))), float(most), why)


@dataclass
class Crowd:
    """The boxes of some kinds and the points looked at, finer and more of them the longer it is asked.

    `holds` tells of every kind, point (row) and box (column) whether the box's core holds the point.
    """

    free: list[FreeBoxes]
    holds: list[Flags]
    time: float
    rounds: int
    points: Array = field(default_factory=lambda: np.empty((0, 2)))

    def with_kind(self, boxes: FreeBoxes) -> Crowd:
        """The same with one more kind."""
        free = [*self.free, boxes]
        crowd = Crowd(free, [np.zeros((0, len(own)), dtype=np.bool_) for own in free], self.time, self.rounds)
        crowd.look_at(np.concatenate([self.points, grid(boxes)]))
        return crowd

    def rules_out(self, wanted: Sequence[int], stop: Stop = never) -> bool:
        """Whether it is proven that so many pieces of each kind do not lie in the boxes beside one another."""
        while self.rounds > 0 and self.time > 0:
            self.rounds -= 1
            chosen = None if stop() else self._choice(wanted, stop)
            if chosen is None:
                return False
            if not any(chosen):
                return True
            shared = self._shared(chosen)
            if shared:
                self.look_at(np.array(shared))
            elif not self._halve(chosen):
                return False
        return False

    def _choice(self, wanted: Sequence[int], stop: Stop) -> list[list[int]] | None:
        """Boxes of each kind, so many as are wanted, no point in two; none at all if there is no such choice.

        None where CP-SAT came to no end.
        """
        from ortools.sat.python import cp_model  # heavy: only where it is needed

        model = small_model()
        taken = [[model.new_bool_var("") for _ in range(len(own))] for own in self.free]
        every = [each for own in taken for each in own]
        for row in np.unique(np.concatenate(self.holds, axis=1), axis=0):
            held = np.flatnonzero(row)
            if len(held) > 1:
                model.add_at_most_one(every[k] for k in held.tolist())
        for own, many in zip(taken, wanted, strict=True):
            model.add(sum(own) >= many)
        solver = limited(self.time)
        told = solve(solver, model, stop)
        self.time -= solver.response_proto.deterministic_time
        if told == cp_model.INFEASIBLE:
            return [[] for _ in self.free]
        if told not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return [[k for k, each in enumerate(own) if solver.boolean_value(each)] for own in taken]

    def _shared(self, chosen: Sequence[Sequence[int]]) -> list[Array]:
        """For every pair of chosen boxes whose cores meet the point there that most boxes hold."""
        cores = [own.cores(box) for own, boxes in zip(self.free, chosen, strict=True) for box in boxes]
        pairs = ((a, b) for n, a in enumerate(cores) for b in cores[:n])
        return [self._busiest(met) for a, b in pairs if (met := common_ring(a, b)) is not None]

    def _busiest(self, ring: Array) -> Array:
        middle = ring.mean(axis=0)
        points = np.concatenate([middle + share * (ring - middle) for share in (0.0, 0.5, 0.95)])
        held = sum(holding(own, points).sum(axis=1) for own in self.free)
        return np.asarray(points[int(np.argmax(held))])

    def look_at(self, points: Array) -> None:
        self.points = np.concatenate([self.points, points])
        self.holds = [
            np.concatenate([held, holding(own, points)]) for own, held in zip(self.free, self.holds, strict=True)
        ]

    def _halve(self, chosen: Sequence[Sequence[int]]) -> bool:
        """Halve the chosen boxes that are worth it, and others where there is room for them; whether any was."""
        worth = [[box for box in boxes if own.share(box) < FINE] for own, boxes in zip(self.free, chosen, strict=True)]
        for n, (own, boxes) in enumerate(zip(self.free, worth, strict=True)):
            if not boxes:
                continue
            coarse = max(own.share(box) for box in boxes)
            halve = own.no_finer(coarse) if len(own) < ROOM * own.most else own.beside(boxes)
            new = own.halved(halve)
            fresh = holding(own, self.points, len(own) - new)
            self.holds[n] = np.concatenate([np.delete(self.holds[n], halve, axis=1), fresh], axis=1)
        return any(worth)


ROOM = 0.3
"""While a kind has fewer boxes than this share of as many as it may have, all are halved, not only those chosen."""

POINTS = 1_500
"""Points of a kind looked at to begin with, at most."""

APART = 0.5
"""How far apart they are, in widths of the narrowest core."""

FINE = 0.999
"""Boxes whose core is a greater share of the piece than this are halved no more."""

LEAST_COMMON = 1e-6
"""Cores that share less than this (mm²) are taken not to meet."""


def grid(free: FreeBoxes) -> Array:
    """Points over all boxes of a kind, so near one another that most cores hold some."""
    cores = [ring for number in np.unique(free.form).tolist() for ring in free.forms[number].cores]
    (west, south), (east, north) = free.at.min(axis=0), free.at.max(axis=0)
    apart = max(APART * min(map(least_width, cores)), np.sqrt(max((east - west) * (north - south), 1.0) / POINTS))
    axes = np.meshgrid(np.arange(west, east + apart, apart), np.arange(south, north + apart, apart))
    return np.column_stack([axis.ravel() for axis in axes])


def holding(free: FreeBoxes, points: Array, first: int = 0) -> Flags:
    """Of every point (row) and box from `first` on (column) whether the box's core holds the point."""
    form, at = free.form[first:], free.at[first:]
    found = np.zeros((len(points), len(form)), dtype=np.bool_)
    for number in np.unique(form).tolist():
        mine = np.flatnonzero(form == number)
        away = points[:, None, :] - at[mine][None, :, :]
        for ring in free.forms[number].cores:
            out = normals(ring)
            found[:, mine] |= (away @ out.T < (out * ring).sum(axis=1)).all(axis=2)
    return found


def common_ring(first: Sequence[Array], second: Sequence[Array]) -> Array | None:
    """What some ring of each has in common with one of the other, a ring; None where no two of them meet."""
    for a in first:
        for b in second:
            out = normals(b)
            met = [(x, y) for x, y in a.tolist()]
            for (x, y), most in zip(out.tolist(), (out * b).sum(axis=1).tolist(), strict=True):
                met = cut(met, x, y, most)
            if len(met) >= 3 and area_of(np.array(met)) > LEAST_COMMON:
                return np.array(met)
    return None
