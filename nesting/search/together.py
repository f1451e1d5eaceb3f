"""Products laid one after another, the pieces that are to lie near each other beside one another.

A bottom-left filling (Burke et al. 2006) product by product: first the pieces that others are to lie near, then each of
these among the places that are near enough, last what may lie anywhere. In several orders and from several sides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from hides.hide import Point
from nesting.model.nearness import Nearness
from nesting.model.problem import Problem
from nesting.model.settings import Watch
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.inner_fits import Box, InnerFits, Laid
from nesting.search.effort import BUDGETS
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill, fill_among
from nesting.search.filling.sequence_search import sequence_of, sweep
from nesting.search.groundwork import Groundwork
from nesting.search.search import Found

SIDES = 4
"""From so many sides the first piece of a product is laid, until the others have room near it."""
HAIR = 0.01
"""How much nearer (mm) than asked pieces are laid, so that what a file rounds off breaks no wish."""
SHUFFLE = 0.5
"""How far the order of pieces that may lie anywhere strays from large to small, in e-folds of size."""


def search_together(
    ground: Groundwork, wishes: Sequence[Nearness], most: int, effort: str, seed: int, watch: Watch
) -> Found | None:
    """The most products found, up to `most`, all of which have their wishes; None where not one goes."""
    budget = BUDGETS[effort]
    fits = ground.inner_fits(budget.angles)
    if not all(fits.rotations(kind) for kind in range(len(ground.problem.kinds))):
        return None
    best: list[Laid] = []
    number = 0
    for attempt in range(budget.constructions):
        filling = _Filling(fits, wishes, np.random.default_rng((seed, attempt)), attempt)
        laid, got = filling.filled(most, watch)
        if got > number:
            best, number = laid, got
        if number >= most or watch.stop():
            break
    poses = tuple(fits.arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle) for p in best)
    return Found((number,), poses, (), watch.stop()) if number else None


@dataclass
class _Filling:
    """One filling: in an order and from a side of its number."""

    fits: InnerFits
    wishes: Sequence[Nearness]
    rng: np.random.Generator
    number: int
    laid: list[Laid] = field(default_factory=list)

    def filled(self, most: int, watch: Watch) -> tuple[list[Laid], int]:
        """The pieces of so many whole products as go, one product after another."""
        self.side = sweep(self.problem, self.rng, self.number)
        for done in range(most):
            more = None if watch.stop() else self._product()
            if more is None:
                return self.laid, done
            self.laid += more
        return self.laid, most

    @property
    def problem(self) -> Problem:
        return self.fits.arrays.problem

    @cached_property
    def together(self) -> list[int]:
        """The kinds that wishes are about: those most wished for first, then each that is bound to one before it."""
        wished = [wish.beside for wish in self.wishes]
        kinds = sorted({*wished, *(wish.kind for wish in self.wishes)}, key=lambda k: (-wished.count(k), k))
        found: list[int] = []
        while kinds:
            bound = (k for k in kinds if any(self._ties(k, other) for other in found))
            found.append(next(bound, kinds[0]))
            kinds.remove(found[-1])
        return found

    def _ties(self, kind: int, other: int) -> list[Nearness]:
        """The wishes of two kinds to lie near each other, or in mirrored places."""
        pair = {(kind, other), (other, kind)}
        return [wish for wish in self.wishes if (wish.kind, wish.beside) in pair]

    def _product(self) -> list[Laid] | None:
        """The pieces of one more product, or None; those that may lie anywhere first or last, by turns."""
        kinds = range(len(self.problem.kinds))
        free = [k for k in kinds if k not in self.together for _ in range(self.problem.kinds[k].count)]
        anywhere = sequence_of(self.problem, free, self.rng, SHUFFLE * (self.number > 1))
        free_first = self.number % 2 == 1
        rest = self._anywhere(anywhere, []) if free_first else []
        own = None if rest is None else self._cluster(rest)
        if own is not None and not free_first:
            rest = self._anywhere(anywhere, own)
        return None if rest is None or own is None else [*own, *rest]

    def _anywhere(self, kinds: Sequence[int], beside: Sequence[Laid]) -> list[Laid] | None:
        found = bottom_left_fill(self.fits, kinds, self.side, [*self.laid, *beside], leave=0.0) if kinds else []
        return found if len(found) == len(kinds) else None

    def _cluster(self, beside: Sequence[Laid]) -> list[Laid] | None:
        """The pieces that are to lie near each other; the first of them from several sides, until all have room."""
        given = [*self.laid, *beside]
        for turn in range(SIDES):
            side = Sweep(self.side.angle + turn * math.pi / 2, self.side.side, self.side.far, self.side.lean)
            own: list[Laid] = []
            for kind in (k for k in self.together for _ in range(self.problem.kinds[k].count)):
                piece = self._one(kind, own, given, side)
                if piece is None:
                    break
                own.append(piece)
            else:
                if self._met(own):
                    return own
        return None

    def _one(self, kind: int, own: Sequence[Laid], given: Sequence[Laid], side: Sweep) -> Laid | None:
        """A piece near those of its product that it is bound to: anywhere where it is bound to none of them."""
        ties = [(other, tie) for other in own for tie in self._ties(kind, other.kind) if self._open(tie, other, own)]
        there = [*given, *own]
        if not ties:
            return next(iter(bottom_left_fill(self.fits, [kind], side, there)), None)
        for box in self._boxes(kind, ties):
            ready = self.fits.ready({kind, *(piece.kind for piece in there)})
            crowd = ready.crowded(self.fits, there, {kind}, box)
            for piece in fill_among(crowd, [kind], side):
                if self._near(piece, ties):
                    return piece
        return None

    def _open(self, tie: Nearness, other: Laid, own: Sequence[Laid]) -> bool:
        """Whether a piece may still have this one for a partner: of a pair the first left has the first right."""
        if tie.level is None:
            return True
        partners = [piece for piece in own if piece.kind == other.kind]
        taken = sum(piece.kind == (tie.kind if other.kind == tie.beside else tie.beside) for piece in own)
        return taken < len(partners) and other is partners[taken]

    def _boxes(self, kind: int, ties: Sequence[tuple[Laid, Nearness]]) -> Iterator[Box]:
        """Where the piece's centre is looked for, about each it is bound to: all about it, then surely near."""
        off = max(math.dist(self._centroid(kind), centre) for centre in self._centres(kind))
        for other, tie in ties:
            x, y = self._mirrored(self._middle(other), tie)
            for reach in (tie.within - off, (tie.within - off) / math.sqrt(2) - off):
                if reach > 0:
                    yield x - reach, y - reach, x + reach, y + reach

    def _near(self, piece: Laid, ties: Sequence[tuple[Laid, Nearness]]) -> bool:
        """Whether it is near some piece of every kind that it is bound to, by every wish."""
        at = self._middle(piece)
        wishes = {id(tie) for _, tie in ties}
        return wishes == {id(tie) for other, tie in ties if self._apart(at, self._middle(other), tie) <= 0}

    @staticmethod
    def _mirrored(at: Point, tie: Nearness) -> Point:
        return at if tie.level is None else (at[0], 2 * tie.level - at[1])

    def _apart(self, at: Point, other: Point, tie: Nearness) -> float:
        """By how much two middles lie further apart than they may."""
        return math.dist(at, self._mirrored(other, tie)) - (tie.within - HAIR)

    def _met(self, own: Sequence[Laid]) -> bool:
        """Whether a product's pieces have all that they wish."""
        for wish in self.wishes:
            others = [self._middle(piece) for piece in own if piece.kind == wish.beside]
            ats = [self._middle(piece) for piece in own if piece.kind == wish.kind]
            if wish.level is not None:
                if len(ats) != len(others) or any(
                    self._apart(a, b, wish) > 0 for a, b in zip(ats, others, strict=True)
                ):
                    return False
            elif any(min(self._apart(at, other, wish) for other in others) > 0 for at in ats):
                return False
        return True

    def _middle(self, piece: Laid) -> Point:
        """The centroid of a piece as it lies, which the wishes are measured from."""
        arrays: Arrays = self.fits.arrays
        pose = arrays.pose_of(piece.kind, piece.orientation, piece.x, piece.y, piece.angle)
        x, y = self._centroid(piece.kind)
        x = -x if pose.mirrored else x
        c, s = math.cos(piece.angle), math.sin(piece.angle)
        return pose.x + c * x - s * y, pose.y + s * x + c * y

    def _centroid(self, kind: int) -> Point:
        at = self.problem.kinds[kind].outline.centroid
        return at.x, at.y

    def _centres(self, kind: int) -> list[Point]:
        """The centres that kernels go by, one for either side up, as it would be on the grain side."""
        tables, found = self.fits.arrays.tables, []
        first = int(tables.kind_orientations[kind])
        for local, orientation in enumerate(self.problem.kinds[kind].orientations):
            x, y = self.fits.arrays.centres[tables.orientation_shape[first + local]]
            found.append((-float(x) if orientation.mirrored else float(x), float(y)))
        return found
