"""One leather a line: which of several leathers in stock each product of an order is cut from.

What is sold together should look and bend alike, so all of a line comes from one leather of one range of thickness,
unless the line says otherwise (`same`). Hides are *alike* for a line when they agree in all that it names; thicknesses
agree where their ranges meet, one after the other. Of the ways to give each product its leather the one is taken that
the proven limits of the hides let fill the most, at the least cost.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from hides.hide import Hide
from nesting.batch.bound import cover, least, sources
from nesting.batch.limits import Limits
from nesting.batch.task import Task

EFFORT = 0.2
MOST_WAYS = 16
"""Ways to give products their leathers that are weighed with a bound each."""

Kinds = tuple[tuple[int, ...], ...]
"""Groups of hides alike for a demand, as indices into `Task.groups`."""


@dataclass(frozen=True)
class Given:
    """For each demand the groups it may be cut from, and the task and limits with nothing else in them."""

    groups: Kinds
    task: Task
    limits: tuple[Limits, ...]


def ways(task: Task, limits: Sequence[Limits], learn: Callable[[], Sequence[Limits]] | None = None) -> list[Given]:
    """The ways to give each demand one kind of leather, the most promising first; one where nothing is to choose.

    Of those that the proven limits let fill the most that one comes first that is the cheapest by what searches are
    hoped to give (which `learn` finds out where there is a choice; without it, by the limits).
    """
    many = range(len(task.demands))
    choices = [_choices(task, limits, limits, d) for d in many]
    hopes = learn() if learn and _many(choices) > 1 else None
    if hopes is not None:
        choices = [_choices(task, limits, hopes, d) for d in many]
    while _many(choices) > MOST_WAYS:
        longest = max(range(len(choices)), key=lambda d: len(choices[d]))
        choices[longest] = choices[longest][:-1]
    made = [_given(task, limits, way) for way in itertools.product(*choices)]
    if len(made) == 1:
        return made
    wanted = [demand.wanted for demand in task.demands]
    told = [least(each.task, each.limits, wanted) for each in made]
    costs = [each.cost for each in told]
    if hopes is not None:
        costs = [_hoped_cost(_given(task, hopes, each.groups)) for each in made]
    order = sorted(range(len(made)), key=lambda k: (not told[k].possible, _lacking(made[k]), costs[k], k))
    return [made[k] for k in order]


def _hoped_cost(given: Given) -> float:
    """What a way costs at least if hides give what is hoped; endless where they would not fill the order."""
    found = cover(sources(given.task, given.limits), given.task.wanted(), EFFORT)
    return found.bound if found is not None else math.inf


def _choices(task: Task, limits: Sequence[Limits], hopes: Sequence[Limits], demand: int) -> list[tuple[int, ...]]:
    """Kinds of leather for a demand; where single products are to be alike, also those that each alone would do."""
    found = _promising(task, limits, hopes, demand, alike(task, demand))
    parts = kinds_of_products(task, demand)
    inside = [kind for whole in found for kind in parts if len(parts) > 1 and set(kind) < set(whole)]
    return [*found, *_promising(task, limits, hopes, demand, tuple(inside))] if inside else found


def kinds_of_products(task: Task, demand: int) -> Kinds:
    """The groups that could serve a demand, gathered by what pieces of one product want the same (`same_each`)."""
    line = task.demands[demand].lines[0]
    return alike(task, demand, line.same_each)


def alike(task: Task, demand: int, same: Sequence[str] | None = None) -> Kinds:
    """The groups that could serve a demand, gathered by what its lines (or `same`) want to be the same."""
    same = task.demands[demand].lines[0].same if same is None else same
    items = [i for i, item in enumerate(task.items) if item.demand == demand]
    serving = [g for g, row in enumerate(task.products) if any(row[i] is not None for i in items)]
    kinds: dict[object, list[int]] = {}
    for g in serving:
        kinds.setdefault(_key(task.groups[g].hide, same), []).append(g)
    if "thickness" not in same:
        return tuple(tuple(kind) for kind in kinds.values())
    return tuple(part for kind in kinds.values() for part in _by_thickness(task, kind))


def _key(hide: Hide, same: Sequence[str]) -> tuple[str, ...]:
    told = {
        "leather": hide.leather.casefold(),
        "colour": hide.colour.casefold(),
        "lot": hide.lot.casefold(),
        "hide": hide.name,
    }
    return tuple(told[name] for name in same if name in told)


def _by_thickness(task: Task, kind: Sequence[int]) -> list[tuple[int, ...]]:
    """Parts of a kind whose ranges of thickness meet; hides of unstated thickness are a part of their own."""
    stated = sorted((g for g in kind if task.groups[g].hide.thickness), key=lambda g: _range(task, g))
    parts: list[list[int]] = []
    top = 0.0
    for g in stated:
        low, high = _range(task, g)
        if parts and low <= top:
            parts[-1].append(g)
        else:
            parts.append([g])
        top = max(top, high) if low <= top else high
    unstated = [g for g in kind if g not in stated]
    return [tuple(sorted(part)) for part in [*parts, *([unstated] if unstated else [])]]


def _range(task: Task, group: int) -> tuple[float, float]:
    stack = task.groups[group].hide.thickness
    return (stack.low, stack.high) if stack else (0.0, 0.0)


def _promising(
    task: Task, limits: Sequence[Limits], hopes: Sequence[Limits], demand: int, kinds: Kinds
) -> list[tuple[int, ...]]:
    """Kinds of leather for a demand: those that could fill it first, and of these the cheapest by what is hoped."""
    wanted = task.demands[demand].wanted

    def rank(kind: tuple[int, ...]) -> tuple[float, float, float]:
        whole, hoped = (sum(_most(task, by, demand, g) * task.groups[g].many for g in kind) for by in (limits, hopes))
        most = {g: _most(task, hopes, demand, g) for g in kind}
        each = min((task.groups[g].cost / most[g] for g in kind if most[g]), default=math.inf)
        return max(0, wanted - whole), max(0, wanted - hoped), each

    return sorted(kinds, key=rank) or [()]


def _most(task: Task, limits: Sequence[Limits], demand: int, group: int) -> int:
    """Products of a demand that a hide of a group could give at most."""
    told = [limits[group].most[i] // item.each for i, item in enumerate(task.items) if item.demand == demand]
    return min(told, default=0)


def _many(choices: Sequence[Sequence[object]]) -> int:
    many = 1
    for each in choices:
        many *= len(each)
    return many


def _given(task: Task, limits: Sequence[Limits], way: Kinds) -> Given:
    """The task in which each demand has only its own groups; groups that serve nothing are gone."""
    rows = [
        tuple(product if g in way[item.demand] else None for item, product in zip(task.items, row, strict=True))
        for g, row in enumerate(task.products)
    ]
    kept = [g for g, row in enumerate(rows) if any(product is not None for product in row)]
    masked = [_masked(limits[g], [product is not None for product in rows[g]]) for g in kept]
    own = replace(task, groups=tuple(task.groups[g] for g in kept), products=tuple(rows[g] for g in kept))
    return Given(way, own, tuple(masked))


def _masked(limits: Limits, serves: Sequence[bool]) -> Limits:
    return replace(limits, most=tuple(most if own else 0 for most, own in zip(limits.most, serves, strict=True)))


def _lacking(given: Given) -> int:
    """Products that the limits alone show to be lacking."""
    task, limits = given.task, given.limits
    lack = 0
    for demand in range(len(task.demands)):
        most = sum(_most(task, limits, demand, g) * group.many for g, group in enumerate(task.groups))
        lack += max(0, task.demands[demand].wanted - most)
    return lack
