"""A `Problem` as the flat arrays the kernel works on, and poses carried between the two."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache, partial
from typing import Any

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import Array, convex_parts, normals, offsets, polygons, ring_of
from nesting.geometry.stand_in import (
    close_round_part,
    close_round_piece,
    close_within_region,
    round_part,
    round_piece,
    within_region,
)
from nesting.model.problem import Kind, Problem
from nesting.search.arrays.fixed_cells import a_hair_smaller, fixed_cells
from nesting.search.arrays.overlap_kernel import State, Tables, lay, spread

DRAWN = 512
"""Stand-ins and their parts that are kept: arrays of one problem are built more than once, and of many with like
pieces."""


@dataclass(frozen=True)
class Pose:
    """A piece as it lies: its kind, orientation, and the carry from the piece's own frame (mirror, turn, shift)."""

    kind: int
    orientation: int
    x: float
    y: float
    angle: float
    mirrored: bool


@dataclass(frozen=True)
class Arrays:
    """The kernel's tables with what is needed to translate: each shape's own centre and each kind's orientations."""

    problem: Problem
    tables: Tables
    centres: Array
    most_verts: int
    most_parts: int
    fixed_shapes: tuple[int, ...] = ()
    """The shape of every piece that stays: a hair smaller than others of its kind."""
    fixed_cells: int = 0
    """How many of every region's cells, the last ones, are parts of pieces that stay."""

    @cached_property
    def close(self) -> Arrays:
        """The same with outlines that lose next to nothing, for the last hair."""
        return build(self.problem, CLOSE)

    @property
    def loses(self) -> bool:
        """Whether outlines with fewer corners stand for any."""
        return len(self.close.tables.verts) + len(self.close.tables.cells) > len(self.tables.verts) + len(
            self.tables.cells
        )

    def state(self, kinds: list[int], seed: int) -> State:
        """Pieces of these kinds, all at the origin of their first orientation; to be laid by `put`."""
        n = len(kinds)
        state = State(
            kind=np.array(kinds, dtype=np.int64),
            pose=np.zeros((n, 3)),
            orientation=np.array([self.tables.kind_orientations[k] for k in kinds], dtype=np.int64),
            world=np.zeros((n, self.most_verts, 2)),
            turned=np.zeros((n, self.most_verts, 2)),
            boxes=np.zeros((n, self.most_parts, 4)),
            pairs=np.ones((n, n)),
            walls=np.ones(n),
            luck=np.array([spread(seed)], dtype=np.uint64),
        )
        self.relay(state)
        return state

    def relay(self, state: State) -> None:
        """Lay every piece of a state anew from its pose."""
        for i in range(len(state.kind)):
            x, y, angle = state.pose[i]
            shape = self.tables.orientation_shape[state.orientation[i]]
            lay(self.tables, shape, x, y, angle, state.world[i], state.turned[i], state.boxes[i])

    def pose_of(self, kind: int, orientation: int, x: float, y: float, angle: float) -> Pose:
        """A kernel pose (centre, radians) as a carry of the piece's own frame (degrees)."""
        cx, cy = self.centres[self.tables.orientation_shape[orientation]]
        c, s = math.cos(angle), math.sin(angle)
        local = orientation - int(self.tables.kind_orientations[kind])
        mirrored = self.problem.kinds[kind].orientations[local].mirrored
        return Pose(kind, local, x - (c * cx - s * cy), y - (s * cx + c * cy), math.degrees(angle), mirrored)

    def outline_of(self, orientation: int) -> Polygon:
        """The true outline of a piece in an orientation, in its own frame."""
        first = self.tables.kind_orientations
        kind = int(np.searchsorted(first, orientation, side="right")) - 1
        return self.problem.kinds[kind].oriented(orientation - int(first[kind]))

    def kernel_pose(self, pose: Pose) -> tuple[int, float, float, float]:
        """(orientation, x, y, angle) of the kernel for a carry."""
        orientation = int(self.tables.kind_orientations[pose.kind]) + pose.orientation
        cx, cy = self.centres[self.tables.orientation_shape[orientation]]
        angle = math.radians(pose.angle)
        c, s = math.cos(angle), math.sin(angle)
        return orientation, pose.x + c * cx - s * cy, pose.y + s * cx + c * cy, angle


@dataclass(frozen=True)
class _Drawing:
    """What stands for pieces, for their areas of one grade and for regions."""

    piece: Callable[[Polygon], Polygon]
    part: Callable[[BaseGeometry], BaseGeometry]
    region: Callable[[BaseGeometry], BaseGeometry]


FEW = _Drawing(round_piece, round_part, within_region)
"""Few corners, some of the leather lost."""
CLOSE = _Drawing(close_round_piece, close_round_part, close_within_region)
"""As many corners as it takes to lose next to nothing."""


def drafted(problem: Problem, corners: int) -> Arrays:
    """The arrays with pieces of so few corners that tables of many pairs of them are soon made."""
    return build(problem, _with_corners(corners))


@cache
def _with_corners(corners: int) -> _Drawing:
    return replace(FEW, piece=partial(round_piece, corners=corners))


def build(problem: Problem, drawing: _Drawing = FEW) -> Arrays:
    """The arrays of a problem."""
    shapes = _Shapes(drawing)
    for kind in problem.kinds:
        shapes.add(kind)
    fixed = tuple(shapes.fixed(problem.kinds[each.kind], each.mirrored) for each in problem.fixed)
    outsides, lie = _Outsides(), fixed_cells(problem, drawing.piece)
    for region in problem.leather:
        outsides.add(_outside(drawing.region, region), lie)
    tables = Tables(**shapes.arrays(), **outsides.arrays())
    counts = np.diff(tables.part_at[tables.shape_at])
    most = int(counts.max()), int(np.diff(tables.shape_at).max())
    return Arrays(problem, tables, np.array(shapes.centres), *most, fixed, len(lie))


class _Shapes:
    """Gathers shapes and orientations of all kinds."""

    def __init__(self, drawing: _Drawing) -> None:
        self.drawing = drawing
        self.rings: list[Array] = []
        self.slots: list[int] = []
        self.shape_at, self.solid = [0], list[int]()
        self.centres: list[tuple[float, float]] = []
        self.radius, self.span, self.weightiness = list[float](), list[float](), list[float]()
        self.orientation_shape, self.orientation_angles = list[int](), list[tuple[float, float]]()
        self.orientation_region: list[tuple[int, ...]] = []
        self.kind_orientations = [0]
        self._fixed: dict[tuple[Kind, bool], int] = {}

    def add(self, kind: Kind) -> None:
        made: dict[bool, int] = {}
        for orientation in kind.orientations:
            if orientation.mirrored not in made:
                made[orientation.mirrored] = self._shape(kind, orientation.mirrored)
            self.orientation_shape.append(made[orientation.mirrored])
            self.orientation_angles.append((math.radians(orientation.low), math.radians(orientation.high)))
            self.orientation_region.append(orientation.regions)
        self.kind_orientations.append(len(self.orientation_shape))

    def _shape(self, kind: Kind, mirrored: bool) -> int:
        outline = _flipped(kind.outline) if mirrored else kind.outline
        circle = shapely.minimum_bounding_circle(outline).centroid
        centre = (circle.x, circle.y)
        solid = _drawn_parts(self.drawing.piece, outline)
        if len(kind.parts) == 1:
            self._rings(solid, centre, [0] * len(solid))
        else:
            self._rings(solid, centre, [-1] * len(solid))
            for slot, part in enumerate(kind.parts):
                rings = _drawn_parts(self.drawing.part, _flipped(part) if mirrored else part)
                self._rings(rings, centre, [slot] * len(rings))
        return self._ended(outline, centre, len(solid))

    def fixed(self, kind: Kind, mirrored: bool) -> int:
        """The shape of pieces of a kind that stay; its number."""
        if (kind, mirrored) not in self._fixed:
            outline = _flipped(kind.outline) if mirrored else kind.outline
            circle = shapely.minimum_bounding_circle(outline).centroid
            centre, solid = (circle.x, circle.y), convex_parts(a_hair_smaller(self.drawing.piece(outline)))
            self._rings(solid, centre, [-1] * len(solid))
            self._fixed[kind, mirrored] = self._ended(outline, centre, len(solid))
        return self._fixed[kind, mirrored]

    def _ended(self, outline: Polygon, centre: tuple[float, float], solid: int) -> int:
        """The last shape is complete; its number."""
        self.shape_at.append(len(self.rings))
        self.solid.append(solid)
        self.centres.append(centre)
        ring = ring_of(outline) - centre
        self.radius.append(float(np.hypot(ring[:, 0], ring[:, 1]).max()))
        box = outline.bounds
        self.span.append(min(box[2] - box[0], box[3] - box[1]))
        self.weightiness.append(float(outline.convex_hull.area) ** 0.25)
        return len(self.centres) - 1

    def _rings(self, rings: Sequence[Array], centre: tuple[float, float], slots: list[int]) -> None:
        self.rings.extend(ring - centre for ring in rings)
        self.slots.extend(slots)

    def arrays(self) -> dict[str, Any]:
        slots = max(len(r) for r in self.orientation_region)
        return {
            "verts": np.concatenate(self.rings),
            "norms": np.concatenate([normals(ring) for ring in self.rings]),
            "part_at": offsets(self.rings),
            "shape_at": np.array(self.shape_at, dtype=np.int64),
            "shape_solid": np.array(self.solid, dtype=np.int64),
            "part_slot": np.array(self.slots, dtype=np.int64),
            "radius": np.array(self.radius),
            "span": np.array(self.span),
            "weightiness": np.array(self.weightiness) / max(self.weightiness),
            "orientation_shape": np.array(self.orientation_shape, dtype=np.int64),
            "orientation_angles": np.array(self.orientation_angles),
            "orientation_region": np.array(
                [r + (0,) * (slots - len(r)) for r in self.orientation_region], dtype=np.int64
            ),
            "kind_orientations": np.array(self.kind_orientations, dtype=np.int64),
        }


@dataclass(frozen=True)
class _Outside:
    """The outside of a region: half-planes (nx, ny, c) beyond its hull, cells for its pockets and for holes."""

    planes: Array
    cells: tuple[Array, ...]
    box: tuple[float, float, float, float]


NO_LEATHER = _Outside(np.array([[1.0, 0.0, -1e9]]), (), (0.0, 0.0, 0.0, 0.0))
"""A region without area: everything lies outside it."""


class _Outsides:
    """Gathers the outsides of all regions."""

    def __init__(self) -> None:
        self.planes: list[Array] = []
        self.plane_at, self.region_cells = [0], [0]
        self.cells: list[Array] = []
        self.boxes: list[tuple[float, float, float, float]] = []

    def add(self, outside: _Outside, fixed: Sequence[Array]) -> None:
        self.planes.append(outside.planes)
        self.plane_at.append(self.plane_at[-1] + len(outside.planes))
        self.cells.extend([*outside.cells, *fixed] if outside is not NO_LEATHER else ())
        self.region_cells.append(len(self.cells))
        self.boxes.append(outside.box)

    def arrays(self) -> dict[str, Any]:
        cells = self.cells or [np.zeros((0, 2))]
        real = self.cells
        return {
            "planes": np.concatenate(self.planes),
            "plane_at": np.array(self.plane_at, dtype=np.int64),
            "cells": np.concatenate(cells),
            "cell_norms": np.concatenate([normals(c) for c in cells]),
            "cell_at": offsets(real),
            "cell_box": np.array([[*c.min(axis=0), *c.max(axis=0)] for c in real]).reshape(-1, 4),
            "region_cells": np.array(self.region_cells, dtype=np.int64),
            "region_box": np.array(self.boxes, dtype=np.float64),
        }


@lru_cache(maxsize=DRAWN)
def _outside(draw: Callable[[BaseGeometry], BaseGeometry], region: BaseGeometry) -> _Outside:
    """The outside of what stands for a region."""
    drawn = draw(region)
    hull = drawn.convex_hull
    if not isinstance(hull, Polygon) or not polygons(drawn):
        return NO_LEATHER
    ring = ring_of(hull)
    out = normals(ring)
    planes = np.column_stack([out, (out * ring).sum(axis=1)])
    return _Outside(planes, tuple(convex_parts(hull.difference(drawn))), hull.bounds)


@lru_cache(maxsize=DRAWN)
def _drawn_parts(draw: Callable[[Any], BaseGeometry], outline: BaseGeometry) -> tuple[Array, ...]:
    """The convex parts of what stands for a piece."""
    return tuple(convex_parts(draw(outline)))


def _flipped(shape: Any) -> Any:
    """A geometry turned over: x to −x."""
    return affinity.scale(shape, -1.0, 1.0, origin=(0, 0))
