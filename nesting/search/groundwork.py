"""What a search works out once for a problem, and every task of it stands on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from threading import RLock
from typing import Any, TypeVar

from nesting.geometry.stand_in import PIECE_CORNERS
from nesting.model.problem import Kind, Problem
from nesting.search.arrays.angles_beside import angles_beside
from nesting.search.arrays.arrays import Arrays, build, drafted
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.arrays.no_fit_polygons import NoFits
from nesting.search.filling.pairs import Paired
from nesting.search.separation.depth_maps import Atlas, atlas

FEW_WAYS = 96
"""Ways to lie, of all kinds together, up to which pieces have all the corners they may have."""

LEAST_CORNERS = 16
"""Pieces have no fewer for the sake of tables."""

USUAL_ANGLES = 4
"""Angles tried where any is allowed."""

Made = TypeVar("Made")


@dataclass(frozen=True)
class Groundwork:
    """A problem with its arrays, inner fits, pairs and depth maps, each made when it is first asked for.

    It is equal to another of the same problem. Handed to another process it travels as the problem alone and is made
    anew there, once for all tasks of a search. Safe to ask from several threads: what two ask for is made once.
    """

    problem: Problem
    _made: dict[object, Any] = field(default_factory=dict, compare=False, repr=False)
    _making: RLock = field(default_factory=RLock, compare=False, repr=False)

    @property
    def arrays(self) -> Arrays:
        """The flat arrays of the problem."""
        return self._once("arrays", lambda: build(self.problem))

    def inner_fits(self, angles: int) -> InnerFits:
        """The rotations of the problem's kinds, at most so many each."""
        return self._once(("inner fits", angles), lambda: InnerFits(self._drafts, angles, self._no_fits))

    def inner_fits_beside(self, angles: int, laid: Sequence[Laid]) -> InnerFits:
        """The same with the angles that pieces which lie suggest to others."""
        usual = self.inner_fits(angles)
        also = angles_beside(usual, laid)
        return InnerFits(self._drafts, angles, self._no_fits, also) if also else usual

    def first_angles(self, angles: int) -> int:
        """Angles of a kind for a first layout: where there are very many rotations, half of them.

        The tables of pairs take a quarter of the time then, and none of what the other angles need is made in vain
        where the first layout holds all that is wanted.
        """
        return max(1, angles // 2) if corners_for(self.problem) == LEAST_CORNERS else angles

    @property
    def _drafts(self) -> Arrays:
        """The arrays that tables of pairs are made of: where rotations are many, of pieces with fewer corners."""
        corners = corners_for(self.problem)
        return self._once("drafts", lambda: drafted(self.problem, corners) if corners < PIECE_CORNERS else self.arrays)

    @property
    def _no_fits(self) -> NoFits:
        """The no-fit polygons, which rotations at few angles and at more of them share."""
        return self._once("no-fit polygons", lambda: NoFits(self._drafts))

    def paired(self, angles: int, most: int) -> Paired | None:
        """Pairs of pieces, at most so many; None where there are none."""
        paired = self._once(("pairs", angles, most), lambda: Paired(self.inner_fits(angles), most))
        return paired if paired.pairs else None

    def depth_maps(self, angles: int) -> Atlas:
        """The depth maps of the rotations."""
        return self._once(("depth maps", angles), lambda: atlas(self.inner_fits(angles)))

    def _once(self, key: object, make: Callable[[], Made]) -> Made:
        with self._making:
            if key not in self._made:
                self._made[key] = make()
            made: Made = self._made[key]
            return made

    def __reduce__(self) -> tuple[Any, ...]:
        return _received, (self.problem,)


def corners_for(problem: Problem) -> int:
    """The corners that a piece may have for the tables of all pairs: the more ways there are to lie, the fewer."""
    ways = sum(_ways(kind) for kind in problem.kinds)
    return max(LEAST_CORNERS, min(PIECE_CORNERS, PIECE_CORNERS * FEW_WAYS // max(ways, 1)))


def _ways(kind: Kind) -> int:
    """Angles that are tried of a kind, about."""
    return sum(1 if o.high == o.low else USUAL_ANGLES for o in kind.orientations)


@lru_cache(maxsize=2)
def _received(problem: Problem) -> Groundwork:
    """In a process that carries out tasks: the groundwork of the problems it was sent last."""
    return Groundwork(problem)
