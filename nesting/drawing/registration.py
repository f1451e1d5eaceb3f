"""Registration marks: three crosses at known places of a hide, by which a machine is set to it.

They lie on leather that no piece takes, as far apart as can be, at whole centimetres (half inches, where the hide is
measured in inches) along and across the datum line, so that they can be pricked with a tape before the hide goes on the
machine. Two of them set place and turn, the third shows that nothing is stretched or mirrored. Where a hide has no such
leather they stand off it, at the corners of its box.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Point
from nesting.drawing.marks import Datum, datum_of
from nesting.drawing.scene import box_of
from nesting.model.layout import HideLayout
from nesting.result.wording import place_text

GRIDS = {"in": 12.7}
PLAIN_GRID = 10.0
CLEAR = 6.0
"""mm from a cross to the leather's edge and to every piece."""
NUMBER = 3

Points = NDArray[np.float64]


@dataclass(frozen=True)
class RegistrationMark:
    """A cross: its name, where it lies in the hide's coordinates, and along and across the datum line."""

    name: str
    at: Point
    along: float
    across: float


def registration_marks(each: HideLayout) -> tuple[RegistrationMark, ...]:
    """The three crosses of a hide; the same layout gives the same ones."""
    datum, grid = datum_of(each.hide), GRIDS.get(each.hide.units, PLAIN_GRID)
    pieces = shapely.union_all([Polygon(p.outline) for p in each.placements])
    free = each.hide.polygon.buffer(-CLEAR).difference(pieces.buffer(CLEAR))
    kept = shapely.union_all([Polygon(ring) for ring in each.offcuts])
    for ground in (free.difference(kept), free):
        spots = _spots(ground, datum, grid)
        if len(spots) >= NUMBER and (picked := _picked(spots)) is not None:
            return _named(picked, datum)
    return _named(_corners(each, datum, grid), datum)


def registration_words(each: HideLayout, units: str, part: int) -> str:
    """Where the crosses lie, along and across the datum line."""
    found = [
        f"{mark.name} {place_text(mark.along, units, part)} / {place_text(mark.across, units, part)}"
        for mark in registration_marks(each)
    ]
    unit = "inches" if units == "in" else units
    return f"Registration marks of machine files, along / across in {unit}: {', '.join(found)}."


def _spots(ground: BaseGeometry, datum: Datum, step: float) -> Points:
    """Places of the datum line's grid on the ground, along and across."""
    if ground.is_empty:
        return np.empty((0, 2))
    left, low, right, high = ground.bounds
    box = [datum.measured(p) for p in ((left, low), (right, low), (right, high), (left, high))]
    first, second, last, top = box_of(box)
    along = np.arange(np.ceil(first / step), np.floor(last / step) + 1) * step
    across = np.arange(np.ceil(second / step), np.floor(top / step) + 1) * step
    grid = np.array(np.meshgrid(along, across)).reshape(2, -1).T
    c, s = np.cos(np.radians(datum.angle)), np.sin(np.radians(datum.angle))
    x = datum.zero[0] + grid[:, 0] * c - grid[:, 1] * s
    y = datum.zero[1] + grid[:, 0] * s + grid[:, 1] * c
    inside: Points = grid[shapely.contains_xy(ground, x, y)]
    return inside


def _picked(spots: Points) -> Points | None:
    """The two spots farthest apart and the one farthest from the line through them; None where all lie on a line."""
    rim = spots[np.lexsort(spots.T)]
    hull = shapely.convex_hull(shapely.multipoints(rim))
    if not isinstance(hull, Polygon):
        return None
    corners = np.array(hull.exterior.coords[:-1])
    corners = corners[np.lexsort(corners.T)]
    gaps = np.hypot(*(corners[:, None] - corners[None, :]).transpose(2, 0, 1)).round(6)
    a, b = corners[np.array(np.unravel_index(int(gaps.argmax()), gaps.shape))]
    off = np.abs((b[0] - a[0]) * (corners[:, 1] - a[1]) - (b[1] - a[1]) * (corners[:, 0] - a[0])).round(6)
    picked: Points = np.array([a, b, corners[int(off.argmax())]])
    return picked[np.lexsort((picked[:, 1], picked[:, 0]))]


def _corners(each: HideLayout, datum: Datum, step: float) -> Points:
    """Three corners of the hide's box, a step or two outside it."""
    left, low, right, high = box_of(datum.measured(point) for point in each.hide.outline)
    first, second = (np.floor(value / step - 1) * step for value in (left, low))
    last, top = (np.ceil(value / step + 1) * step for value in (right, high))
    return np.array([(first, second), (first, top), (last, second)])


def _named(picked: Points, datum: Datum) -> tuple[RegistrationMark, ...]:
    return tuple(
        RegistrationMark(f"M{number}", datum.at(along, across), along, across)
        for number, (along, across) in enumerate(((float(a), float(b)) for a, b in picked), 1)
    )
