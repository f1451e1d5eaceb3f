"""How good a leftover is: the secondary aim."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import polygons
from nesting.geometry.stand_in import PIECE_CORNERS
from nesting.model.offcut_rule import LEAST_AREA, LEAST_WIDTH
from nesting.model.problem import Problem
from nesting.search.arrays.arrays import Pose

Geometry = TypeVar("Geometry", bound=BaseGeometry)

ROUGH = 1.0
"""How far (mm) detailed outlines may stray where a leftover is measured."""


def largest_leftover(problem: Problem, poses: Sequence[Pose]) -> float:
    """Area (mm²) of the largest single leftover at least `LEAST_WIDTH` wide, half of that drawn in."""
    return max((float(core.area) for core in _cores(problem, poses)), default=0.0)


def leftovers(problem: Problem, poses: Sequence[Pose]) -> list[Polygon]:
    """The leftovers worth keeping: a disc of `LEAST_WIDTH` rolls through all of each, which has `LEAST_AREA`."""
    rolled = [core.buffer(LEAST_WIDTH / 2, quad_segs=4) for core in _cores(problem, poses)]
    return [leftover for leftover in rolled if leftover.area >= LEAST_AREA]


def _cores(problem: Problem, poses: Sequence[Pose]) -> list[Polygon]:
    """Where the middle of such a disc may be."""
    taken = shapely.union_all([_roughly(placed(problem, pose)) for pose in poses])
    free = shapely.union_all([_roughly(region, 40) for region in problem.regions]).difference(taken)
    return polygons(free.buffer(-LEAST_WIDTH / 2, quad_segs=4))


def _roughly(shape: BaseGeometry, times: int = 1) -> BaseGeometry:
    """A detailed outline in fewer points: what is left beside it is measured in square centimetres."""
    return shape.simplify(ROUGH) if shapely.get_num_coordinates(shape) > times * PIECE_CORNERS + 1 else shape


def placed(problem: Problem, pose: Pose) -> Polygon:
    """A piece's outline as it lies."""
    return carried(problem.kinds[pose.kind].outline, pose)


def carried(shape: Geometry, pose: Pose) -> Geometry:
    """A shape of a piece as the piece lies."""
    if pose.mirrored:
        shape = affinity.scale(shape, -1, 1, origin=(0, 0))
    made: Geometry = affinity.translate(affinity.rotate(shape, pose.angle, origin=(0, 0)), pose.x, pose.y)
    return made
