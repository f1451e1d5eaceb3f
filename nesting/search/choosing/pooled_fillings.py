"""The best of many fillings, pocket by pocket.

Pieces that stay part the leather that is left into pockets, and one filling does well in this, another in that. So the
places of all of them are pooled, and CP-SAT takes the most complete products out of them, or the most leather of a goal
(set packing, as in `set_packing`). On bare leather the same gains nothing: there every place hangs on all others.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from nesting.engine.cp_sat import limited, small_model, solve
from nesting.model.problem import Problem
from nesting.model.settings import Stop
from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.goals import Goal, Partial, leather_of, needed, part_of, shortfall
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.set_packing import clash_of, distinct, most_leather, pairs_of, takings
from nesting.search.filling.bottom_left_fill import bottom_left_fill
from nesting.search.filling.sequence_search import sequence, sweep

TIME = 2.0
"""CP-SAT's deterministic time for a choice."""

MOST = 2500
"""Places that are chosen among: those that the most fillings have."""


def fillings(fits: InnerFits, goal: Goal, seed: int, rounds: int, stop: Stop) -> list[tuple[Laid, ...]]:
    """A goal laid in so many orders, from all sides by turns: what of it goes in each."""
    problem, rng = fits.arrays.problem, np.random.default_rng(seed)
    found: list[tuple[Laid, ...]] = []
    for number in range(rounds):
        if stop():
            break
        order = sequence(problem, goal, rng, number)
        found.append(tuple(bottom_left_fill(fits, order, sweep(problem, rng, number))))
    return found


def pooled(arrays: Arrays, filled: Sequence[Sequence[Laid]], known: Sequence[Laid]) -> list[Laid]:
    """The places of fillings, each once: first those `known`, then those that most fillings have, at most `MOST`."""
    first = distinct(arrays, known)
    every = distinct(arrays, [*first, *(place for laid in filled for place in laid)])
    often = Counter(place for laid in filled for place in laid)
    rest = sorted(every[len(first) :], key=lambda place: -often[place])
    return [*first, *rest[: max(0, MOST - len(first))]]


def most_products(
    arrays: Arrays, places: Sequence[Laid], held: Goal, product: int, top: int, seed: int, known: int, stop: Stop
) -> tuple[Goal, tuple[Laid, ...]]:
    """The most of one product, up to `top`, beside what is `held` of the others, and its pieces.

    The first `known` places are a choice known to hold it all: it is what comes back where nothing better is found.
    """
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    problem, model = arrays.problem, small_model()
    taken = takings(model, len(places), pairs_of(clash_of(arrays, places)), known)
    number = model.new_int_var(held[product], top, "")
    for index, kind in enumerate(problem.kinds):
        mine = sum(taken[k] for k, place in enumerate(places) if place.kind == index)
        asked = number if kind.product == product else held[kind.product]
        model.add(mine + kind.given >= kind.count * asked)
        model.add(mine <= max(0, kind.count * (top if kind.product == product else held[kind.product]) - kind.given))
    worth = [max(1, round(problem.kinds[place.kind].area)) for place in places]
    model.maximize(number * (sum(worth) + 1) + sum(w * t for w, t in zip(worth, taken, strict=True)))
    solver = limited(TIME, seed=seed)
    if solve(solver, model, stop) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return held, tuple(places[:known])
    goal = tuple(solver.value(number) if p == product else n for p, n in enumerate(held))
    chosen = [place for k, place in enumerate(places) if solver.boolean_value(taken[k])]
    return goal, part_of(problem, chosen, goal)


def nearest(arrays: Arrays, places: Sequence[Laid], goal: Goal, seed: int, known: int) -> Partial:
    """The most leather of a goal that places of the pool hold; the first `known` are a choice known to be possible."""
    problem: Problem = arrays.problem
    laid = most_leather(problem, places, clash_of(arrays, places), Counter(needed(problem, goal)), TIME, seed, known)
    lacking = leather_of(problem, shortfall(problem, laid, goal))
    return Partial(part_of(problem, laid, goal), lacking, 0)
