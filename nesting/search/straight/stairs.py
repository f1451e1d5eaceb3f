"""Strips that end in steps: where rows of straps grow shorter, the leather beyond their ends is cut across.

A hide is longer at its back than higher up, so strips of straps hold three of them, then two, then one. For a number
of products the straps are laid first, as low as they go. Where their rows grow shorter a new step begins: a line across
parts what lies beyond its rows, which gives short pieces, before its strips are cut; what lies above the last strip
gives the rest. Nothing is proven by this.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nesting.search.straight.block import Block, Ints, LaidStrip

SHORT = 0.45
"""A piece is short if it is no longer than this share of the longest."""
MOST_STEPS = 5
FAR = 1e5
Counts = tuple[int, ...]


class Search(Protocol):
    """A search for one block: angle, pieces of each kind in a product, products at most, leather that is gone."""

    def __call__(self, angle: float, need: Counts, ceiling: int, taken: BaseGeometry | None) -> Block | None:
        """The best block found, or None."""
        ...


@dataclass(frozen=True)
class _Step:
    """Strips that follow one another, and from where to where along the line pieces lie in these and all above."""

    strips: tuple[LaidStrip, ...]
    left: float
    right: float


def stairs(
    search: Search, angle: float, need: Counts, short: Counts, depth: float, ceiling: int, more_than: int, kerf: float
) -> tuple[list[Block], int] | None:
    """Blocks in cutting order that give more products than `more_than`, and how many; None where none were found.

    `angle` is that of the line along the hide, `short` what a product needs of pieces that come from beyond the rows'
    ends and from above the strips, `depth` (mm) what the least of them takes: rows that are not shorter by so much
    make no step.
    """
    best: tuple[list[Block], int] | None = None
    for number in range(more_than + 1, ceiling + 1):
        blocks = _stepped(search, angle, need, short, depth, number, kerf)
        if blocks is None:
            break
        best = blocks, number
    return best


def short_of(need: Counts, lengths: Mapping[int, float]) -> Counts | None:
    """What a product needs of short pieces; None where all pieces are short, or none."""
    longest = max(lengths[kind] for kind in lengths if need[kind])
    short = tuple(n if n and lengths.get(kind, 0.0) <= SHORT * longest else 0 for kind, n in enumerate(need))
    return short if any(short) and short != need else None


def band(block: Block, clear: float) -> BaseGeometry:
    """All strips of a block from edge to edge, `clear` more on both sides."""
    low, high = block.strips[0].offset, block.strips[-1].offset + block.strips[-1].width
    return affinity.rotate(box(-FAR, low - clear, FAR, high + clear), block.angle, origin=(0, 0))


def _stepped(
    search: Search, angle: float, need: Counts, short: Counts, depth: float, number: int, kerf: float
) -> list[Block] | None:
    """Blocks that give so many products, or None."""
    long = tuple(n - s for n, s in zip(need, short, strict=True))
    straps = search(angle, long, number, None)
    if straps is None or straps.products < number:
        return None
    blocks: list[Block] = []

    def lacking() -> int:
        given = sum((block.given(len(need)) for block in blocks), np.zeros(len(need), np.int64))
        return number - _whole(given, short)

    for step in _steps(straps.strips, depth):
        for side, beyond in _beyond(angle, step, kerf):
            if lacking() > 0:
                gone = shapely.union_all([beyond, *(band(block, kerf) for block in blocks)])
                end = search(side, short, lacking(), gone)
                blocks += [end] if end else []
        blocks.append(Block(angle, 0, step.strips))
    if lacking() > 0:
        gone = shapely.union_all([_below(angle, straps, kerf), *(band(block, kerf) for block in blocks)])
        top = search(angle, short, lacking(), gone)
        blocks += [top] if top else []
    return blocks if lacking() <= 0 else None


def _whole(given: Ints, need: Counts) -> int:
    """How many products the pieces are."""
    asked = np.flatnonzero(need)
    return int((given[asked] // np.array(need)[asked]).min())


def _steps(strips: Sequence[LaidStrip], depth: float) -> Iterator[_Step]:
    """The strips in steps: a new one begins where all rows that follow end earlier on the right, or begin later."""
    ends = [(at, at + form.length) for strip in strips for form, at in strip.pieces]
    counts = np.cumsum([0, *(len(strip.pieces) for strip in strips)])
    reach = [(min(a for a, _ in ends[n:]), max(b for _, b in ends[n:])) for n in counts[:-1] if n < len(ends)]
    first = [0]
    for n, (left, right) in enumerate(reach):
        shorter = right < reach[first[-1]][1] - depth or left > reach[first[-1]][0] + depth
        if shorter and len(first) < MOST_STEPS:
            first.append(n)
    for start, end in zip(first, [*first[1:], len(strips)], strict=True):
        yield _Step(tuple(strips[start:end]), *reach[start])


def _beyond(angle: float, step: _Step, kerf: float) -> Iterator[tuple[float, BaseGeometry]]:
    """Angles of lines across the hide's two ends, and all leather that is not beyond them."""
    for at, edge in ((angle + 90.0, -(step.right + kerf)), (angle - 90.0, step.left - kerf)):
        yield at, affinity.rotate(box(-FAR, edge, FAR, FAR), at, origin=(0, 0))


def _below(angle: float, block: Block, kerf: float) -> BaseGeometry:
    """All leather up to a block's last strip."""
    last = block.strips[-1]
    return affinity.rotate(box(-FAR, -FAR, FAR, last.offset + last.width + kerf), angle, origin=(0, 0))
