"""Boxes of poses in which a kind may lie, halved until what all their poses have in common is most of a piece.

A box holds the poses with an angle in an interval and a centre in a rectangle. It is left out where no pose of it may
lie: where a point of the piece is, at every pose, too far from the leather it asks for, or where the core of what asks
(what every pose covers) is not all on that leather. So those that are left hold every pose that a layout may have.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from nesting.bound.pose_boxes import Stance, core, corners_at, stances, turn
from nesting.geometry.half_planes import area_of
from nesting.model.problem import Problem
from nesting.model.settings import Stop, never

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

CORE = 0.55
"""The share of a piece that a box's core has at least before boxes are looked at as a whole."""

DIRECTIONS = 12
"""A piece's points that are held against the leather: the farthest in so many directions."""

SAME = 7
"""Decimals (mm) to which half a turn must carry a piece onto itself: cores are drawn in by more."""

ABOUT = 2.5
"""Boxes about one: those with a centre no farther off, in half its sides."""

SURE = 1e-6
"""Points farther from leather than they may be by this much (mm) are too far, whatever is rounded."""


@dataclass(frozen=True)
class Form:
    """Boxes of one size: a stance between two angles (degrees), its centre up to `across` and `along` (mm) off.

    `cores` is what every pose takes, convex rings about the box's centre, and `share` its part of the piece; `asks`
    are rings that lie in every pose, each with the region it must lie in; `reaches` are points of the piece as it lies
    at the middle angle and how far (mm) they may be from there, each with a region.
    """

    stance: int
    low: float
    high: float
    across: float
    along: float
    cores: tuple[Array, ...]
    share: float
    asks: tuple[tuple[int, Array], ...]
    reaches: tuple[tuple[int, Array, Array], ...]


def form_of(stance: Stance, number: int, low: float, high: float, across: float, along: float) -> Form:
    """The form of a stance's boxes of a size."""
    size = low, high, across, along
    cores = [ring for ring in (core(whole, *size) for whole in stance.takes) if len(ring)]
    asks = [(region, ring) for region, ring in ((r, core(part, *size)) for r, part in stance.asks) if len(ring)]
    share = sum(map(area_of, cores)) / max(sum(map(area_of, stance.takes)), 1e-9)
    reaches = []
    for region, part in stance.asks:
        points = _farthest(part)
        swing = 2 * np.hypot(*points.T) * math.sin(math.radians(min(high - low, 360.0)) / 4)
        reaches.append((region, turn(points, (low + high) / 2), swing + math.hypot(across, along) + SURE))
    return Form(number, *size, tuple(cores), share, tuple(asks), tuple(reaches))


def _farthest(ring: Array) -> Array:
    turns = np.radians(np.arange(DIRECTIONS) * (360.0 / DIRECTIONS))
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    return np.asarray(ring[np.unique(np.argmax(ring @ ways.T, axis=0))])


@dataclass
class FreeBoxes:
    """The boxes of one kind: of each the number of its form, and its centre.

    `whole` is False where there would be more than `most` before they are fine, or `stop` said so: not all poses are
    held then.
    """

    problem: Problem
    stances: Sequence[Stance]
    most: int
    stop: Stop = never
    whole: bool = True
    forms: list[Form] = field(default_factory=list)
    form: Whole = field(init=False)
    at: Array = field(init=False)
    _numbers: dict[tuple[float, ...], int] = field(default_factory=dict)
    _halves: dict[int, tuple[tuple[int, Array], ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        # Its own copies: to ask them often prepares them, which two threads may not do to one geometry.
        self._regions = [shapely.from_wkb(shapely.to_wkb(region)) for region in self.problem.outer]
        shapely.prepare(self._regions)
        todo = [start for number in range(len(self.stances)) for start in self._begun(number)]
        done: list[tuple[int, Array]] = []
        held = 0
        while todo:
            number, at = todo.pop()
            at = at[self._may_lie(number, at)]
            if not len(at):
                continue
            if self.forms[number].share >= CORE:
                done.append((number, at))
                held += len(at)
            else:
                todo += [(half, at + shift) for half, shift in self.halves(number)]
            if held > self.most or sum(len(each) for _, each in todo) > self.most or self.stop():
                self.whole = False
                break
        self.form = np.concatenate([np.full(len(at), number, dtype=np.int64) for number, at in done] or [_NONE])
        self.at = np.concatenate([at for _, at in done] or [np.empty((0, 2))])

    def __len__(self) -> int:
        return len(self.form)

    def _begun(self, number: int) -> list[tuple[int, Array]]:
        """Boxes that hold every pose of a stance, on all the leather it may reach."""
        stance = self.stances[number]
        if not stance.asks:
            self.whole = False  # nothing is known of where it lies
            return []
        bounds = np.array([self.problem.outer[region].bounds for region, _ in stance.asks])
        if not np.isfinite(bounds).all() or any(self.problem.outer[region].is_empty for region, _ in stance.asks):
            return []
        west, south, east, north = bounds[:, 0].min(), bounds[:, 1].min(), bounds[:, 2].max(), bounds[:, 3].max()
        reach = max(float(np.hypot(*ring.T).max()) for ring in stance.takes)
        across, along = (east - west) / 2 + reach, (north - south) / 2 + reach
        middle = np.array([[(west + east) / 2, (south + north) / 2]])
        same = corners_at(stance, 0.0, SAME) == corners_at(stance, 180.0, SAME)
        high = min(stance.high, stance.low + (180.0 if same else 360.0))
        parts = max(1, math.ceil((high - stance.low) / 45.0))
        ends = np.linspace(stance.low, high, parts + 1).tolist()
        return [(self._form(number, a, b, across, along), middle) for a, b in pairwise(ends)]

    def halves(self, number: int) -> tuple[tuple[int, Array], ...]:
        """The forms of a box's two halves, and where their centres lie from its own."""
        if number not in self._halves:
            own = self.forms[number]
            low, high, across, along = own.low, own.high, own.across, own.along
            turned = np.concatenate([turn(ring, (low + high) / 2) for ring in self.stances[own.stance].takes])
            wide, tall = np.ptp(turned, axis=0).tolist()
            long = 2 * float(np.hypot(*turned.T).max())
            losses = across * tall, along * wide, math.radians(high - low) * long**2 / 8
            most = losses.index(max(losses))
            if most == 2:
                ends = (low, (low + high) / 2), ((low + high) / 2, high)
                made = tuple((self._form(own.stance, *two, across, along), np.zeros(2)) for two in ends)
            else:
                shift = np.array([across / 2, 0.0] if most == 0 else [0.0, along / 2])
                half = self._form(own.stance, low, high, *(np.array([across, along]) - shift).tolist())
                made = (half, -shift), (half, shift)
            self._halves[number] = made
        return self._halves[number]

    def halved(self, chosen: Sequence[int]) -> int:
        """Halve some boxes; how many halves there are in which it may lie: they come last."""
        left = np.ones(len(self), dtype=np.bool_)
        left[list(chosen)] = False
        new: list[tuple[int, Array]] = []
        for number in np.unique(self.form[~left]).tolist():
            own = self.at[~left & (self.form == number)]
            for half, shift in self.halves(number):
                at = own + shift
                new.append((half, at[self._may_lie(half, at)]))
        self.form = np.concatenate([self.form[left], *(np.full(len(at), half, dtype=np.int64) for half, at in new)])
        self.at = np.concatenate([self.at[left], *(at for _, at in new)])
        return sum(len(at) for _, at in new)

    def share(self, box: int) -> float:
        """What part of the piece a box's core is."""
        return float(self.forms[self.form[box]].share)

    def no_finer(self, share: float) -> list[int]:
        """The boxes whose core is no greater a share of the piece."""
        return np.flatnonzero(self._of_forms("share") <= share + SURE).tolist()

    def beside(self, boxes: Sequence[int]) -> list[int]:
        """Some boxes and those about them that are no finer: with a centre next to theirs, at about their angles."""
        share, low, high = (self._of_forms(name) for name in ("share", "low", "high"))
        found = np.zeros(len(self), dtype=np.bool_)
        found[list(boxes)] = True
        for box in boxes:
            own = self.forms[self.form[box]]
            off = np.abs(self.at - self.at[box]) <= ABOUT * np.array([own.across, own.along])
            turns = (low <= own.high + SURE) & (own.low <= high + SURE)
            found |= off.all(axis=1) & turns & (share <= own.share + SURE)
        return np.flatnonzero(found).tolist()

    def _of_forms(self, name: str) -> Array:
        """A number of every box's form."""
        return np.asarray(np.array([getattr(form, name) for form in self.forms])[self.form])

    def cores(self, box: int) -> list[Array]:
        """What every pose of a box takes."""
        return [ring + self.at[box] for ring in self.forms[self.form[box]].cores]

    def _form(self, number: int, low: float, high: float, across: float, along: float) -> int:
        key = number, low, high, across, along
        if key not in self._numbers:
            self._numbers[key] = len(self.forms)
            self.forms.append(form_of(self.stances[number], *key))
        return self._numbers[key]

    def _may_lie(self, number: int, at: Array) -> NDArray[np.bool_]:
        """Of boxes with centres `at` those in which a pose may lie, as far as can be told."""
        form, left = self.forms[number], np.arange(len(at))
        for region, points, radius in form.reaches:
            for point, far in zip(points, radius.tolist(), strict=True):
                left = left[shapely.dwithin(self._regions[region], shapely.points(at[left] + point), far)]
        for region, ring in form.asks:
            if len(left):
                moved = shapely.polygons(ring[None, :, :] + at[left][:, None, :])
                left = left[shapely.covers(self._regions[region], moved)]
        told = np.zeros(len(at), dtype=np.bool_)
        told[left] = True
        return told


def free_boxes(problem: Problem, kind: int, most: int, stop: Stop = never) -> FreeBoxes | None:
    """All boxes of a kind; None where they would be more than `most` or nothing can be told of the kind by the stop."""
    own = stances(problem, kind)
    boxes = FreeBoxes(problem, own, most, stop) if own else None
    return boxes if boxes is not None and boxes.whole else None


_NONE: Whole = np.empty(0, dtype=np.int64)
