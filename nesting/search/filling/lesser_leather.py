"""Lesser leather used before better: pieces that need no better moved onto what is free of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.solid import solid
from nesting.model.problem import Kind, Problem
from nesting.model.settings import Stop, never
from nesting.search.arrays.arrays import Pose, build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill
from nesting.search.filling.leftover import placed

ROUNDS = 3
"""How often all kinds are gone through: what one leaves another may take."""

GAIN = 0.02
"""A piece moves where that saves better leather worth so much of its area at least."""


def better_leather_used(problem: Problem, poses: Sequence[Pose]) -> float:
    """What the leather under pieces is worth beyond the worst there is: mm² of the best."""
    return sum(_worth(problem, placed(problem, pose)) for pose in poses)


def _worth(problem: Problem, shape: Polygon) -> float:
    return float(sum(step * _shared(region, shape) for region, step in problem.better))


def _shared(region: BaseGeometry, shape: Polygon) -> float:
    """The area that a piece has in common with a region: most lie wholly inside or outside, which is soon told."""
    shapely.prepare(region)
    if region.covers(shape):
        return float(shape.area)
    return float(shape.intersection(region).area) if region.intersects(shape) else 0.0


def on_lesser_leather(fits: InnerFits, pieces: Sequence[Laid], stop: Stop = never) -> tuple[Laid, ...]:
    """The pieces, in their order, as many of them as there is room for on lesser leather than they lie on."""
    problem, laid = fits.arrays.problem, list(pieces)
    levels = [level for level in reversed(range(len(problem.better))) if _serves(problem, level, laid)]
    lesser = {level: _lesser(fits, level) for level in levels}
    for _ in range(ROUNDS):
        moved = False
        for level in levels:
            for kind in sorted({p.kind for p in laid}, key=lambda k: -problem.kinds[k].area):
                if stop():
                    return tuple(laid)
                if _has_room(lesser[level].arrays.problem, problem.kinds[kind]):
                    moved |= _move(fits, lesser[level], laid, kind)
        if not moved:
            break
    return tuple(laid)


def _serves(problem: Problem, level: int, laid: Sequence[Laid]) -> bool:
    """Whether any kind that lies there may lie beyond the better leather of a level."""
    beyond = _without(problem, problem.better[level][0])
    return any(_has_room(beyond, problem.kinds[kind]) for kind in {p.kind for p in laid})


def _has_room(problem: Problem, kind: Kind) -> bool:
    wide = [min(problem.regions[r].area for r in orientation.regions) for orientation in kind.orientations]
    return bool(max(wide) >= min(part.area for part in kind.parts))


def _without(problem: Problem, better: BaseGeometry) -> Problem:
    """The problem on what is left of every region without some better leather."""
    regions, bare = (
        tuple(solid(region.difference(better)) for region in told) for told in (problem.regions, problem.bare)
    )
    return replace(problem, regions=regions, bare=bare, better=())


def _lesser(fits: InnerFits, level: int) -> InnerFits:
    """The fits of the problem without the better leather of a level; no-fit polygons are shared."""
    problem = fits.arrays.problem
    return InnerFits(build(_without(problem, problem.better[level][0])), fits.most_angles, fits.no_fits)


def _move(fits: InnerFits, lesser: InnerFits, laid: list[Laid], kind: int) -> bool:
    """Move pieces of a kind, those on the best leather first; whether any went."""
    problem = fits.arrays.problem
    least = GAIN * problem.kinds[kind].area
    worth = {n: _worth(problem, _shape(fits, p)) for n, p in enumerate(laid) if p.kind == kind}
    dear = sorted((n for n, value in worth.items() if value > least), key=lambda n: -worth[n])
    if not dear or not lesser.rotations(kind):
        return False
    room = bottom_left_fill(lesser, [kind] * len(dear), Sweep(math.radians(problem.bearing)), laid)
    places = sorted(((_worth(problem, _shape(fits, p)), k) for k, p in enumerate(room)), key=lambda each: each)
    moved = False
    for n, (value, k) in zip(dear, places, strict=False):
        if worth[n] - value > least:
            laid[n], moved = room[k], True
    return moved


def _shape(fits: InnerFits, piece: Laid) -> Polygon:
    pose = fits.arrays.pose_of(piece.kind, piece.orientation, piece.x, piece.y, piece.angle)
    return placed(fits.arrays.problem, pose)
