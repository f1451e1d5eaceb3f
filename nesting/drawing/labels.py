"""Words and arrows placed inside shapes so that they fit, lie on nothing and stay readable."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Point
from nesting.drawing.lettering import CAP, descent, width_of
from nesting.drawing.scene import Text, turned_by

GRID = 13
"""Places tried along each side of a shape's box."""


@dataclass(frozen=True)
class Label:
    """Words with the middle of their box, their size and their angle."""

    words: str
    middle: Point
    height: float
    angle: float = 0.0
    bold: bool = False

    def box(self, pad: float = 0.0) -> Polygon:
        """The ground the words cover, and `pad` around it."""
        w, h = box_size(self.words, self.height, self.bold)
        level = shapely.box(-w / 2 - pad, -h / 2 - pad, w / 2 + pad, h / 2 + pad)
        return translate(rotate(level, self.angle, origin=(0, 0)), *self.middle)

    def text(self, layer: str) -> Text:
        """The words as an item."""
        drop = turned_by((0, -(CAP - descent(self.words)) * self.height / 2), self.angle)
        at = self.middle[0] + drop[0], self.middle[1] + drop[1]
        return Text(layer, at, self.words, self.height, "middle", self.angle, self.bold)


def box_size(words: str, height: float, bold: bool = False) -> tuple[float, float]:
    """Width and height of the ground that words cover."""
    return width_of(words, height, bold), (CAP + descent(words)) * height


def readable(angle: float) -> float:
    """An angle, turned over where the words would stand on their heads."""
    return (angle + 90 - 1e-6) % 180 - 90 + 1e-6


def long_way(shape: Polygon) -> float:
    """The direction of the longer side of the least box around a shape, readable."""
    corners = shapely.oriented_envelope(shape).exterior.coords[:3]
    sides = [np.subtract(corners[k + 1], corners[k]) for k in (0, 1)]
    x, y = max(sides, key=lambda side: round(float(np.hypot(*side)), 3))
    return readable(float(np.degrees(np.arctan2(y, x))))


def inside(
    shape: BaseGeometry, ideas: Sequence[tuple[str, float]], angles: Sequence[float], pad: float, bold: bool = True
) -> Label | None:
    """The first of the (words, height) that fits into a shape at one of the angles, as near its middle as can be."""
    for words, height in ideas:
        for angle in angles:
            w, h = box_size(words, height, bold)
            middle = box_place(shape, w + 2 * pad, h + 2 * pad, angle)
            if middle is not None:
                return Label(words, middle, height, angle, bold)
    return None


def box_place(
    shape: BaseGeometry, width: float, height: float, angle: float, near: Point | None = None
) -> Point | None:
    """The middle of a box of this size that lies in the shape at `angle`, nearest to its centroid (or to `near`)."""
    if shape.is_empty or width * height > shape.area:
        return None
    level = rotate(shape, -angle, origin=(0, 0))
    left, low, right, high = level.bounds
    if width > right - left or height > high - low:
        return None
    goal = turned_by(near, -angle) if near else (level.centroid.x, level.centroid.y)
    xs = np.append(np.linspace(left + width / 2, right - width / 2, GRID), np.clip(goal[0], left, right))
    ys = np.append(np.linspace(low + height / 2, high - height / 2, GRID), np.clip(goal[1], low, high))
    x, y = (axis.ravel() for axis in np.meshgrid(xs, ys))
    order = np.argsort(np.round((x - goal[0]) ** 2 + (y - goal[1]) ** 2, 3), kind="stable")
    x, y = x[order], y[order]
    shapely.prepare(level)
    fits = shapely.contains(level, shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2))
    if not fits.any():
        return None
    best = int(np.argmax(fits))
    return turned_by((float(x[best]), float(y[best])), angle)
