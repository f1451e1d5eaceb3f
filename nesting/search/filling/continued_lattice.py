"""Lattices in which pieces that stay lie, carried on: where one of their neighbours would lie, another piece may.

How equal pieces lie beside one another, again and again, is their lattice; where too few stay to tell, it is one of the
densest lattices of the piece that two or more of them lie in. Every step is made from every piece that stays and from
every place that is free, and of all these places CP-SAT takes the most that lie in none of the others.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import Array
from nesting.lattice.lattice import Lattice
from nesting.model.problem import Problem
from nesting.search.arrays.arrays import Pose
from nesting.search.arrays.fixed_cells import HAIR
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.set_packing import most_leather
from nesting.search.filling.lattice_fill import lattices_of
from nesting.search.filling.leftover import carried, placed

BESIDE = 3.0
"""Pieces no farther apart than this and the gap (mm) lie beside one another."""

ENOUGH = 24
"""Where so many stay, their own steps are enough: no lattice is worked out."""

AGAIN = 2
"""Two pieces lie as a lattice has them if so many pairs do."""

SAME = 1e-3
"""Steps and places nearer than this (mm) are one."""

MOST = 4000
"""Places looked at."""

TIME = 1.0
"""CP-SAT's deterministic time."""

Way = tuple[bool, float]
"""Turned over or not, and the angle (degrees, rounded)."""


@dataclass(frozen=True)
class _Step:
    """From a piece that lies one way to its neighbour that lies another."""

    start: Way
    end: Way
    x: float
    y: float


def continued_lattice(fits: InnerFits, kind: int, most: int, seed: int) -> list[Laid]:
    """At most so many pieces of a kind in the places that the lattices of those that stay have free."""
    problem = fits.arrays.problem
    fixed = [Pose(kind, 0, p.x, p.y, p.angle, p.mirrored) for p in problem.fixed if p.kind == kind]
    shapes = [placed(problem, pose) for pose in fixed]
    leather = _Leather(problem)
    free: dict[tuple[Way, int, int], Pose] = {}
    known = [_steps(fixed, shapes, problem.gap)]
    for steps in known if len(fixed) >= ENOUGH else (*known, *_lattice_steps(fits, kind, fixed)):
        for pose in _free_places(problem, leather, fixed, steps):
            free.setdefault(_key(pose), pose)
    if not free or most < 1:
        return []
    places = [_laid(fits, pose) for pose in free.values()]
    clash = _clash([placed(problem, pose) for pose in free.values()], problem.gap)
    return most_leather(problem, places, clash, {kind: most}, TIME, seed)


def _steps(fixed: Sequence[Pose], shapes: Sequence[Polygon], gap: float) -> list[_Step]:
    """The steps between neighbours that are made more than once."""
    if len(fixed) <= AGAIN:
        return []
    one, other = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=gap + BESIDE)
    known: dict[tuple[Way, Way, int, int], tuple[int, _Step]] = {}
    for i, j in zip(one.tolist(), other.tolist(), strict=True):
        if i == j:
            continue
        step = _Step(_way(fixed[i]), _way(fixed[j]), fixed[j].x - fixed[i].x, fixed[j].y - fixed[i].y)
        key = step.start, step.end, round(step.x / SAME), round(step.y / SAME)
        known[key] = (known[key][0] + 1 if key in known else 1, known.get(key, (0, step))[1])
    return [step for many, step in known.values() if many >= AGAIN]


def _way(pose: Pose) -> Way:
    return pose.mirrored, round(pose.angle % 360.0, 6)


def _lattice_steps(fits: InnerFits, kind: int, fixed: Sequence[Pose]) -> Iterator[list[_Step]]:
    """The steps of each of the densest lattices that two or more of the pieces lie in."""
    problem = fits.arrays.problem
    for way in dict.fromkeys(map(_way, fixed)):
        for number, _ in problem.kinds[kind].ways(*way)[:1]:
            orientation = int(fits.arrays.tables.kind_orientations[kind]) + number
            for lattice in lattices_of(fits, kind, orientation):
                steps = _turned(lattice, way, fits.arrays.centres[fits.arrays.tables.orientation_shape[orientation]])
                known = {_key(pose) for pose in fixed}
                if any(_key(there) in known for pose in fixed for there in _neighbours(pose, steps)):
                    yield steps


def _turned(lattice: Lattice, way: Way, centre: Array) -> list[_Step]:
    """A lattice's steps for a piece that lies one way, and for its partner that lies head to tail with it."""
    mirrored, angle = way
    u, v = np.array(lattice.u), np.array(lattice.v)
    turn = math.radians(angle)
    carry = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    own = [i * u + j * v for i in (-1, 0, 1) for j in (-1, 0, 1) if i or j]
    back = mirrored, round((angle + 180.0) % 360.0, 6)
    steps = [_Step(one, one, *(by @ carry)) for by in own for one in (way, back)]
    if lattice.partner is not None:  # of the centres; a piece's own origin turns about its centre
        for by in (np.array(lattice.partner) + 2 * centre + shift for shift in [0 * u, *own]):
            steps += [_Step(way, back, *(by @ carry)), _Step(back, way, *(-by @ carry))]
    return steps


def _free_places(problem: Problem, leather: _Leather, fixed: Sequence[Pose], steps: Sequence[_Step]) -> list[Pose]:
    """Places that steps lead to, from what stays and from one another, that lie on leather and clear of what stays."""
    seen = {_key(pose) for pose in fixed}
    ahead, found = deque(fixed), list[Pose]()
    while ahead and len(seen) < MOST:
        for pose in _neighbours(ahead.popleft(), steps):
            if _key(pose) in seen:
                continue
            seen.add(_key(pose))
            way = leather.way(problem, pose)
            if way is not None:
                found.append(way)
                ahead.append(pose)
    return found


def _neighbours(pose: Pose, steps: Sequence[_Step]) -> Iterator[Pose]:
    way = _way(pose)
    for step in steps:
        if step.start == way:
            mirrored, angle = step.end
            yield Pose(pose.kind, 0, pose.x + step.x, pose.y + step.y, angle, mirrored)


def _key(pose: Pose) -> tuple[Way, int, int]:
    return _way(pose), round(pose.x / SAME), round(pose.y / SAME)


class _Leather:
    """Where pieces may lie, a hair allowed, beside those that stay."""

    def __init__(self, problem: Problem) -> None:
        self.regions = [region.buffer(HAIR) for region in problem.leather]
        for region in self.regions:
            shapely.prepare(region)
        lie = [placed(problem, Pose(p.kind, 0, p.x, p.y, p.angle, p.mirrored)) for p in problem.fixed]
        self.gap, self.fixed = problem.gap, shapely.STRtree(lie)

    def way(self, problem: Problem, pose: Pose) -> Pose | None:
        """The pose with the orientation in which all of it lies on its leather, clear of what stays; None for none."""
        if len(self.fixed.query(_off(placed(problem, pose), self.gap), predicate="intersects")):
            return None
        for number, angle in problem.kinds[pose.kind].ways(pose.mirrored, pose.angle):
            lie = Pose(pose.kind, number, pose.x, pose.y, angle, pose.mirrored)
            if all(self.regions[r].covers(part) for part, r in self._parts(problem, lie)):
                return lie
        return None

    def _parts(self, problem: Problem, pose: Pose) -> Iterator[tuple[BaseGeometry, int]]:
        kind = problem.kinds[pose.kind]
        for part, region in zip(kind.parts, kind.orientations[pose.orientation].regions, strict=True):
            yield carried(part, pose), region


def _off(shape: Polygon, gap: float) -> Polygon:
    """What others must keep out of: the shape grown by the gap, less a hair."""
    return shape.buffer(gap - HAIR)


def _clash(shapes: Sequence[Polygon], gap: float) -> np.ndarray:
    """Which places lie in one another or nearer than the gap."""
    clash = np.zeros((len(shapes), len(shapes)), dtype=bool)
    one, other = shapely.STRtree(shapes).query([_off(shape, gap) for shape in shapes], predicate="intersects")
    clash[one, other] = clash[other, one] = True
    np.fill_diagonal(clash, False)
    return clash


def _laid(fits: InnerFits, pose: Pose) -> Laid:
    orientation, x, y, angle = fits.arrays.kernel_pose(pose)
    return Laid(pose.kind, orientation, x, y, angle)
