"""What no layout can exceed: linear limits on the numbers of products, from areas.

Validity. Let every part of a piece ask for a region, and let U be a union of regions. All parts whose regions lie
in U (for every stance they may take) are disjoint sets inside U, so their areas sum to at most area(U): Hall's
condition (Hall 1935) for fractional assignment of leather to parts. With a gap g, pieces grown by g/2 stay disjoint
and lie in U grown by g/2. `Problem.outer` holds every position that a layout's tolerance allows; the area that
pieces may share within the tolerance (0.01 mm along their borders) is taken off each piece.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import shapely
from shapely.geometry.base import BaseGeometry

from nesting.problem import Kind, Problem

SHARED = 0.0055
"""Half the depth (mm) by which two pieces may lie in one another and still count as touching."""

MOST_REGIONS = 10


@dataclass(frozen=True)
class Limit:
    """Σ uses[p] · products[p] ≤ room, for every layout. `why` says of what, in plain words."""

    uses: tuple[float, ...]
    room: float
    why: str

    def at_most(self, product: int) -> int | None:
        """The most complete products of one kind that this limit alone allows; None: it does not say."""
        use = self.uses[product]
        return math.floor(self.room / use + 1e-9) if use > 0 else None


def limits(problem: Problem) -> tuple[Limit, ...]:
    """Every limit that areas give."""
    needs = list(_needs(problem))
    groups = sorted({tuple(sorted(regions)) for _, regions, _ in needs})
    out = []
    for chosen in _subsets(groups):
        union = frozenset(i for group in chosen for i in group)
        within = [(product, area) for product, regions, area in needs if regions <= union]
        uses = tuple(sum(a for p, a in within if p == product) for product in range(len(problem.wanted)))
        if any(uses):
            out.append(Limit(uses, _room(problem, union), "leather of its grade"))
    return tuple(out)


def at_most(problem: Problem, product: int) -> int:
    """The most complete products of one kind (an index into `wanted`) that any layout can hold."""
    told = [n for limit in limits(problem) if (n := limit.at_most(product)) is not None]
    own = problem.wanted[product].limit
    return max(0, min(told + ([own] if own is not None else [])))


def _needs(problem: Problem) -> Iterator[tuple[int, frozenset[int], float]]:
    """(product, regions a part may lie in, its area in one product) of every part."""
    for kind in problem.kinds:
        for slot, part in enumerate(kind.parts):
            regions = frozenset(stance.regions[slot] for stance in kind.stances)
            yield kind.product, regions, kind.count * _sure_area(kind, part, problem.gap)


def _sure_area(kind: Kind, part: BaseGeometry, gap: float) -> float:
    """Area that a part surely takes for itself (with its half of the gap, for a piece of one part)."""
    if len(kind.parts) == 1 and gap > 2 * SHARED:
        return float(kind.outline.buffer(gap / 2 - SHARED, quad_segs=4).area)
    return max(0.0, float(part.area) - SHARED * float(part.length))


def _room(problem: Problem, union: frozenset[int]) -> float:
    region = shapely.union_all([problem.outer[i] for i in sorted(union)])
    return float(region.buffer(problem.gap / 2, quad_segs=32).area * 1.0001 if problem.gap else region.area)


def _subsets(groups: list[tuple[int, ...]]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """All subsets of the groups of regions; with many groups only the single ones and all together."""
    sizes = range(1, len(groups) + 1) if len(groups) <= MOST_REGIONS else (1, len(groups))
    for size in sizes:
        yield from combinations(groups, size)
