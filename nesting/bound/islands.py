"""Leather in several pieces: each island holds a whole number of pieces of each kind."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import shapely
from shapely.geometry.base import BaseGeometry

from nesting.bound.hall import whole_area
from nesting.engine.cp_sat import limited
from nesting.geometry.convex import polygons
from nesting.geometry.overlay import both, joined, less
from nesting.geometry.solid import solid
from nesting.model.problem import Kind, Problem

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

MOST_ISLANDS = 60
"""With more islands than this the small ones are taken together, whole numbers or not."""

EFFORT = 0.5


def most_on_islands(problem: Problem, product: int, told: int) -> int | None:
    """The most of one product that whole pieces on each island allow; None: no fewer than `told`.

    Validity. A piece is connected, so it lies on one island of the union of all its parts' regions. There, for
    every kind, the pieces of all kinds that may lie only where it may have areas that sum to at most the area of
    that ground on the island: the layout's own numbers satisfy this integer program, whose proven bound is given.
    With a gap, pieces and islands are grown by half of it. Areas are rounded outwards. Overlays are those for proofs:
    one that lost leather would make an island too small, or a ground seem to lie within another.
    """
    kinds = [problem.kinds[k] for k in problem.kinds_of(product)]
    grounds = [_ground(problem, kind) for kind in kinds]
    if not kinds or len(polygons(shapely.union_all(grounds))) < 2:
        return None
    islands = sorted(polygons(joined(grounds)), key=lambda island: -island.area)
    if len(islands) < 2:
        return None
    shares = [[_within(ground, island, problem.gap) for ground in grounds] for island in islands[: MOST_ISLANDS - 1]]
    rest = shapely.union_all(islands[MOST_ISLANDS - 1 :])
    rows = [(row, True) for row in shares] + [([_within(g, rest, problem.gap) for g in grounds], False)]
    nested = [[_nested(a, b) for a in grounds] for b in grounds]
    areas = [whole_area(kind, problem.gap) for kind in kinds]
    if min(areas) <= 1.0 or _shared_out(kinds, areas, rows, nested, told):
        return None
    return _solved(kinds, areas, rows, nested)


def _ground(problem: Problem, kind: Kind) -> BaseGeometry:
    used = {region for orientation in kind.orientations for region in orientation.regions}
    return joined([problem.outer[region] for region in sorted(used)])


def _within(ground: BaseGeometry, island: BaseGeometry, gap: float) -> float:
    here = solid(both(ground, island))
    return float(here.buffer(gap / 2 * 1.0005, quad_segs=32).area if gap else here.area)


def _nested(inside: BaseGeometry, ground: BaseGeometry) -> bool:
    """Whether one ground surely lies within another."""
    return inside is ground or float(less(inside, ground).area) == 0.0


def _shared_out(
    kinds: list[Kind], areas: list[float], rows: list[tuple[list[float], bool]], nested: list[list[bool]], number: int
) -> bool:
    """Whether the pieces of so many products go on the islands by area, large ones first, each where most is left."""
    left = [list(row) for row, _ in rows]
    for k in sorted(range(len(kinds)), key=lambda k: -areas[k]):
        grounds = [g for g in range(len(kinds)) if nested[g][k]]
        for _ in range(kinds[k].count * number):
            island = max(range(len(left)), key=lambda n: min(left[n][g] for g in grounds))
            if min(left[island][g] for g in grounds) < areas[k]:
                return False
            for g in grounds:
                left[island][g] -= areas[k]
    return True


def _solved(
    kinds: list[Kind], areas: list[float], rows: list[tuple[list[float], bool]], nested: list[list[bool]]
) -> int:
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    model = cp_model.CpModel()
    top = max(1, *(math.ceil(sum(row[k] for row, _ in rows) / areas[k]) for k in range(len(kinds))))
    number = model.new_int_var(0, top, "")
    pieces: list[list[cp_model.IntVar]] = [[] for _ in kinds]
    for row, whole in rows:
        here = [model.new_int_var(0, math.floor(room / area + 1e-6) if whole else top * kind.count, "")
                for kind, area, room in zip(kinds, areas, row, strict=True)]  # fmt: skip
        for within, room in zip(nested, row, strict=True):
            held = [(math.floor(a), x) for a, x, inside in zip(areas, here, within, strict=True) if inside]
            model.add(sum(a * x for a, x in held) <= math.ceil(room))
        for each, x in zip(pieces, here, strict=True):
            each.append(x)
    for kind, each in zip(kinds, pieces, strict=True):
        model.add(sum(each) >= kind.count * number)
    model.maximize(number)
    solver = limited(EFFORT)
    status = solver.solve(model)
    return top if status == cp_model.UNKNOWN else math.floor(solver.best_objective_bound + 1e-6)
