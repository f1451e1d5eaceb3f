"""What no layout can exceed: linear limits on the numbers of products, and the most of one product alone.

Every limit is argued where it is worked out: `hall` (areas over the leather that kinds can reach), `chords` (whole
lengths along lines, for pieces that keep their angle), `discs` (gaps between round pieces), `islands` (leather in
several pieces). `Problem.outer` holds
every position that a layout's tolerance allows.
"""

from __future__ import annotations

from functools import lru_cache

from nesting.bound.chords import chord_limits
from nesting.bound.discs import most_of_kind
from nesting.bound.hall import hall_limits
from nesting.bound.islands import most_on_islands
from nesting.bound.limit import Limit
from nesting.bound.reach import Fineness
from nesting.problem import Problem

__all__ = ["PLAIN", "QUICK", "THOROUGH", "Limit", "at_most", "limits"]

PLAIN = None
"""Areas of whole regions: a few hundredths of a second."""

QUICK = Fineness(cell=8.0, turning=0.4)
"""Reach to about a centimetre: about a second for a side."""

THOROUGH = Fineness(cell=5.0, turning=1.0)
"""Reach to some millimetres: some seconds for a side."""


@lru_cache(maxsize=64)
def limits(problem: Problem, fineness: Fineness | None = PLAIN) -> tuple[Limit, ...]:
    """The limits that hold together for every layout; with a fineness, areas are those that kinds can reach."""
    return (*hall_limits(problem, fineness), *chord_limits(problem))


def at_most(problem: Problem, product: int, fineness: Fineness | None = PLAIN) -> int:
    """The most complete products of one kind (an index into `wanted`) that any layout can hold.

    With a `fineness` also by what kinds reach, on a raster. That is under test only: a planted layout beat it,
    so no answer rests on it.
    """
    told = [n for limit in limits(problem) if (n := limit.at_most(product)) is not None]
    told += [most_of_kind(problem, k) // problem.kinds[k].count for k in problem.kinds_of(product)]
    told += [n for n in (problem.wanted[product].limit, most_on_islands(problem, product)) if n is not None]
    if fineness is not None and min(told) > 0:
        told += [n for limit in hall_limits(problem, fineness) if (n := limit.at_most(product)) is not None]
    return max(0, min(told))
