"""What no layout can exceed once some pieces lie there already.

For a number of products the pieces that are still missing are taken as one product, on the leather that is left: where
not one of that fits, neither do so many products. More products need more of every kind, so halving finds the most.
Linear limits on the pieces of each kind, worked out once for all numbers, say where to begin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import mul

from shapely.geometry import Polygon

from nesting.bound.exclusion import ExclusionBudget
from nesting.bound.limit import Limit
from nesting.bound.limits import Bound, at_most, limits
from nesting.bound.line_measure import MeasureBudget
from nesting.model.problem import Problem, Wanted
from nesting.model.settings import Stop, never

CHINK = 0.06
"""How far (mm) leather and pieces are drawn in: more than regions are grown by for a proof."""


def most_beside_given(problem: Problem, product: int, stop: Stop = never) -> int:
    """The most complete products of one kind, those that lie there already counted.

    Halving ends when `stop` says so: what is not ruled out by then counts as possible.
    """
    kinds = [problem.kinds[k] for k in problem.kinds_of(product)]
    low = min(kind.given // kind.count for kind in kinds)
    bare = [most for limit in limits(problem, stop) if (most := limit.at_most(product)) is not None]
    high = (min(bare) if bare else at_most(problem, product, stop)) + max(math.ceil(k.given / k.count) for k in kinds)
    if stop():
        return high
    high = likely = _by_pieces(problem, product, low, high, stop)
    while low < high and not stop():
        middle = likely if high == likely else (low + high + 1) // 2
        if _may_hold(problem, product, middle, stop):
            low = middle
        else:
            high = middle - 1
    return high


def _by_pieces(problem: Problem, product: int, low: int, high: int, stop: Stop) -> int:
    """The most products from `low` to `high` whose missing pieces every linear limit has room for.

    Each kind is taken as a product of its own: what a limit then says of numbers of pieces holds for those missing.
    """
    own = [problem.kinds[k] for k in problem.kinds_of(product)]
    each = tuple(replace(kind, product=n, given=0, count=1) for n, kind in enumerate(own))
    apart = replace(problem, kinds=each, wanted=tuple(Wanted(kind.name) for kind in each))
    cases = [case for case in (apart, _drawn_in(apart)) if case is not None]
    told = [limit for case in cases for limit in limits(case, stop)]
    while low < high:
        middle = (low + high + 1) // 2
        missing = [max(0, kind.count * middle - kind.given) for kind in own]
        if all(sum(map(mul, limit.uses, missing)) * (1 - 1e-9) <= limit.room for limit in told):
            low = middle
        else:
            high = middle - 1
    return low


@dataclass
class BoundBesideGiven(Bound):
    """What is proven of layouts that hold the pieces which lie there already: for each product a limit of its own."""

    @property
    def light(self) -> bool:
        """It is worked out at once."""
        return True

    @cached_property
    def areas(self) -> tuple[Limit, ...]:
        """The limits, one a product."""
        return self.sharpen()

    def sharpen(self, stop: Stop = never) -> tuple[Limit, ...]:
        """The same, as sharp as they are when `stop` says so."""
        if not self.whole:
            products = range(len(self.problem.wanted))
            uses = [tuple(float(p == q) for q in products) for p in products]
            most = [most_beside_given(self.problem, p, stop) for p in products]
            told = [Limit(u, float(n), "the leather that is left") for u, n in zip(uses, most, strict=True)]
            self._sharp, self.whole = tuple(told), not stop()
        return self._sharp

    def measure(self, budget: MeasureBudget | None, stop: Stop = never) -> tuple[Limit, ...]:
        """The same: of what is left nothing is measured."""
        return self.sharpen(stop)

    def exclude(self, found: Sequence[int], budget: ExclusionBudget, stop: Stop = never) -> None:
        """Nothing: beside pieces that stay no places are told apart."""

    def told(self, product: int, stop: Stop = never) -> tuple[int, str]:
        """The most complete products of one kind, those that lie there already counted, and of what it follows."""
        limit = self.sharpen(stop)[product]
        return int(limit.room), limit.why


def _may_hold(problem: Problem, product: int, number: int, stop: Stop) -> bool:
    """Whether nothing forbids what so many products need beyond what lies there."""
    own = [problem.kinds[k] for k in problem.kinds_of(product)]
    rest = [replace(k, product=0, given=0, count=k.count * number - k.given) for k in own]
    rest = [kind for kind in rest if kind.count > 0]
    if not rest:
        return True
    alone = replace(problem, kinds=tuple(rest), wanted=(Wanted("the rest", 1.0, 1),))
    if at_most(alone, 0, stop) == 0:
        return False
    drawn_in = _drawn_in(alone)
    return drawn_in is None or at_most(drawn_in, 0, stop) > 0


def _drawn_in(problem: Problem) -> Problem | None:
    """The problem with leather and pieces drawn in; None where a piece falls apart by it.

    What lies on the one lies on the other drawn in, so a layout of the problem is one of this; and what the tolerance
    lets through beside pieces that stay no longer joins the leather on both sides of them.
    """
    kinds = []
    for kind in problem.kinds:
        outline = kind.outline.buffer(-CHINK, join_style="mitre")
        if not isinstance(outline, Polygon) or outline.is_empty or outline.interiors:
            return None
        parts = tuple(part.buffer(-CHINK, join_style="mitre") for part in kind.parts)
        kinds.append(replace(kind, outline=outline, parts=parts))
    outer = tuple(region.buffer(-CHINK) for region in problem.outer)
    return replace(problem, kinds=tuple(kinds), outer=outer)
