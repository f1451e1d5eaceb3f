"""A hide in a frame of its own, so that moving or turning it on the floor changes nothing in the answer."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely

from hides.hide import Hide, Point, Ring, Segment

GRID = 6
"""Decimals of a millimetre kept in the frame: what turning to and fro leaves behind is rounded off."""


@dataclass(frozen=True)
class Frame:
    """Where the hide's own frame lies: its origin in hide coordinates, and the bearing of its +x in degrees."""

    origin: Point
    bearing: float

    def inward(self, point: Point) -> Point:
        """A point of the hide in the frame."""
        c, s = _turn(self.bearing)
        x, y = point[0] - self.origin[0], point[1] - self.origin[1]
        return round(c * x + s * y, GRID), round(-s * x + c * y, GRID)

    def outward(self, point: Point) -> Point:
        """A point of the frame on the hide."""
        c, s = _turn(self.bearing)
        return self.origin[0] + c * point[0] - s * point[1], self.origin[1] + s * point[0] + c * point[1]

    def hide(self, hide: Hide) -> Hide:
        """The hide in the frame."""
        return replace(
            hide,
            outline=self._ring(hide.outline),
            holes=tuple(self._ring(hole) for hole in hide.holes),
            backbone=self._segment(hide.backbone),
            flaws=tuple(replace(flaw, outline=self._ring(flaw.outline)) for flaw in hide.flaws),
            zones=tuple(
                replace(z, outline=self._ring(z.outline), backbone=self._segment(z.backbone)) for z in hide.zones
            ),
        )

    def _ring(self, ring: Ring) -> Ring:
        return tuple(self.inward(point) for point in ring)

    def _segment(self, segment: Segment | None) -> Segment | None:
        return None if segment is None else (self.inward(segment[0]), self.inward(segment[1]))


def frame_of(hide: Hide, keep_bearing: bool = False) -> Frame:
    """The frame of a hide: +x along its backbone, else along the long side of its least rectangle; origin amid it.

    With `keep_bearing` a hide without a backbone is not turned (pieces with fixed angles count them from +x).
    """
    middle = hide.polygon.centroid
    bearing = hide.direction
    if bearing is None:
        bearing = 0.0 if keep_bearing else _long_way(hide)
    return Frame((middle.x, middle.y), bearing)


def _long_way(hide: Hide) -> float:
    """Bearing of the long side of the least rectangle round a hide, towards the heavier end."""
    box = np.array(shapely.minimum_rotated_rectangle(hide.polygon).exterior.coords)
    sides = np.diff(box[:3], axis=0)
    along = sides[int(np.argmax(np.hypot(sides[:, 0], sides[:, 1])))]
    middle = np.array(hide.polygon.centroid.coords[0])
    heavy = float(along @ (middle - box[:4].mean(axis=0)))
    bearing = math.degrees(math.atan2(along[1], along[0]))
    return bearing if heavy >= 0 else bearing + 180.0


def _turn(bearing: float) -> tuple[float, float]:
    angle = math.radians(bearing)
    return math.cos(angle), math.sin(angle)
