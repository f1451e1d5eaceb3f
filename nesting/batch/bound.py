"""What no plan can beat: proven lower bounds on the cost of a filled order and on the hides it takes.

Validity. Let S(h) be the mixes of items that the proven limits of hide h leave possible (`limits`: the most of each
alone, and areas over regions for any mix). Every layout of h gives a mix in S(h), whoever made it, so every plan is
a choice of hides with one mix of S(h) each that together give what is wanted. Two relaxations of that choice are
solved, and the greater answer holds:

* *Mixes*: hides may be cut in fractions. For any prices π ≥ 0 of the items, a plan costs at least
  Σ π·wanted − Σ_h max(0, V(h) − cost(h)), where V(h) is the greatest worth π·y of a y in S(h) (Lagrangian duality;
  Farley 1990, "A note on bounding a class of linear programming problems, including cutting stock problems",
  Operations Research 38). V(h) is an upper bound proven by CP-SAT with prices rounded up, so neither the search nor
  a rounding error of the linear solver can spoil it; poor prices only make it weaker.
* *Cover*: hides are cut whole or not at all, each giving items within its limits, numbers whole (CP-SAT; its proven
  bound counts, should it not finish). With more than `ONE_BY_ONE` hides those of one group are taken together.

Credit: offcuts of a hide measure at most its area less that of the items cut from it, so that area is credited.
Limits are rounded outwards, costs downwards. Nothing here rests on layouts found, so a search that finds poor
patterns cannot make a bound that is too high.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from nesting.batch.limits import Limits
from nesting.batch.task import Task
from nesting.engine.cp_sat import limited, solve
from nesting.model.product import Product
from nesting.model.settings import Stop, never
from nesting.model.tolerance import SHARED

UNITS = 1_000_000
ONE_BY_ONE = 60
MOST_PRICINGS = 480
COVER_EFFORT = 1.0
PRICING_EFFORT = 0.1


@dataclass(frozen=True)
class Least:
    """No plan that gives as much costs less than `cost` or cuts fewer than `hides`.

    `possible` is False where it is proven that these hides cannot give as much.
    """

    cost: float
    hides: int
    possible: bool = True


@dataclass(frozen=True)
class Source:
    """One group of hides as the bound sees it: how many, what they cost, what they may give, the credit items lose."""

    many: int
    cost: float
    limits: Limits
    loss: tuple[float, ...]


def least(task: Task, limits: Sequence[Limits], filled: Sequence[int], stop: Stop = never) -> Least:
    """Lower bounds for plans that give at least `filled` products of each demand; `limits` are those of the groups.

    When `stop` says so the bounds are those proven by then.
    """
    wanted = task.wanted(filled)
    if not any(wanted):
        return Least(0.0, 0)
    hides = [Source(g.many, 1.0, lim, (0.0,) * len(wanted)) for g, lim in zip(task.groups, limits, strict=True)]
    number = bounded(hides, wanted, stop)
    if number is None:
        return Least(0.0, 0, possible=False)
    cost = bounded(sources(task, limits), wanted, stop)
    return Least(max(0.0, cost or 0.0), max(0, math.ceil(number - 1e-6)))


def sources(task: Task, limits: Sequence[Limits]) -> list[Source]:
    """The groups of a task with their costs."""
    return [_costed(task, g, lim) for g, lim in enumerate(limits)]


def sure_area(product: Product) -> float:
    """Leather that one product surely takes, mm²: pieces may lie in one another by the layout's tolerance."""
    return float(sum(p.count * max(0.0, p.area - SHARED * p.polygon.length) for p in product.pieces))


def bounded(given: Sequence[Source], wanted: Sequence[int], stop: Stop = never) -> float | None:
    """A lower bound on the cost of getting what is wanted from the sources; None where that is proven impossible."""
    told = cover(given, wanted, COVER_EFFORT, stop)
    return None if told is None else max(told.bound, _mixes(given, wanted, stop))


def _costed(task: Task, group: int, limits: Limits) -> Source:
    """A group with its costs, all credit for a whole hide taken off first and given back with each item cut."""
    source = task.groups[group]
    areas = [sure_area(product) if product else 0.0 for product in task.products[group]]
    cost = source.cost - source.credit * source.hide.measured_area
    return Source(source.many, cost, limits, tuple(source.credit * area for area in areas))


@dataclass(frozen=True)
class HideCover:
    """The cheapest hides whose limits allow what is wanted: a proven lower bound, and the best choice found.

    `cuts` are (source, mix) pairs, one for each hide cut (or one for all of a source's hides taken together).
    """

    bound: float
    cuts: tuple[tuple[int, tuple[int, ...]], ...]


def cover(sources: Sequence[Source], wanted: Sequence[int], effort: float, stop: Stop = never) -> HideCover | None:
    """The choice of whole hides and mixes within the limits; None where it is proven that there is none."""
    model = cp_model.CpModel()
    given: list[list[cp_model.LinearExprT]] = [[] for _ in wanted]
    cost: list[cp_model.LinearExprT] = []
    cuts: list[tuple[int, cp_model.IntVar, list[cp_model.IntVar]]] = []
    single = sum(source.many for source in sources) <= ONE_BY_ONE
    for place, source in enumerate(sources):
        before: cp_model.IntVar | None = None
        for _ in range(source.many if single else 1):
            cut = model.new_int_var(0, 1 if single else source.many, "")
            counts = counts_within(model, source.limits, cut, 1 if single else source.many, wanted)
            model.add(sum(counts) >= cut)
            if before is not None:
                model.add(cut <= before)
            before = cut
            cuts.append((place, cut, counts))
            cost.append(math.floor(source.cost * UNITS) * cut)
            cost += [math.floor(loss * UNITS) * n for loss, n in zip(source.loss, counts, strict=True)]
            for row, count in zip(given, counts, strict=True):
                row.append(count)
    for row, need in zip(given, wanted, strict=True):
        model.add(sum(row) >= need)
    model.minimize(sum(cost))
    solver = limited(effort)
    status = solve(solver, model, stop)
    if status == cp_model.INFEASIBLE:
        return None
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    chosen = tuple((p, tuple(solver.value(n) for n in ns)) for p, cut, ns in cuts if found and solver.value(cut))
    return HideCover(float(solver.best_objective_bound) / UNITS, chosen)


def counts_within(
    model: cp_model.CpModel, limits: Limits, cut: cp_model.LinearExprT, many: int, wanted: Sequence[int]
) -> list[cp_model.IntVar]:
    """Variables for a mix within the limits of `cut` hides (at most `many`)."""
    tops = [min(most * many, need) for most, need in zip(limits.most, wanted, strict=True)]
    counts = [model.new_int_var(0, top, "") for top in tops]
    for count, most in zip(counts, limits.most, strict=True):
        model.add(count <= most * cut)
    for uses, room in limits.rows:
        scale = 1e7 / max(room, max(uses), 1e-9)
        left = sum(math.floor(use * scale) * count for use, count in zip(uses, counts, strict=True))
        model.add(left <= math.ceil(room * scale) * cut)
    return counts


def _mixes(sources: Sequence[Source], wanted: Sequence[int], stop: Stop) -> float:
    """The bound from mixes in fractions, by column generation over the mixes that the limits leave."""
    alike: dict[Source, int] = {}
    for source in sources:
        key = Source(1, source.cost, source.limits, source.loss)
        alike[key] = alike.get(key, 0) + source.many
    kinds = [Source(many, key.cost, key.limits, key.loss) for key, many in alike.items()]
    mixes = [(k, mix) for k, kind in enumerate(kinds) for mix in _singles(kind, wanted)]
    best = -math.inf
    prices, taken = _first_prices(kinds, wanted), [0.0] * len(kinds)
    for _ in range(max(3, MOST_PRICINGS // len(kinds))):
        if stop():
            break
        bound = sum(price * need for price, need in zip(prices, wanted, strict=True))
        new = []
        for k, kind in enumerate(kinds):
            worth, mix = best_mix(kind, prices, wanted)
            bound -= kind.many * max(0.0, worth - kind.cost)
            if worth - kind.cost - taken[k] > 1e-7 * (1 + abs(kind.cost)) and (k, mix) not in mixes:
                new.append((k, mix))
        best = max(best, bound)
        if not new:
            break
        mixes += new
        prices, taken = _relaxed(kinds, mixes, wanted)
    return best


def _first_prices(kinds: Sequence[Source], wanted: Sequence[int]) -> list[float]:
    """Prices to begin with: those of the cover in fractions, hides and items alike."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    given: list[list[pywraplp.Variable]] = [[] for _ in wanted]
    cost = []
    for kind in kinds:
        cut = solver.NumVar(0, kind.many, "")
        counts = [solver.NumVar(0, solver.infinity(), "") for _ in wanted]
        for count, most, row in zip(counts, kind.limits.most, given, strict=True):
            solver.Add(count <= most * cut)
            row.append(count)
        for uses, room in kind.limits.rows:
            solver.Add(solver.Sum(u * n for u, n in zip(uses, counts, strict=True)) <= room * cut)
        cost += [kind.cost * cut, *(loss * n for loss, n in zip(kind.loss, counts, strict=True))]
    rows = [solver.Add(solver.Sum(row) >= need) for row, need in zip(given, wanted, strict=True)]
    solver.Minimize(solver.Sum(cost))
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return [0.0] * len(wanted)
    return [max(0.0, row.dual_value()) for row in rows]


def _singles(kind: Source, wanted: Sequence[int]) -> list[tuple[int, ...]]:
    """For each item the most of it alone that the limits leave."""
    mixes = []
    for i, need in enumerate(wanted):
        rooms = [math.floor(room / uses[i] + 1e-9) for uses, room in kind.limits.rows if uses[i] > 0]
        top = max(0, min([kind.limits.most[i], need, *rooms]))
        if top:
            mixes.append(tuple(top if j == i else 0 for j in range(len(wanted))))
    return mixes


def _relaxed(
    kinds: Sequence[Source], mixes: Sequence[tuple[int, tuple[int, ...]]], wanted: Sequence[int]
) -> tuple[list[float], list[float]]:
    """Prices of items and of hides from the linear choice among the mixes known."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    uses = [solver.NumVar(0, solver.infinity(), "") for _ in mixes]
    lack = [solver.NumVar(0, solver.infinity(), "") for _ in wanted]
    costs = [kinds[k].cost + sum(a * n for a, n in zip(kinds[k].loss, mix, strict=True)) for k, mix in mixes]
    rows = [
        solver.Add(solver.Sum(x * mix[i] for x, (_, mix) in zip(uses, mixes, strict=True) if mix[i]) + lack[i] >= need)
        for i, need in enumerate(wanted)
    ]
    tops = [
        solver.Add(solver.Sum(x for x, (j, _) in zip(uses, mixes, strict=True) if j == k) <= kind.many)
        for k, kind in enumerate(kinds)
    ]
    dear = 10 * max(abs(kind.cost) for kind in kinds) + 1
    solver.Minimize(solver.Sum(x * c for x, c in zip(uses, costs, strict=True)) + dear * solver.Sum(lack))
    solver.Solve()
    return [max(0.0, row.dual_value()) for row in rows], [max(0.0, -row.dual_value()) for row in tops]


def best_mix(kind: Source, prices: Sequence[float], wanted: Sequence[int]) -> tuple[float, tuple[int, ...]]:
    """An upper bound on the worth (less credit lost) of any mix the limits leave, and the best mix found."""
    worths = [price - loss for price, loss in zip(prices, kind.loss, strict=True)]
    top = max(worths, default=0.0)
    if top <= 0:
        return 0.0, (0,) * len(wanted)
    scale = 1e6 / top
    model = cp_model.CpModel()
    counts = counts_within(model, kind.limits, 1, 1, wanted)
    model.maximize(sum(math.ceil(w * scale) * n for w, n in zip(worths, counts, strict=True) if w > 0))
    solver = limited(PRICING_EFFORT)
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return float(solver.best_objective_bound) / scale, (0,) * len(wanted)
    return float(solver.best_objective_bound) / scale, tuple(solver.value(n) for n in counts)
