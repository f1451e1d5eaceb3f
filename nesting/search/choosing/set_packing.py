"""The best choice among many exact places, proven within the pool: complete products first, then spares.

Set packing (Padberg 1973, Mathematical Programming 5) by CP-SAT: places that overlap exclude one another. Places that
share a point form a clique, at most one of which is taken; the few pairs that share none of the points tried are
excluded singly.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from nesting.engine.cp_sat import limited, small_model, solve
from nesting.model.problem import Problem
from nesting.model.settings import Stop, never
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.inner_fits import Laid
from nesting.search.arrays.overlap_kernel import clashes, put
from nesting.search.filling.leftover import placed

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

WORKERS = 8
"""CP-SAT's searches, by turns."""

LUCK = 64
"""Parts of a square millimetre by which equally good choices differ."""

SAME = 0.01
"""Places of one kind nearer than this (mm, and in angle at the piece's rim) count as one."""


@dataclass(frozen=True)
class ChosenPlaces:
    """Complete products of each kind wanted, the places taken, and whether nothing better lies in the pool."""

    goal: tuple[int, ...]
    pieces: tuple[Laid, ...]
    proven: bool


def choose(
    arrays: Arrays,
    pool: Sequence[Laid],
    limits: Sequence[int],
    time: float,
    seed: int = 1,
    hint: Sequence[Laid] = (),
    stop: Stop = never,
) -> ChosenPlaces:
    """The choice of greatest worth of complete products (at most `limits` of each), then of most spare leather.

    `time` is CP-SAT's deterministic time; `hint` a choice known to be possible, whose places are in the pool.
    """
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    places = distinct(arrays, [*hint, *pool])
    if not places:
        return ChosenPlaces((0,) * len(limits), (), True)
    model = cp_model.CpModel()
    taken = takings(model, len(places), _exclusions(arrays, places), len(hint))
    goal = [model.new_int_var(0, most, "") for most in limits]
    spare = []
    for index, kind in enumerate(arrays.problem.kinds):
        mine = [taken[k] for k, place in enumerate(places) if place.kind == index]
        beyond = model.new_int_var(0, len(mine) if kind.spare else 0, "")
        model.add(sum(mine) == kind.count * goal[kind.product] + beyond)
        spare.append(round(kind.area) * beyond)
    most_spare = sum(round(arrays.problem.kinds[place.kind].area) for place in places) + 1
    worth = [round(wanted.worth * 1000) for wanted in arrays.problem.wanted]
    model.maximize(sum(w * most_spare * n for w, n in zip(worth, goal, strict=True)) + sum(spare))
    solver = limited(time, WORKERS, seed)
    told = solve(solver, model, stop)
    if told not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return ChosenPlaces((0,) * len(limits), (), False)
    pieces = tuple(place for k, place in enumerate(places) if solver.boolean_value(taken[k]))
    return ChosenPlaces(tuple(solver.value(n) for n in goal), pieces, told == cp_model.OPTIMAL)


def distinct(arrays: Arrays, pool: Sequence[Laid]) -> list[Laid]:
    """The places of a pool, each once, in their order."""
    seen: dict[tuple[int, ...], Laid] = {}
    for place in pool:
        rim = float(arrays.tables.radius[arrays.tables.orientation_shape[place.orientation]])
        key = (place.kind, place.orientation, *(round(v / SAME) for v in (place.x, place.y, place.angle * rim)))
        seen.setdefault(key, place)
    return list(seen.values())


def most_leather(
    problem: Problem,
    places: Sequence[Laid],
    clash: np.ndarray,
    most: Mapping[int, int],
    time: float,
    seed: int,
    known: int = 0,
    stray: float = 0.0,
) -> list[Laid]:
    """The choice of greatest area with at most so many of each kind; of equally good ones, one at random.

    `clash` says which places exclude one another. The first `known` are a choice known to be possible: it is what
    comes back where nothing as good is found. With `stray` a place weighs more or less than its area, by a share of it
    drawn from a normal distribution of that spread, and the choice need not be as good as the known one.
    """
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    model = small_model()
    taken = takings(model, len(places), pairs_of(clash), known)
    for kind, many in most.items():
        model.add(sum(taken[k] for k, place in enumerate(places) if place.kind == kind) <= many)
    area = [problem.kinds[place.kind].area for place in places]
    worth = _weights(area, stray, np.random.default_rng(seed))
    model.maximize(sum(w * t for w, t in zip(worth, taken, strict=True)))
    solver = limited(time, seed=seed)
    if solve(solver, model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return list(places[:known])
    chosen = [place for k, place in enumerate(places) if solver.boolean_value(taken[k])]
    if stray:
        return chosen
    return max(chosen, list(places[:known]), key=lambda pieces: sum(problem.kinds[p.kind].area for p in pieces))


def _weights(area: Sequence[float], stray: float, rng: np.random.Generator) -> list[int]:
    """What places weigh: their areas in parts of a mm², a little luck, and what they stray by."""
    luck = rng.integers(0, LUCK, len(area))
    strayed = np.maximum(1.0 + stray * rng.standard_normal(len(area)), 0.0)
    weights: list[int] = (np.rint(np.rint(area) * strayed).astype(np.int64) * LUCK + luck).tolist()
    return weights


def takings(model: cp_model.CpModel, many: int, groups: Iterable[list[int]], known: int) -> list[cp_model.IntVar]:
    """For each place whether it is taken, at most one of each group; the first `known` are a hint."""
    taken = [model.new_bool_var("") for _ in range(many)]
    for group in groups:
        model.add_at_most_one(taken[k] for k in group)
    for k, each in enumerate(taken):
        model.add_hint(each, k < known)
    return taken


def pairs_of(clash: np.ndarray) -> Iterator[list[int]]:
    """The pairs that a symmetric table names."""
    for i, j in zip(*np.nonzero(np.triu(clash)), strict=True):
        yield [int(i), int(j)]


def _exclusions(arrays: Arrays, places: Sequence[Laid]) -> Iterator[list[int]]:
    """Sets of places of which at most one can be taken; together they say which pairs overlap."""
    clash = clash_of(arrays, places)
    told = np.zeros_like(clash)
    for group in _sharing_points(arrays, places):
        clique = [k for n, k in enumerate(group) if all(clash[k, m] for m in group[:n])]
        if len(clique) > 2 and not told[np.ix_(clique, clique)][~np.eye(len(clique), dtype=bool)].all():
            told[np.ix_(clique, clique)] = True
            yield clique
    yield from pairs_of(clash & ~told)


def clash_of(arrays: Arrays, places: Sequence[Laid]) -> np.ndarray:
    """Which places overlap or are nearer than the gap, by the kernel's exact test."""
    state = arrays.state([place.kind for place in places], 1)
    for k, place in enumerate(places):
        put(arrays.tables, state, k, place.orientation, place.x, place.y, place.angle)
    clash: np.ndarray = clashes(arrays.tables, state, arrays.problem.gap)
    return clash


def _sharing_points(arrays: Arrays, places: Sequence[Laid]) -> Iterator[list[int]]:
    """For a point in each place, the places that hold it; those with most first."""
    shapes = [placed(arrays.problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in places]
    points = [shape.representative_point() for shape in shapes]
    tree = shapely.STRtree(shapes)
    at, holds = tree.query(points, predicate="within")
    groups: dict[int, list[int]] = {}
    for point, place in zip(at.tolist(), holds.tolist(), strict=True):
        groups.setdefault(point, []).append(place)
    yield from (sorted(group) for _, group in sorted(groups.items(), key=lambda g: (-len(g[1]), g[0])))
