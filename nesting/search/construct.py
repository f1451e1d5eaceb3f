"""Layouts built piece by piece, each piece at a corner of its free positions.

Bottom-left filling (Jakobs 1996; Burke et al. 2006) over exact corners, in many orders and from many sides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import islice

import numpy as np

from nesting.geometry.convex import Array
from nesting.search.corners import Field, Ints, corners, enter, offer_hull, pick
from nesting.search.no_fits import NoFits, sums
from nesting.search.tables import Book, offsets

TRIED = 4
"""Poses tried for every field that a kind is worth: some may fit nowhere."""


@dataclass(frozen=True)
class Laid:
    """A piece in kernel terms: stance and pose of its centre (radians)."""

    kind: int
    stance: int
    x: float
    y: float
    angle: float


@dataclass(frozen=True)
class Variant:
    """A stance at one angle: its convex parts about its centre, and the field of an empty region."""

    kind: int
    stance: int
    angle: float
    rings: Array
    ring_at: Ints
    empty: Field

    def reach(self, ux: float, uy: float) -> float:
        """How far the piece reaches from its centre towards u."""
        return float((self.rings @ np.array([ux, uy])).max())


@dataclass
class Free:
    """A variant's field as pieces are laid, and how many of them it has taken in."""

    variant: Variant
    field: Field
    seen: int = 0


@dataclass(frozen=True)
class Sweep:
    """How a construction chooses among corners: least along `angle`, ties across; `far` weighs the far side in."""

    angle: float
    side: float = 1.0
    far: float = 1.0
    lean: float = 0.0

    def along(self) -> tuple[float, float, float, float]:
        c, s = math.cos(self.angle), math.sin(self.angle)
        vx, vy = -s * self.side, c * self.side
        return c + self.lean * vx, s + self.lean * vy, vx, vy


@dataclass
class Yard:
    """All variants of a problem at chosen angles; the empty fields are worked out once and copied."""

    book: Book
    most_angles: int = 8
    kinds: dict[int, list[Variant]] = field(default_factory=dict)
    no_fits: NoFits = field(init=False)
    _cells: dict[int, tuple[Array, Ints]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.no_fits = NoFits(self.book)

    def variants(self, kind: int) -> list[Variant]:
        """The variants of a kind that fit somewhere in the empty region, those with the most leather first."""
        if kind not in self.kinds:
            most, poses = self._poses(kind)
            made = (self.variant(kind, stance, angle) for stance, angle in poses[: TRIED * most])
            fitting = (v for v in made if v is not None and v.empty.size[1] > 0)
            self.kinds[kind] = list(islice(fitting, most))
        return self.kinds[kind]

    def _poses(self, kind: int) -> tuple[int, list[tuple[int, float]]]:
        """How many fields a kind is worth, `most_angles` a side; its stances and angles, the largest regions first."""
        t, problem = self.book.tables, self.book.problem
        stances = range(t.kind_stances[kind], t.kind_stances[kind + 1])
        room = {s: problem.regions[t.stance_region[s, 0]].area for s in stances}
        ranked = sorted(((-room[s], rank, s, a) for s in stances for rank, a in enumerate(self._angles(s))))
        sides = 1 + any(stance.mirrored for stance in problem.kinds[kind].stances)
        most = self.most_angles if self.most_angles <= 4 else 2 * self.most_angles * sides
        return most, [(s, a) for _, _, s, a in ranked]

    def _angles(self, stance: int) -> list[float]:
        """Angles of a stance's interval, the most useful first: in line with the rows, then its ends, then evenly."""
        low, high = (float(a) for a in self.book.tables.stance_angles[stance])
        if high - low < 1e-9:
            return [low]
        first = math.radians(self.book.problem.bearing - 90)
        if high - low < math.radians(60):
            step = math.pi / 2
            lines = [first + step * k for k in range(-8, 9) if low - 1e-9 <= first + step * k <= high + 1e-9]
            return [min(max(a, low), high) for a in lines or [(low + high) / 2]] + [low, high]
        step = 2 * math.pi / self.most_angles
        turns = [first + step * k for k in range(-self.most_angles, 2 * self.most_angles)]
        whole = high - low > 2 * math.pi - 1e-6
        inside = [a for a in turns if low - 1e-9 <= a <= high - (1e-9 if whole else -1e-9)]
        return [min(max(a, low), high) for a in inside]

    def variant(self, kind: int, stance: int, angle: float) -> Variant | None:
        t = self.book.tables
        shape = t.stance_shape[stance]
        first, solid = t.shape_at[shape], t.shape_solid[shape]
        parts = [self._turned(p, angle) for p in range(first, first + solid)]
        bound: dict[int, list[Array]] = {}
        for p in range(first, t.shape_at[shape + 1]):
            if t.part_slot[p] >= 0:
                bound.setdefault(int(t.stance_region[stance, t.part_slot[p]]), []).append(self._turned(p, angle))
        planes = self._planes(bound)
        hull = _hull(planes)
        if len(hull) == 0:
            return None
        empty = self._empty(hull, planes, bound, self._room(bound))
        return Variant(kind, stance, angle, np.concatenate(parts), offsets(parts), empty)

    def _empty(self, hull: Array, planes: Array, bound: dict[int, list[Array]], room: int) -> Field:
        """The field of an empty region, in buffers as large as it takes."""
        empty = new_field(hull, planes, room)
        for region, rings in bound.items():
            cells, cell_at = self._outside(region)
            if len(cell_at) > 1:
                outside = sums(cells, cell_at, np.concatenate(rings), offsets(rings), False)
                enter(empty, outside, 0.0, 0.0, 0.0)
        corners(empty, 0)
        if empty.size[3]:
            return self._empty(hull, planes, bound, 2 * room + 400)
        offer_hull(empty)
        return empty

    def _turned(self, part: int, angle: float) -> Array:
        t = self.book.tables
        c, s = math.cos(angle), math.sin(angle)
        ring = t.verts[t.part_at[part] : t.part_at[part + 1]]
        return np.ascontiguousarray(ring @ np.array([[c, s], [-s, c]]))

    def _planes(self, bound: dict[int, list[Array]]) -> Array:
        """Half-planes of centres at which every part lies inside its region's hull; rows nx, ny, c."""
        t = self.book.tables
        rows = []
        for region, rings in bound.items():
            planes = t.planes[t.plane_at[region] : t.plane_at[region + 1]]
            reach = (np.concatenate(rings) @ planes[:, :2].T).max(axis=0)
            rows.append(np.column_stack([planes[:, :2], planes[:, 2] - reach]))
        return np.ascontiguousarray(np.concatenate(rows))

    def _room(self, bound: dict[int, list[Array]]) -> int:
        t = self.book.tables
        many = sum((t.region_cells[r + 1] - t.region_cells[r]) * len(rings) for r, rings in bound.items())
        return int(many)

    def _outside(self, region: int) -> tuple[Array, Ints]:
        if region not in self._cells:
            t = self.book.tables
            c0, c1 = t.region_cells[region], t.region_cells[region + 1]
            at = t.cell_at[c0 : c1 + 1]
            self._cells[region] = (t.cells[at[0] : at[-1]], at - at[0])
        return self._cells[region]


def _hull(planes: Array) -> Array:
    """The convex ring that half-planes leave; empty where they leave nothing."""
    ring: Array = np.array([[-1e7, -1e7], [1e7, -1e7], [1e7, 1e7], [-1e7, 1e7]])
    for nx, ny, c in planes:
        ring = clip(ring, nx, ny, c)
        if len(ring) == 0:
            break
    return ring


def new_field(hull: Array, planes: Array, polygons: int) -> Field:
    """An empty field with room for so many polygons beyond the usual."""
    x0, y0 = hull.min(axis=0) - 1.0
    wide, high = np.maximum(hull.max(axis=0) + 1.0 - (x0, y0), 2.0)
    cell = max(wide, high) / 40
    columns, rows = int(wide / cell) + 1, int(high / cell) + 1
    many = polygons + 400
    return Field(
        ring=np.zeros((many * 12, 2)),
        norm=np.zeros((many * 12, 2)),
        rim=np.zeros(many * 12, dtype=np.bool_),
        at=np.zeros(many + 1, dtype=np.int64),
        box=np.zeros((many, 4)),
        points=np.zeros((many * 20 + 2000, 2)),
        size=np.zeros(4, dtype=np.int64),
        hull=hull,
        planes=planes,
        grid=np.array([x0, y0, 1 / cell, columns, rows]),
        head=np.full(columns * rows, -1, dtype=np.int64),
        link=np.zeros((many * 40, 2), dtype=np.int64),
        mark=np.full(many, -1, dtype=np.int64),
        near=np.zeros(many, dtype=np.int64),
        amid=np.zeros((many, 4)),
        whose=np.zeros(many, dtype=np.int64),
    )


def larger(old: Field) -> Field:
    """The same field with twice the room."""
    grow = {"ring", "norm", "rim", "at", "box", "points", "link", "mark", "near", "amid", "whose"}
    made = {}
    for name, array in old._asdict().items():
        made[name] = array.copy()
        if name in grow:
            more = np.zeros_like(array) if name != "mark" else np.full_like(array, -1)
            made[name] = np.concatenate([array, more[1:] if name == "at" else more])  # one end more than polygons
    return Field(**made)


def clip(ring: Array, nx: float, ny: float, c: float) -> Array:
    """The part of a convex ring with n·p ≤ c (to 1e-7 mm, so that an exact fit survives); empty where none."""
    over = ring @ np.array([nx, ny]) - c
    if (over <= 1e-7).all():
        return ring
    out: list[Array] = []
    for k in range(len(ring)):
        m = (k + 1) % len(ring)
        if over[k] <= 1e-7:
            out.append(ring[k])
        if (over[k] > 1e-7) != (over[m] > 1e-7):
            share = min(max(over[k] / (over[k] - over[m]), 0.0), 1.0)
            out.append(ring[k] + share * (ring[m] - ring[k]))
    return np.array(out).reshape(-1, 2)


def construct(
    yard: Yard, sequence: Iterable[int], sweep: Sweep, given: Sequence[Laid] = (), until_full: bool = False
) -> list[Laid]:
    """Lay pieces of the kinds in `sequence` one after the other among those `given`; what does not fit is left out.

    Returns the pieces laid, without those given. With `until_full` it ends at the first piece that does not fit.
    """
    laid: list[Laid] = list(given)
    fields: dict[int, list[Free]] = {}
    full: set[int] = set()
    ux, uy, vx, vy = sweep.along()
    for kind in sequence:
        if kind in full:
            continue
        if kind not in fields:
            fields[kind] = [Free(v, copied(v.empty)) for v in yard.variants(kind)]
        best: tuple[float, Laid] | None = None
        for free in fields[kind]:
            _catch_up(yard, free, laid)
            found, along, x, y = pick(free.field, ux, uy, vx, vy)
            if not found:
                continue
            score = along + sweep.far * free.variant.reach(ux, uy)
            if best is None or score < best[0] - 1e-9:
                best = score, Laid(kind, free.variant.stance, x, y, free.variant.angle)
        if best is None:
            if until_full:
                break
            full.add(kind)
            continue
        laid.append(best[1])
    return laid[len(given) :]


def copied(f: Field) -> Field:
    """A field of its own, sharing only what never changes."""
    shared = {"hull", "planes", "grid"}
    return Field(**{name: array if name in shared else array.copy() for name, array in f._asdict().items()})


def _catch_up(yard: Yard, free: Free, laid: list[Laid]) -> None:
    """Take in the pieces laid since this field was last asked."""
    v, shape, first = free.variant, yard.book.tables.stance_shape, int(free.field.size[0])
    if free.seen == len(laid):
        return
    while free.seen < len(laid):
        piece = laid[free.seen]
        no_fit = yard.no_fits.about(int(shape[piece.stance]), int(shape[v.stance]), v.angle - piece.angle)
        f, more = free.field, len(no_fit.box)
        entries = more * _most_cells(f, float(no_fit.across[0]))
        while (
            f.size[0] + more + 1 >= len(f.at)
            or f.at[f.size[0]] + len(no_fit.ring) > len(f.ring)
            or f.size[2] + entries > len(f.link)
        ):
            f = free.field = larger(f)
        enter(f, no_fit, piece.angle, piece.x, piece.y)
        free.seen += 1
    corners(free.field, first)


def _most_cells(f: Field, across: float) -> int:
    """Cells of a field's grid that a polygon no wider than this any way can meet."""
    columns, rows = (min(math.ceil(across * f.grid[2]) + 1, int(most)) for most in f.grid[3:])
    return int(columns * rows)
