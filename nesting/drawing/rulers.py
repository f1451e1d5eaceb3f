"""The datum line of a hide as it is drawn: the line itself, its zero, and two rulers outside the hide."""

from __future__ import annotations

import math

from shapely.geometry import LineString
from shapely.geometry import Point as SpotOf
from shapely.geometry.base import BaseGeometry

from hides.hide import Hide, Point
from nesting.drawing.marks import Datum
from nesting.drawing.scene import Box, Circle, Item, Line, Text, box_of
from nesting.result.wording import length_text

AWAY = 7.0
"""Paper mm between the hide and a ruler."""
ROOM = 14.0
"""Paper mm that the rulers need on their two sides of the hide."""
FAR = 6.0
"""Paper mm that labels need on the other two."""


def rulers(hide: Hide, datum: Datum, k: float, units: str) -> tuple[Item, ...]:
    """Datum line and rulers; `k` is how many drawing mm one paper mm is."""
    left, low, right, high = box_of(datum.measured(point) for point in hide.outline)
    step = _step(k, units)
    base = low - AWAY * k, left - AWAY * k
    items: list[Item] = [Line("backbone", (datum.at(left - 3 * k, 0), datum.at(right + 3 * k, 0)))]
    items += [Line("datum", (datum.at(left, -1.6 * k), datum.at(left, 1.6 * k))), Circle("datum", datum.zero, 1.6 * k)]
    items += [Line("datum", (datum.at(left, base[0]), datum.at(right, base[0])))]
    items += [Line("datum", (datum.at(base[1], low), datum.at(base[1], high)))]
    for n in range(math.ceil(left / step - 1e-9), math.floor(right / step) + 1):
        items += _tick(datum, (n * step, base[0]), (0, -1), n * step, k, units)
    for n in range(math.ceil(low / step - 1e-9), math.floor(high / step) + 1):
        items += _tick(datum, (base[1], n * step), (-1, 0), n * step, k, units)
    return tuple(items)


def kept_free(hide: Hide, datum: Datum, k: float) -> BaseGeometry:
    """The ground of the datum line and its zero, off which labels stay."""
    right = max(datum.measured(point)[0] for point in hide.outline)
    line = LineString([datum.at(-3 * k, 0), datum.at(right + 3 * k, 0)])
    return line.buffer(0.15 * k).union(SpotOf(datum.zero).buffer(1.8 * k))


def frame_of(hide: Hide, k: float) -> Box:
    """The box within which labels may go: the hide and the strip between it and the rulers."""
    left, low, right, high = box_of(hide.outline)
    room = FAR * k
    return left - room, low - room, right + room, high + room


def _tick(datum: Datum, at: Point, way: Point, value: float, k: float, units: str) -> list[Item]:
    """One tick outwards with its figure (inches of a ruler are whole)."""
    end = at[0] + 1.2 * k * way[0], at[1] + 1.2 * k * way[1]
    drop = 3.1 if way[1] else 1.9
    words = length_text(value, units, step=1)
    place = at[0] + drop * k * way[0], at[1] + (drop if way[1] else 0) * k * way[1] - (0 if way[1] else 0.6 * k)
    anchor = "middle" if way[1] else "right"
    return [
        Line("datum", (datum.at(*at), datum.at(*end))),
        Text("datum name", datum.at(*place), words, 1.7 * k, anchor, datum.angle),
    ]


def _step(k: float, units: str) -> float:
    """The least round distance whose ticks stand at least 8 paper mm apart."""
    unit, steps = (25.4, (1, 2, 4, 6, 12, 24, 48)) if units == "in" else (1.0, (10, 20, 50, 100, 200, 500, 1000))
    return next((s * unit for s in steps if s * unit >= 8 * k), steps[-1] * unit)
