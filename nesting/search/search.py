"""The whole search: constructions for a first answer, then one product more and more, spares, a tidy leftover.

One more is sought in many orders (`orders`), and by turns in neighbourhoods laid anew and by pulling overlaps apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from nesting.bound.limits import Limit
from nesting.model.problem import Problem
from nesting.model.settings import Progress, Stop, Watch
from nesting.search.arrays.arrays import Pose
from nesting.search.arrays.goals import Goal, Partial, given_alone, needed
from nesting.search.arrays.inner_fits import Laid
from nesting.search.choosing.pooled_fillings import most_products, nearest, pooled
from nesting.search.effort import BUDGETS, SearchBudget
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill
from nesting.search.filling.continued_lattice import continued_lattice
from nesting.search.filling.lattice_fill import lattice_fill
from nesting.search.finishing import Finishing
from nesting.search.groundwork import Groundwork
from nesting.search.rectangles.rectangles import all_rectangles, fill_rectangles
from nesting.search.separation.guided_local_search import PulledApart
from nesting.search.tasks import (
    beside_task,
    fill_task,
    fillings_task,
    neighbourhoods_task,
    pull_apart_task,
    sequences_task,
)
from nesting.search.tidying.tidy import tidied

MOVES_A_PIECE = 3
"""What laying a piece costs, in moves of a separation."""

ORDERS, LEAST_ORDERS = 0.4, 6
"""The share of the moves that orders may take of a goal, and the orders of a run that are laid at least."""

PULLED = 3
"""Of so many turns at a goal one pulls overlaps apart; the others lay neighbourhoods anew."""

STRAY = 0.02
"""How far every other turn at neighbourhoods strays where there are many: one finds its way out of a layout that no
window betters, the next one searches what is as good."""

WEARY = 0.75
"""How much less a layout's neighbourhoods promise after every turn in vain, in shares of what it lacks."""

MANY = 12
"""From so many equal pieces on, a lattice of them is tried."""

POCKETS = 0.15
"""Where pieces that stay take more than this share of the leather, what is left is pockets."""

AHEAD = 2
"""Products more than are held that fillings are asked for whose places are pooled."""

PLACES, LEAST_FILLINGS = 12_000, 16
"""Places of fillings that are pooled at a time, about, and the least of such fillings."""

TASKS = 2
"""Tasks handed out together. Fixed, so that the answer does not depend on the number of cores."""


@dataclass(frozen=True)
class Found:
    """The best layout found: complete products, their pieces, and spares beyond them.

    `impossible`: goals that no layout whatever can hold, where the search proved as much. `begun` are pieces of one
    more product of a kind, not all of them.
    """

    goal: Goal
    pieces: tuple[Pose, ...] = ()
    spares: tuple[Pose, ...] = ()
    stopped: bool = False
    impossible: tuple[Goal, ...] = ()
    begun: tuple[Pose, ...] = ()


def search(
    ground: Groundwork,
    limits: Sequence[Limit],
    effort: str,
    seed: int,
    watch: Watch,
    sharper: Callable[[Stop], Sequence[Limit]] | None = None,
    *,
    begin: bool = False,
    tidily: bool = False,
    improved: Callable[[Found], None] | None = None,
) -> Found:
    """The layout of greatest worth found within the effort's budget, or until `watch.stop` says so.

    `limits` are what is proven before anything is laid; `sharper`, asked after the first layout, what is proven then.
    With `begin` pieces of one more of each product are laid too; with `tidily` all is laid tidily in the end, as far as
    that takes nothing. `improved` hears of every best layout so far.
    """
    with _executor(watch.executor) as executor:
        stop = watch.stop if watch.executor is None else watch.stop_there
        going = Search(ground, tuple(limits), BUDGETS[effort], seed, watch, executor, stop, begin, tidily, improved)
        going.grow()
        if sharper is not None and not going.halted():
            going.limits = tuple(sharper(watch.stop))
        going.improve()
        going.tidy()
        return going.found()


class _executor:
    """The executor handed in, or threads of our own for as long as the search lasts (kernels release the lock)."""

    def __init__(self, given: Executor | None) -> None:
        self.given = given
        self.own: ThreadPoolExecutor | None = None

    def __enter__(self) -> Executor:
        if self.given is not None:
            return self.given
        self.own = ThreadPoolExecutor(TASKS)
        return self.own

    def __exit__(self, *_: object) -> None:
        if self.own:
            self.own.shutdown()


@dataclass
class Search:
    """One search as it goes: what was best so far and what is left of the budget. `stop` is what its tasks ask."""

    ground: Groundwork
    limits: tuple[Limit, ...]
    budget: SearchBudget
    seed: int
    watch: Watch
    executor: Executor
    stop: Stop
    begin: bool = True
    tidily: bool = True
    improved: Callable[[Found], None] | None = None
    best: Goal = ()
    laid: tuple[Laid, ...] = ()
    begun: tuple[Laid, ...] = ()
    spares: tuple[Laid, ...] = ()
    moves_left: int = 0
    stopped: bool = False
    failures: dict[Goal, int] = field(default_factory=dict)
    impossible: list[Goal] = field(default_factory=list)
    nearest: dict[Goal, tuple[Laid, ...]] = field(default_factory=dict)
    partial: dict[Goal, list[Partial]] = field(default_factory=dict)
    filled: list[tuple[Laid, ...]] = field(default_factory=list)
    packed: set[Goal] = field(default_factory=set)
    hopeless: set[Goal] = field(default_factory=set)
    angles: int = field(init=False)

    def __post_init__(self) -> None:
        self.best = given_alone(self.problem)
        if self._mostly_fixed():
            self.budget = self.budget.beside_fixed()
        self.moves_left = self.budget.moves
        self.angles = self.ground.first_angles(self.budget.angles)

    @property
    def problem(self) -> Problem:
        """The problem that is searched."""
        return self.ground.problem

    def _mostly_fixed(self) -> bool:
        """Whether so much stays that what is left is pockets; a few pieces leave a hide as good as bare."""
        problem = self.problem
        stays = sum(problem.kinds[each.kind].area for each in problem.fixed)
        return stays > POCKETS * (stays + max((region.area for region in problem.regions), default=0.0))

    # what may be tried

    def worth(self, goal: Goal) -> float:
        return sum(n * w.worth for n, w in zip(goal, self.problem.wanted, strict=True))

    def allowed(self, goal: Goal) -> bool:
        """Whether a goal keeps within what is wanted and what is possible at all."""
        if any(w.limit is not None and n > w.limit for n, w in zip(goal, self.problem.wanted, strict=True)):
            return False
        if min(goal) < 0 or not self._fits(goal):
            return False
        if any(all(n >= m for n, m in zip(goal, never_held, strict=True)) for never_held in self.impossible):
            return False
        return all(sum(u * n for u, n in zip(x.uses, goal, strict=True)) <= x.room * (1 + 1e-9) for x in self.limits)

    def _fits(self, goal: Goal) -> bool:
        fits = self.ground.inner_fits(self.budget.rotations)
        return all(fits.rotations(index) for index, many in needed(self.problem, goal).items() if many)

    def better_goals(self) -> Iterator[Goal]:
        """Goals worth more than the best, one product more or one changed for another, the likeliest first."""
        size = len(self.best)
        moves: list[tuple[float, float, Goal]] = []
        for p in range(size):
            for less in [None, *[q for q in range(size) if q != p and self.best[q] > 0]]:
                goal = list(self.best)
                goal[p] += 1
                if less is not None:
                    goal[less] -= 1
                made = tuple(goal)
                gain = self.worth(made) - self.worth(self.best)
                if gain > 1e-12 and self.allowed(made):
                    moves.append((self._area(made), -gain, made))
        yield from (goal for _, _, goal in sorted(moves, key=lambda m: (self.failures.get(m[2], 0), m[0], m[1])))

    def _area(self, goal: Goal) -> float:
        return sum(self.problem.kinds[kind].area * many for kind, many in needed(self.problem, goal).items())

    # phases

    def grow(self) -> None:
        """Constructions: each product in turn, dearest leather first, as many as go."""
        order = sorted(range(len(self.best)), key=lambda p: (-self._density(p), p))
        for product in order:
            self._grow_one(product)

    def _density(self, product: int) -> float:
        return self.problem.wanted[product].worth / max(self._size(product), 1e-9)

    def _size(self, product: int) -> float:
        """The leather that one of a product takes, mm²."""
        return sum(k.area * k.count for k in self.problem.kinds if k.product == product)

    def _grow_one(self, product: int) -> None:
        top = self._most(product)
        given = any(kind.given for kind in self.problem.kinds)
        if given:
            self._carry_on(product, top)
        else:
            self._interlock(product, top)
        beside = any(self.best) and (not given or bool(self.laid))
        if beside and not given:
            self._beside(product, top)
        low, high = self.best[product], top
        step = 1 if beside else max(1, int(0.75 * (high - low)))
        while low < high and not self.halted():
            trial = min(high, low + step)
            goal = _with(self.best, product, trial)
            laid = self.attempt(goal)
            if laid is not None:
                self.take(goal, laid)
                low = trial
                step = max(1, (high - low) // 2) if high < top else 2 * step if beside else 1
            else:
                high = trial - 1
                step = max(1, (high - low + 1) // 2)
            self.report("laying pieces", 0.05)

    def _beside(self, product: int, top: int) -> None:
        """What goes in beside what lies there already: the most of several fillings."""
        more = top - self.best[product]
        tries = range(self.budget.constructions if more else 0)
        tasks = [(self.ground, self.angles, self.laid, product, more, self.seed, k) for k in tries]
        filled = [laid for laid in self.together(beside_task, tasks) if laid]
        if filled and not self.halted():
            added = max(filled, key=len)
            pieces = sum(k.count for k in self.problem.kinds if k.product == product)
            self.take(_with(self.best, product, self.best[product] + len(added) // pieces), (*self.laid, *added))

    def round_off(self) -> None:
        """Of several products those that go beside what lies, the largest first: far sooner than all laid anew."""
        for product in sorted(range(len(self.best)), key=lambda p: (-self._size(p), p)):
            if not self.halted():
                self._beside(product, self._most(product))

    def _interlock(self, product: int, top: int) -> None:
        """Many equal pieces on empty leather: begin with the best lattice and what goes in beside it."""
        kinds = self.problem.kinds_of(product)
        if len(kinds) != 1 or self.laid or self.halted() or top * self.problem.kinds[kinds[0]].count < MANY:
            return
        fits, count = self.ground.inner_fits(self.angles), self.problem.kinds[kinds[0]].count
        laid = lattice_fill(fits, kinds[0])
        for angle in (0.0, 90.0) if len(laid) < top * count else ():
            sweep = Sweep(np.radians(self.problem.bearing + angle))
            laid += bottom_left_fill(fits, [kinds[0]] * (top * count - len(laid)), sweep, laid)
        number = min(len(laid) // count, top)
        if number > self.best[product]:
            self.take(_with(self.best, product, number), tuple(laid[: number * count]))

    def _carry_on(self, product: int, top: int) -> None:
        """Equal pieces beside some that stay: begin with the lattice that these lie in and what goes in beside it."""
        kinds = self.problem.kinds_of(product)
        if len(kinds) != 1 or self.laid or self.halted():
            return
        fits, kind = self.ground.inner_fits(self.angles), self.problem.kinds[kinds[0]]
        wanted = top * kind.count - kind.given
        laid = continued_lattice(fits, kinds[0], wanted, self.seed)
        for angle in (0.0, 90.0) if laid else ():
            sweep = Sweep(np.radians(self.problem.bearing + angle))
            laid += bottom_left_fill(fits, [kinds[0]] * (wanted - len(laid)), sweep, laid)
        number = min((kind.given + len(laid)) // kind.count, top)
        if number > self.best[product]:
            self.take(_with(self.best, product, number), tuple(laid[: number * kind.count - kind.given]))

    def _most(self, product: int) -> int:
        told = [n for x in self.limits if (n := x.at_most(product)) is not None]
        limit = self.problem.wanted[product].limit
        most, held = min(told + ([limit] if limit is not None else []), default=0), self.best[product]
        while most > held and not self.allowed(_with(self.best, product, most)):
            most -= 1
        return most

    def attempt(self, goal: Goal) -> tuple[Laid, ...] | None:
        """A layout of a goal by construction, or None."""
        for first in range(0, self.budget.constructions, TASKS):
            if self.halted():
                return None
            tries = range(first, min(first + TASKS, self.budget.constructions))
            tasks = [(self.ground, self.angles, goal, self.seed, k) for k in tries]
            for laid in self.together(fill_task, tasks):
                if laid is not None:
                    return tuple(laid)
        return None

    def improve(self) -> None:
        """Seek more until the moves are spent or nothing better is possible: in other orders, then by turns.

        Beside pieces that stay one more is sought as long as the last was found.
        """
        for product in range(len(self.best)) if self._mostly_fixed() else ():
            self._pocket_by_pocket(product)
        while not self.halted() and (self.moves_left > 0 or self.problem.fixed):
            goal = next((goal for goal in self.better_goals() if goal not in self.hopeless), None)
            if goal is None:
                return
            if not self._pack(goal) and not self._search_sequences(goal):
                if self._left(goal) <= 0:
                    return
                if self._hopeless(goal):
                    self.hopeless.add(goal)
                    continue
                turn = self.failures.get(goal, 0)
                if turn % PULLED == PULLED - 1:
                    self._pull_apart(goal, turn)
                else:
                    self._neighbourhoods(goal, turn)
            if self.best == goal and len(goal) > 1:
                self.round_off()
            spent = 1 - max(self.moves_left, 0) / max(self.budget.moves, 1)
            self.report(f"seeking one more ({sum(needed(self.problem, goal).values())} pieces)", spent)

    def _pocket_by_pocket(self, product: int) -> None:
        """Beside pieces that stay: the most of a product that the places of many fillings together hold."""
        top = self._most(product)
        while self.best[product] < top and not self.halted():
            self._gather(_with(self.best, product, min(top, self.best[product] + AHEAD)))
            known = tuple(self.laid)
            places = pooled(self.ground.arrays, self.filled, known)
            seed = _mix(self.seed, product, self.best[product])
            goal, laid = most_products(
                self.ground.arrays, places, self.best, product, top, seed, len(known), self.watch.stop
            )
            if goal == self.best:
                return
            self.take(goal, laid)
            self.report("choosing among fillings", 0.1)

    def _gather(self, goal: Goal) -> None:
        """More fillings of a goal."""
        pieces = max(1, sum(needed(self.problem, goal).values()))
        rounds = max(LEAST_FILLINGS, min(self.budget.orders, PLACES // pieces)) // TASKS
        seeds = [_mix(self.seed, *goal, 7, k) for k in range(TASKS)]
        tasks = [(self.ground, self.budget.angles, goal, seed, rounds, self.stop) for seed in seeds]
        for found in self.together(fillings_task, tasks):
            self.filled += found

    def _search_sequences(self, goal: Goal) -> bool:
        """Lay a goal in many orders, once a goal; what comes nearest to it is kept."""
        if goal in self.partial:
            return False
        self.partial[goal] = []
        if self.filled and not self.halted():
            places = pooled(self.ground.arrays, self.filled, self.laid)
            if self._keep(goal, [nearest(self.ground.arrays, places, goal, _mix(self.seed, *goal), len(self.laid))]):
                return True
        self.angles = self.budget.angles
        budget, stop, orders = self.budget, self.stop, self._orders(goal)
        for first in range(0, budget.runs, TASKS):
            seeds = [_mix(self.seed, *goal, k) for k in range(first, first + TASKS)]
            tasks = [(self.ground, budget.angles, budget.pairs, goal, seed, orders, stop) for seed in seeds]
            found: list[Partial] = self.together(sequences_task, tasks)
            self.moves_left -= sum(r.tried for r in found) * MOVES_A_PIECE
            if self._keep(goal, found):
                return True
        return False

    def _hopeless(self, goal: Goal) -> bool:
        """Whether after all orders so much of a product is still missing that nothing else will help."""
        least = min(r.missing for r in self.partial[goal])
        return least > self.budget.hopeless * self._area(goal) / max(sum(goal), 1)

    def _orders(self, goal: Goal) -> int:
        """Orders a run: of many pieces fewer, so that windows and squeezing have their share."""
        pieces = sum(needed(self.problem, goal).values())
        share = int(ORDERS * self.budget.moves / (self.budget.runs * pieces * MOVES_A_PIECE))
        return min(self.budget.orders, max(share, LEAST_ORDERS))

    def _neighbourhoods(self, goal: Goal, turn: int) -> None:
        """Lay parts of layouts anew: of those that lack little and were not worked on in vain."""
        share, stop = self._share(goal), self.stop
        beside = self.budget.turns > 1  # the tables of more angles are worth it only where they serve for long
        stray = STRAY if beside and turn % 2 == 0 else 0.0
        ranked = sorted(self.partial[goal], key=lambda r: r.missing * (1 + WEARY * r.turns))
        best, self.partial[goal] = ranked[:TASKS], ranked[TASKS:]
        tasks = [
            (self.ground, self.budget.angles, beside, stray, r.pieces, goal, _mix(self.seed, turn, k), share, stop)
            for k, r in enumerate(best)
        ]
        found: list[Partial] = self.together(neighbourhoods_task, tasks)
        self.moves_left -= max(sum(r.tried for r in found), TASKS)
        if not self._keep(goal, [_after_a_turn(r, s) for r, s in zip(found, best, strict=True)]):
            self.failures[goal] = turn + 1

    def _keep(self, goal: Goal, found: Sequence[Partial]) -> bool:
        """Keep layouts that lack pieces of a goal, those that lack least first; whether one of them lacks none."""
        self.partial[goal] = sorted([*self.partial[goal], *found], key=lambda r: r.missing)
        best = self.partial[goal][0]
        if best.missing == 0:
            self.take(goal, best.pieces)
        return best.missing == 0

    def _pull_apart(self, goal: Goal, turn: int) -> None:
        """Pull pieces apart that overlap, from several starts."""
        share, stop = self._share(goal), self.stop
        tasks = [
            (self.ground, self.budget.rotations, self._start(goal, k), goal, _mix(self.seed, turn, k), share, stop)
            for k in range(TASKS)
        ]
        results: list[PulledApart] = self.together(pull_apart_task, tasks)
        self.moves_left -= max(sum(r.tried for r in results), TASKS)
        done = [r.pieces for r in results if r.apart]
        if done:
            self.take(goal, done[0])
        else:
            self.failures[goal] = turn + 1
            self.nearest[goal] = min(results, key=lambda r: r.overlap).pieces

    def _pack(self, goal: Goal) -> bool:
        """Rectangles on rectangular leather, once a goal, exactly: whether it is settled, one way or the other."""
        if goal in self.packed:
            return False
        self.packed.add(goal)
        if not all_rectangles(self.problem):
            return False
        filled = fill_rectangles(self.ground.arrays, goal, self.budget.packing, self.seed, self.watch.stop)
        if filled is None:
            return False
        if filled.pieces is not None:
            self.take(goal, filled.pieces)
        if filled.impossible:
            self.impossible.append(goal)
        return filled.pieces is not None or filled.impossible

    def _left(self, goal: Goal) -> int:
        """The moves that a goal may still take: of few pieces, and of very many, fewer than are left in all."""
        pieces = sum(needed(self.problem, goal).values())
        most = min(self.budget.moves_a_piece * pieces, self.budget.moves_times_pieces // pieces)
        return min(self.moves_left, most - (self.budget.moves - self.moves_left))

    def _share(self, goal: Goal) -> int:
        """The moves of one task."""
        return max(1, min(self._left(goal) // TASKS, self.budget.moves // (self.budget.turns * TASKS)))

    def _start(self, goal: Goal, number: int) -> tuple[Laid, ...]:
        """What a separation starts from: how far the last one came, and the layouts that lack the least."""
        starts = [r.pieces for r in self.partial[goal]]
        if goal in self.nearest:
            starts.insert(0, self.nearest[goal])
        return starts[number % len(starts)]

    def tidy(self) -> None:
        """Among layouts of the best goal keep the best by the aims that come after the count, and finish it."""
        candidates = [self.laid]
        if self.laid and not self.halted():
            tries = range(self.budget.constructions, self.budget.constructions + self.budget.tidies)
            for first in range(0, len(tries), TASKS):
                if self.halted():
                    break
                batch = tries[first : first + TASKS]
                tasks = [(self.ground, self.angles, self.best, self.seed, k) for k in batch]
                candidates += [laid for laid in self.together(fill_task, tasks) if laid is not None]
        begin = [p for p, w in enumerate(self.problem.wanted) if w.limit is None or self.best[p] < w.limit]
        begin = begin if self.begin else []
        goals = [_with(self.best, p, self.best[p] + 1) for p in begin]
        nearly = [partial.pieces for goal in goals for partial in self.partial.get(goal, ())]
        fits = self.ground.inner_fits(self.angles)
        finishing = Finishing(fits, self.best, begin, self.seed, self.halted, self.budget.spares)
        self.best, done = finishing.counted(finishing.finished(candidates, nearly))
        if self.tidily and not self.halted():
            done = tidied(fits, done, self.budget.sides, self.halted)
        self.laid, self.begun, self.spares = done.laid, done.begun, done.spares

    # bookkeeping

    def take(self, goal: Goal, laid: tuple[Laid, ...]) -> None:
        self.best, self.laid = goal, laid
        if self.improved:
            self.improved(self.found())

    def halted(self) -> bool:
        if not self.stopped and self.watch.stop():
            self.stopped = True
        return self.stopped

    def together(self, task: Callable[..., Any], arguments: Sequence[tuple[Any, ...]]) -> list[Any]:
        """Run tasks on the executor; results in the order of the arguments."""
        return list(self.executor.map(task, *zip(*arguments, strict=True)))

    def report(self, stage: str, fraction: float) -> None:
        told = ", ".join(f"{n} × {w.name}" for n, w in zip(self.best, self.problem.wanted, strict=True))
        self.watch.report(Progress(stage, fraction, told))

    def poses(self, laid: Sequence[Laid]) -> tuple[Pose, ...]:
        arrays = self.ground.arrays
        return tuple(arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle) for p in laid)

    def found(self) -> Found:
        laid, begun, spares = (self.poses(pieces) for pieces in (self.laid, self.begun, self.spares))
        return Found(self.best, laid, spares, self.stopped, tuple(self.impossible), begun)


def _after_a_turn(found: Partial, start: Partial) -> Partial:
    """What a turn made of a layout, which then counts the turns that brought nothing."""
    return replace(found, turns=0 if found.missing < start.missing else start.turns + 1)


def _with(goal: Goal, product: int, number: int) -> Goal:
    return (*goal[:product], number, *goal[product + 1 :])


def _mix(*words: int) -> int:
    return int(np.random.SeedSequence(words).generate_state(1, np.uint64)[0])
