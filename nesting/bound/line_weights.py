"""Weights on lines of which a product takes as large a share as can be: an ascent over sampled poses.

What comes out is a guess and needs no proof: `line_measure` proves what it is worth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.bound.line_kernel import cover, take_least
from nesting.model.settings import Stop, never

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

SOFT = (0.05, 0.02, 0.01)
"""How soft the least of a kind is taken, as shares of it, one after the other."""

STALE = 6
"""Steps in a row that gain next to nothing before the next softness is taken."""

GAIN = 3e-4

TRIES = 40
"""How often a step is made smaller at most; rounding may keep it from what the slope promises for ever."""


@dataclass(frozen=True)
class Samples:
    """Poses of some kinds: rows `ends[k]` to `ends[k + 1]` are the k-th's, of which a product has `counts[k]`."""

    counts: Array
    ends: Whole
    way: Whole
    line: Whole
    y: Array
    first: Whole
    take: Whole
    chords: Array

    def taken(self, weights: Array) -> Array:
        """What every pose takes of the weights of cells (lines, cells)."""
        sums = np.zeros((weights.shape[0], weights.shape[1] + 1))
        np.cumsum(weights, axis=1, out=sums[:, 1:])
        out, half = np.empty(len(self.way)), np.zeros(len(self.way))
        take_least(sums, self.first, self.take, self.chords, self.way, self.line, self.y, half, out)
        return out

    def covered(self, shares: Array, size: tuple[int, int]) -> Array:
        """How much of every cell the poses cover, each by its share."""
        sums = np.zeros((size[0], size[1] + 1))
        cover(shares, self.first, self.take, self.chords, self.way, self.line, self.y, sums)
        whole: Array = np.cumsum(sums[:, :0:-1], axis=1)[:, ::-1]
        return whole

    def least(self, taken: Array) -> Array:
        """What the least of each kind takes."""
        return np.array([taken[a:b].min() for a, b in self._spans()])

    def soft(self, taken: Array, widths: Array) -> tuple[float, Array]:
        """What a product takes where the least of each kind is taken softly, and the share of every pose in that."""
        total, shares = 0.0, np.empty(len(taken))
        for count, width, (a, b) in zip(self.counts.tolist(), widths.tolist(), self._spans(), strict=True):
            low = taken[a:b].min()
            own = np.exp((low - taken[a:b]) / width)
            total += count * (low - width * np.log(own.mean()))
            shares[a:b] = own * (count / own.sum())
        return total, shares

    def _spans(self) -> Sequence[tuple[int, int]]:
        return list(zip(self.ends[:-1].tolist(), self.ends[1:].tolist(), strict=True))


@dataclass(frozen=True)
class Ascent:
    """Weights (lines, cells) of sum 1, what a product of the sampled poses takes of them, and how many these hold.

    They hold so many products together in shares.
    """

    weights: Array
    taken: float
    held: float


def ascend(
    samples: Samples,
    inside: NDArray[np.bool_],
    weights: Array,
    steps: int,
    enough: float,
    again: bool,
    stop: Stop = never,
) -> Ascent:
    """Weights, nought outside, of which a product takes about the most, from some on.

    Poses taken in shares that cover no point more than once hold so many products whatever the weights: once that is
    `enough`, there are no weights to be found that prove less, and it ends. With `again` weights are good already.

    The least that a product takes is concave in the weights; softened it is smooth, and is climbed by steps that keep
    weights positive, with momentum (Nesterov's method with entropy for distance: Tseng 2008, "On accelerated proximal
    gradient methods for convex-concave optimization"), each as long as it does what the slope promises.
    """
    climb = _Climb(samples, inside, weights / weights.sum())
    for softness in SOFT[again:]:
        climb.at(softness, steps, lambda: stop() or climb.held >= enough)
    return Ascent(climb.best, climb.told, climb.held)


class _Climb:
    def __init__(self, samples: Samples, inside: NDArray[np.bool_], weights: Array) -> None:
        self.samples, self.inside = samples, inside
        self.here = self.best = weights
        self.taken = samples.taken(weights)
        self.told = float(samples.counts @ samples.least(self.taken))
        self.stiff = self.told
        self.held = 0.0

    def at(self, softness: float, steps: int, stop: Stop) -> None:
        """Climb with one softness."""
        widths = softness * np.maximum(self.samples.least(self.taken), 1e-12)
        far, far_taken, share, stale = self.here, self.taken, 1.0, 0
        value, _ = self.samples.soft(self.taken, widths)
        for _ in range(steps):
            if stop():
                return
            between = (1 - share) * self.here + share * far
            base, shares = self.samples.soft((1 - share) * self.taken + share * far_taken, widths)
            slope = self.samples.covered(shares, self.inside.shape)
            self.held = max(self.held, 1 / float(slope.max()))
            for _ in range(TRIES):
                next_far = self._moved(far, slope, share * self.stiff)
                next_taken = self.samples.taken(next_far)
                here = (1 - share) * self.here + share * next_far
                taken = (1 - share) * self.taken + share * next_taken
                reached, _ = self.samples.soft(taken, widths)
                rise = float((slope * (here - between)).sum()) - share**2 * self.stiff * self._distance(next_far, far)
                if reached >= base + rise - 1e-12:
                    break
                self.stiff *= 1.6
            gain = (reached - value) / value
            if not gain >= 0:
                far, far_taken, share = self.here, self.taken, 1.0
                self.stiff *= 1.3
            else:
                self.here, self.taken, value, far, far_taken = here, taken, reached, next_far, next_taken
                self.stiff *= 0.93
                share = 2 / (1 + (1 + 4 / share**2) ** 0.5)
                self._keep()
            stale = stale + 1 if gain < GAIN else 0
            if stale >= STALE:
                return

    def _keep(self) -> None:
        told = float(self.samples.counts @ self.samples.least(self.taken))
        if told > self.told:
            self.told, self.best = told, self.here

    def _moved(self, weights: Array, slope: Array, stiff: float) -> Array:
        moved = np.where(self.inside, weights, 0.0)
        moved = moved * np.exp(np.clip((slope - slope[self.inside].max()) / stiff, -50.0, 0.0))
        whole: Array = moved / moved.sum()
        return whole

    def _distance(self, to: Array, since: Array) -> float:
        both = (to > 0) & (since > 0)
        return float((to[both] * np.log(to[both] / since[both])).sum())
