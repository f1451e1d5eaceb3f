"""What no layout can exceed: linear limits on the numbers of products, and the most of one product alone.

Every limit is argued where it is worked out: `hall` (areas over the leather that kinds may lie on), `chords` (whole
lengths along lines, for pieces that keep their angle), `discs` (gaps between round pieces), `islands` (leather in
several pieces), `line_measure` (weights on the leather of which every piece takes a share, whatever its angle),
`exclusion` (which places of few large pieces exclude one another, and what fits nowhere).
`Problem.outer` holds every position that a layout's tolerance allows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from nesting.bound.chords import chord_limits, headings
from nesting.bound.discs import most_of_kind
from nesting.bound.exclusion import ExclusionBudget, exclusion_limit
from nesting.bound.hall import hall_limits
from nesting.bound.islands import most_on_islands
from nesting.bound.limit import Limit
from nesting.bound.line_measure import MeasureBudget, line_limits
from nesting.model.problem import Problem
from nesting.model.settings import Stop, never

__all__ = ["Bound", "Limit", "at_most", "limits"]

LIGHT = 2
"""Headings of lines, with at most so many orientations each, that are looked at before anything is laid."""

GAPS, SEPARATE = "the gaps that round pieces leave", "leather in separate parts"
"""Of what bounds by discs and by islands follow."""


@dataclass
class Bound:
    """What is proven of a problem so far: it holds at any time, and is sharpest once `sharpen` ran to its end."""

    problem: Problem
    whole: bool = False
    _sharp: tuple[Limit, ...] = ()
    _measured: tuple[Limit, ...] = ()
    _excluded: tuple[Limit, ...] = ()

    @cached_property
    def areas(self) -> tuple[Limit, ...]:
        """The limits that areas give: there is always one."""
        return tuple(hall_limits(self.problem))

    @property
    def light(self) -> bool:
        """Whether all of it is so little work that it may come before the first layout."""
        ways = sum(len(kind.orientations) for kind in self.problem.kinds)
        return len(headings(self.problem)) <= LIGHT and ways <= LIGHT * len(self.problem.kinds)

    def sharpen(self, stop: Stop = never) -> tuple[Limit, ...]:
        """All limits that are found before `stop` says so."""
        if not self.whole:
            found = tuple(chord_limits(self.problem, stop))
            self._sharp, self.whole = max(self._sharp, found, key=len), not stop()
        return (*self.areas, *self._sharp, *self._measured, *self._excluded)

    def measure(self, budget: MeasureBudget | None, stop: Stop = never) -> tuple[Limit, ...]:
        """The same, and what weights on lines give for so much work; that counts from then on."""
        if budget is not None:
            known = [self.at_most(product, stop) for product in range(len(self.problem.wanted))]
            found = tuple(line_limits(self.problem, known, budget, stop))
            self._measured = max(self._measured, found, key=len)
        return self.sharpen(stop)

    def exclude(self, found: Sequence[int], budget: ExclusionBudget, stop: Stop = never) -> None:
        """Seek to prove fewer of each product than is known, where fewer are `found`; what is proven counts then on."""
        for product, held in enumerate(found):
            known = self.at_most(product, stop)
            limit = exclusion_limit(self.problem, product, known, held, budget, stop) if known > held else None
            self._excluded += (limit,) if limit else ()

    def at_most(self, product: int, stop: Stop = never) -> int:
        """The most complete products of one kind (an index into `wanted`) that any layout can hold, wanted or not."""
        return self.told(product, stop)[0]

    def told(self, product: int, stop: Stop = never) -> tuple[int, str]:
        """The same, and of what it follows, in plain words."""
        problem = self.problem
        all_told = [(n, limit.why) for limit in self.sharpen(stop) if (n := limit.at_most(product)) is not None]
        all_told += [(most_of_kind(problem, k) // problem.kinds[k].count, GAPS) for k in problem.kinds_of(product)]
        least = min(all_told, key=lambda each: each[0])
        islands = None if stop() else most_on_islands(problem, product, least[0])
        most, why = least if islands is None or islands >= least[0] else (islands, SEPARATE)
        return max(0, most), why


def limits(problem: Problem, stop: Stop = never) -> tuple[Limit, ...]:
    """The limits that hold together for every layout; those that are found before `stop` says so."""
    return Bound(problem).sharpen(stop)


def at_most(problem: Problem, product: int, stop: Stop = never) -> int:
    """The most complete products of one kind (an index into `wanted`) that any layout can hold."""
    return Bound(problem).at_most(product, stop)
