"""The best choice among many exact places, proven within the pool: complete products first, then spares.

Set packing by CP-SAT: places that overlap exclude one another. Places that share a point form a clique, at most one
of which is taken; the few pairs that share none of the points tried are excluded singly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from nesting.cp_sat import limited, solve
from nesting.search.kernel import between
from nesting.search.leftover import placed
from nesting.search.tables import Book
from nesting.search.yard import Laid
from nesting.settings import Stop, never

if TYPE_CHECKING:
    pass

WORKERS = 8
"""CP-SAT's searches, by turns."""

SAME = 0.01
"""Places of one kind nearer than this (mm, and in angle at the piece's rim) count as one."""


@dataclass(frozen=True)
class Chosen:
    """Complete products of each kind wanted, the places taken, and whether nothing better lies in the pool."""

    goal: tuple[int, ...]
    pieces: tuple[Laid, ...]
    proven: bool


def choose(
    book: Book,
    pool: Sequence[Laid],
    limits: Sequence[int],
    time: float,
    seed: int = 1,
    hint: Sequence[Laid] = (),
    stop: Stop = never,
) -> Chosen:
    """The choice of greatest worth of complete products (at most `limits` of each), then of most spare leather.

    `time` is CP-SAT's deterministic time; `hint` a choice known to be possible, whose places are in the pool.
    """
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    places = _distinct(book, [*hint, *pool])
    if not places:
        return Chosen((0,) * len(limits), (), True)
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in places]
    for group in _exclusions(book, places):
        model.add_at_most_one(taken[k] for k in group)
    goal = [model.new_int_var(0, most, "") for most in limits]
    spare = []
    for index, kind in enumerate(book.problem.kinds):
        mine = [taken[k] for k, place in enumerate(places) if place.kind == index]
        beyond = model.new_int_var(0, len(mine) if kind.spare else 0, "")
        model.add(sum(mine) == kind.count * goal[kind.product] + beyond)
        spare.append(round(kind.area) * beyond)
    most_spare = sum(round(book.problem.kinds[place.kind].area) for place in places) + 1
    worth = [round(wanted.worth * 1000) for wanted in book.problem.wanted]
    model.maximize(sum(w * most_spare * n for w, n in zip(worth, goal, strict=True)) + sum(spare))
    for k in range(len(places)):
        model.add_hint(taken[k], k < len(hint))
    solver = limited(time, WORKERS, seed)
    told = solve(solver, model, stop)
    if told not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Chosen((0,) * len(limits), (), False)
    pieces = tuple(place for k, place in enumerate(places) if solver.boolean_value(taken[k]))
    return Chosen(tuple(solver.value(n) for n in goal), pieces, told == cp_model.OPTIMAL)


def _distinct(book: Book, pool: Sequence[Laid]) -> list[Laid]:
    seen: dict[tuple[int, ...], Laid] = {}
    for place in pool:
        rim = float(book.tables.radius[book.tables.stance_shape[place.stance]])
        key = (place.kind, place.stance, *(round(v / SAME) for v in (place.x, place.y, place.angle * rim)))
        seen.setdefault(key, place)
    return list(seen.values())


def _exclusions(book: Book, places: Sequence[Laid]) -> Iterator[list[int]]:
    """Sets of places of which at most one can be taken; together they say which pairs overlap."""
    pairs = _overlapping(book, places)
    clash = np.zeros((len(places), len(places)), dtype=bool)
    for i, j in pairs:
        clash[i, j] = clash[j, i] = True
    told = np.zeros_like(clash)
    for group in _sharing_points(book, places):
        clique = [k for n, k in enumerate(group) if all(clash[k, m] for m in group[:n])]
        if len(clique) > 2 and not told[np.ix_(clique, clique)][~np.eye(len(clique), dtype=bool)].all():
            told[np.ix_(clique, clique)] = True
            yield clique
    yield from ([i, j] for i, j in pairs if not told[i, j])


def _overlapping(book: Book, places: Sequence[Laid]) -> list[tuple[int, int]]:
    """All pairs that overlap or are nearer than the gap, by the kernel's exact test."""
    t, gap = book.tables, book.problem.gap
    state = book.state([place.kind for place in places], 1)
    for k, place in enumerate(places):
        state.pose[k] = place.x, place.y, place.angle
        state.stance[k] = place.stance
    book.relay(state)
    shape = t.stance_shape[state.stance]
    radius = t.radius[shape]
    out = []
    for i in range(len(places)):
        away = np.hypot(*(state.pose[i + 1 :, :2] - state.pose[i, :2]).T)
        for j in i + 1 + np.flatnonzero(away < radius[i] + radius[i + 1 :] + gap):
            rows = (shape[i], state.world[i], state.turned[i], state.boxes[i])
            others = (shape[j], state.world[j], state.turned[j], state.boxes[j])
            if between(t, *rows, *others, gap) > 0.0:
                out.append((i, int(j)))
    return out


def _sharing_points(book: Book, places: Sequence[Laid]) -> Iterator[list[int]]:
    """For a point in each place, the places that hold it; those with most first."""
    shapes = [placed(book.problem, book.pose_of(p.kind, p.stance, p.x, p.y, p.angle)) for p in places]
    points = [shape.representative_point() for shape in shapes]
    tree = shapely.STRtree(shapes)
    at, holds = tree.query(points, predicate="within")
    groups: dict[int, list[int]] = {}
    for point, place in zip(at.tolist(), holds.tolist(), strict=True):
        groups.setdefault(point, []).append(place)
    yield from (sorted(group) for _, group in sorted(groups.items(), key=lambda g: (-len(g[1]), g[0])))
