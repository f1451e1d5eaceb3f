"""Which patterns to cut: starting plans, rounds of column generation, the exact choice, and the bound beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.batch.bound import Least, least
from nesting.batch.choice import ChosenPatterns, choose
from nesting.batch.guided import Guide
from nesting.batch.limits import Limits
from nesting.batch.pattern import CuttingPattern
from nesting.batch.pricing import (
    aim_at_cover,
    density,
    dive,
    improving_round,
    polishing_calls,
    promising,
    swap,
)
from nesting.batch.restricted_master import prices
from nesting.batch.searching import Searcher
from nesting.batch.starting import Filling

NARROWER = 0.985
"""Each round's cover asks for hides so much less densely filled than the round before."""
MANY = 12
"""With more unlike hides than this the budget goes to fewer starting plans and less polish."""
NEAR = 1e-3
"""Costs nearer than this are the same."""


@dataclass(frozen=True)
class PlanBudget:
    """How much searching an effort buys: so many `searches` at one effort, so many to `polish` at another."""

    effort: str
    searches: int
    rounds: int
    polish: int


def budget_for(effort: str, groups: int, hides: int = 0) -> PlanBudget:
    """The fixed budget of an effort for so many unlike hides of which a plan surely takes so many `hides`.

    The last `polish` searches are at the effort asked; of many hides more hides searched quickly give more.
    """
    many = groups > MANY
    if effort == "quick":
        return PlanBudget("quick", min(24 + groups, max(60, 12 + 3 * hides)), 4, 0)
    if effort == "normal":
        return PlanBudget("quick", min(24 + 2 * groups, max(104, 24 + 5 * hides)), 8, 0 if many else 12)
    return PlanBudget("normal", min(40 + 4 * groups, max(200, 40 + 8 * hides)), 16, 4 if many else 8)


@dataclass(frozen=True)
class ChosenPlan:
    """The patterns to cut, each as often as `choice` says, and what no plan that fills as much can beat.

    `possible` is False where it is proven that the hides cannot fill the order; `stopped` tells that the work was
    cut short. `relaxed` is the least that the layouts known could cost, hides cut in parts too; None where they fill
    less than is wanted. `searches` are those made and those that the effort buys.
    """

    patterns: tuple[CuttingPattern, ...]
    choice: ChosenPatterns
    least: Least
    possible: bool
    stopped: bool
    relaxed: float | None = None
    searches: tuple[int, int] = (0, 0)

    @property
    def cheapest_known(self) -> bool:
        """Whether it is proven that no choice among all the layouts known fills as much for less."""
        return self.choice.cheapest and len(self.choice.uses) == len(self.patterns)


def choose_patterns(search: Searcher, limits: Sequence[Limits], budget: PlanBudget | None = None) -> ChosenPlan:
    """The best choice of patterns found for the searcher's task within the budget of its settings' effort."""
    return _Planning(search, limits, budget).run()


class _Planning:
    def __init__(self, search: Searcher, limits: Sequence[Limits], budget: PlanBudget | None) -> None:
        self.search, self.limits = search, limits
        self.hopes = limits
        """What searches are asked by first: the limits, or of many hides what is hoped of them."""
        self.task, self.asked = search.task, search.settings.effort
        self.choice = choose(self.task, ())
        self.all = tuple(demand.wanted for demand in self.task.demands)
        none = Least(0.0, 0, possible=False)
        self.target = least(self.task, limits, self.all, self._stop) if self.task.groups else none
        self.budget = budget or budget_for(self.asked, len(self.task.groups), self.target.hides)
        search.budget = self.budget.searches

    def run(self) -> ChosenPlan:
        if self.task.groups:
            self.start()
            if self.hopes is not self.limits:
                self.improve(self.hopes)
            self.improve(self.limits)
            swap(self.search, self.limits, self.choice, self.budget.effort)
            self.take_stock()
            self.polish()
        bound = self.target if self.full else least(self.task, self.limits, self.choice.filled, self._stop)
        patterns = self.search.pool.patterns
        return ChosenPlan(
            patterns,
            self.choice,
            bound,
            self.target.possible,
            self.search.stopped,
            self._relaxed(patterns),
            (self.search.made, self.search.budget),
        )

    def _stop(self) -> bool:
        return self.search.stopped

    def _relaxed(self, patterns: Sequence[CuttingPattern]) -> float | None:
        if not self.full or not patterns:
            return None
        told = prices(self.task, patterns)
        return None if sum(told.short) > NEAR else sum(x * p.cost for x, p in zip(told.used, patterns, strict=True))

    @property
    def full(self) -> bool:
        """Whether the plan held fills the order."""
        return self.choice.filled == self.all

    @property
    def proven(self) -> bool:
        """Whether no plan can cost less."""
        cost = self.choice.cost(self.search.pool.patterns)
        return self.full and cost <= self.target.cost + NEAR

    def start(self) -> None:
        """Hides filled one after the other: product by product, then mixed in stock order and in order of promise."""
        if len(self.task.groups) > MANY:
            self._start_many()
            return
        self._filling(self.budget.effort).product_by_product()
        self.take_stock()
        worths = self._by_area()
        orders = list(range(len(self.task.groups))), promising(self.search, self.limits, worths)
        for groups in orders[: 1 if orders[0] == orders[1] else 2]:
            if not self.proven:
                self._filling(self.budget.effort).mixed(groups, worths)
                self.take_stock()

    def _start_many(self) -> None:
        """Of many hides those that a hoped plan cuts; where hopes do not fill the order, all of them mixed."""
        guide = Guide(self.search, self.limits, self.budget.effort)
        guide.run()
        self.hopes = guide.hopes()
        self.take_stock()
        if not self.full and not self.search.stopped:
            self.search.budget = max(self.search.budget, self.search.made + len(self.task.groups))
            self._fill_up()

    def _fill_up(self) -> None:
        """What the plan held lacks, on the hides that it leaves."""
        filling, worths = self._filling(self.budget.effort), self._by_area()
        for uses, pattern in zip(self.choice.uses, self.search.pool.patterns, strict=False):
            filling.take(pattern, uses) if uses else None
        filling.mixed(promising(self.search, self.hopes, worths), worths)
        self.take_stock()

    def _below(self) -> float:
        """What a better plan must cost less than."""
        return self.choice.cost(self.search.pool.patterns) if self.full else math.inf

    def improve(self, by: Sequence[Limits]) -> None:
        """Rounds of pricing, diving and aiming at covers, each with a new choice, while they bring something."""
        part = density(self.search, by)
        for _ in range(self.budget.rounds):
            if self.proven or not self.search.left:
                return
            told, new = improving_round(self.search, by, self.budget.effort, self._scarce())
            dive(self.search, by, told, self.budget.effort)
            aimed = aim_at_cover(self.search, by, part, self._below(), self.budget.effort)
            part *= NARROWER
            if not self.take_stock() and not new and not aimed:
                return

    def polish(self) -> None:
        """What decides, searched again at the effort asked for: the plan product by product, and the hides chosen."""
        if self.proven or not self.budget.polish or self.search.stopped:
            return
        self.search.budget = self.search.made + self.budget.polish
        if self._one_by_one_may_be_better():
            self._filling(self.asked).product_by_product()
            self.take_stock()
        chosen = [p for n, p in zip(self.choice.uses, self.search.pool.patterns, strict=False) if n]
        self.search.many(polishing_calls(self.search, self.limits, chosen, self.asked)[: self.search.left])
        self.take_stock()

    def take_stock(self) -> bool:
        """Choose again among all patterns; whether the plan became better."""
        patterns = self.search.pool.patterns
        if not patterns:
            return False
        found = choose(self.task, patterns, self.target)
        better = self._merit(found, patterns) < self._merit(self.choice, patterns)
        self.choice = found if better else self.choice
        self.search.best = self._told(patterns)
        return better

    def _filling(self, effort: str) -> Filling:
        return Filling(self.search, self.limits, effort)

    def _by_area(self) -> list[float]:
        """Items' worths by area; where the order cannot be filled, four times as much for each earlier date."""
        last = 0 if self.target.possible else max(demand.first_due for demand in self.task.demands)
        early = [4.0 ** min(6, max(0, last - demand.first_due)) for demand in self.task.demands]
        return [self.task.area(i) * early[item.demand] for i, item in enumerate(self.task.items)]

    def _scarce(self) -> float | None:
        """The budget to price under: none for an order that can be filled, else all hides."""
        return None if self.full else sum(group.cost * group.many for group in self.task.groups)

    def _one_by_one_may_be_better(self) -> bool:
        """Whether filling hides product by product could, by its proven limits, take fewer hides than the plan held.

        Of many hides it is not asked: at the effort asked for it would take as long as all else together.
        """
        if len(self.task.groups) > MANY:
            return False
        filling = self._filling(self.asked)
        return not self.full or filling.surely_needed() <= self.choice.hides

    def _merit(self, choice: ChosenPatterns, patterns: Sequence[CuttingPattern]) -> tuple[float, ...]:
        """Lower is better: products lacking (earliest first, by leather), cost, whole hides, hides, leftover."""
        lack = [0.0] * (1 + max(line.due for demand in self.task.demands for line in demand.lines))
        for demand, filled in zip(self.task.demands, choice.filled, strict=True):
            area = demand.cut[0][1].area if demand.cut else 1.0
            for line in demand.lines:
                lack[line.due] += area * max(0, line.wanted - filled)
                filled = max(0, filled - line.wanted)
        keep = sum(n * p.leftover for n, p in zip(choice.uses, patterns, strict=False))
        used = zip(choice.uses, patterns, strict=False)
        whole = sum(n for n, p in used if self.task.groups[p.group].hide.cut != "offcut")
        return (*lack, round(choice.cost(patterns), 6), whole, choice.hides, -round(keep, 9))

    def _told(self, patterns: Sequence[CuttingPattern]) -> str:
        cost = self.choice.cost(patterns)
        money = f", {cost:.2f} {self.task.currency}" if self.task.priced else ""
        lack = sum(self.all) - sum(self.choice.filled)
        return f"{self.choice.hides} hides{money}" + (f", {lack} products short" if lack else "")
