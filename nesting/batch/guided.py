"""Plans over many unlike hides: each round searches the hides that the plan which is hoped for would cut.

The hoped plan is the cheapest that fills the order from the patterns known and from mixes hoped for (`hopes`), whole
hides all (CP-SAT). Its hoped mixes are searched, a few a round, hopes and plan are made anew, until the plan needs no
hope or nothing better is hoped for. So a stock of hundreds of hides costs no more searches than the hides that a good
plan cuts, and some for learning.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from nesting.batch.bound import UNITS, Source, counts_within, sources
from nesting.batch.hopes import Got, Hopes, kinds
from nesting.batch.limits import Limits
from nesting.batch.pattern import CuttingPattern
from nesting.batch.searching import Call, Searcher, even_worths
from nesting.batch.starting import capped
from nesting.batch.task import Task
from nesting.engine.cp_sat import limited, solve
from nesting.model.settings import Stop, never

BATCH = 8
"""Hides searched in one round."""
OFTEN = 3
"""A hide that was searched so often for what was hoped gives what it gave."""
CAPPED = 1.25
"""How much more an item counts for, by its leather, where only so many of it are asked for: it is to be laid first."""
EFFORT = 0.3
MOST_TRIALS = 16
"""Searches that tell which leather to choose, where there is a choice."""
LEARNING = 0.25
"""The share of the budget that trials of single items may take."""


@dataclass(frozen=True)
class HopedPlan:
    """The cost of a hoped plan, and the (group, mix) pairs in it that no search has given yet."""

    cost: float
    hoped: tuple[tuple[int, tuple[int, ...]], ...]


class Guide:
    """Searches hides for what a hoped plan would cut from them."""

    def __init__(self, search: Searcher, limits: Sequence[Limits], effort: str) -> None:
        self.search, self.limits, self.effort = search, limits, effort
        self.task: Task = search.task
        self.got: list[Got] = []
        self.asked: dict[int, int] = {}

    def run(self) -> None:
        """Rounds until nothing is left of the budget, or the cheapest plan hoped for needs no hope."""
        self.learn(max(1, int(LEARNING * self.search.left)))
        while self.search.left:
            plan = self.hoped()
            if plan is None or not plan.hoped:
                return
            self.ask(self.calls(plan)[: self.search.left])

    def learn(self, most: int) -> None:
        """Every item alone on a hide of every kind, at most so many searches: items of most leather first."""
        task, calls = self.task, []
        for item in sorted(range(len(task.items)), key=lambda i: (-task.area(i), i)):
            for groups in kinds(task).values():
                fit = [g for g in groups if self.limits[g].most[item] > 0 and task.products[g][item] is not None]
                if fit:
                    calls.append(self._call(_typical(task, fit), {item: None}))
        self.ask(calls[:most])

    def ask(self, calls: Sequence[Call]) -> None:
        """Make calls and learn from their answers."""
        for call, pattern in zip(calls, self.search.many(calls), strict=True):
            if pattern is not None:
                self.got.append(Got(call, pattern.counts))

    def hopes(self) -> list[Limits]:
        """What is hoped of every group by all that was got so far."""
        hopes = Hopes(self.task, self.limits, self.got)
        return [hopes.of(g) for g in range(len(self.task.groups))]

    def hoped(self) -> HopedPlan | None:
        """The cheapest plan hoped for; None where not even hopes fill the order."""
        free = [hope if self.asked.get(g, 0) < OFTEN else None for g, hope in enumerate(self.hopes())]
        return hoped_plan(self.task, self.search.pool.patterns, free, self.limits, lambda: self.search.stopped)

    def calls(self, plan: HopedPlan) -> list[Call]:
        """Searches for some of what is hoped for, kinds of hides in turn; what was asked before is not asked again."""
        found: list[Call] = []
        known = {got.call for got in self.got}
        for group, mix in self._in_turn(plan):
            self.asked[group] = self.asked.get(group, 0) + 1
            call = self._call(group, self._caps(mix))
            if call not in known:
                found.append(call)
            if len(found) == BATCH:
                break
        return found

    def _in_turn(self, plan: HopedPlan) -> list[tuple[int, tuple[int, ...]]]:
        """What is hoped for, the dearest hides first, and of the kinds of hides each in turn."""
        seen: dict[object, int] = {}
        of = {g: key for key, groups in kinds(self.task).items() for g in groups}
        ranked = []
        for group, mix in sorted(plan.hoped, key=lambda each: (-self.task.groups[each[0]].cost, each)):
            seen[of[group]] = seen.get(of[group], 0) + 1
            ranked.append((seen[of[group]], group, mix))
        return [(group, mix) for _, group, mix in sorted(ranked)]

    def _caps(self, mix: Sequence[int]) -> dict[int, int | None]:
        """At most so many of each item of a mix; as many as go of the smallest, which fills what the others leave."""
        laid = [i for i, n in enumerate(mix) if n]
        last = min(laid, key=lambda i: (self.task.area(i), i))
        return {i: None if i == last else mix[i] for i in laid}

    def _call(self, group: int, caps: dict[int, int | None]) -> Call:
        most, wanted = self.limits[group].most, self.task.wanted()
        items = tuple(i for i in caps if most[i] > 0)
        told = tuple(capped(wanted[i] if caps[i] is None else caps[i], most[i]) for i in items)  # type: ignore[arg-type]
        worths = [self.task.area(i) * (1.0 if caps[i] is None else CAPPED) for i in items]
        return Call(group, items, even_worths(worths), told, self.effort)


def hopes_by_trials(search: Searcher, limits: Sequence[Limits]) -> list[Limits]:
    """What is hoped of every group after trials of single items alone, quick ones, at most `MOST_TRIALS`."""
    guide = Guide(search, limits, "quick")
    search.budget = MOST_TRIALS
    guide.learn(MOST_TRIALS)
    return guide.hopes()


def _typical(task: Task, groups: Sequence[int]) -> int:
    """The one of middle size."""
    return sorted(groups, key=lambda g: (task.groups[g].hide.measured_area, g))[len(groups) // 2]


def hoped_plan(
    task: Task,
    patterns: Sequence[CuttingPattern],
    hopes: Sequence[Limits | None],
    limits: Sequence[Limits],
    stop: Stop = never,
) -> HopedPlan | None:
    """The cheapest whole hides that fill the order by patterns known and by mixes within the hopes (None: no hope)."""
    model, wanted = cp_model.CpModel(), task.wanted()
    given: list[list[cp_model.LinearExprT]] = [[] for _ in wanted]
    taken: list[list[cp_model.LinearExprT]] = [[] for _ in task.groups]
    cost: list[cp_model.LinearExprT] = []
    hoped: list[tuple[int, cp_model.IntVar, list[cp_model.IntVar]]] = []
    for pattern in patterns:
        used = model.new_int_var(0, task.groups[pattern.group].many, "")
        taken[pattern.group].append(used)
        cost.append(round(pattern.cost * UNITS) * used)
        for row, n in zip(given, pattern.counts, strict=True):
            row.append(n * used)
    for g, (source, hope) in enumerate(zip(sources(task, limits), hopes, strict=True)):
        if hope is not None and any(hope.most):
            cut, counts = _hoped(model, Source(source.many, source.cost, hope, source.loss), wanted)
            taken[g].append(cut)
            hoped.append((g, cut, counts))
            cost.append((round(source.cost * UNITS) + 1) * cut)
            cost += [round(loss * UNITS) * n for loss, n in zip(source.loss, counts, strict=True)]
            for row, count in zip(given, counts, strict=True):
                row.append(count)
    for group, used_up in zip(task.groups, taken, strict=True):
        model.add(sum(used_up) <= group.many)
    for row, need in zip(given, wanted, strict=True):
        model.add(sum(row) >= need)
    model.minimize(sum(cost))
    solver = limited(EFFORT)
    if solve(solver, model, stop) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    told = []
    for g, cut, counts in hoped:
        many = solver.value(cut)
        mix = tuple(math.ceil(solver.value(n) / many) for n in counts) if many else ()
        told += [(g, mix)] if any(mix) else []
    return HopedPlan(solver.objective_value / UNITS, tuple(told))


def _hoped(
    model: cp_model.CpModel, source: Source, wanted: Sequence[int]
) -> tuple[cp_model.IntVar, list[cp_model.IntVar]]:
    """How many hides of a source are cut by hope, and what they give together."""
    cut = model.new_int_var(0, source.many, "")
    counts = counts_within(model, source.limits, cut, source.many, wanted)
    model.add(sum(counts) >= cut)
    return cut, counts
