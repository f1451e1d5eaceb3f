"""The whole straight plan of a hide: blocks of strips for the straight kinds, the usual search for the rest."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from hides.errors import InputError
from nesting.bound.limits import limits
from nesting.geometry.solid import solid
from nesting.model.problem import Kind, Problem
from nesting.model.settings import Progress, Watch
from nesting.model.straight import StraightRules
from nesting.search.arrays.arrays import Pose
from nesting.search.arrays.goals import Goal
from nesting.search.groundwork import Groundwork
from nesting.search.search import Found, search
from nesting.search.straight.angle_bound import AngleBound
from nesting.search.straight.angles import common_angles, lines
from nesting.search.straight.block import BUDGETS, Block, BlockSearch
from nesting.search.straight.forms import Form, Straight, forms_at, straight_kinds
from nesting.search.straight.ground import Ground
from nesting.search.straight.stairs import band, short_of, stairs

SLIT = 0.03
"""Where a strip's edge runs (mm wide), nothing else may lie across it."""
FAR = 1e5


@dataclass(frozen=True)
class PosedStrip:
    """A strip with its pieces as poses in the problem's frame, from the left."""

    offset: float
    width: float
    poses: tuple[Pose, ...]


@dataclass(frozen=True)
class PosedBlock:
    """Strips along one line: its angle in the problem's frame, its height there, and the strips above it."""

    angle: float
    height: float
    strips: tuple[PosedStrip, ...]


@dataclass(frozen=True)
class StraightFound:
    """What was found: as the usual search tells it, the blocks in cutting order, and what is proven.

    `at_most`: the most products that one block along any line can give; None where that is not known.
    """

    found: Found
    blocks: tuple[PosedBlock, ...]
    at_most: int | None


def plan_straight(
    problem: Problem,
    most: Sequence[int],
    rules: StraightRules,
    natural: float | None,
    effort: str,
    seed: int,
    watch: Watch,
    products: Sequence[int] | None = None,
) -> StraightFound:
    """The straight plan of greatest number of products; the rest of their pieces beside the strips.

    `most` are bounds of the numbers of products; `natural` is the angle of the backbone in the problem's frame, None
    where the hide has none; `products` are those whose straight pieces come off strips (None:
    all). Raises InputError where no piece is straight, where no line suits all that are, or where the cutter does not
    open to a strap.
    """
    return _Planner(problem, tuple(most), rules, natural, effort, seed, watch, products).run()


@dataclass
class _Planner:
    problem: Problem
    most: tuple[int, ...]
    rules: StraightRules
    natural: float | None
    effort: str
    seed: int
    watch: Watch
    products: Sequence[int] | None = None

    def __post_init__(self) -> None:
        self.budget = BUDGETS[self.effort]
        self.straights = usable_straights(self.problem, self.rules, self.products)
        self.allowed = common_angles(self.problem, self.straights)
        if not self.allowed:
            raise _no_line(self.problem, self.straights)
        angles = lines(self.problem, self.allowed, self.natural, self.budget.angles)
        here = [{f.kind for f in forms_at(self.problem, self.straights, a, self.rules)} for a in angles]
        most = max(here, key=len)  # the cutter may not open to what lies across one of the lines
        self.angles = [angle for angle, kinds in zip(angles, here, strict=True) if kinds == most]
        self.straights = tuple(each for each in self.straights if each.kind in most)
        self.grounds: dict[tuple[float, bool, int], Ground] = {}
        self.hoped = 0  # bound of one block at the angles tried

    def run(self) -> StraightFound:
        """The plan and what is proven of it."""
        goal, blocks, proven = self._alone(self.most[0]) if len(self.most) == 1 else self._several(self.most)
        if proven is None and len(goal) == 1 and not self.watch.stop():
            proven = self._at_any_angle(goal[0])
        return self._with_rest(goal, blocks, proven)

    def _at_any_angle(self, found: int) -> int | None:
        """The most products that one block gives at any angle, where that is known.

        It is not asked where the bound at an angle that was tried is more than was found: it would be no proof.
        """
        if self.hoped > found:
            return None
        pieces = tuple(k.count * self.most[k.product] for k in self.problem.kinds)
        how = self.rules, pieces, self._need((1,)), self.most[0], self.watch.stop
        return AngleBound(self.problem, self.straights, *how).most(self.allowed, found, self.budget.sweeps)

    # strips

    def _alone(self, ceiling: int) -> tuple[Goal, list[Block], int | None]:
        """As many of a single product as go: one block, then further ones in what it leaves."""
        need = self._need((1,))
        block, proven = self._block(need, ceiling, [])
        blocks = [block] if block else []
        count = block.products if block else 0
        if count < ceiling and not self.watch.stop():
            for angle in dict.fromkeys([block.angle if block else self.angles[0], self.angles[0]]):
                better = self._stepped(_long_side_first(self.problem, angle), need, ceiling, count)
                if better is not None:
                    blocks, count = better
                    proven = ceiling if count >= ceiling else None
        while 0 < count < ceiling and len(blocks) < self.budget.blocks and not self.watch.stop():
            more = self._one_more(need, blocks, ceiling - count)
            if more is None:
                break
            blocks.append(more)
            count += more.products
        return (count,), blocks, proven

    def _stepped(
        self, angle: float, need: tuple[int, ...], ceiling: int, more_than: int
    ) -> tuple[list[Block], int] | None:
        """Strips that end in steps, lines across beyond their ends for short pieces, where that gives more."""
        short = short_of(need, {s.kind: s.length for s in self.straights})
        if short is None:
            return None
        depth = min(s.width for s in self.straights if short[s.kind])
        return stairs(self._trial, angle, need, short, depth, ceiling, more_than, max(SLIT, self.rules.kerf))

    def _trial(self, angle: float, need: tuple[int, ...], ceiling: int, taken: BaseGeometry | None) -> Block | None:
        """A block found with little effort on what is left of the leather."""
        forms = tuple(form for form in forms_at(self.problem, self.straights, angle, self.rules) if need[form.kind])
        pieces = tuple(k.count * self.most[k.product] for k in self.problem.kinds)
        inner, outer = (Ground(self.problem, angle, forms, pieces, self.rules.kerf, o, taken) for o in (False, True))
        found = BlockSearch(inner, outer, need, ceiling, self.budget.small, self.seed, self.watch.stop)
        found.run()
        return found.best

    def _one_more(self, need: tuple[int, ...], blocks: list[Block], ceiling: int) -> Block | None:
        """A further block with whole products; or with what one more lacks beyond what the blocks give already."""
        block, _ = self._block(need, ceiling, blocks)
        if block is not None:
            return block
        given = sum(b.given(len(need)) for b in blocks) - np.array(need) * sum(b.products for b in blocks)
        lacking = tuple(int(n) for n in np.maximum(np.array(need) - given, 0))
        return self._block(lacking, 1, blocks)[0] if lacking != need and any(lacking) else None

    def _several(self, most: Sequence[int]) -> tuple[Goal, list[Block], int | None]:
        """Products in turn, the dearest leather first, as many of each as one block gives beside those before."""
        wanted, kinds = self.problem.wanted, self.problem.kinds
        area = [sum(k.area * k.count for k in kinds if k.product == p) for p in range(len(wanted))]
        goal: Goal = (0,) * len(wanted)
        best: list[Block] = []
        for product in sorted(range(len(wanted)), key=lambda p: (-wanted[p].worth / max(area[p], 1e-9), p)):
            low, high = 0, most[product]
            step = max(1, high // 2)
            while low < high and not self.watch.stop():
                trial = (*goal[:product], min(high, low + step), *goal[product + 1 :])
                need = self._need(trial)
                block = self._block(need, 1, [])[0] if any(need) else None
                if block is not None or not any(need):
                    low, goal, best = trial[product], trial, [block] if block else best
                else:
                    high = trial[product] - 1
                step = max(1, (high - low + 1) // 2)
        return goal, best, None

    def _need(self, goal: Goal) -> tuple[int, ...]:
        """Straight pieces of each kind in a goal."""
        straight = {each.kind for each in self.straights}
        return tuple(k.count * goal[k.product] if i in straight else 0 for i, k in enumerate(self.problem.kinds))

    def _block(self, need: tuple[int, ...], ceiling: int, beside: list[Block]) -> tuple[Block | None, int | None]:
        """The block of most products at any of the angles, and the most that any can give, where that is known."""
        best: Block | None = None
        bounds = []
        for angle in self.angles:
            if self.watch.stop() or (best is not None and best.products >= ceiling):
                break
            going = self._search(angle, need, ceiling, beside)
            going.run(best.products if best else 0)
            best = going.best or best
            bounds.append(going.at_most)
            if not beside:
                self.hoped = max(self.hoped, going.at_most)
            self._report(best)
        everywhere = len(bounds) == len(self.angles) and self._fixed
        top = max([best.products if best else 0, *bounds])
        known = top if everywhere and not beside and not self.watch.stop() else None
        return best, ceiling if best is not None and best.products >= ceiling and not beside else known

    def _search(self, angle: float, need: tuple[int, ...], ceiling: int, beside: list[Block]) -> BlockSearch:
        inner, outer = (self._ground(angle, outer, beside) for outer in (False, True))
        budget = self.budget if self._fixed and not beside else replace(self.budget, proof=0.0)
        return BlockSearch(inner, outer, need, ceiling, budget, self.seed, self.watch.stop)

    @property
    def _fixed(self) -> bool:
        """Whether lines are tried at all angles that there are, so that what is proven at each can be told."""
        return all(a == b for a, b in self.allowed) and len(self.angles) == len(self.allowed)

    def _ground(self, angle: float, outer: bool, beside: list[Block]) -> Ground:
        key = (angle, outer, len(beside))
        if key not in self.grounds:
            forms = forms_at(self.problem, self.straights, angle, self.rules)
            most = tuple(k.count * self.most[k.product] for k in self.problem.kinds)
            taken = shapely.union_all([_bands(block, self.rules.kerf) for block in beside]) if beside else None
            self.grounds[key] = Ground(self.problem, angle, forms, most, self.rules.kerf, outer, taken)
        return self.grounds[key]

    def _posed(self, block: Block) -> PosedBlock:
        strips = tuple(
            PosedStrip(s.offset, s.width, tuple(_pose(block.angle, s.offset, form, at) for form, at in s.pieces))
            for s in block.strips
        )
        return PosedBlock(block.angle, strips[0].offset if strips else 0.0, strips)

    def _report(self, best: Block | None) -> None:
        told = f"{best.products if best else 0} × {self.problem.wanted[0].name}"
        self.watch.report(Progress("planning straight cuts", 0.2, told))

    # the rest

    def _with_rest(self, goal: Goal, blocks: list[Block], proven: int | None) -> StraightFound:
        """The strips of a goal with the other pieces beside them; of fewer products where these find no room."""
        straight = {each.kind for each in self.straights}
        rest = [k for k in range(len(self.problem.kinds)) if k not in straight]
        if not rest or not any(goal):
            kept, spares = trimmed([self._posed(b) for b in blocks], self._need(goal), self.problem, self.rules)
            return StraightFound(Found(goal, _poses(kept, spares), spares, self.watch.stop()), kept, proven)
        best = self._tried(goal, blocks, rest, self.effort)
        if best.found.goal != goal:
            best = self._fewer(goal, blocks, best, rest)
        return replace(best, at_most=proven)

    def _fewer(self, goal: Goal, blocks: list[Block], best: StraightFound, rest: list[int]) -> StraightFound:
        """Fewer strips, so that more is left beside them: by halves, then with all effort one more than was found."""
        low, high = best.found.goal[0], goal[0] - 1
        while len(goal) == 1 and low < high and not self.watch.stop():
            middle = (low + high + 1) // 2
            tried = self._tried((middle,), self._alone(middle)[1], rest, "quick")
            best = max(best, tried, key=lambda each: each.found.goal)
            low, high = (tried.found.goal[0], high) if tried.found.goal[0] >= middle else (low, middle - 1)
        last = best.found.goal
        for aim in ((last[0] + 1,), last) if len(goal) == 1 and self.effort != "quick" else (last,):
            planned = self._alone(aim[0])[1] if len(goal) == 1 and any(aim) else blocks
            tried = self._tried(aim, planned, rest, self.effort)
            if tried.found.goal >= aim:
                return tried
        return best

    def _tried(self, goal: Goal, blocks: list[Block], rest: list[int], effort: str) -> StraightFound:
        """The strips of a goal and what the usual search lays beside them; strips of no more than that gives."""
        kept, spares = trimmed([self._posed(b) for b in blocks], self._need(goal), self.problem, self.rules)
        found = self._beside(goal, kept, rest, effort)
        if found.goal != goal:
            kept, spares = trimmed(kept, self._need(found.goal), self.problem, self.rules)
        pieces = (*_poses(kept, spares), *found.pieces)
        return StraightFound(replace(found, pieces=pieces, spares=(*spares, *found.spares)), kept, None)

    def _beside(self, goal: Goal, blocks: Sequence[PosedBlock], rest: list[int], effort: str) -> Found:
        """The usual search for the kinds of `rest`, the strips' leather taken away."""
        problem = self.problem
        taken = taken_by(blocks, problem, self.rules.kerf, problem.gap)
        products = sorted({problem.kinds[k].product for k in rest})
        place = {p: n for n, p in enumerate(products)}
        left = Problem(
            tuple(solid(region.difference(taken)) for region in problem.regions),
            tuple(solid(region.difference(taken)) for region in problem.outer),
            tuple(replace(problem.kinds[k], product=place[problem.kinds[k].product]) for k in rest),
            tuple(replace(problem.wanted[p], limit=goal[p]) for p in products),
            problem.gap,
            problem.bearing,
        )
        found = search(Groundwork(left), limits(left, self.watch.stop), effort, self.seed, self.watch)
        got = tuple(min(n, found.goal[place[p]]) if p in place else n for p, n in enumerate(goal))
        pieces, spares = (
            tuple(replace(pose, kind=rest[pose.kind]) for pose in poses) for poses in (found.pieces, found.spares)
        )
        return Found(got, pieces, spares, found.stopped)


def usable_straights(
    problem: Problem, rules: StraightRules, products: Sequence[int] | None = None
) -> tuple[Straight, ...]:
    """The straight kinds that come off the cutter; InputError where there is none, or a strap is too wide for it."""
    kinds = straight_kinds(problem)
    found = tuple(s for s in kinds if products is None or problem.kinds[s.kind].product in products)
    if not found:
        raise InputError(
            "no piece has two long sides that are parallel and straight", where="--straight", remedy="leave it out"
        )
    for each in found:
        if each.strap and not rules.opens_to(each.width):
            name = problem.kinds[each.kind].name
            raise InputError(
                f"“{name}” is {each.width:g} mm wide, and the cutter opens from {rules.least:g} to {rules.most:g} mm",
                where="cutter",
                remedy="give the widths that the cutter opens to, or leave it out and cut along a rule",
            )
    opened = tuple(s for s in found if rules.opens_to(s.width) or rules.opens_to(s.length))
    if not opened:
        raise InputError(
            f"no piece is from {rules.least:g} to {rules.most:g} mm wide, as the cutter opens",
            where="cutter",
            remedy="give the widths that the cutter opens to, or leave it out and cut along a rule",
        )
    return opened


def _long_side_first(problem: Problem, angle: float) -> float:
    """The angle, or half a turn more, so that strips begin at that side of the line where the leather is longer."""
    lies = affinity.rotate(shapely.union_all(list(problem.regions)), -angle, origin=(0, 0))
    _, low, _, high = lies.bounds
    return angle if lies.centroid.y <= (low + high) / 2 + 1.0 else angle + 180.0


def _no_line(problem: Problem, straights: Sequence[Straight]) -> InputError:
    """The error that names a piece which no line meets together with those before it."""
    for many in range(1, len(straights) + 1):
        if not common_angles(problem, straights[:many]):
            break
    last = problem.kinds[straights[many - 1].kind].name
    others = ", ".join(f"“{problem.kinds[s.kind].name}”" for s in straights[: many - 1])
    with_them = f" together with {others}" if others else ""
    return InputError(
        f"no straight line suits “{last}”{with_them}: the angles they may lie at do not meet",
        where="--straight",
        field="tolerance",
        remedy="widen the tolerance of one of them, or leave --straight out",
    )


def _pose(angle: float, offset: float, form: Form, at: float) -> Pose:
    x, y = at - form.corner[0], offset - form.corner[1]
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return Pose(form.kind, form.orientation, c * x - s * y, s * x + c * y, angle + form.turn, form.mirrored)


def _poses(blocks: Sequence[PosedBlock], spares: Sequence[Pose]) -> tuple[Pose, ...]:
    """The pieces of the blocks that are no spares."""
    left = set(spares)
    return tuple(pose for b in blocks for strip in b.strips for pose in strip.poses if pose not in left)


def trimmed(
    blocks: Sequence[PosedBlock], need: Sequence[int], problem: Problem, rules: StraightRules
) -> tuple[tuple[PosedBlock, ...], tuple[Pose, ...]]:
    """The blocks with no more of a kind than are needed, and those beyond that are kept as spares.

    What is over comes off the last strips first; strips left empty at a block's ends go.
    """
    over = np.array([-n for n in need])
    for block in blocks:
        for strip in block.strips:
            for pose in strip.poses:
                over[pose.kind] += 1
    spares: list[Pose] = []
    out: list[PosedBlock] = []
    for block in reversed(blocks):
        strips = []
        for strip in reversed(block.strips):
            poses = []
            for pose in reversed(strip.poses):
                surplus = over[pose.kind] > 0
                over[pose.kind] -= surplus
                if surplus and problem.kinds[pose.kind].spare:
                    spares.append(pose)
                if not surplus or problem.kinds[pose.kind].spare:
                    poses.append(pose)
            strips.append(replace(strip, poses=tuple(reversed(poses))))
        strips.reverse()
        while strips and not strips[-1].poses:
            strips.pop()
        while strips and not strips[0].poses:
            strips.pop(0)
        if strips:
            out.append(PosedBlock(block.angle, strips[0].offset, _waste_joined(strips, rules)))
    return tuple(reversed(out)), tuple(spares)


def _waste_joined(strips: Sequence[PosedStrip], rules: StraightRules) -> tuple[PosedStrip, ...]:
    """Strips of waste that follow one another as one, where the cutter opens to it."""
    out: list[PosedStrip] = []
    for strip in strips:
        if out and not strip.poses and not out[-1].poses:
            wide = strip.offset + strip.width - out[-1].offset
            if rules.opens_to(wide):
                out[-1] = replace(out[-1], width=wide)
                continue
        out.append(strip)
    return tuple(out)


def _bands(block: Block, kerf: float) -> BaseGeometry:
    """All strips of a block from edge to edge: what further lines find gone."""
    return band(block, max(SLIT, kerf))


def taken_by(blocks: Sequence[PosedBlock], problem: Problem, kerf: float, gap: float) -> BaseGeometry:
    """What the strips take of the leather: from their first to their last piece, and a slit along every strip's sides.

    So what is laid beside them lies on one side of every cut, in one piece.
    """
    shapes: list[BaseGeometry] = []
    for block in blocks:
        made: list[BaseGeometry] = []
        for strip in block.strips:
            reach = [_extent(problem.kinds[p.kind], p, block.angle) for p in strip.poses]
            top = strip.offset + strip.width
            if reach:
                left, right = min(a for a, _ in reach), max(b for _, b in reach)
                clear = max(kerf, gap)
                made.append(box(left - clear, strip.offset - clear, right + clear, top + clear))
            for side in (strip.offset, top):
                made.append(box(-FAR, side - max(SLIT, kerf) / 2, FAR, side + max(SLIT, kerf) / 2))
        shapes.append(affinity.rotate(shapely.union_all(made), block.angle, origin=(0, 0)))
    return shapely.union_all(shapes)


def _extent(kind: Kind, pose: Pose, angle: float) -> tuple[float, float]:
    """From where to where a piece reaches along a line."""
    points = np.array(kind.outline.exterior.coords)
    if pose.mirrored:
        points = points * (-1, 1)
    along = math.radians(pose.angle - angle)
    xs = points @ (math.cos(along), -math.sin(along))
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    at = c * pose.x + s * pose.y
    return float(xs.min()) + at, float(xs.max()) + at
