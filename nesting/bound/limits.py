"""What no layout can exceed: linear limits on the numbers of products, and the most of one product alone.

Every limit is argued where it is worked out: `hall` (areas over the leather that kinds may lie on), `chords` (whole
lengths along lines, for pieces that keep their angle), `discs` (gaps between round pieces), `islands` (leather in
several pieces). `Problem.outer` holds every position that a layout's tolerance allows.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.bound.chords import chord_limits
from nesting.bound.discs import most_of_kind
from nesting.bound.hall import hall_limits
from nesting.bound.islands import most_on_islands
from nesting.bound.limit import Limit
from nesting.model.problem import Problem

__all__ = ["Limit", "at_most", "limits"]


def limits(problem: Problem) -> tuple[Limit, ...]:
    """The limits that hold together for every layout."""
    return (*hall_limits(problem), *chord_limits(problem))


def at_most(problem: Problem, product: int, known: Sequence[Limit] | None = None) -> int:
    """The most complete products of one kind (an index into `wanted`) that any layout can hold.

    `known` are the problem's `limits`, where they are worked out already.
    """
    told = [n for limit in (limits(problem) if known is None else known) if (n := limit.at_most(product)) is not None]
    told += [most_of_kind(problem, k) // problem.kinds[k].count for k in problem.kinds_of(product)]
    limit = problem.wanted[product].limit
    least = min(told if limit is None else [*told, limit])
    islands = most_on_islands(problem, product, least)
    return max(0, least if islands is None else min(least, islands))
