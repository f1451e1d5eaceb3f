"""Rectangles into a rectangle on a whole-number grid: found, proven impossible, or neither within the budget.

First the corner search of `perfect`, quick where little is wasted; then CP-SAT: intervals that do not overlap in two
dimensions (Jensen's bounds on energy and cumulative relaxations come with it), rotation as a choice of intervals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nesting.engine.cp_sat import limited, solve
from nesting.model.settings import Stop, never
from nesting.search.rectangles.skyline import EXHAUSTED, FOUND, fill

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    Sum = cp_model.LinearExpr | int

WORKERS = 8
"""CP-SAT's searches, by turns."""

RESTART = 250_000
"""Corners tried before the shortest restart."""

Box = tuple[int, int, int, int]
"""x, y, width, height"""


@dataclass(frozen=True)
class PackedItem:
    """A rectangle to lay; `turn`: it may lie turned by 90°."""

    width: int
    height: int
    turn: bool = True


@dataclass(frozen=True)
class Place:
    """The lower left corner of an item, and whether it lies turned."""

    x: int
    y: int
    turned: bool


@dataclass(frozen=True)
class Room:
    """The rectangle to fill, and the boxes in it that nothing may cover."""

    width: int
    height: int
    blocked: tuple[Box, ...] = ()

    @property
    def area(self) -> int:
        """What can be covered at most (blocked boxes lie apart)."""
        return self.width * self.height - sum(w * h for _, _, w, h in self.blocked)


@dataclass(frozen=True)
class Packed:
    """The places of all items in their order, or None; `impossible` only where that is proven."""

    places: tuple[Place, ...] | None = None
    impossible: bool = False


@dataclass(frozen=True)
class PackingBudget:
    """Corners that all corner searches together may try, and CP-SAT's deterministic time."""

    nodes: int = 60_000_000
    time: float = 5.0


def pack(
    items: Sequence[PackedItem], room: Room, budget: PackingBudget | None = None, seed: int = 1, stop: Stop = never
) -> Packed:
    """Lay all items in the room, prove that they cannot be laid, or give up.

    >>> three = [PackedItem(2, 1), PackedItem(2, 1), PackedItem(2, 1)]
    >>> pack(three, Room(3, 2)).places is not None, pack(three, Room(1, 5)).impossible
    (True, True)
    """
    budget = budget or PackingBudget()
    if not items:
        return Packed(())
    if sum(i.width * i.height for i in items) > room.area or not all(_ways(i, room) for i in items):
        return Packed(impossible=True)
    found = _by_corners(items, room, budget, seed, stop) if not room.blocked else Packed()
    if found.places is not None or found.impossible or stop():
        return found
    return _by_constraints(items, room, budget.time, seed, stop)


def _ways(item: PackedItem, room: Room) -> list[bool]:
    """The ways round (turned or not) in which an item fits into the room at all."""
    ways = [False, True] if item.turn and item.width != item.height else [False]
    return [back for back in ways if _size(item, back)[0] <= room.width and _size(item, back)[1] <= room.height]


def _size(item: PackedItem, back: bool) -> tuple[int, int]:
    return (item.height, item.width) if back else (item.width, item.height)


def _by_corners(items: Sequence[PackedItem], room: Room, budget: PackingBudget, seed: int, stop: Stop) -> Packed:
    types = sorted(set(items), key=lambda i: (-i.width * i.height, i.width, i.height, i.turn))
    count = np.array([sum(i == t for i in items) for t in types], dtype=np.int64)
    sides = np.array([(t.width, t.height) for t in types], dtype=np.int64)
    turn = np.array([t.turn for t in types], dtype=np.int64)
    waste = room.area - int((sides.prod(axis=1) * count).sum())
    rng = np.random.default_rng(seed)
    out = np.zeros((len(items), 4), dtype=np.int64)
    left, number = budget.nodes, 0
    while left > 0 and not stop():
        order = _order(sides, rng, number)
        # The room is filled from the bottom or from the left, whichever way it lies.
        flip = number % 2 == 1
        laid = sides[:, ::-1].copy() if flip else sides
        wide, high = (room.height, room.width) if flip else (room.width, room.height)
        share = min(left, RESTART * _luby(number + 1))
        told, used = fill(laid, turn, count, order, wide, high, waste, share, out)
        if told == FOUND:
            return Packed(_places(items, types, out, flip))
        if told == EXHAUSTED and waste == 0:
            return Packed(impossible=True)
        left, number = left - max(used, share // 20), number + 1
    return Packed()


def _luby(number: int) -> int:
    """1, 1, 2, 1, 1, 2, 4, ...: restarts that waste least when nobody knows how long a search takes.

    Luby, Sinclair, Zuckerman: Optimal speedup of Las Vegas algorithms. Inf. Proc. Letters 47 (1993).
    """
    power = number.bit_length()
    if number == (1 << power) - 1:
        return 1 << (power - 1)
    return _luby(number - (1 << (power - 1)) + 1)


def _order(sides: np.ndarray, rng: np.random.Generator, number: int) -> np.ndarray:
    """Candidates, large ones first, more and more shuffled."""
    size = np.repeat(np.log(sides.prod(axis=1)), 2) + rng.standard_normal(2 * len(sides)) * 0.3 * min(number, 4)
    return np.argsort(-size, kind="stable").astype(np.int64)


def _places(items: Sequence[PackedItem], types: list[PackedItem], out: np.ndarray, flip: bool) -> tuple[Place, ...]:
    pools: dict[PackedItem, list[Place]] = {}
    for t, x, y, back in out.tolist():
        pools.setdefault(types[t], []).append(Place(y, x, bool(back)) if flip else Place(x, y, bool(back)))
    return tuple(pools[item].pop(0) for item in items)


def _by_constraints(items: Sequence[PackedItem], room: Room, time: float, seed: int, stop: Stop) -> Packed:
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    model = cp_model.CpModel()
    laid = [_Laid(model, item, room, n) for n, item in enumerate(items)]
    across = [model.new_fixed_size_interval_var(x, w, "") for x, _, w, _ in room.blocked]
    up = [model.new_fixed_size_interval_var(y, h, "") for _, y, _, h in room.blocked]
    model.add_no_overlap_2d([i.across for i in laid] + across, [i.up for i in laid] + up)
    widths, heights = [b[2] for b in room.blocked], [b[3] for b in room.blocked]
    model.add_cumulative([i.across for i in laid] + across, [*(i.high for i in laid), *heights], room.height)
    model.add_cumulative([i.up for i in laid] + up, [*(i.wide for i in laid), *widths], room.width)
    _break_symmetry(model, laid, items, room)
    solver = limited(time, WORKERS, seed)
    solver.parameters.use_energetic_reasoning_in_no_overlap_2d = True
    solver.parameters.use_timetabling_in_no_overlap_2d = True
    told = solve(solver, model, stop)
    if told in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Packed(tuple(Place(solver.value(i.x), solver.value(i.y), solver.boolean_value(i.turned)) for i in laid))
    return Packed(impossible=told == cp_model.INFEASIBLE)


class _Laid:
    """An item's unknowns: its corner, whether it lies turned, its intervals."""

    def __init__(self, model: cp_model.CpModel, item: PackedItem, room: Room, number: int) -> None:
        ways = _ways(item, room)
        sizes = [_size(item, back) for back in ways]
        self.x = model.new_int_var(0, room.width - min(w for w, _ in sizes), f"x{number}")
        self.y = model.new_int_var(0, room.height - min(h for _, h in sizes), f"y{number}")
        self.turned = model.new_bool_var(f"turned{number}")
        if len(ways) == 1:
            model.add(self.turned == int(ways[0]))
        w, h = _size(item, False)
        self.wide: Sum = w + (h - w) * self.turned if len(ways) > 1 else sizes[0][0]
        self.high: Sum = h + (w - h) * self.turned if len(ways) > 1 else sizes[0][1]
        self.across = _interval(model, self.x, self.wide, room.width)
        self.up = _interval(model, self.y, self.high, room.height)


def _interval(model: cp_model.CpModel, start: cp_model.IntVar, size: Sum, most: int) -> cp_model.IntervalVar:
    end = model.new_int_var(0, most, "")
    model.add(start + size == end)
    return model.new_interval_var(start, size, end, "")


def _break_symmetry(model: cp_model.CpModel, laid: list[_Laid], items: Sequence[PackedItem], room: Room) -> None:
    """Equal items in order of their places; the largest in the lower left quarter, if nothing is blocked."""
    last: dict[PackedItem, _Laid] = {}
    for one, item in zip(laid, items, strict=True):
        before = last.get(item)
        if before is not None:
            stretch = room.height + 1
            model.add(before.x * stretch + before.y <= one.x * stretch + one.y)
        last[item] = one
    single = [n for n, item in enumerate(items) if items.count(item) == 1]
    if single and not room.blocked:
        n = max(single, key=lambda k: items[k].width * items[k].height)
        model.add(2 * laid[n].x + laid[n].wide <= room.width)
        model.add(2 * laid[n].y + laid[n].high <= room.height)
        if room.width == room.height and items[n].width == items[n].height:
            model.add(laid[n].x <= laid[n].y)
