"""The leather along one line: what every strip of it can give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from nesting.model.problem import Problem
from nesting.search.straight.forms import Box, Form
from nesting.search.straight.strip_kernel import (
    EXACT,
    NEAR,
    Leather,
    Slack,
    Starts,
    Ways,
    Yields,
    earliest,
    form_starts,
    reached,
    room_for,
    steps,
    strip_starts,
    strip_yields,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass
class Ground:
    """The regions of a problem turned into the frame of a line, and the forms along it. `most`: pieces of each kind.

    With `outer` the regions surely hold every position that a layout's tolerance allows, and pieces are taken smaller
    by it: for bounds. `slack` says by how much they are drawn in so that lines turned a little are bounded as well.
    """

    problem: Problem
    angle: float
    forms: tuple[Form, ...]
    most: tuple[int, ...]
    kerf: float = 0.0
    outer: bool = False
    taken: BaseGeometry | None = None
    whole: bool = True
    slack: Slack = EXACT

    def __post_init__(self) -> None:
        self.widths = tuple(sorted({round(form.width, 4) for form in self.forms}))
        used = {b.region for form in self.forms for b in form.boxes}
        regions = self.problem.outer if self.outer else self.problem.regions
        shapes = [self._turned(region) if index in used else None for index, region in enumerate(regions)]
        boxes = [shape.bounds for shape in shapes if shape is not None and not shape.is_empty]
        self.empty = not boxes
        self.left = min((b[0] for b in boxes), default=0.0)
        self.low = min((b[1] for b in boxes), default=0.0)
        self.right = max((b[2] for b in boxes), default=0.0)
        self.high = max((b[3] for b in boxes), default=0.0)
        going = [form for form in self.forms if all(_fits(shapes[b.region], b, self.slack) for b in form.boxes)]
        self.forms = tuple(sorted(going, key=lambda form: round(form.width, 4)))
        self.leather = self._leather(shapes)
        self.ways = self._ways()
        self.heights = np.unique(np.round(self.leather.edges[:, [1, 3]], 4))  # of all corners

    def _turned(self, region: BaseGeometry) -> BaseGeometry:
        left = region if self.taken is None else region.difference(self.taken)
        return affinity.rotate(left, -self.angle, origin=(0, 0))

    def _leather(self, shapes: Sequence[BaseGeometry | None]) -> Leather:
        edges = [_edges(shape) if shape is not None else np.empty((0, 4)) for shape in shapes]
        return Leather(np.vstack(edges), np.cumsum([0, *(len(each) for each in edges)]), self.left, self.right)

    def _ways(self) -> Ways:
        boxes = [b for form in self.forms for b in form.boxes]
        return Ways(
            np.searchsorted([round(form.width, 4) for form in self.forms], [*self.widths, np.inf]).astype(np.int64),
            np.array([form.kind for form in self.forms], np.int64),
            np.array([form.length for form in self.forms], float),
            np.cumsum([0, *(len(form.boxes) for form in self.forms)]),
            np.array([b.region for b in boxes], np.int64),
            np.array([(b.left, b.low, b.right, b.high) for b in boxes], float).reshape(-1, 4),
            np.array(self.most, np.int64),
            float(self.kerf),
        )

    def strips(self, widths: Ints, offsets: Floats, lift: float = 0.0) -> Yields:
        """What strips of the widths of those indexes can give at their offsets, or up to `lift` higher."""
        slack = self.slack._replace(lift=lift)
        found: Yields = strip_yields(self.leather, self.ways, np.ascontiguousarray(widths), offsets, slack)
        self.whole = self.whole and found.whole
        return found

    def sequence(self, offset: float, width: int, mix: NDArray[np.int64]) -> list[tuple[Form, float]]:
        """The pieces of a mix along an exact strip: forms and where each begins, from the left."""
        starts = self._starts(offset, width, mix)
        left = mix[starts.kinds]
        ends, step = reached(starts, left, self.kerf), steps(left)
        at, out = len(ends) - 1, []
        while at:
            j, begin = self._last(ends, at, step, left, starts)
            out.append((self._form_at(offset, width, int(starts.kinds[j]), begin), begin))
            left[j] -= 1
            at -= step[j]
        return out[::-1]

    def _starts(self, offset: float, width: int, mix: Ints) -> Starts:
        """Where the kinds of a mix may begin on an exact strip."""
        most = np.where(mix > 0, self.ways.most, 0)
        starts: Starts = strip_starts(
            self.leather, self.ways._replace(most=most), width, offset, EXACT, room_for(self.leather)
        )
        return starts

    def _last(self, ends: Floats, at: int, step: Ints, left: Ints, starts: Starts) -> tuple[int, float]:
        """The last piece of a mix, the same kind as the one before it where that does as well, and where it begins."""
        for j in range(len(left)):
            begin = earliest(starts, j, ends[at - step[j]] + self.kerf)
            if left[j] and abs(begin + starts.lengths[j] - ends[at]) < 1e-7:
                return j, float(begin)
        raise AssertionError("a mix that was reached has a last piece")

    def _form_at(self, offset: float, width: int, kind: int, begin: float) -> Form:
        """The form of a kind that may begin there."""
        room = room_for(self.leather)
        for n in range(self.ways.of_width[width], self.ways.of_width[width + 1]):
            spans = form_starts(self.leather, self.ways, n, offset, EXACT, room)
            inside = (spans[:, 0] - NEAR <= begin) & (begin <= spans[:, 1] + NEAR)
            if self.forms[n].kind == kind and inside.any():
                return self.forms[n]
        raise AssertionError("where a kind may begin one of its forms may")


def _edges(shape: BaseGeometry) -> Floats:
    """The edges of a shape's rings, shape (n, 4), each from its lower end; from left to right."""
    rows = [np.empty((0, 4))]
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon":
            for ring in (part.exterior, *part.interiors):
                points = shapely.get_coordinates(ring)
                rows.append(np.hstack([points[:-1], points[1:]]))
    edges = np.vstack(rows)
    falls = edges[:, 1] > edges[:, 3]
    edges[falls] = edges[falls][:, [2, 3, 0, 1]]
    return edges[np.argsort(np.minimum(edges[:, 0], edges[:, 2]), kind="stable")]


def _fits(shape: BaseGeometry | None, box: Box, slack: Slack) -> bool:
    """Whether some part of a region is as long and as wide as a box is at least."""
    if shape is None:
        return False
    spans = shapely.bounds(shapely.get_parts(shape))
    wide, high = spans[:, 2] - spans[:, 0] + 0.1, spans[:, 3] - spans[:, 1] + 0.1
    long, across = box.right - box.left - 2 * slack.short, box.high - box.low - 2 * slack.turn
    return bool(((wide >= long) & (high >= across)).any())
