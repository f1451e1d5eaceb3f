"""What a search works out once for a problem, and every task of it stands on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from threading import RLock
from typing import Any, TypeVar

from nesting.model.problem import Problem
from nesting.search.arrays.arrays import Arrays, build
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.filling.pairs import Paired
from nesting.search.separation.depth_maps import Atlas, atlas

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
        return self._once(("inner fits", angles), lambda: InnerFits(self.arrays, angles))

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


@lru_cache(maxsize=2)
def _received(problem: Problem) -> Groundwork:
    """In a process that carries out tasks: the groundwork of the problems it was sent last."""
    return Groundwork(problem)
