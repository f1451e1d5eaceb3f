"""The shapes every drawing is made of, in millimetres with y upwards, and what can be done with all of them.

Terms. *Item*: one shape on a named layer (see `look`). *Scene*: items in drawing order. *Page*: a sheet of paper
with a scene on it, and perhaps a window through which part of another scene is seen.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from hides.hide import Point, Ring

Box = tuple[float, float, float, float]
"""left, low, right, high"""


@dataclass(frozen=True)
class Line:
    """An open line through some points."""

    layer: str
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Area:
    """A filled ring with holes. `tint` picks one of the look's tints in place of the layer's own fill."""

    layer: str
    rings: tuple[Ring, ...]
    tint: int | None = None


@dataclass(frozen=True)
class Circle:
    """A circle by its diameter."""

    layer: str
    centre: Point
    diameter: float


@dataclass(frozen=True)
class Text:
    """One line of words; `at` lies on the base line, left, in the middle or at the right of the words.

    `height` is the size of the letters' body (the "font size"), mm; `angle` turns counter-clockwise about `at`.
    """

    layer: str
    at: Point
    words: str
    height: float
    anchor: str = "left"
    angle: float = 0.0
    bold: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "words", printable(self.words))


def printable(words: str) -> str:
    """Words with blanks for control characters: names come from files, and a drawing's own lines must not break."""
    return words if words.isprintable() else "".join(letter if letter.isprintable() else " " for letter in words)


Item = Line | Area | Circle | Text
Scene = tuple[Item, ...]


@dataclass(frozen=True)
class Picture:
    """A picture (rows × columns × 3, bytes, first row at the top) that fills a box of the page."""

    pixels: NDArray[np.uint8] = field(repr=False, compare=False)
    box: Box


@dataclass(frozen=True)
class Page:
    """A sheet of paper, mm. `under` is drawn before all else, then `seen`, through `window`, without fills where
    `hollow`.

    `pen` thickens all lines (for large pages).
    """

    width: float
    height: float
    items: Scene
    seen: Scene = ()
    window: Box | None = None
    pen: float = 1.0
    hollow: bool = False
    under: tuple[Picture, ...] = ()


def mapped(items: Iterable[Item], scale: float, shift: Point) -> Scene:
    """The items scaled about the origin, then shifted."""

    def move(point: Point) -> Point:
        return point[0] * scale + shift[0], point[1] * scale + shift[1]

    return tuple(_moved(item, move, scale) for item in items)


def _moved(item: Item, move: Callable[[Point], Point], scale: float) -> Item:
    if isinstance(item, Line):
        return replace(item, points=tuple(map(move, item.points)))
    if isinstance(item, Area):
        return replace(item, rings=tuple(tuple(map(move, ring)) for ring in item.rings))
    if isinstance(item, Circle):
        return replace(item, centre=move(item.centre), diameter=item.diameter * scale)
    return replace(item, at=move(item.at), height=item.height * scale)


def bounds(items: Iterable[Item]) -> Box:
    """The box around all points of the items (words count by their anchor alone)."""
    points = [point for item in items for point in points_of(item)]
    return box_of(points)


def box_of(points: Iterable[Point]) -> Box:
    """The box around points."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def points_of(item: Item) -> tuple[Point, ...]:
    """Points that span the item."""
    if isinstance(item, Line):
        return item.points
    if isinstance(item, Area):
        return item.rings[0]
    if isinstance(item, Circle):
        (x, y), r = item.centre, item.diameter / 2
        return (x - r, y - r), (x + r, y + r)
    return (item.at,)


def turned_by(point: Point, degrees: float) -> Point:
    """A point turned about the origin, counter-clockwise."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return point[0] * c - point[1] * s, point[0] * s + point[1] * c
