"""What is done once no more products are to be had: the one begun, spares, lesser leather first, a useful leftover.

The aims after the count, in this order: the most leather in pieces of the product that is not complete, the most
leather in spares, the least use of better leather than is needed, the largest leftover.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from nesting.model.problem import Problem
from nesting.model.settings import Stop
from nesting.search.arrays.arrays import Pose
from nesting.search.arrays.goals import Goal, needed, part_of, shortfall
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.filling.bottom_left_fill import bottom_left_fill
from nesting.search.filling.leftover import largest_leftover
from nesting.search.filling.lesser_leather import better_leather_used, on_lesser_leather
from nesting.search.filling.sequence_search import sequence_of, sweep
from nesting.search.filling.spares import lay_spares

WAYS = 4
"""Ways in which the pieces of a product begun are laid, each from another side."""

LEATHER_STEP = 10_000.0
"""Better leather (mm² of the best) of which a layout must save so much more before its leftover counts for nothing."""

SAME = 1.0
"""Areas nearer than this (mm²) count as one."""


@dataclass(frozen=True)
class Finished:
    """Pieces of complete products, of those begun, and spares."""

    laid: tuple[Laid, ...]
    begun: tuple[Laid, ...] = ()
    spares: tuple[Laid, ...] = ()


@dataclass(frozen=True)
class Finishing:
    """How a goal that is reached is finished. `begin` are the products of which one more may be begun."""

    fits: InnerFits
    goal: Goal
    begin: Sequence[int]
    seed: int
    stop: Stop
    fillings: int

    @property
    def problem(self) -> Problem:
        """The problem that is searched."""
        return self.fits.arrays.problem

    def finished(self, candidates: Sequence[tuple[Laid, ...]], nearly: Sequence[tuple[Laid, ...]] = ()) -> Finished:
        """The best of layouts of the goal, and of those nearly of one more that hold the goal whole.

        A search that is to end begins no further product where it has a whole one.
        """
        made = [Finished(laid, self._begun(laid, (), 0 if laid and self.stop() else 1)) for laid in candidates]
        made += [self._parted(laid) for laid in nearly if self.begin and self._holds(laid)]
        best = self._best(made)
        if self.begin and not self.stop():
            best = Finished(best.laid, self._begun(best.laid, best.begun, WAYS))
        return self._on_lesser_leather(Finished(best.laid, best.begun, self._spares(best)))

    def _spares(self, finished: Finished) -> tuple[Laid, ...]:
        """Spares beside what lies; none of a search that is to end: hundreds would have to be laid, checked, drawn."""
        if self.stop():
            return ()
        return lay_spares(self.fits, (*finished.laid, *finished.begun), self.seed, self.stop, self.fillings)

    def counted(self, finished: Finished) -> tuple[Goal, Finished]:
        """What a layout gives: a product that was only begun and lacks nothing is complete like the others."""
        lie = (*finished.laid, *finished.begun)
        goal = self.goal
        for product in self.begin:
            more = (*goal[:product], goal[product] + 1, *goal[product + 1 :])
            goal = goal if shortfall(self.problem, lie, more) else more
        if goal == self.goal:
            return goal, finished
        whole = part_of(self.problem, lie, goal)
        kept = {id(piece) for piece in whole}
        return goal, Finished(whole, tuple(piece for piece in lie if id(piece) not in kept), finished.spares)

    def _holds(self, laid: Sequence[Laid]) -> bool:
        return not shortfall(self.problem, laid, self.goal)

    def _parted(self, laid: tuple[Laid, ...]) -> Finished:
        """A layout of more than the goal as what is complete and what is begun."""
        whole = part_of(self.problem, laid, self.goal)
        kept = {id(piece) for piece in whole}
        return Finished(whole, tuple(piece for piece in laid if id(piece) not in kept))

    def _begun(self, laid: tuple[Laid, ...], known: tuple[Laid, ...], ways: int) -> tuple[Laid, ...]:
        """Pieces of one more of each product that may be begun, beside those laid; the most leather of some ways."""
        missing = self._missing(laid)
        rng, tried = np.random.default_rng(self.seed), [known]
        for way in range(ways if missing else 0):
            if way and self.stop():
                break
            order = sequence_of(self.problem, missing, rng, 0.3 * way)
            tried.append(tuple(bottom_left_fill(self.fits, order, sweep(self.problem, rng, way), laid)))
        return max(tried, key=self._area)

    def _missing(self, laid: Sequence[Laid]) -> list[int]:
        """The kinds of pieces that one more of each product that may be begun needs beside those laid."""
        held, kinds = Counter(piece.kind for piece in laid), list[int]()
        for product in self.begin:
            more = needed(self.problem, self._one_more(product))
            kinds += [k for k in self.problem.kinds_of(product) for _ in range(more[k] - held[k])]
        return kinds

    def _one_more(self, product: int) -> Goal:
        return (*self.goal[:product], self.goal[product] + 1, *self.goal[product + 1 :])

    def _area(self, pieces: Sequence[Laid]) -> float:
        return round(sum(self.problem.kinds[piece.kind].area for piece in pieces) / SAME)

    def _best(self, made: Sequence[Finished]) -> Finished:
        """By the aims in their order; what an earlier one decides, no later one is worked out for."""
        for aim in (lambda f: -self._area(f.begun), self._better_leather, lambda f: -self._leftover(f)):
            if len(made) > 1:
                made = _least(made, aim)
        return made[0]

    def _better_leather(self, finished: Finished) -> float:
        used = better_leather_used(self.problem, self._poses((*finished.laid, *finished.begun)))
        return round(used / LEATHER_STEP)

    def _leftover(self, finished: Finished) -> float:
        return largest_leftover(self.problem, self._poses(finished.laid))

    def _poses(self, laid: Sequence[Laid]) -> list[Pose]:
        return [self.fits.arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle) for p in laid]

    def _on_lesser_leather(self, finished: Finished) -> Finished:
        """The same with pieces moved to lesser leather where there is room for them."""
        if not self.problem.better or self.stop():
            return finished
        pieces = on_lesser_leather(self.fits, (*finished.laid, *finished.begun, *finished.spares), self.stop)
        first, second = len(finished.laid), len(finished.laid) + len(finished.begun)
        return Finished(pieces[:first], pieces[first:second], pieces[second:])


def _least(made: Sequence[Finished], aim: Callable[[Finished], float]) -> list[Finished]:
    told = [aim(each) for each in made]
    return [each for each, value in zip(made, told, strict=True) if value == min(told)]
