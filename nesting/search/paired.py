"""A layout whose pairs are mirrored by construction: left pieces on folded leather, then the others beside both."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nesting.bound.limit import Limit
from nesting.geometry.solid import solid
from nesting.model.folded_leather import FoldedLeather
from nesting.model.problem import Problem, Wanted
from nesting.model.settings import Stop, Watch
from nesting.model.tolerance import GIVE
from nesting.search.arrays.arrays import Pose
from nesting.search.groundwork import Groundwork
from nesting.search.search import Found, search

ATTEMPTS = 3
"""How often the number of products is lowered until the other pieces find room."""
SLIT, SLACK = 2.0, 0.02
"""Slits between pieces up to twice `SLIT` wide (mm) are no leather for others, which keep `SLACK` off the pieces."""
Limits = Callable[[Problem, Stop], Sequence[Limit]]


def paired_search(
    problem: Problem, folded: FoldedLeather, limits: Limits, effort: str, seed: int, watch: Watch
) -> Found | None:
    """The best such layout found for the only product of a problem; None where not one product goes."""
    first = search(Groundwork(folded.problem), limits(folded.problem, watch.stop), effort, seed, watch)
    number, best = first.goal[0], None
    others = [k for k in range(len(problem.kinds)) if k not in (*folded.lefts, *folded.rights)]
    for _ in range(ATTEMPTS):
        if number < 1 or (best is not None and number <= best.goal[0]):
            break
        pairs = _both(folded, _so_many(first.pieces, folded.problem, number))
        if not others:
            return replace(first, goal=(number,), pieces=tuple(pairs), spares=(), impossible=())
        rest = _rest(problem, others, _taken(pairs, problem), number)
        found = search(Groundwork(rest), limits(rest, watch.stop), effort, seed, watch)
        got = min(number, found.goal[0])
        if got and (best is None or got > best.goal[0]):
            kept = _both(folded, _so_many(first.pieces, folded.problem, got))
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


def _both(folded: FoldedLeather, poses: Sequence[Pose]) -> list[Pose]:
    """Left pieces and their partners, as kinds of the whole problem."""
    found = []
    for pose in poses:
        found += [replace(pose, kind=folded.lefts[pose.kind]), _partner(folded, pose)]
    return found


def _partner(folded: FoldedLeather, pose: Pose) -> Pose:
    """The right piece in the mirrored place: reflected in the piece's own frame, then turned."""
    angle = 180.0 - pose.angle
    turn, width = math.radians(angle), folded.widths[pose.kind]
    x = pose.x - width * math.cos(turn)
    y = 2 * folded.level - pose.y - width * math.sin(turn)
    return Pose(folded.rights[pose.kind], 0, x, y, angle, False)


def _rest(problem: Problem, kinds: Sequence[int], taken: BaseGeometry, number: int) -> Problem:
    """The problem of laying the other kinds of a product, for so many products, beside what is taken."""
    wanted = (Wanted(problem.wanted[0].name, problem.wanted[0].worth, number),)
    closed = taken.buffer(SLIT, join_style="mitre").buffer(SLACK - SLIT, join_style="mitre")
    grown = shapely.union(closed, taken.buffer(problem.gap + SLACK))
    return replace(
        problem,
        regions=tuple(solid(region.difference(grown)) for region in problem.regions),
        outer=tuple(solid(region.difference(taken.buffer(problem.gap - 2 * GIVE))) for region in problem.outer),
        kinds=tuple(problem.kinds[kind] for kind in kinds),
        wanted=wanted,
    )
