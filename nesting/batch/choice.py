"""The master itself: which patterns to cut, and how often, chosen exactly by CP-SAT among those known."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from ortools.sat.python import cp_model

from nesting.batch.bound import Least
from nesting.batch.one_leather import kinds_of_products
from nesting.batch.pattern import CuttingPattern
from nesting.batch.task import Task
from nesting.engine.cp_sat import limited

COST_UNITS = 10_000
"""Costs are held in ten-thousandths."""
LEFTOVER_UNITS = 1_000_000
EFFORT = 1.0
"""Deterministic time for one aim; nearly all are settled far sooner."""


@dataclass(frozen=True)
class ChosenPatterns:
    """`uses` of each pattern, and how many products of each demand they fill (no more than wanted).

    Patterns that joined the pool after the choice was made are not used. `cheapest` tells that it is proven that no
    choice among those known fills as much for less.
    """

    uses: tuple[int, ...]
    filled: tuple[int, ...]
    cheapest: bool = False

    def cost(self, patterns: Sequence[CuttingPattern]) -> float:
        """What the chosen hides count for, less credit."""
        return sum(n * p.cost for n, p in zip(self.uses, patterns, strict=False))

    @property
    def hides(self) -> int:
        """Hides cut."""
        return sum(self.uses)


def choose(
    task: Task, patterns: Sequence[CuttingPattern], least: Least | None = None, effort: float = EFFORT
) -> ChosenPatterns:
    """The best plan from these patterns, aim after aim, each settled before the next.

    The aims: as much of the order as can be, earliest first (by its leather, so that least is left to buy); least
    cost; fewest whole hides; fewest hides; most useful leftover. `least` bounds plans that fill the order; it only
    lets the choice end sooner.
    """
    master = _Master(task, patterns, effort)
    for aim in master.fills():
        master.settle(aim)
    if least is not None and master.full:
        master.model.add(master.cost() >= math.floor(least.cost * COST_UNITS - len(task.groups)))
        master.model.add(master.hides() >= least.hides)
    cheapest = master.settle(master.cost)
    for aim in (master.whole_hides, master.hides, master.leftover):
        master.settle(aim)
    return replace(master.choice(), cheapest=cheapest)


Aim = Callable[[], "cp_model.LinearExprT"]


class _Master:
    def __init__(self, task: Task, patterns: Sequence[CuttingPattern], effort: float) -> None:
        self.task, self.patterns, self.effort = task, patterns, effort
        self.model = cp_model.CpModel()
        self.uses = [self.model.new_int_var(0, task.groups[p.group].many, "") for p in patterns]
        self.lines = [[self.model.new_int_var(0, line.wanted, "") for line in d.lines] for d in task.demands]
        self.filled = [sum(row) for row in self.lines]
        self.parts: list[cp_model.IntVar] = []
        self.found: list[int] | None = None
        for g, group in enumerate(task.groups):
            self.model.add(sum(x for x, p in self._pairs() if p.group == g) <= group.many)
        for i, item in enumerate(task.items):
            self.model.add(sum(x * p.counts[i] for x, p in self._pairs()) >= item.each * self.filled[item.demand])
        for d in range(len(task.demands)):
            self._alike(d)

    def _alike(self, demand: int) -> None:
        """The pieces of one product come from one kind of leather, where its line says so."""
        kinds = kinds_of_products(self.task, demand)
        if len(kinds) < 2:
            return
        most = self.task.demands[demand].wanted
        parts = [self.model.new_int_var(0, most, "") for _ in kinds]
        self.parts += parts
        self.model.add(sum(parts) == self.filled[demand])
        for i, item in enumerate(self.task.items):
            for kind, part in zip(kinds, parts, strict=True) if item.demand == demand else ():
                here = sum(x * p.counts[i] for x, p in self._pairs() if p.group in kind)
                self.model.add(here >= item.each * part)

    def _pairs(self) -> list[tuple[cp_model.IntVar, CuttingPattern]]:
        return list(zip(self.uses, self.patterns, strict=True))

    def fills(self) -> list[Aim]:
        """One aim a date, earliest first: the leather in the products made for it."""
        return [partial(self._lacks, rank) for rank in sorted({due for due, _, _ in self._due()})]

    def _due(self) -> list[tuple[int, int, cp_model.IntVar]]:
        """(date's place, leather in one in cm², variable) of every line."""
        return [
            (line.due, max(1, round(demand.cut[0][1].area / 100)) if demand.cut else 1, variable)
            for demand, row in zip(self.task.demands, self.lines, strict=True)
            for line, variable in zip(demand.lines, row, strict=True)
        ]

    def _lacks(self, rank: int) -> cp_model.LinearExprT:
        return -sum(area * variable for due, area, variable in self._due() if due == rank)

    def cost(self) -> cp_model.LinearExprT:
        return sum(round(p.cost * COST_UNITS) * x for x, p in self._pairs())

    def whole_hides(self) -> cp_model.LinearExprT:
        return sum(x for x, p in self._pairs() if self.task.groups[p.group].hide.cut != "offcut")

    def hides(self) -> cp_model.LinearExprT:
        return sum(self.uses)

    def leftover(self) -> cp_model.LinearExprT:
        """Leftover on hides that are cut; those left whole are counted by the aims before."""
        return -sum(round(p.leftover * LEFTOVER_UNITS) * x for x, p in self._pairs())

    def settle(self, aim: Aim) -> bool:
        """Bring the aim to its best under all that is settled, and keep it there; whether it is proven the best."""
        if self.found is not None:
            self.model.clear_hints()  # type: ignore[no-untyped-call]
            for variable, value in zip(self._variables(), self.found, strict=True):
                self.model.add_hint(variable, value)
        self.model.minimize(aim())
        solver = limited(self.effort)
        status = solver.solve(self.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False  # nothing better than what is held within the effort
        self.found = [solver.value(variable) for variable in self._variables()]
        self.model.add(aim() <= round(solver.objective_value))
        return status == cp_model.OPTIMAL

    def _variables(self) -> list[cp_model.IntVar]:
        return [*self.uses, *(variable for row in self.lines for variable in row), *self.parts]

    @property
    def full(self) -> bool:
        """Whether what is settled so far fills the order."""
        return self.choice().filled == tuple(demand.wanted for demand in self.task.demands)

    def choice(self) -> ChosenPatterns:
        if self.found is None:
            return ChosenPatterns((0,) * len(self.patterns), (0,) * len(self.task.demands))
        values = iter(self.found)
        uses = tuple(next(values) for _ in self.uses)
        return ChosenPatterns(uses, tuple(sum(next(values) for _ in row) for row in self.lines))
