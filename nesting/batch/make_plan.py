"""An order and a shelf of hides: the plan. Everything is wired here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from hides.hide import Hide
from nesting.batch.bound import least
from nesting.batch.demand import ProductDemand, Read, catalogue, demands
from nesting.batch.finishing import Again, cuts
from nesting.batch.guided import hopes_by_trials
from nesting.batch.leaving import Leaving
from nesting.batch.limits import Limits, LimitsOf, limits_of, task_limits
from nesting.batch.mixing import leather_remarks
from nesting.batch.one_leather import ways
from nesting.batch.order import Order
from nesting.batch.pattern import CuttingPattern
from nesting.batch.plan import Plan, PlannedHide
from nesting.batch.planner import ChosenPlan, choose_patterns
from nesting.batch.pricing import exact_call
from nesting.batch.searching import Known, Searcher, Solve
from nesting.batch.splitting import with_split
from nesting.batch.task import Task, make_task
from nesting.laying.lay_out import lay_out
from nesting.model.settings import Deadline, Settings, Watch, any_of, never

TRIED_WAYS = 2
"""Ways to give products their leathers that are planned, where the first does not fill the order."""

TIDY_SEARCHES = 6
"""Searches beyond the budget for a better leftover on hides that are not cut out."""


@dataclass(frozen=True)
class Tools:
    """What the planner works with: the reader of projects, the search for one hide, and its proven limits.

    Handed to `make_plan`, which has an example.
    """

    read: Read
    solve: Solve = lay_out
    limits_of: LimitsOf = limits_of


def make_plan(
    order: Order,
    hides: Sequence[Hide],
    tools: Tools,
    settings: Settings | None = None,
    watch: Watch | None = None,
    deadline: Deadline | None = None,
) -> Plan:
    """The best plan found for the order from these hides, every layout checked.

    `watch.executor` carries the searches, hide beside hide; without one they are made in turn, in this process.
    `deadline` is the wall clock's stop for searches in other processes. Raises InputError where the order and the
    hides do not go together, LayoutFault should a layout fail its check.

    >>> from nesting import Piece, Product, Settings
    >>> from nesting.batch.order import OrderLine
    >>> board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)))
    >>> coaster = Product("coaster", (Piece("square", ((0, 0), (100, 0), (100, 100), (0, 100))),))
    >>> order = Order("eight coasters", (OrderLine("coaster.toml", 8),))
    >>> plan = make_plan(order, [board, board], Tools(lambda *_: coaster), Settings(effort="quick"))
    >>> plan.filled, len(plan.cuts)
    ((8,), 2)
    """
    settings, watch = replace(settings or Settings(), begin=False, tidily=False, cuts=order.cuts), watch or Watch()
    hides, split = with_split(order, hides)
    wanted = demands(order, hides, tools.read)
    task = make_task(wanted, hides, order.credit, order.offcuts_first)
    leather = [group.hide for group in task.groups]
    stop = any_of(watch.stop, deadline or never)
    limits = task_limits(leather, task.products, settings, tools.limits_of, replace(watch, stop=stop))
    best = _planned(task, limits, settings, tools, watch, deadline)
    chosen = best.chosen
    leaving = Leaving(best.search, lambda hide: catalogue(order, hide, tools.read))
    cut = cuts(best.task, chosen, settings, tools.limits_of, _tidier(best.search), order.parting, leaving, stop)
    proven = chosen.least if best.only else least(task, limits, chosen.choice.filled, stop)
    possible = chosen.possible if best.only else least(task, limits, [d.wanted for d in wanted], stop).possible
    return Plan(
        order=order,
        demands=wanted,
        filled=chosen.choice.filled,
        cuts=cut,
        least_cost=proven.cost if task.priced else 0.0,
        least_hides=proven.hides,
        possible=possible,
        currency=task.currency,
        seed=settings.seed,
        effort=settings.effort,
        stopped=chosen.stopped,
        relaxed=chosen.relaxed if task.priced and not order.offcuts_first else None,
        cheapest_known=chosen.cheapest_known,
        searches=chosen.searches,
        remarks=(
            *_remarks(wanted, hides, task, cut),
            *_losses(best.search),
            *(f"{split[each.hide.name]}, which its cost holds." for each in cut if each.hide.name in split),
            *leather_remarks(task, chosen.choice.filled, cut),
        ),
    )


@dataclass(frozen=True)
class _Planned:
    """A plan's patterns for one way to give products their leathers; `only`: there was no other way."""

    search: Searcher
    task: Task
    chosen: ChosenPlan
    only: bool


def _planned(
    task: Task, limits: Sequence[Limits], settings: Settings, tools: Tools, watch: Watch, deadline: Deadline | None
) -> _Planned:
    """The most promising way planned; where it does not fill the order, the next one too, and the better kept.

    So it is where single products are to be alike, which the search for hides knows nothing of.
    """
    known: Known = {}
    trying = Searcher(task, settings, watch, tools.solve, deadline, known)
    made: list[_Planned] = []
    for way in ways(task, limits, partial(hopes_by_trials, trying, limits))[:TRIED_WAYS]:
        search = Searcher(way.task, settings, watch, tools.solve, deadline, known)
        chosen = choose_patterns(search, way.limits)
        made.append(_Planned(search, way.task, chosen, way.task.products == task.products))
        full = chosen.choice.filled == tuple(demand.wanted for demand in task.demands)
        if (full and not any(demand.lines[0].same_each for demand in task.demands)) or search.stopped:
            break
    return max(made, key=_leather_filled)


def _leather_filled(planned: _Planned) -> tuple[float, float]:
    """How much leather of what is wanted a plan gives, and how cheaply: more is better."""
    task, choice = planned.task, planned.chosen.choice
    areas = [0.0] * len(task.demands)
    for i, item in enumerate(task.items):
        areas[item.demand] += task.area(i) * item.each
    filled = sum(area * n for area, n in zip(areas, choice.filled, strict=True))
    return filled, -choice.cost(planned.chosen.patterns)


def _tidier(search: Searcher) -> Again:
    """Searches again for exact counts while `TIDY_SEARCHES` last and nobody asks to stop."""
    left = [TIDY_SEARCHES]

    def again(group: int, counts: tuple[int, ...]) -> CuttingPattern | None:
        if not left[0] or search.stopped:
            return None
        left[0] -= 1
        return search.one(exact_call(search, group, counts, search.settings.effort))

    return again


def _remarks(
    wanted: Sequence[ProductDemand], hides: Sequence[Hide], task: Task, cut: Sequence[PlannedHide]
) -> list[str]:
    """What the person should know of the hides, in plain sentences."""
    used = {place for group in task.groups for place in group.places}
    idle = [hide.name for place, hide in enumerate(hides) if place not in used]
    told = []
    if idle:
        whose = "its" if len(idle) == 1 else "their"
        why = f"{whose} leather, thickness or missing backbone suits no line of the order"
        told.append(f"Left out: {_listed(idle)} ({why}).")
    for demand in wanted:
        if not demand.cut:
            free = " that is not kept for somebody else" if any(line.closed for line in demand.lines) else ""
            told.append(f"No hide{free} suits {demand.name}: look at its leather and thickness.")
    bare = [each.hide.name for each in cut if each.hide.price is None]
    if bare and task.priced:
        told.append(f"Without a price, so counted at nought: {_listed(bare)}.")
    elif bare:
        told.append("No hide has a price, so the plan seeks the least leather and its cost is told as nought.")
    guessed = [each.hide.name for each in cut if each.hide.estimate]
    if guessed:
        told.append(f"ESTIMATE: {_listed(guessed)} were not measured; what they give is a guess at a typical hide.")
    return told


def _losses(search: Searcher) -> list[str]:
    """That workers died; the plan does not depend on it, for the same searches were made here."""
    if not search.lost:
        return []
    return [f"Workers ended before they had answered: {search.lost} of their searches were made in this process."]


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:8])
    return f"{shown} and {len(names) - 8} more" if len(names) > 8 else shown
