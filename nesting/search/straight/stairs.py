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
        blocks = _Stairs(search, angle, need, short, depth, number, kerf).found()
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


@dataclass
class _Stairs:
    """The search for blocks that give just so many products."""

    search: Search
    angle: float
    need: Counts
    short: Counts
    depth: float
    number: int
    kerf: float

    def found(self) -> list[Block] | None:
        """The blocks of the first try that gives so many products."""
        long = tuple(n - s for n, s in zip(self.need, self.short, strict=True))
        straps = self.search(self.angle, long, self.number, None)
        if straps is None or straps.products < self.number:
            return None
        tries = (self._stepped(straps, ends) for ends in self._ends())
        return next((blocks for blocks in tries if blocks is not None), None)

    def _ends(self) -> Iterator[Counts]:
        """Which short pieces may come from beyond the rows' ends: all of them, then one kind alone."""
        yield self.short
        kinds = np.flatnonzero(self.short)
        for kind in kinds if len(kinds) > 1 else ():
            yield tuple(n if k == kind else 0 for k, n in enumerate(self.short))

    def _stepped(self, straps: Block, ends: Counts) -> list[Block] | None:
        """Blocks that give so many products, such pieces at the ends, or None."""
        blocks: list[Block] = []
        for step in _steps(straps.strips, self.depth):
            self._end(blocks, self.angle + 90.0, ends, _across(self.angle, step.right + self.kerf, False))
            self._end(blocks, self.angle - 90.0, ends, _across(self.angle, step.left - self.kerf, True))
            blocks.append(Block(self.angle, 0, step.strips))
        lacks = self._lacking(blocks, self.short)
        if any(lacks):
            parts = int(np.gcd.reduce(lacks))
            need = tuple(int(n) // parts for n in lacks)
            self._add(blocks, self.angle, need, parts, _below(self.angle, straps, self.kerf))
        return None if any(self._lacking(blocks, self.short)) else blocks

    def _end(self, blocks: list[Block], side: float, ends: Counts, gone: BaseGeometry) -> None:
        """A block along a line across, of pieces that lack."""
        lacks = self._lacking(blocks, ends)
        if any(lacks):
            many = max(-(-lack // n) for lack, n in zip(lacks, ends, strict=True) if n)
            self._add(blocks, side, ends, int(many), gone)

    def _add(self, blocks: list[Block], angle: float, need: Counts, many: int, gone: BaseGeometry) -> None:
        taken = shapely.union_all([gone, *(band(block, self.kerf) for block in blocks)])
        found = self.search(angle, need, many, taken)
        blocks += [found] if found else []

    def _lacking(self, blocks: Sequence[Block], of: Counts) -> Ints:
        """What the products still lack of some pieces."""
        given = sum((block.given(len(self.need)) for block in blocks), np.zeros(len(self.need), np.int64))
        return np.where(np.array(of) > 0, np.maximum(np.array(self.short) * self.number - given, 0), 0)


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


def _across(angle: float, at: float, onward: bool) -> BaseGeometry:
    """All leather beyond a line across, or before it."""
    return affinity.rotate(box(at, -FAR, FAR, FAR) if onward else box(-FAR, -FAR, at, FAR), angle, origin=(0, 0))


def _below(angle: float, block: Block, kerf: float) -> BaseGeometry:
    """All leather up to a block's last strip."""
    last = block.strips[-1]
    return affinity.rotate(box(-FAR, -FAR, FAR, last.offset + last.width + kerf), angle, origin=(0, 0))
