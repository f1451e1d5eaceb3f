"""A layout whose pairs are mirrored by construction: left pieces on folded leather, then the others beside both."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nesting.bound.limit import Limit
from nesting.model.problem import Problem
from nesting.model.settings import Watch
from nesting.posing.folded_leather import FoldedLeather, rest_of
from nesting.search.arrays.arrays import Pose
from nesting.search.groundwork import Groundwork
from nesting.search.search import Found, search

ATTEMPTS = 3
"""How often the number of products is lowered until the other pieces find room."""
Limits = Callable[[Problem], Sequence[Limit]]


def paired_search(
    problem: Problem, folded: FoldedLeather, limits: Limits, effort: str, seed: int, watch: Watch
) -> Found | None:
    """The best such layout found for the only product of a problem; None where not one product goes."""
    first = search(Groundwork(folded.problem), limits(folded.problem), effort, seed, watch)
    number, best = first.goal[0], None
    others = [k for k in range(len(problem.kinds)) if k not in (*folded.lefts, *folded.rights)]
    for _ in range(ATTEMPTS):
        if number < 1 or (best is not None and number <= best.goal[0]):
            break
        pairs = folded.both(_so_many(first.pieces, folded.problem, number))
        if not others:
            return replace(first, goal=(number,), pieces=tuple(pairs), spares=(), impossible=())
        rest = rest_of(problem, others, _taken(pairs, problem), number)
        found = search(Groundwork(rest), limits(rest), effort, seed, watch)
        got = min(number, found.goal[0])
        if got and (best is None or got > best.goal[0]):
            kept = folded.both(_so_many(first.pieces, folded.problem, got))
            own = [replace(pose, kind=others[pose.kind]) for pose in _so_many(found.pieces, rest, got)]
            best = Found((got,), (*kept, *own), (), first.stopped or found.stopped)
        if got == number or watch.stop():
            break
        number = got + max((number - got) // 2, 1) if number - got > 1 else got
    return best


def _so_many(poses: Sequence[Pose], problem: Problem, number: int) -> list[Pose]:
    """The pieces of so many products, those that lie first along the leather."""
    found = []
    for k, kind in enumerate(problem.kinds):
        own = sorted((pose for pose in poses if pose.kind == k), key=lambda pose: (pose.x, pose.y))
        found += own[: number * kind.count]
    return found


def _taken(poses: Sequence[Pose], problem: Problem) -> BaseGeometry:
    """The leather that lies under pieces."""
    laid = []
    for pose in poses:
        shape = problem.kinds[pose.kind].outline
        shape = affinity.scale(shape, -1.0, 1.0, origin=(0, 0)) if pose.mirrored else shape
        turned = affinity.rotate(shape, pose.angle, origin=(0, 0))
        laid.append(affinity.translate(turned, pose.x, pose.y))
    return shapely.union_all(laid)
