"""The map between the photo and the plan, from the four corners of a measured rectangle.

A picture of a flat floor through a lens without distortion is a projective map of it (a homography); four points, no
three in line, fix it. Solved as the linear system of R. Hartley and A. Zisserman, "Multiple View Geometry in Computer
Vision", 2nd ed., 2004, section 4.1, with both point sets shifted and scaled first (section 4.4.4).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hides.errors import InputError
from hides.photo.lens import Lens, fit_lens, on_sides

Floats = NDArray[np.float64]
Mark = tuple[float, float]
FLATTEST = 0.01
"""Least area of any three marks over the square of the widest distance: below it the scale is guesswork."""
SQUARE_ON = 8.0
"""Degrees by which the rectangle's sides must be clear of 45°, or one cannot tell which of them is the width."""
WHERE_MARKS_ARE = (
    "give the four corners of the measured rectangle round the hide (and, to straighten what the lens bends, four more "
    "amid its sides), in pixels of the upright photo, as x,y from its top left corner"
)


@dataclass(frozen=True)
class Homography:
    """Photo pixels to plan millimetres and back.

    `marks` are the rectangle's corners in the photo: upper left, upper right, lower right, lower left.
    `size` is its width (the side that runs left to right in the photo) and height, mm. `lens` takes back what the lens
    bends, where it is known.
    """

    marks: tuple[Mark, Mark, Mark, Mark]
    size: tuple[float, float]
    lens: Lens | None = None

    @classmethod
    def from_marks(
        cls, marks: Sequence[Sequence[float]], size: tuple[float, float], within: tuple[int, int] | None = None
    ) -> Homography:
        """From four marks in any order and the rectangle's width and height in mm; or eight, one amid each side more.

        `within` is the photo's size where the marks must lie inside it. The width is the pair of sides that runs
        left to right in the photo. Raises InputError for marks that are not four, coincide, lie in line, lie
        one inside the triangle of the others, outside the photo, or turned so that width and height cannot be told.
        """
        width, height = (float(side) for side in size)
        for name, side in (("width", width), ("height", height)):
            if not (math.isfinite(side) and side > 0):
                raise InputError(f"{name} {side:g} mm is no size", field="size", remedy="give the rectangle's sides")
        points, amid = _four(marks)
        if within is not None:
            _check_inside(np.concatenate([points, amid]), within)
        _check_spread(points)
        corners = _sorted(points, square=math.isclose(width, height))
        return cls(corners, (width, height), _lens(corners, amid, within))

    @cached_property
    def matrix(self) -> Floats:
        """The 3 × 3 matrix that takes (x, y, 1) in photo pixels, straightened, to plan mm, up to scale."""
        width, height = self.size
        return solve_homography(self._straight(self.marks), ((0, height), (width, height), (width, 0), (0, 0)))

    def to_mm(self, points: ArrayLike) -> Floats:
        """Photo pixels (n × 2, or one point) as plan mm. Raises InputError at or past the floor's horizon."""
        return _apply(self.matrix, self._signed(self.matrix, self._straight(self.marks)), self._straight(points))

    def to_pixels(self, points: ArrayLike) -> Floats:
        """Plan mm (n × 2, or one point) as photo pixels."""
        inverse = np.asarray(np.linalg.inv(self.matrix), np.float64)
        width, height = self.size
        straight = _apply(inverse, self._signed(inverse, np.array([[width / 2, height / 2]])), points)
        return straight if self.lens is None else self.lens.bent(straight)

    def _straight(self, points: ArrayLike) -> Floats:
        return np.asarray(points, float) if self.lens is None else self.lens.straightened(points)

    def mm_per_pixel(self) -> float:
        """Size on the floor of a photo pixel at the rectangle's coarsest corner (square root of its area)."""
        steps = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
        sizes = []
        for mark in self.marks:
            a, b, c = self.to_mm(steps / 16 + mark)
            sizes.append(16 * math.sqrt(abs(float((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]))))
        return max(sizes)

    @staticmethod
    def _signed(matrix: Floats, inside: Floats) -> float:
        """The sign of the third coordinate on this side of the horizon."""
        return float(np.sign((np.c_[inside, np.ones(len(inside))] @ matrix[2]).mean()))


def solve_homography(source: ArrayLike, target: ArrayLike) -> Floats:
    """The 3 × 3 matrix that takes four source points to four target points, scaled to unit norm."""
    source, from_source = _normalised(source)
    target, from_target = _normalised(target)
    rows, values = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    inner = np.append(np.linalg.solve(np.array(rows), np.array(values)), 1.0).reshape(3, 3)
    matrix = np.linalg.inv(from_target) @ inner @ from_source
    return np.asarray(matrix / np.linalg.norm(matrix))


def _normalised(points: ArrayLike) -> tuple[Floats, Floats]:
    """The points about their centre at mean distance √2, and the matrix that brings them there."""
    array = np.asarray(points, float)
    centre = array.mean(axis=0)
    scale = math.sqrt(2) / float(np.hypot(*(array - centre).T).mean())
    matrix = np.array([[scale, 0, -scale * centre[0]], [0, scale, -scale * centre[1]], [0, 0, 1]])
    return (array - centre) * scale, matrix


def _apply(matrix: Floats, sign: float, points: ArrayLike) -> Floats:
    array = np.asarray(points, float)
    flat = array.reshape(-1, 2)
    moved = np.c_[flat, np.ones(len(flat))] @ matrix.T
    if np.any(moved[:, 2] * sign <= 1e-12 * np.abs(matrix[2]).max()):
        raise InputError("a point lies at or past the floor's horizon", remedy="choose points on the floor")
    return np.asarray((moved[:, :2] / moved[:, 2:]).reshape(array.shape))


def _four(marks: Sequence[Sequence[float]]) -> tuple[Floats, Floats]:
    """The corners, and the marks amid the sides (none of four marks)."""
    if len(marks) not in (4, 8) or any(len(mark) != 2 for mark in marks):
        raise InputError(f"{len(marks)} marks where four or eight are needed", field="marks", remedy=WHERE_MARKS_ARE)
    points = np.asarray(marks, float)
    if not np.isfinite(points).all():
        raise InputError("a mark is not a finite number", field="marks", remedy=WHERE_MARKS_ARE)
    if len(points) == 4:
        return points, points[:0]
    round_it = points[np.argsort(np.arctan2(*(points - points.mean(axis=0)).T[::-1]))]
    halves = round_it[::2], round_it[1::2]
    first = int(np.argmax([_area(half) for half in halves]))
    return halves[first], halves[1 - first]


def _area(ring: Floats) -> float:
    x, y = ring.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def _lens(corners: Sequence[Mark], amid: Floats, within: tuple[int, int] | None) -> Lens | None:
    if not len(amid):
        return None
    if within is None:
        raise InputError("the photo's size is needed to straighten it", field="marks", remedy="give four marks")
    return fit_lens(corners, on_sides(corners, amid.tolist()), within)


def _check_inside(points: Floats, within: tuple[int, int]) -> None:
    for x, y in points:
        if not (0 <= x <= within[0] and 0 <= y <= within[1]):
            raise InputError(
                f"the mark {x:g},{y:g} lies outside the photo of {within[0]} × {within[1]} pixels",
                field="marks",
                remedy="all four must show in the upright photo",
            )


def _check_spread(points: Floats) -> None:
    widest = max(math.dist(a, b) for a in points for b in points)
    for left_out in range(4):
        a, b, c = np.delete(points, left_out, axis=0)
        if min(math.dist(a, b), math.dist(b, c), math.dist(c, a)) <= 0.01 * widest:
            problem = "two marks lie at the same place"
        elif abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2 < FLATTEST * widest**2:
            problem = "three marks lie almost in a line"
        else:
            continue
        raise InputError(problem, field="marks", remedy=WHERE_MARKS_ARE)


def _sorted(points: Floats, square: bool) -> tuple[Mark, Mark, Mark, Mark]:
    """Upper left, upper right, lower right, lower left (y runs down)."""
    centre = points.mean(axis=0)
    ring = points[np.argsort(np.arctan2(*(points - centre).T[::-1]))]
    sides = np.roll(ring, -1, axis=0) - ring
    turns = sides[:, 0] * np.roll(sides, -1, axis=0)[:, 1] - sides[:, 1] * np.roll(sides, -1, axis=0)[:, 0]
    if not (turns > 0).all():
        raise InputError("one mark lies inside the triangle of the other three", field="marks", remedy=WHERE_MARKS_ARE)
    # The mean direction of a side and its opposite, for each of the four that could be the upper side.
    unit = sides / np.linalg.norm(sides, axis=1, keepdims=True)
    across = unit - np.roll(unit, -2, axis=0)
    slope = np.degrees(np.arctan2(across[:, 1], across[:, 0]))
    first = int(np.argmin(np.abs(slope)))
    if not square and abs(slope[first]) > 45 - SQUARE_ON:
        raise InputError(
            "the rectangle stands on its corner in the photo, so its width cannot be told from its height",
            field="marks",
            remedy="turn the photo until one side runs left to right",
        )
    upper_left, upper_right, lower_right, lower_left = ((float(x), float(y)) for x, y in np.roll(ring, -first, axis=0))
    return upper_left, upper_right, lower_right, lower_left
