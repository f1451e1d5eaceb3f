"""The most products that one block gives along a line at any angle that suits: branch and bound over the angle.

Terms. *Sweep*: an interval of the line's angle within which the same forms suit. Take the frame of the line in the
middle of a sweep, its origin in the middle of the leather, so that of its points |x| ≤ X and |y| ≤ Y. The frame of a
line at another angle of the sweep is turned against it by d at most, half the sweep. A point of the leather has numbers
there that differ by Y·sin d + X·(1 − cos d) along and by X·sin d + Y·(1 − cos d) across at most. So the rectangle of a
piece on a strip there holds the rectangle of the same numbers in the middle frame, drawn in by so much on every side;
where the former lies on the leather the latter does. Strips' offsets and where pieces begin on them are the same
numbers in both frames, so strips butt and pieces follow one another as they did: every plan of the sweep is one of
drawn-in rectangles in the middle frame, and the bound of those (`lattice.Relaxed`) is one of all. A piece of which
nothing is left may lie anywhere.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from nesting.model.problem import Problem
from nesting.model.settings import Stop, never
from nesting.model.straight import StraightRules
from nesting.search.straight.angles import Interval, turning_points
from nesting.search.straight.block import grid_step
from nesting.search.straight.forms import Form, Straight, forms_at
from nesting.search.straight.ground import Ground
from nesting.search.straight.lattice import Relaxed
from nesting.search.straight.strip_kernel import Slack

ROOM = 0.25
SHARE = 0.05
"""The first sweeps draw in by no more than ROOM of the width of any piece, but for such that are less than SHARE of the
leather of a product."""
COARSE = 2.0
"""How much coarser the grid is where strips are drawn in by more than its step: what it loses is little beside that."""
HAIR = 1e-4
"""Degrees that a sweep is wider than it says, for lines that suit within rounding."""
PARTED = 3
"""So many sweeps more are asked, as it turns out, for one of the first that stays open."""
FINEST = 0.002
"""A sweep narrower than this (degrees) is not parted."""


@dataclass(frozen=True)
class AngleBound:
    """The bound for blocks of straight kinds. `pieces` are the most of each kind, `need` those in one product, and
    `ceiling` the products wanted at most."""

    problem: Problem
    straights: tuple[Straight, ...]
    rules: StraightRules
    pieces: tuple[int, ...]
    need: tuple[int, ...]
    ceiling: int
    stop: Stop = never

    def most(self, allowed: Sequence[Interval], found: int, tries: int) -> int | None:
        """The most products at any of the angles, not below `found`, or a bound where so many sweeps do not tell.

        None where it is likely from the first sweeps that they will not, or where strips have too many mixes.
        """
        points = shapely.get_coordinates(shapely.GeometryCollection(list(self.problem.outer)).convex_hull)
        sweeps = list(self._sweeps(allowed, points))
        if 2 * len(sweeps) > tries:
            return None
        open_: list[tuple[int, Interval]] = []
        left = tries - len(sweeps)
        while not self.stop():
            for sweep in sweeps:
                most = self._most(sweep, points, found)
                if most is None or len(open_) * PARTED > left:
                    return None
                if most > found:
                    heapq.heappush(open_, (-most, sweep))
            if not open_:
                return found
            least, (a, b) = heapq.heappop(open_)
            left -= 2
            if left < 0 or b - a < FINEST:
                return -least
            sweeps = [(a, (a + b) / 2), ((a + b) / 2, b)]
        return None

    def _most(self, sweep: Interval, points: np.ndarray, found: int) -> int | None:
        """The most products at the angles of a sweep; None where there is too much to look at."""
        middle = (sweep[0] + sweep[1]) / 2
        slack = slack_of(sweep, points)
        forms = self._forms(middle)
        ground = Ground(self.problem, middle, forms, self.pieces, self.rules.kerf, True, slack=slack)
        if not ground.forms:
            return 0
        step = grid_step(ground.widths)
        step *= COARSE if slack.turn > step else 1.0
        bound = Relaxed(ground, self.need, step, enough=found + 1.0)
        if not (bound.lattice.whole and ground.whole):
            return None
        return min(self.ceiling, math.floor(float(bound.bound.max(initial=0.0)) + 1e-6))

    def _forms(self, angle: float) -> tuple[Form, ...]:
        return forms_at(self.problem, self.straights, angle, self.rules)

    def _sweeps(self, allowed: Sequence[Interval], points: np.ndarray) -> Iterator[Interval]:
        """Sweeps that cover all angles that suit; angles where forms of both sides suit have one of their own."""
        marks = turning_points(self.problem, self.straights)
        for low, high in allowed:
            ends = [low, *(m for m in marks if low < m < high), *([high] if high > low else [])]
            for end in ends:
                yield end, end
            for a, b in pairwise(ends):
                yield from self._first(a, b, points)

    def _first(self, low: float, high: float, points: np.ndarray) -> Iterator[Interval]:
        """Equal sweeps, narrow enough that something is left of strips."""
        forms = self._forms((low + high) / 2)
        area = {form.kind: form.length * form.width * self.need[form.kind] for form in forms}
        width = min((f.width for f in forms if area[f.kind] >= SHARE * sum(area.values())), default=math.inf)
        parts = 1
        while parts < 4096 and slack_of((low, low + (high - low) / parts), points).turn > ROOM * width:
            parts *= 2
        for n in range(parts):
            yield low + (high - low) * n / parts, low + (high - low) * (n + 1) / parts


def slack_of(sweep: Interval, points: np.ndarray) -> Slack:
    """By how much rectangles are drawn in so that one frame stands for a sweep; `points` have the leather's hull."""
    middle, half = math.radians((sweep[0] + sweep[1]) / 2), math.radians((sweep[1] - sweep[0]) / 2 + HAIR)
    along = np.ptp(points @ (math.cos(middle), math.sin(middle))) / 2
    across = np.ptp(points @ (-math.sin(middle), math.cos(middle))) / 2
    sway, sink = math.sin(half), 1 - math.cos(half)
    return Slack(0.0, float(along * sway + across * sink), float(across * sway + along * sink))
