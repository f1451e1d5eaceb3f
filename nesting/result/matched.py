"""Which pieces belong to one product where some are to lie near each other, or mirrored about the backbone.

The search lays pieces without looking at such wishes. Here they are given numbers so that as many products as can be
have theirs: kind by kind, each piece to the product whose pieces suit it best (a least-cost assignment; Kuhn, Naval
Research Logistics 2, 1955). The check judges; a product left with a wish unmet is no complete one, and its
pieces become single ones.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Polygon

from hides.hide import Point, Segment
from nesting.check.places import apart
from nesting.model.layout import HideLayout, Placement, ProductCount
from nesting.model.product import Piece, Product

UNMET = 1e6
"""Cost (mm) of a wish that is not met: more than any distance on a hide."""


def has_wishes(product: Product) -> bool:
    """Whether any piece of a product is to lie near another."""
    return any(piece.near or piece.pair_within is not None for piece in product.pieces)


def matched(on: HideLayout, product: Product, count: ProductCount) -> tuple[tuple[Placement, ...], ProductCount]:
    """The placements with a product's pieces numbered anew, and how many of it have all that they wish."""
    own = [each for each in on.placements if each.product == product.name and each.number]
    others = tuple(each for each in on.placements if not (each.product == product.name and each.number))
    numbered = _Numbering(on, product, own, count.complete).done()
    pieces = {(product.name, piece.name): piece for piece in product.pieces}
    kept: list[list[Placement]] = []
    single: list[Placement] = []
    for number in range(1, count.complete + 1):
        group = [each for each in numbered if each.number == number]
        if any(True for _ in apart(replace(on, placements=tuple(group)), pieces)):
            single += [replace(each, number=0) for each in group]
        else:
            kept.append([replace(each, number=len(kept) + 1) for each in group])
    single += [replace(each, number=0) for each in numbered if not 1 <= each.number <= count.complete]
    placements = sorted([*others, *(p for group in kept for p in group), *single], key=_order)
    return tuple(placements), replace(count, complete=len(kept))


def _order(placement: Placement) -> tuple[bool, str, int]:
    return placement.number == 0, placement.product, placement.number


@dataclass
class _Numbering:
    """Gives the pieces of every kind to products 1, 2, … by their wishes; other kinds keep their numbers."""

    on: HideLayout
    product: Product
    placements: Sequence[Placement]
    complete: int

    def done(self) -> list[Placement]:
        given: dict[str, list[Placement]] = {}
        for piece in self._in_turn():
            own = [each for each in self.placements if each.piece == piece.name]
            given[piece.name] = self._numbered(piece, own, given)
        return [each for group in given.values() for each in group]

    def _in_turn(self) -> list[Piece]:
        """Kinds by what they wish: first those that others are to lie near, the most wished for first."""
        wished = [near.piece for piece in self.product.pieces for near in piece.near]
        return sorted(self.product.pieces, key=lambda piece: (-wished.count(piece.name), piece.hand == "right"))

    def _numbered(self, piece: Piece, own: Sequence[Placement], given: dict[str, list[Placement]]) -> list[Placement]:
        costs = self._costs(piece, given)
        if not costs or not own:
            return list(own)
        slots = [number for number in range(1, self.complete + 1) for _ in range(piece.count)]
        table = np.array([[sum(cost(each, number) for cost in costs) for number in slots] for each in own])
        from scipy.optimize import linear_sum_assignment  # heavy: only where it is needed

        rows, columns = linear_sum_assignment(table)
        return [replace(own[row], number=slots[column]) for row, column in zip(rows, columns, strict=True)]

    def _costs(self, piece: Piece, given: dict[str, list[Placement]]) -> list[Callable[[Placement, int], float]]:
        """What it costs to give a piece to a product: one function a wish that can be judged already."""
        found: list[Callable[[Placement, int], float]] = []
        for near in piece.near:
            if near.piece in given:
                found.append(_Nearness(_by_number(given[near.piece]), near.within))
        for other in self.product.pieces:
            for near in other.near:
                if near.piece == piece.name and other.name in given:
                    found.append(_Nearness(_by_number(given[other.name]), near.within))
        left = piece.name.removesuffix(" right") + " left"
        if piece.hand == "right" and piece.pair_within is not None and left in given:
            pieces = {(self.product.name, each.name): each for each in self.product.pieces}
            found.append(_Pairing(self.on, _by_number(given[left]), pieces, piece.pair_within + 1.0))
        return found


def _by_number(placements: Sequence[Placement]) -> dict[int, list[Placement]]:
    found: dict[int, list[Placement]] = {}
    for each in placements:
        found.setdefault(each.number, []).append(each)
    return found


@dataclass
class _Nearness:
    """The distance to the nearest piece of a product, and more where that is too far."""

    others: dict[int, list[Placement]]
    within: float

    def __call__(self, placement: Placement, number: int) -> float:
        at = _middle(placement)
        away = min((math.dist(at, _middle(other)) for other in self.others.get(number, ())), default=UNMET)
        return away + (UNMET if away > self.within else 0.0)


@dataclass
class _Pairing:
    """The distance from the mirrored place of a product's left piece, and more where the two are no pair."""

    on: HideLayout
    lefts: dict[int, list[Placement]]
    pieces: dict[tuple[str, str], Piece]
    within: float

    @property
    def hide_line(self) -> Segment | None:
        """The backbone."""
        return self.on.hide.backbone

    def __call__(self, placement: Placement, number: int) -> float:
        return min((self._cost(left, placement) for left in self.lefts.get(number, ())), default=UNMET)

    def _cost(self, left: Placement, right: Placement) -> float:
        if self.hide_line is None or _mirrored_apart(self.hide_line, left, right) > self.within:
            return UNMET
        two = replace(self.on, placements=(left, replace(right, number=left.number)))
        wrong = any(fault.code == "pair" for fault in apart(two, self.pieces))
        return (UNMET if wrong else 0.0) + abs(_middle(left)[0] - _middle(right)[0])


def _mirrored_apart(line: Segment, left: Placement, right: Placement) -> float:
    """How far the right piece's middle lies from the mirror image of the left one's."""
    (ax, ay), (bx, by) = line
    direction = complex(bx - ax, by - ay) / math.dist((ax, ay), (bx, by))
    at, other = ((complex(*_middle(each)) - complex(ax, ay)) / direction for each in (left, right))
    return abs(at.conjugate() - other)


def _middle(placement: Placement) -> Point:
    at = Polygon(placement.outline).centroid
    return at.x, at.y
