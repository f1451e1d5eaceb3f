"""What a goal needs, and layouts that come near it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.model.problem import Problem
from nesting.search.arrays.inner_fits import Laid

Goal = tuple[int, ...]
"""Complete products of each kind wanted."""


@dataclass(frozen=True)
class Partial:
    """A layout that may lack pieces of its goal, how much leather they would take (mm²), and the work it took.

    `turns`: how often windows of it were laid anew since it last became better.
    """

    pieces: tuple[Laid, ...]
    missing: float
    tried: int
    turns: int = 0


def needed(problem: Problem, goal: Goal) -> dict[int, int]:
    """How many pieces of each kind, beyond those that lie there already."""
    return {i: max(0, kind.count * goal[kind.product] - kind.given) for i, kind in enumerate(problem.kinds)}


def given_alone(problem: Problem) -> Goal:
    """The products that are complete with what lies there already."""
    whole = [min(problem.kinds[k].given // problem.kinds[k].count for k in problem.kinds_of(p)) for p in _all(problem)]
    limits = (wanted.limit for wanted in problem.wanted)
    return tuple(n if limit is None else min(n, limit) for n, limit in zip(whole, limits, strict=True))


def _all(problem: Problem) -> range:
    return range(len(problem.wanted))


def shortfall(problem: Problem, laid: Sequence[Laid], goal: Goal) -> list[int]:
    """The kinds of pieces that a goal needs beyond those laid."""
    left = needed(problem, goal)
    for piece in laid:
        left[piece.kind] -= 1
    return [kind for kind, many in left.items() for _ in range(max(many, 0))]


def leather_of(problem: Problem, kinds: Iterable[int]) -> float:
    """What pieces of these kinds take together, mm²."""
    return sum(problem.kinds[kind].area for kind in kinds)


def part_of(problem: Problem, laid: Sequence[Laid], goal: Goal) -> tuple[Laid, ...]:
    """Those of the pieces laid that a goal needs."""
    left = needed(problem, goal)
    kept = []
    for piece in laid:
        if left[piece.kind] > 0:
            left[piece.kind] -= 1
            kept.append(piece)
    return tuple(kept)
