"""Marks on the leather that the photo shows: what differs from the leather about it. Proposed, never taken by itself.

The leather's colour is levelled by a smooth background, in which what stands out counts less at every turn; the rest is
measured in its own robust spread (the median absolute deviation; F. R. Hampel, 1974). What is farther off than a few
spreads, hangs together and has a size between a tick's and a brand's is proposed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from shapely.geometry import Polygon

from hides.hide import Ring
from hides.photo.flat.brush import outlines
from hides.photo.flat.picture import FlatPicture, Window
from hides.photo.floor import Mask
from hides.photo.plan_view import Pixels

MOST = 500_000
BACKGROUND = 45.0
"""Width of the smooth background, mm."""
FROM_EDGE = 12.0
"""Nearer to the edge than this, mm, a mark cannot be told from the edge."""
OUTSTANDING = 5.0
"""Spreads by which a mark differs."""
SMALLEST, LARGEST = 40.0, 40_000.0
"""Area of a mark, mm²."""
FEW = 40
"""The plainest are proposed, so many at most."""


@dataclass(frozen=True)
class Spot:
    """A mark proposed: its ring (mm), how far it stands out (spreads), and whether it is darker than the leather."""

    ring: Ring
    strength: float
    darker: bool

    @property
    def words(self) -> str:
        """What is seen, for a person."""
        x0, y0, x1, y1 = Polygon(self.ring).bounds
        return f"{'darker' if self.darker else 'lighter'} than the leather about it, {x1 - x0:.0f} × {y1 - y0:.0f} mm"


def spots_of(flat: FlatPicture, hide: Polygon) -> tuple[Spot, ...]:
    """The marks, the plainest first."""
    window = flat.window(hide.bounds, MOST)
    inside = window.covers(hide.buffer(-FROM_EDGE))
    if inside.sum() < 100:
        return ()
    off = _off(window, inside)
    size = np.linalg.norm(off, axis=-1)
    near = max(1, round(2.5 / window.step))
    marked = ndimage.binary_closing((size > OUTSTANDING) & inside, iterations=near)
    label, count = ndimage.label(ndimage.binary_opening(marked), np.ones((3, 3)))
    found = []
    for number, where in zip(range(1, count + 1), ndimage.find_objects(label), strict=True):
        own = label[where] == number
        if SMALLEST <= own.sum() * window.step**2 <= LARGEST:
            found.append(_spot(window, label == number, where, size, off))
    return tuple(sorted(found, key=lambda spot: -spot.strength))[:FEW]


def _off(window: Window, inside: Mask) -> Pixels:
    """How many spreads each pixel inside is off its background, for each of L*, a*, b*; 0 outside."""
    lab = ndimage.gaussian_filter(window.lab, (0.8, 0.8, 0))
    weight = inside.astype(np.float32)
    for _ in range(3):
        rest = lab - _smooth(lab, weight, BACKGROUND / window.step)
        spread = 1.4826 * np.median(np.abs(rest[inside]), axis=0) + np.array([1.0, 0.7, 0.7], np.float32)
        size = np.linalg.norm(rest / spread, axis=-1)
        weight = inside * np.minimum(1, np.square(2.5 / np.maximum(size, 1e-6)))
    return np.asarray(rest / spread * inside[..., None], np.float32)


def _smooth(lab: Pixels, weight: Pixels, width: float) -> Pixels:
    """The mean about each pixel by weight."""
    total = ndimage.gaussian_filter(weight, width)
    means = [ndimage.gaussian_filter(lab[..., i] * weight, width) / np.maximum(total, 1e-4) for i in range(3)]
    return np.asarray(np.stack(means, axis=-1), np.float32)


def _spot(window: Window, own: Mask, where: tuple[slice, ...], size: Pixels, off: Pixels) -> Spot:
    strength = float(size[own].mean() * np.sqrt(np.log1p(own.sum())))
    return Spot(_ring(window, own, where), round(strength, 1), bool(off[own][:, 0].mean() < 0))


def _ring(window: Window, own: NDArray[np.bool_], where: tuple[slice, ...]) -> Ring:
    """The outline of a mark, half a pixel wider than seen."""
    rows, columns = (slice(max(0, each.start - 2), each.stop + 2) for each in where)
    part = Window(
        window.lab[rows, columns], window.step, window.left + columns.start * window.step,
        window.top - rows.start * window.step,
    )  # fmt: skip
    soft = ndimage.gaussian_filter(own[rows, columns].astype(np.float32), 0.7)
    shape = (
        max(outlines(part, soft), key=lambda one: float(one.area)).buffer(window.step / 2, quad_segs=2).simplify(0.6)
    )
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1])
