"""The linear relaxation of the master: what one more of each item is worth, given the patterns known.

Gilmore and Gomory (1961), "A linear programming approach to the cutting-stock problem", Operations Research 9.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ortools.linear_solver import pywraplp

from nesting.batch.pattern import CuttingPattern
from nesting.batch.task import Task


@dataclass(frozen=True)
class Prices:
    """The dual solution: `items` is what one more of each is worth, `groups` what one more hide of each is worth.

    `rate` is what one unit of cost weighs beside these (1, unless the budget is what is scarce). `used` is how often
    each pattern is cut in the relaxed plan, `short` how many products of each demand it lacks.
    """

    items: tuple[float, ...]
    groups: tuple[float, ...]
    rate: float
    used: tuple[float, ...]
    short: tuple[float, ...]


def prices(task: Task, patterns: Sequence[CuttingPattern], budget: float | None = None) -> Prices:
    """Prices for the least cost of filling the order with these patterns.

    Where `budget` is given, they are prices for the most leather's worth of products (earlier ones weighing more)
    that hides costing no more than that can give. What the patterns cannot fill counts as short.
    """
    solver = pywraplp.Solver.CreateSolver("GLOP")
    fill = budget is not None
    used = [solver.NumVar(0, solver.infinity(), "") for _ in patterns]
    short = [solver.NumVar(0, demand.wanted, "") for demand in task.demands]
    given = [
        solver.Add(
            solver.Sum(x * p.counts[i] for x, p in zip(used, patterns, strict=True) if p.counts[i])
            + item.each * short[item.demand]
            >= item.each * task.demands[item.demand].wanted
        )
        for i, item in enumerate(task.items)
    ]
    taken = [
        solver.Add(solver.Sum(x for x, p in zip(used, patterns, strict=True) if p.group == g) <= group.many)
        for g, group in enumerate(task.groups)
    ]
    cost = solver.Sum(x * p.cost for x, p in zip(used, patterns, strict=True))
    limit = solver.Add(cost <= (budget if budget is not None else solver.infinity()))
    lack = solver.Sum(s * penalty for s, penalty in zip(short, _penalties(task, fill), strict=True))
    solver.Minimize(lack if fill else cost + lack)
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        raise ArithmeticError("the relaxed master has no optimum, which cannot be: all may be short")
    return Prices(
        tuple(max(0.0, row.dual_value()) for row in given),
        tuple(max(0.0, -row.dual_value()) for row in taken),
        max(0.0, -limit.dual_value()) if fill else 1.0,
        tuple(x.solution_value() for x in used),
        tuple(s.solution_value() for s in short),
    )


def _penalties(task: Task, fill: bool) -> list[float]:
    """What one product short counts for.

    Filling alone: its leather, four times as much for each earlier date. Else twice the dearest hide, so that
    no product is left out to save leather.
    """
    if not fill:
        return [2 * max(group.cost for group in task.groups) + 1.0] * len(task.demands)
    last = max(demand.first_due for demand in task.demands)
    areas = [demand.cut[0][1].area / 1e6 if demand.cut else 0.0 for demand in task.demands]
    return [a * 4.0 ** min(6, last - d.first_due) for a, d in zip(areas, task.demands, strict=True)]
