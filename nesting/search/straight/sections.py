"""The hide parted by lines across: short pieces come off its ends, the straps off what lies between.

Strips run from edge to edge, so what is left over at the ends of rows of straps is lost to wider pieces. Where a line
is struck across first and the end beyond it is cut in strips of its own, these come whole from there, and what they
give the strips between need not give. Nothing is proven by this; the ends are tried at a few depths.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nesting.search.straight.block import Block

SHORT = 0.45
"""A piece is short if it is no longer than this share of the longest."""
DEPTHS = (0.03, 0.05, 0.07, 0.09, 0.11, 0.14, 0.17, 0.2, 0.24, 0.28)
"""How deep an end is, in shares of the hide along the line."""
FAR = 1e5
Counts = tuple[int, ...]


class Search(Protocol):
    """A search for one block: angle, pieces of each kind in a product, products at most, leather that is gone, pieces
    that are there already."""

    def __call__(
        self, angle: float, need: Counts, ceiling: int, taken: BaseGeometry | None, given: Counts
    ) -> Block | None:
        """The best block found, or None."""
        ...


@dataclass(frozen=True)
class _End:
    """Strips across one end of the hide, or none: what they give, and how much of the hide's length they take."""

    block: Block | None
    given: tuple[int, ...]
    depth: float


def parted(
    search: Search,
    leather: BaseGeometry,
    angle: float,
    need: Counts,
    lengths: Mapping[int, float],
    ceiling: int,
    more_than: int,
    tries: int,
    kerf: float,
) -> tuple[list[Block], int] | None:
    """Blocks in cutting order that give more products than `more_than`, and how many; None where none were found.

    `angle` is that of the line along the hide, `lengths` those of the straight kinds by their numbers.
    """
    longest = max(lengths[kind] for kind in lengths if need[kind])
    short = tuple(n if n and lengths.get(kind, 0.0) <= SHORT * longest else 0 for kind, n in enumerate(need))
    if not any(short) or short == need:
        return None
    pairs = _pairs(_ends(search, leather, angle, short, ceiling), short)
    tried: dict[int, tuple[int, list[Block]]] = {}
    while pairs and len(tried) < min(tries, len(pairs)):
        at = _next(tried, len(pairs))
        ends = [end.block for end in pairs[at] if end.block]
        given = tuple(int(n) for n in np.sum([end.given for end in pairs[at]], axis=0))
        taken = shapely.union_all([band(block, kerf) for block in ends])
        middle = search(angle, need, ceiling, taken, given)
        tried[at] = (middle.products, [*ends, middle]) if middle else (0, [])
        if tried[at][0] >= ceiling:
            break
    count, blocks = max(tried.values(), key=lambda each: each[0], default=(0, []))
    return (blocks, count) if count > more_than else None


def band(block: Block, clear: float) -> BaseGeometry:
    """All strips of a block from edge to edge, `clear` more on both sides."""
    low, high = block.strips[0].offset, block.strips[-1].offset + block.strips[-1].width
    return affinity.rotate(box(-FAR, low - clear, FAR, high + clear), block.angle, origin=(0, 0))


def _ends(
    search: Search, leather: BaseGeometry, angle: float, short: Counts, ceiling: int
) -> tuple[list[_End], list[_End]]:
    """What either end gives at several depths; the first gives nothing and takes nothing."""
    left, _, right, _ = affinity.rotate(leather, -angle, origin=(0, 0)).bounds
    none = _End(None, (0,) * len(short), 0.0)
    ends: tuple[list[_End], list[_End]] = ([none], [none])
    for side, at, outermost in ((0, angle - 90.0, left), (1, angle + 90.0, -right)):
        for share in DEPTHS:
            deep = outermost + share * (right - left)
            beyond = affinity.rotate(box(-FAR, deep, FAR, FAR), at, origin=(0, 0))
            found = search(at, short, ceiling, beyond, none.given)
            if found is not None and found.strips:
                top = found.strips[-1].offset + found.strips[-1].width
                given = tuple(int(n) for n in found.given(len(short)))
                ends[side].append(_End(found, given, top - outermost))
    return ends


def _next(tried: Mapping[int, tuple[int, list[Block]]], many: int) -> int:
    """The pair to try next: one that gives little, one in the lower half, then the nearest to the best so far."""
    for first in (0, many // 3):
        if first not in tried:
            return first
    best = max(tried, key=lambda at: (tried[at][0], -at))
    return min((at for at in range(many) if at not in tried), key=lambda at: (abs(at - best), at))


def _pairs(ends: tuple[Sequence[_End], Sequence[_End]], short: Counts) -> list[tuple[_End, _End]]:
    """Of all pairs of ends those that take least for what they give, from little to much."""
    asked = np.flatnonzero(short)
    best: dict[int, tuple[float, int, int]] = {}
    for i, one in enumerate(ends[0]):
        for j, other in enumerate(ends[1]):
            both = np.add(one.given, other.given)[asked] // np.array(short)[asked]
            gives, takes = int(both.min()), (one.depth + other.depth, i, j)
            if gives and takes < best.get(gives, (np.inf, 0, 0)):
                best[gives] = takes
    return [(ends[0][i], ends[1][j]) for _, i, j in (best[gives] for gives in sorted(best))]
