"""Limits from weights on lines: a measure over the leather that every piece of a kind takes a least part of.

Validity. Draw lines across the leather and lay any weight on them, not below nought, 1 in all. Pieces do not overlap,
so what they take of it sums to at most 1. Where every pose in which kind k may lie takes at least v_k, products of n_k
of each hold Σ_k n_k v_k ≤ 1 / products: the value of any weights is a bound (the dual of packing in shares, which is
linear; Gilmore and Gomory 1961 and every bound by duality since). What is to be proven is v_k, over infinitely many
poses. They are parted into boxes (`pose_tree`): angles in an interval, centres in a rectangle. What all poses in a box
but for their shift along the lines have in common, the core, is a polygon (`pose_boxes.core_chords`), and of each line
the least that its chord takes over all shifts is told exactly; the sum of these leasts is at most what any pose of the
box takes. A box counts as empty only where the core, and its shifts, already meet leather that the piece may not lie
on. v_k is the least over all boxes that are not empty. Pieces are first taken smaller, and leather larger, by what a
layout's tolerance allows; with a gap g, pieces are grown by g/2: grown pieces do not overlap either.

The weights come from an ascent over sampled boxes (`line_weights`), by turns with cutting up the boxes that take
least. It proves the least over what was not sampled too, so a bad guess costs sharpness alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from nesting.bound.limit import Limit
from nesting.bound.line_ground import LineGround, line_ground
from nesting.bound.line_weights import Samples, ascend
from nesting.bound.pose_boxes import Stance, is_convex_kind, stances
from nesting.bound.pose_tree import PoseTree, Ways
from nesting.model.problem import Kind, Orientation, Problem
from nesting.model.settings import Stop, never

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

WHY = "the room that its large pieces take however they lie"

ROUNDING = 1e-9
"""What sums of weights may be off by for rounding, as a share."""

SHARE = 0.08
"""Kinds that take less than this share of a product's leather are left out."""

CELLS = 25_000
"""Cells that the leather is cut into, about, where pieces are narrow; fewer where all are wide."""

COARSER = 1.2
"""How much larger cells are where all pieces are wide."""

SIZE = 0.5
"""The size of the first boxes, in cells."""

ALONG = 1.1
"""Boxes that take no more than this, in what the least of their kind takes, are cut up."""


@dataclass(frozen=True)
class MeasureBudget:
    """How much is done: kinds looked at together, rounds, steps of the first ascent, boxes sampled and cut up a kind.

    A kind of which more than `boxes` boxes are not empty to begin with is left out. `hope` is the share by which what
    samples say is thought to fall yet: where that is no product, it ends.
    """

    together: int
    rounds: int
    steps: int
    sampled: int
    cut: int
    hope: float
    boxes: int = 700_000


MEASURES = {
    "normal": MeasureBudget(together=2, rounds=7, steps=80, sampled=12_000, cut=20_000, hope=0.04),
    "thorough": MeasureBudget(together=3, rounds=12, steps=120, sampled=20_000, cut=40_000, hope=0.1),
}
"""What is done at each effort; nothing at quick."""


def line_limits(problem: Problem, known: Sequence[int], budget: MeasureBudget, stop: Stop = never) -> Iterator[Limit]:
    """Limits for each product, from its kinds that take most leather: the first alone, the first two together, and on.

    `known` is the most of each product that is proven already: where no weights can prove less, it is left at that.
    """
    for product in range(len(problem.wanted)):
        kinds = _largest(problem, product)
        most = known[product]
        for many in range(1, min(budget.together, len(kinds)) + 1):
            if stop() or most == 0:
                return
            measure = _measure(problem, product, kinds[:many], budget.boxes)
            limit = measure.limit(most, budget, stop) if measure else None
            if limit is not None:
                most = min(most, limit.at_most(product) or 0)
                yield limit


def _largest(problem: Problem, product: int) -> list[int]:
    """Its kinds by the leather that a product's pieces of them take, the most first."""
    kinds = problem.kinds_of(product)
    leather = {k: problem.kinds[k].count * problem.kinds[k].area for k in kinds}
    worth = [k for k in kinds if leather[k] >= SHARE * sum(leather.values())]
    return sorted(worth, key=lambda k: (-leather[k], k))


def _measure(problem: Problem, product: int, kinds: Sequence[int], boxes: int) -> _Measure | None:
    if not all(problem.kinds[k].orientations and is_convex_kind(problem.kinds[k]) for k in kinds):
        return None
    problem = turned(problem, across(problem, kinds))
    ways_to_lie = [stances(problem, k) for k in kinds]
    if not all(ways_to_lie):
        return None
    ground = line_ground(problem, kinds, _cell(problem, ways_to_lie))
    ways = Ways(ground)
    trees = []
    for own in ways_to_lie:
        tree = PoseTree(ways, own, SIZE, boxes)
        if not tree.whole or len(tree) == 0:
            return None
        trees.append(tree)
    return _Measure(problem, product, tuple(kinds), ground, ways, trees)


def across(problem: Problem, kinds: Sequence[int]) -> float:
    """The turn (degrees) after which lines along y run across the narrowest kind, as it lies on the most leather.

    Of what a piece covers a box loses most along the long sides; a shift along the lines loses nothing where weights
    are even, so such lines lose least.
    """

    def leather(way: Orientation) -> float:
        return min(float(problem.outer[region].area) for region in way.regions)

    def wide(kind: int) -> float:
        return float(np.hypot(*_sides(problem.kinds[kind])).min())

    kind = problem.kinds[min(kinds, key=wide)]
    way = max(kind.orientations, key=leather)
    x, y = max(_sides(kind).T.tolist(), key=lambda side: math.hypot(*side))
    lies = math.degrees(math.atan2(y, -x if way.mirrored else x))
    return -(lies + (way.low + way.high) / 2)


def _sides(kind: Kind) -> Array:
    """Two sides of the least box round a kind, as columns."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(kind.outline))
    sides: Array = (corners[1:3] - corners[:2]).T
    return sides


def turned(problem: Problem, turn: float) -> Problem:
    """The same problem with leather and pieces turned by degrees."""
    outer = tuple(affinity.rotate(region, turn, origin=(0, 0)) for region in problem.outer)
    kinds = tuple(
        replace(kind, orientations=tuple(replace(w, low=w.low + turn, high=w.high + turn) for w in kind.orientations))
        for kind in problem.kinds
    )
    return replace(problem, outer=outer, kinds=kinds)


def _cell(problem: Problem, ways_to_lie: Sequence[Sequence[Stance]]) -> float:
    area = max(float(region.area) for region in problem.outer)
    fine = math.sqrt(max(area, 1.0) / CELLS)
    narrow = min(stance.wide for own in ways_to_lie for stance in own)
    return min(max(narrow / 4, fine), COARSER * fine)


@dataclass
class _Measure:
    problem: Problem
    product: int
    kinds: tuple[int, ...]
    ground: LineGround
    ways: Ways
    trees: list[PoseTree]

    def limit(self, known: int, budget: MeasureBudget, stop: Stop) -> Limit | None:
        """The sharpest limit found; None where there is none that says less than is known."""
        counts = np.array([float(self.problem.kinds[k].count) for k in self.kinds])
        weights = self.ground.inside / self.ground.inside.sum()
        least: list[Array] = []
        best: Array | None = None
        for turn in range(budget.rounds):
            samples = self._samples(counts, least, budget.sampled)
            steps = budget.steps if turn == 0 else budget.steps // 2
            ascent = ascend(samples, self.ground.inside, weights, steps, float(known), turn > 0, stop)
            weights = ascent.weights
            least = self._least(weights)
            told = np.array([float(own.min()) for own in least])
            if best is None or counts @ told > counts @ best:
                best = told
            most = math.floor(1 / max(float(counts @ best), 1e-9) + ROUNDING)
            hoped = math.floor((1 - budget.hope) / max(ascent.taken, 1e-9))
            if stop() or ascent.held >= min(known, most) or hoped >= min(known, most):
                break
            self._cut(least, budget.cut)
            least = self._least(weights)
            if not all(len(own) for own in least):
                break
        return None if best is None else self._told(best)

    def _told(self, least: Array) -> Limit | None:
        uses = [0.0] * len(self.problem.wanted)
        for k, own in zip(self.kinds, least.tolist(), strict=True):
            uses[self.product] += self.problem.kinds[k].count * own * (1 - ROUNDING)
        return Limit(tuple(uses), 1 + ROUNDING, WHY) if uses[self.product] > 0 else None

    def _least(self, weights: Array) -> list[Array]:
        sums = np.zeros((weights.shape[0], weights.shape[1] + 1))
        np.cumsum(weights, axis=1, out=sums[:, 1:])
        return [tree.least(sums) for tree in self.trees]

    def _samples(self, counts: Array, least: Sequence[Array], most: int) -> Samples:
        """Of every kind so many boxes at most: half of them those that take least, the others spread over the rest."""
        chosen = [_spread(len(tree), most) for tree in self.trees]
        if least:
            chosen = [_weak_and_spread(own, most) for own in least]
        rows = self.ways.rows()
        ends = np.concatenate([[0], np.cumsum([len(own) for own in chosen])]).astype(np.int64)
        both = list(zip(self.trees, chosen, strict=True))
        way, line = np.concatenate([t.way[c] for t, c in both]), np.concatenate([t.line[c] for t, c in both])
        y = np.concatenate([t.y[c] for t, c in both])
        return Samples(counts, ends, way, line, y, rows.take_from, rows.take, rows.chords)

    def _cut(self, least: Sequence[Array], most: int) -> None:
        for tree, own in zip(self.trees, least, strict=True):
            order = np.argsort(own, kind="stable")[:most]
            tree.cut(order[own[order] <= own[order[0]] * ALONG])


def _spread(size: int, most: int) -> Whole:
    return np.unique(np.linspace(0, size - 1, min(size, most)).astype(np.int64))


def _weak_and_spread(least: Array, most: int) -> Whole:
    order = np.argsort(least, kind="stable").astype(np.int64)
    if len(order) <= most:
        return np.arange(len(order), dtype=np.int64)
    weak, rest = order[: most // 2], order[most // 2 :]
    return np.sort(np.concatenate([weak, rest[_spread(len(rest), most - len(weak))]]))
