"""The photo laid flat: pixels with a place on the floor."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.photo.floor import Mask, linear_light, to_lab
from hides.photo.plan_view import Pixels

Box = tuple[float, float, float, float]
_LINEAR = linear_light(np.arange(256, dtype=np.float32) / np.float32(255))
_FINE = 4


@dataclass(frozen=True)
class FlatPicture:
    """An sRGB picture (rows × columns × 3, bytes) that fills `box` (x0, y0, x1, y1; mm), its first row at the top."""

    pixels: NDArray[np.uint8] = field(repr=False)
    box: Box

    @property
    def step(self) -> float:
        """Millimetres a pixel."""
        return float((self.box[2] - self.box[0]) / self.pixels.shape[1])

    def window(self, wanted: Box, most: int) -> Window:
        """What lies in the wanted box, averaged down by a whole number until it has at most about `most` pixels."""
        x0, _, _, y1 = self.box
        rows, columns = self.pixels.shape[:2]
        left, right = (min(max(math.floor((x - x0) / self.step), 0), columns) for x in (wanted[0], wanted[2]))
        top, bottom = (min(max(math.floor((y1 - y) / self.step), 0), rows) for y in (wanted[3], wanted[1]))
        by = max(1, math.ceil(math.sqrt(max(1, (right - left) * (bottom - top)) / most)))
        right, bottom = max(right, left + by), max(bottom, top + by)
        cut = self.pixels[top:bottom, left:right]
        high, wide = cut.shape[0] // by, cut.shape[1] // by
        light = _LINEAR[cut[: high * by, : wide * by]].reshape(high, by, wide, by, 3).mean(axis=(1, 3))
        return Window(to_lab(light), self.step * by, x0 + left * self.step, y1 - top * self.step)


@dataclass(frozen=True)
class Window:
    """A part of the picture in CIE L*a*b*. `left` and `top` are where it begins, mm; `step` mm a pixel."""

    lab: Pixels = field(repr=False)
    step: float
    left: float
    top: float

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.lab.shape[0], self.lab.shape[1]

    @property
    def box(self) -> Box:
        """What it fills, mm."""
        rows, columns = self.shape
        return self.left, self.top - rows * self.step, self.left + columns * self.step, self.top

    def to_pixels(self, points: object) -> NDArray[np.float64]:
        """Floor mm (n × 2) as columns and rows, a pixel's middle at its number."""
        array = np.asarray(points, float).reshape(-1, 2)
        return np.asarray(
            np.c_[(array[:, 0] - self.left) / self.step - 0.5, (self.top - array[:, 1]) / self.step - 0.5]
        )

    def to_mm(self, places: object) -> NDArray[np.float64]:
        """Columns and rows (n × 2) as floor mm; the inverse of `to_pixels`."""
        array = np.asarray(places, float).reshape(-1, 2)
        return np.asarray(
            np.c_[self.left + (array[:, 0] + 0.5) * self.step, self.top - (array[:, 1] + 0.5) * self.step]
        )

    def share(self, area: BaseGeometry) -> Pixels:
        """How much of each pixel an area covers, 0 to 1."""
        rows, columns = self.shape
        drawn = Image.new("L", (columns * _FINE, rows * _FINE))
        draw = ImageDraw.Draw(drawn)
        for part in parts(area):
            for ring, value in ((part.exterior, 255), *((hole, 0) for hole in part.interiors)):
                places = (self.to_pixels(ring.coords) + 0.5) * _FINE - 0.5
                draw.polygon([(float(x), float(y)) for x, y in places], fill=value)
        return np.asarray(drawn.reduce(_FINE), np.float32) / np.float32(255)

    def covers(self, area: BaseGeometry) -> Mask:
        """The pixels whose middle an area covers."""
        return np.asarray(self.share(area) >= 0.5)


def parts(area: object) -> list[Polygon]:
    """The polygons that a result of shapely's consists of; lines and points are no area."""
    if isinstance(area, Polygon):
        return [] if area.is_empty else [area]
    return [part for each in getattr(area, "geoms", ()) for part in parts(each)]
