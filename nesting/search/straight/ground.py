"""The leather along one line: what every strip of it can give."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nesting.model.problem import Problem
from nesting.search.straight.forms import Box, Form
from nesting.search.straight.strip_kernel import clear, reached

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Spans = list[tuple[float, float]]

MOST_MIXES = 60_000
"""A strip with more mixes of pieces than this is not looked at whole; see `Ground.whole`."""
EVEN = 1e-4


@dataclass(frozen=True)
class Slack:
    """What is given away so that one strip stands for all near it: it may lie up to `lift` mm higher, and be turned
    by so little that its rectangles hold ones that are `turn` mm less wide and `short` mm less long at every side."""

    lift: float = 0.0
    turn: float = 0.0
    short: float = 0.0


EXACT = Slack()


@dataclass(frozen=True)
class StripYield:
    """What a strip can give: `mixes` (n, kinds of the problem) are counts of pieces, none of them within another."""

    offset: float
    width: float
    mixes: Ints


@dataclass
class Ground:
    """The regions of a problem turned into the frame of a line, and the forms along it. `most`: pieces of each kind.

    With `outer` the regions surely hold every position that a layout's tolerance allows, and pieces are taken smaller
    by it: for bounds.
    """

    problem: Problem
    angle: float
    forms: tuple[Form, ...]
    most: tuple[int, ...]
    kerf: float = 0.0
    outer: bool = False
    taken: BaseGeometry | None = None
    whole: bool = True
    _edges: list[Floats] = field(default_factory=list)
    _known: dict[tuple[int, int, Slack], StripYield] = field(default_factory=dict)
    _spans: dict[tuple[int, int, int], Spans] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.widths = tuple(sorted({round(form.width, 4) for form in self.forms}))
        used = {b.region for form in self.forms for b in form.boxes}
        regions = self.problem.outer if self.outer else self.problem.regions
        shapes = [self._turned(region) if index in used else None for index, region in enumerate(regions)]
        self._edges = [_edges(shape) if shape is not None else np.empty((0, 4)) for shape in shapes]
        boxes = [shape.bounds for shape in shapes if shape is not None and not shape.is_empty]
        self.empty = not boxes
        self.left = min((b[0] for b in boxes), default=0.0)
        self.low = min((b[1] for b in boxes), default=0.0)
        self.right = max((b[2] for b in boxes), default=0.0)
        self.high = max((b[3] for b in boxes), default=0.0)
        self.forms = tuple(form for form in self.forms if all(_fits(shapes[b.region], b) for b in form.boxes))
        self._by_width = [[f for f in self.forms if round(f.width, 4) == width] for width in self.widths]

    def _turned(self, region: BaseGeometry) -> BaseGeometry:
        left = region if self.taken is None else region.difference(self.taken)
        return affinity.rotate(left, -self.angle, origin=(0, 0))

    def heights(self) -> list[float]:
        """The heights of the regions' corners, ascending, each once."""
        marks = [edges[:, 1] for edges in self._edges]
        return [float(y) for y in np.unique(np.round(np.concatenate(marks), 4))] if marks else []

    def strip(self, offset: float, width: int, slack: Slack = EXACT) -> StripYield:
        """What a strip of the width of that index can give at an offset."""
        key = (round(offset * 1e4), width, slack)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._strip(offset, width, slack)
        return known

    def _strip(self, offset: float, width: int, slack: Slack) -> StripYield:
        kinds, starts, lengths = self._starts(offset, width, slack)
        mixes = np.zeros((0, len(self.most)), np.int64)
        if kinds:
            most = self._most(kinds, starts, lengths)
            ends = _ends(starts, lengths, most, self.kerf)
            local = _greatest(ends.reshape([m + 1 for m in most]))
            mixes = np.zeros((len(local), len(self.most)), np.int64)
            mixes[:, kinds] = local
        return StripYield(offset, self.widths[width], mixes)

    def _most(self, kinds: list[int], starts: list[Spans], lengths: list[float]) -> list[int]:
        """As many of each kind as its stretches hold at most; fewer, and `whole` no longer, where that is too much."""
        most = [
            min(self.most[k], sum(int((b - a) / (length + self.kerf) + 1 + 1e-6) for a, b in spans))
            for k, spans, length in zip(kinds, starts, lengths, strict=True)
        ]
        while math.prod(m + 1 for m in most) > MOST_MIXES:
            self.whole = False
            most[most.index(max(most))] //= 2
        return most

    def _starts(self, offset: float, width: int, slack: Slack) -> tuple[list[int], list[Spans], list[float]]:
        """Kinds that go on a strip, where along it each may begin, and their lengths."""
        found: dict[int, tuple[Spans, float]] = {}
        for form in self._by_width[width]:
            spans = self.starts(form, offset, slack)
            if spans:
                old, length = found.get(form.kind, ([], form.length))
                found[form.kind] = (_joined(old + spans), min(length, form.length))
        kinds = sorted(found)
        return kinds, [found[k][0] for k in kinds], [found[k][1] - 2 * slack.short for k in kinds]

    def starts(self, form: Form, offset: float, slack: Slack = EXACT) -> Spans:
        """The stretches in which the left side of a form may lie on a strip at an offset."""
        spans: Spans | None = None
        for each in form.boxes:
            mine = self._box_starts(each, offset, slack)
            spans = mine if spans is None else _common(spans, mine)
            if not spans:
                return []
        return spans or []

    def _box_starts(self, box: Box, offset: float, slack: Slack) -> Spans:
        give = slack.turn
        low, high = offset + box.low + give + slack.lift, offset + box.high - give
        left, right = box.left + slack.short, box.right - slack.short
        if high - low < EVEN:  # the slack leaves nothing of it: it may lie anywhere
            return [(self.left - left, self.right - right)] if slack is not EXACT else []
        found = []
        for x0, x1 in self._clear(box.region, low, high):
            a, b = x0 - left, x1 - right
            if b >= a - EVEN:
                found.append((a, max(a, b)))
        return found

    def _clear(self, region: int, low: float, high: float) -> Spans:
        key = (region, round(low * 1e4), round(high * 1e4))
        known = self._spans.get(key)
        if known is None:
            known = self._spans[key] = [(float(a), float(b)) for a, b in clear(self._edges[region], low, high)]
        return known

    def sequence(self, offset: float, width: int, mix: NDArray[np.int64]) -> list[tuple[Form, float]]:
        """The pieces of a mix along an exact strip: forms and where each begins, from the left."""
        kinds, starts, lengths = self._starts(offset, width, EXACT)
        used = [place for place, kind in enumerate(kinds) if mix[kind]]
        kinds, starts, lengths = [kinds[p] for p in used], [starts[p] for p in used], [lengths[p] for p in used]
        most = [int(mix[kind]) for kind in kinds]
        ends = _ends(starts, lengths, most, self.kerf)
        step = [math.prod(m + 1 for m in most[j + 1 :]) for j in range(len(most))]
        at, out = len(ends) - 1, []
        left = list(most)
        while at:
            j, begin = self._last(ends, at, step, left, starts, lengths)
            form = next(
                f for f in self._by_width[width] if f.kind == kinds[j] and _within(self.starts(f, offset), begin)
            )
            out.append((form, begin))
            left[j] -= 1
            at -= step[j]
        return out[::-1]

    def _last(
        self, ends: Floats, at: int, step: list[int], left: list[int], starts: list[Spans], lengths: list[float]
    ) -> tuple[int, float]:
        """The last piece of a mix, the same kind as the one before it where that does as well, and where it begins."""
        for j in range(len(left)):
            if left[j]:
                begin = _earliest(starts[j], float(ends[at - step[j]]) + self.kerf)
                if begin is not None and abs(begin + lengths[j] - ends[at]) < 1e-7:
                    return j, begin
        raise AssertionError("a mix that was reached has a last piece")


def _ends(starts: list[Spans], lengths: list[float], most: list[int], kerf: float) -> Floats:
    flat = np.array([span for spans in starts for span in spans], dtype=np.float64).reshape(-1, 2)
    first = np.cumsum([0, *(len(spans) for spans in starts)])
    return reached(flat, first.astype(np.int64), np.array(lengths), np.array(most, np.int64), kerf)


def _greatest(ends: Floats) -> Ints:
    """The mixes that are reached while none with one piece more is; shape (n, kinds)."""
    good = np.isfinite(ends) | (ends == -np.inf)
    top = good.copy()
    for axis in range(good.ndim):
        more = np.zeros_like(good)
        ahead = [slice(None)] * good.ndim
        behind = [slice(None)] * good.ndim
        ahead[axis], behind[axis] = slice(1, None), slice(None, -1)
        more[tuple(behind)] = good[tuple(ahead)]
        top &= ~more
    found = np.argwhere(top)
    return found[found.any(axis=1)].astype(np.int64)


def _edges(shape: BaseGeometry) -> Floats:
    rows = [np.empty((0, 4))]
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon":
            for ring in (part.exterior, *part.interiors):
                points = shapely.get_coordinates(ring)
                rows.append(np.hstack([points[:-1], points[1:]]))
    return np.ascontiguousarray(np.vstack(rows))


def _fits(shape: BaseGeometry | None, box: Box) -> bool:
    """Whether some part of a region is as long and as wide as a box."""
    if shape is None:
        return False
    spans = shapely.bounds(shapely.get_parts(shape))
    wide, high = spans[:, 2] - spans[:, 0] + 0.1, spans[:, 3] - spans[:, 1] + 0.1
    return bool(((wide >= box.right - box.left) & (high >= box.high - box.low)).any())


def _joined(spans: Spans) -> Spans:
    """Stretches in order, those that meet as one."""
    out: Spans = []
    for a, b in sorted(spans):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out


def _common(first: Spans, second: Spans) -> Spans:
    """What lies in both."""
    out = [(max(a, c), min(b, d)) for a, b in first for c, d in second if max(a, c) <= min(b, d) + EVEN]
    return [(a, max(a, b)) for a, b in out]


def _within(spans: Spans, at: float) -> bool:
    place = bisect_right(spans, (at + 1e-6, math.inf)) - 1
    return place >= 0 and spans[place][0] - 1e-6 <= at <= spans[place][1] + 1e-6


def _earliest(spans: Spans, at: float) -> float | None:
    for a, b in spans:
        if b >= at - 1e-6:
            return max(a, at)
    return None
