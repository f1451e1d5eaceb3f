"""The rotations of a problem's kinds at chosen angles: where each may lie on empty leather, and about one another.

The inner-fit polygon of a piece at a fixed angle is where its centre may lie so that all of it lies on its region
(Bennell and Oliveira 2008, "The geometry of nesting problems: A tutorial", EJOR 184).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass, field
from itertools import combinations, islice, pairwise
from threading import Lock
from typing import Any

import numpy as np

from nesting.geometry.convex import Array, offsets
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.empty_field import NOWHERE, field_about, hull_of
from nesting.search.arrays.fitting_angles import edge_angles, fitting
from nesting.search.arrays.no_fit_polygons import NoFits, sums
from nesting.search.arrays.touching_positions import Field, Ints, NoFit
from nesting.search.filling.bottom_left_kernel import FLIPPED, EmptyFields, Shelf, crowd, overlapping
from nesting.search.filling.bottom_left_kernel import field as field_of

TRIED = 4
"""Poses tried for every field that a kind is worth: some may fit nowhere."""

MOST_LIKE = 8
"""Ways in which pieces of a kind that stay lie, the most of them that others of it may lie in too."""

SPARE_ROOM = 200
"""Polygons for which a field has room at first, beyond those of the empty leather."""

LIKELY = 0.8
"""The share of the polygons of pieces to be laid for which there is room at once."""


@dataclass(frozen=True)
class Laid:
    """A piece in kernel terms: orientation and pose of its centre (radians)."""

    kind: int
    orientation: int
    x: float
    y: float
    angle: float


Way = tuple[int, float]
"""An orientation and an angle (radians)."""


@dataclass(frozen=True)
class Rotation:
    """An orientation at one angle: its convex parts about its centre, and the field of an empty region."""

    kind: int
    orientation: int
    angle: float
    rings: Array
    ring_at: Ints
    empty: Field

    def reach(self, ux: float, uy: float) -> float:
        """How far the piece reaches from its centre towards u."""
        return float((self.rings @ np.array([ux, uy])).max())


@dataclass
class InnerFits:
    """All rotations of a problem at chosen angles; the empty fields are worked out once and copied.

    `shared` are no-fit polygons of the same arrays that are made already; else they are made here. `also` are ways to
    lie beside the usual ones.
    """

    arrays: Arrays
    most_angles: int = 8
    shared: NoFits | None = None
    also: tuple[Way, ...] = ()
    kinds: dict[int, list[Rotation]] = field(default_factory=dict)
    no_fits: NoFits = field(init=False)
    _cells: dict[int, tuple[Array, Ints]] = field(default_factory=dict)
    _ready: Ready | None = None
    _lock: Lock = field(default_factory=Lock)

    def __post_init__(self) -> None:
        self.no_fits = self.shared or NoFits(self.arrays)

    def rotations(self, kind: int) -> list[Rotation]:
        """The rotations of a kind that fit somewhere in the empty region, those with the most leather first."""
        if kind not in self.kinds:
            most, poses = self._poses(kind)
            made = (self.rotation(kind, orientation, angle) for orientation, angle in poses[: TRIED * most])
            fitting = (v for v in made if v is not None and v.empty.size[1] > 0)
            self.kinds[kind] = list(islice(fitting, most)) or self._sought(kind, most)
        return self.kinds[kind]

    def _sought(self, kind: int, most: int) -> list[Rotation]:
        """Rotations of a kind that fits at no usual angle: those at which its hull fits into the leather's."""
        t, problem = self.arrays.tables, self.arrays.problem
        made: list[Rotation] = []
        for orientation in range(t.kind_orientations[kind], t.kind_orientations[kind + 1]):
            region = problem.leather[t.orientation_region[orientation, 0]]
            low, high = (float(a) for a in t.orientation_angles[orientation])
            outline = self.arrays.outline_of(orientation)
            tried = (self.rotation(kind, orientation, a) for a in fitting(region, outline, low, high).angles)
            made += [v for v in tried if v is not None and v.empty.size[1] > 0]
        return made[:most]

    def ready(self, kinds: Iterable[int]) -> Ready:
        """What laying these kinds takes, made when it is first asked for."""
        with self._lock:
            known = self._ready.kinds if self._ready else frozenset[int]()
            if self._ready is None or not known >= set(kinds):
                self._ready = Ready(self, known | frozenset(kinds))
            return self._ready

    def _poses(self, kind: int) -> tuple[int, list[Way]]:
        """How many fields a kind is worth; its orientations and angles, the largest regions first."""
        t, problem = self.arrays.tables, self.arrays.problem
        orientations = range(t.kind_orientations[kind], t.kind_orientations[kind + 1])
        room = {s: problem.leather[t.orientation_region[s, 0]].area for s in orientations}
        ranked = sorted(((-room[s], rank, s, a) for s in orientations for rank, a in enumerate(self._angles(kind, s))))
        sides = 1 + any(orientation.mirrored for orientation in problem.kinds[kind].orientations)
        most = self.most_angles if self.most_angles <= 4 else 2 * self.most_angles * sides
        like = [*self._like_fixed(kind), *(way for way in self.also if way[0] in orientations)]
        usual = [(s, a) for _, _, s, a in ranked]
        new = [one for one in like if not any(_alike(one, other) for other in usual[:most])]
        return most + len(new), [*new, *usual]

    def _like_fixed(self, kind: int) -> list[Way]:
        """How pieces of a kind that stay lie, most often first: the places beside them were taken at such angles."""
        problem, first = self.arrays.problem, int(self.arrays.tables.kind_orientations[kind])
        ways: Counter[Way] = Counter()
        for piece in (each for each in problem.fixed if each.kind == kind):
            for number, angle in problem.kinds[kind].ways(piece.mirrored, piece.angle):
                ways[first + number, round(math.radians(angle), 9)] += 1
        return [way for way, _ in ways.most_common(MOST_LIKE)]

    def _angles(self, kind: int, orientation: int) -> list[float]:
        """Angles of an orientation, the most useful first: along the leather's long edges, then the usual ones."""
        t, problem = self.arrays.tables, self.arrays.problem
        usual = self._usual_angles(orientation)
        low, high = (float(a) for a in t.orientation_angles[orientation])
        outline = self.arrays.outline_of(orientation)
        asked = edge_angles(problem.leather[t.orientation_region[orientation, 0]], outline, low, high)
        new = [a for a in asked if all(abs(math.remainder(a - b, 2 * math.pi)) > 1e-5 for b in usual)]
        return [*new, *usual]

    def _usual_angles(self, orientation: int) -> list[float]:
        """In line with the rows, then the ends of the interval, then evenly."""
        low, high = (float(a) for a in self.arrays.tables.orientation_angles[orientation])
        if high - low < 1e-9:
            return [low]
        first = math.radians(self.arrays.problem.bearing - 90)
        if high - low < math.radians(60):
            step = math.pi / 2
            lines = [first + step * k for k in range(-8, 9) if low - 1e-9 <= first + step * k <= high + 1e-9]
            return [min(max(a, low), high) for a in lines or [(low + high) / 2]] + [low, high]
        step = 2 * math.pi / self.most_angles
        turns = [first + step * k for k in range(-self.most_angles, 2 * self.most_angles)]
        whole = high - low > 2 * math.pi - 1e-6
        inside = [a for a in turns if low - 1e-9 <= a <= high - (1e-9 if whole else -1e-9)]
        return [min(max(a, low), high) for a in inside]

    def about(self, fixed: Rotation | Laid, moving: Rotation | Laid) -> tuple[NoFit, bool]:
        """The no-fit polygon that serves a rotation, or a piece as it lies, about another; see `NoFits.one`."""
        shape = self.arrays.tables.orientation_shape
        shapes = int(shape[fixed.orientation]), int(shape[moving.orientation])
        return self.no_fits.one(*shapes, moving.angle - fixed.angle)

    def rotation(self, kind: int, orientation: int, angle: float) -> Rotation | None:
        t = self.arrays.tables
        shape = t.orientation_shape[orientation]
        first, solid = t.shape_at[shape], t.shape_solid[shape]
        parts = [self._turned(p, angle) for p in range(first, first + solid)]
        bound: dict[int, list[Array]] = {}
        for p in range(first, t.shape_at[shape + 1]):
            if t.part_slot[p] >= 0:
                bound.setdefault(int(t.orientation_region[orientation, t.part_slot[p]]), []).append(
                    self._turned(p, angle)
                )
        planes = self._planes(bound)
        hull = hull_of(planes)
        if len(hull) == 0:
            return None
        things = [*((no_fit, 0.0, 0.0, 0.0) for no_fit in self._outsides(bound)), *self._fixed(int(shape), angle)]
        empty = field_about(hull, planes, things, sum(len(thing[0].box) for thing in things))
        return Rotation(kind, orientation, angle, np.concatenate(parts), offsets(parts), empty)

    def _fixed(self, shape: int, angle: float) -> Iterator[tuple[NoFit, float, float, float]]:
        """The no-fit polygons of a shape at an angle about pieces that stay, and how each is turned and carried."""
        for piece, own in zip(self.arrays.problem.fixed, self.arrays.fixed_shapes, strict=True):
            turn, (cx, cy) = math.radians(piece.angle), self.arrays.centres[own]
            c, s = math.cos(turn), math.sin(turn)
            no_fit, flipped = self.no_fits.one(own, shape, angle - turn)
            yield no_fit, angle + math.pi if flipped else turn, piece.x + c * cx - s * cy, piece.y + s * cx + c * cy

    def _outsides(self, bound: dict[int, list[Array]]) -> Iterator[NoFit]:
        """The no-fit polygons of what bounds the leather."""
        for region, rings in bound.items():
            cells, cell_at = self._outside(region)
            if len(cell_at) > 1:
                yield sums(cells, cell_at, np.concatenate(rings), offsets(rings), False)

    def _turned(self, part: int, angle: float) -> Array:
        t = self.arrays.tables
        c, s = math.cos(angle), math.sin(angle)
        ring = t.verts[t.part_at[part] : t.part_at[part + 1]]
        return np.ascontiguousarray(ring @ np.array([[c, s], [-s, c]]))

    def _planes(self, bound: dict[int, list[Array]]) -> Array:
        """Half-planes of centres at which every part lies inside its region's hull; rows nx, ny, c."""
        t = self.arrays.tables
        rows = []
        for region, rings in bound.items():
            planes = t.planes[t.plane_at[region] : t.plane_at[region + 1]]
            reach = (np.concatenate(rings) @ planes[:, :2].T).max(axis=0)
            rows.append(np.column_stack([planes[:, :2], planes[:, 2] - reach]))
        return np.ascontiguousarray(np.concatenate(rows))

    def _outside(self, region: int) -> tuple[Array, Ints]:
        if region not in self._cells:
            t = self.arrays.tables
            c0, c1 = t.region_cells[region], t.region_cells[region + 1] - self.arrays.fixed_cells
            at = t.cell_at[c0 : c1 + 1]
            self._cells[region] = (t.cells[at[0] : at[-1]], at - at[0])
        return self._cells[region]


def _alike(one: Way, other: Way) -> bool:
    """Whether two ways to lie are one."""
    return one[0] == other[0] and abs(math.remainder(one[1] - other[1], 2 * math.pi)) < 1e-6


Box = tuple[float, float, float, float]
"""x0, y0, x1, y1."""


class Ready:
    """The rotations of some kinds in the flat arrays that laying them takes."""

    def __init__(self, fits: InnerFits, kinds: frozenset[int]) -> None:
        self.kinds = kinds
        self.rotations = [v for kind in sorted(kinds) for v in fits.rotations(kind)]
        of_kind = np.array([v.kind for v in self.rotations], dtype=np.int64)
        self.first = np.searchsorted(of_kind, np.arange(len(fits.arrays.problem.kinds) + 1)).astype(np.int64)
        self.angle = np.array([v.angle for v in self.rotations], dtype=np.float64)
        self.area = np.array([kind.area for kind in fits.arrays.problem.kinds])
        self.ground = _ground([v.empty for v in self.rotations])
        self.room = np.array([int(v.empty.size[0]) + SPARE_ROOM for v in self.rotations], dtype=np.int64)
        self._known = {(v.orientation, v.angle): index for index, v in enumerate(self.rotations)}
        self._no_fits, self.pair = self._pairs(fits)
        self.shelf = _shelf(self._no_fits)

    def _pairs(self, fits: InnerFits) -> tuple[list[NoFit], Ints]:
        """The no-fit polygons of all rotations about one another, and which serves which pair."""
        numbers: dict[int, int] = {}
        made: list[NoFit] = []
        pair = np.zeros((len(self.rotations), len(self.rotations)), dtype=np.int64)
        for v, moving in enumerate(self.rotations):
            for w, fixed in enumerate(self.rotations):
                no_fit, flipped = fits.about(fixed, moving)
                if id(no_fit) not in numbers:
                    numbers[id(no_fit)] = len(made)
                    made.append(no_fit)
                pair[v, w] = numbers[id(no_fit)] + FLIPPED * flipped
        return made, pair

    def make_room_for(self, pieces: int) -> None:
        """Room for the polygons that so many pieces are likely to make."""
        likely = int(LIKELY * pieces * len(self.shelf.at) / len(self._no_fits))
        self.room[:] = np.maximum(self.room, likely)

    def make_room(self, rotation: int) -> None:
        """More room for polygons, where a rotation had too little: all others will need as much sooner or later.

        All is laid anew every time, so it is not to happen once a rotation.
        """
        self.room[:] = np.maximum(self.room, 2 * self.room[rotation])

    def about(self, fits: InnerFits, given: Sequence[Laid], kinds: set[int]) -> tuple[Shelf, Ints]:
        """The no-fit polygons of the rotations of some kinds about pieces that lie there, by rotation and piece."""
        which = np.full((len(self.rotations), len(given)), -1, dtype=np.int64)
        more: list[NoFit] = []
        for n, piece in enumerate(given):
            known = self._known.get((piece.orientation, piece.angle))
            if known is not None:
                which[:, n] = self.pair[:, known]
                continue
            for v, rotation in enumerate(self.rotations):
                if rotation.kind in kinds:
                    no_fit, flipped = fits.about(piece, rotation)
                    which[v, n] = len(self._no_fits) + len(more) + FLIPPED * flipped
                    more.append(no_fit)
        return self._with(more), which

    def _with(self, more: Sequence[NoFit]) -> Shelf:
        """The shelf with some more on it."""
        return _joined(self.shelf, _shelf(more)) if more else self.shelf

    def overlaps(self, fits: InnerFits, pieces: Sequence[Laid]) -> np.ndarray:
        """Which pieces lie in one another, or nearer than the gap, by the no-fit polygons that constructions go by."""
        known = [self._known.get((p.orientation, p.angle), -1) for p in pieces]
        about, more = self.pair[np.ix_(known, known)], list[NoFit]()
        for i, j in combinations(range(len(pieces)), 2):
            if min(known[i], known[j]) < 0:
                no_fit, flipped = fits.about(pieces[i], pieces[j])
                about[j, i] = len(self._no_fits) + len(more) + FLIPPED * flipped
                more.append(no_fit)
        clash: np.ndarray = overlapping(self._with(more), about, poses_of(pieces))
        return clash

    def crowded(self, fits: InnerFits, given: Sequence[Laid], kinds: set[int], box: Box) -> Ready:
        """The same for some kinds with pieces that lie there already taken in; only positions within a box count."""
        radius = fits.arrays.tables.radius[fits.arrays.tables.orientation_shape]
        mine, theirs = (radius[[p.orientation for p in pieces]] for pieces in (self.rotations, given))
        lie = poses_of(given)
        x0, y0, x1, y1 = box
        away = np.hypot(*(np.maximum(np.maximum(low - at, at - high), 0.0)
                          for at, low, high in ((lie[:, 1], x0, x1), (lie[:, 2], y0, y1))))  # fmt: skip
        shelf, about = self.about(fits, given, kinds)
        about = np.where(away < mine[:, None] + theirs + fits.arrays.problem.gap + 1.0, about, -1)
        ground = _within(self.ground, box)
        asked = np.array([v.kind in kinds for v in self.rotations])
        while True:
            work, small = crowd(ground, shelf, about, self.angle, asked, lie, self.room.copy())
            if small < 0:
                break
            self.make_room(small)
        made = copy(self)
        fields = enumerate(asked)
        made.ground = _ground([field_of(ground, work, v) if a else NOWHERE for v, a in fields])
        made.room = made.ground.size[:, 0] + SPARE_ROOM
        return made


def _within(ground: EmptyFields, box: Box) -> EmptyFields:
    """The same ground with a box's sides among the planes of every rotation."""
    x0, y0, x1, y1 = box
    sides = np.array([[-1.0, 0.0, -x0], [0.0, -1.0, -y0], [1.0, 0.0, x1], [0.0, 1.0, y1]])
    first = ground.rows[:, 6]
    planes = [part for a, b in pairwise(first) for part in (ground.planes[a:b], sides)]
    rows = ground.rows.copy()
    rows[:, 6] += 4 * np.arange(len(first))
    return ground._replace(planes=np.concatenate(planes), rows=rows)


def poses_of(pieces: Sequence[Laid]) -> Array:
    """Angle, x and y of pieces as the kernels take them; shape (n, 3)."""
    return np.array([(p.angle, p.x, p.y) for p in pieces], dtype=np.float64).reshape(-1, 3)


def _shelf(no_fits: Sequence[NoFit]) -> Shelf:
    """No-fit polygons one after the other."""
    sizes = np.concatenate([np.diff(g.at) for g in no_fits])
    return Shelf(
        np.concatenate([g.ring for g in no_fits]),
        np.concatenate([g.norm for g in no_fits]),
        np.concatenate([g.rim for g in no_fits]),
        np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64),
        np.concatenate([g.box for g in no_fits]),
        offsets([g.box for g in no_fits]),
    )


def _joined(one: Shelf, other: Shelf) -> Shelf:
    """A shelf with another's no-fit polygons after its own."""
    return Shelf(
        np.concatenate([one.ring, other.ring]),
        np.concatenate([one.norm, other.norm]),
        np.concatenate([one.rim, other.rim]),
        np.concatenate([one.at, one.at[-1] + other.at[1:]]),
        np.concatenate([one.box, other.box]),
        np.concatenate([one.first, one.first[-1] + other.first[1:]]),
    )


def _ground(empties: Sequence[Field]) -> EmptyFields:
    """The used parts of empty fields one after the other."""
    size = np.array([f.size for f in empties], dtype=np.int64).reshape(-1, 4)
    vertices = [int(f.at[f.size[0]]) for f in empties]
    parts: dict[str, list[Any]] = {
        "ring": [f.ring[:n] for f, n in zip(empties, vertices, strict=True)],
        "norm": [f.norm[:n] for f, n in zip(empties, vertices, strict=True)],
        "rim": [f.rim[:n] for f, n in zip(empties, vertices, strict=True)],
        "at": [f.at[: f.size[0] + 1] for f in empties],
        "box": [f.box[: f.size[0]] for f in empties],
        "points": [f.points[: f.size[1]] for f in empties],
        "link": [f.link[: f.size[2]] for f in empties],
        "head": [f.head for f in empties],
        "hull": [f.hull for f in empties],
        "planes": [f.planes for f in empties],
    }
    grid = np.array([f.grid for f in empties]).reshape(-1, 5)
    rows = np.column_stack(
        [offsets(parts[name]) for name in ("ring", "box", "points", "link", "head", "hull", "planes")]
    )
    return EmptyFields(
        **{name: np.concatenate(arrays) for name, arrays in parts.items()}, grid=grid, size=size, rows=rows
    )
