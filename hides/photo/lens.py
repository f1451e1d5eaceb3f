"""What a lens bends, from lines that are straight on the floor.

A lens moves a point towards or away from the picture's middle, the farther out the more. One radial term takes most
of it back: a point r from the middle, as it was photographed, belongs at r / (1 + k r²), r in half diagonals of the
picture (the division model; A. Fitzgibbon, "Simultaneous linear estimation of multiple view geometry and lens
distortion", CVPR 2001). k is found from lines that must come out straight (F. Devernay and O. Faugeras, "Straight
lines have to be straight", Machine Vision and Applications 13, 2001): each side of the measured rectangle with a mark
amid it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize_scalar

from hides.errors import InputError

Floats = NDArray[np.float64]
MOST = 0.3
"""The strongest bend that is believed; beyond it marks are at the wrong places."""

AMID = 0.15
"""A mark amid a side is at least this share of the side away from its ends."""

BENT = 0.08
"""A mark farther from its side than this share of it is on no side at all."""


@dataclass(frozen=True)
class Lens:
    """One radial term about the middle of a picture of `size` photo pixels. `k` > 0: the picture bulges outward."""

    k: float
    size: tuple[int, int]

    def straightened(self, points: ArrayLike) -> Floats:
        """Photo pixels (n × 2, or one point) where a lens without any bend would have put them."""
        array = np.asarray(points, float)
        away = array - self._middle
        r2 = (away**2).sum(axis=-1, keepdims=True) / self._half**2
        return np.asarray(self._middle + away / (1 + self.k * r2))

    def bent(self, points: ArrayLike) -> Floats:
        """The inverse: where the lens puts points in the photo; beyond what it can show, as far out as it shows."""
        array = np.asarray(points, float)
        if self.k == 0:
            return array.copy()
        away = array - self._middle
        r = np.sqrt((away**2).sum(axis=-1, keepdims=True)) / self._half
        root = np.sqrt(np.maximum(1 - 4 * self.k * r**2, 0.0))
        return np.asarray(self._middle + away * (2 / (1 + root)))

    @property
    def _middle(self) -> Floats:
        return np.array(self.size, float) / 2

    @property
    def _half(self) -> float:
        return math.hypot(*self.size) / 2


def fit_lens(corners: ArrayLike, middles: ArrayLike, size: tuple[int, int]) -> Lens:
    """The lens under which each mark amid a side lies on the line through the side's ends.

    `corners` (4 × 2) go round the rectangle; `middles` (4 × 2) lie on the sides from each corner to the next. Raises
    InputError where a mark lies on no side, or where no lens makes the sides straight.
    """
    ends, amid = np.asarray(corners, float), np.asarray(middles, float)
    found = minimize_scalar(
        lambda k: float((_off(Lens(k, size), ends, amid) ** 2).sum()), bounds=(-MOST, MOST), method="bounded",
        options={"xatol": 1e-6},
    )  # fmt: skip
    lens = Lens(round(float(found.x), 6), size)
    left = np.abs(_off(lens, ends, amid))
    sides = np.linalg.norm(np.roll(ends, -1, axis=0) - ends, axis=1)
    if abs(lens.k) > 0.98 * MOST or (left > 0.02 * sides).any():
        worst = int(np.argmax(left / sides)) + 1
        raise InputError(
            f"the mark amid side {worst} makes it straight for no lens",
            field="marks",
            remedy="put each of the four marks on the straight line between two corners, about half way",
        )
    return lens


def _off(lens: Lens, ends: Floats, amid: Floats) -> Floats:
    """How far each mark amid a side is off the line through its ends, straightened; pixels, with a sign."""
    a, m = lens.straightened(ends), lens.straightened(amid)
    along = np.roll(a, -1, axis=0) - a
    away = m - a
    cross = along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0]
    return np.asarray(cross / np.linalg.norm(along, axis=1))


def on_sides(corners: ArrayLike, middles: Sequence[Sequence[float]]) -> Floats:
    """The four marks amid the sides, in the order of the sides. InputError where one lies on none, or two on one."""
    ends, marks = np.asarray(corners, float), np.asarray(middles, float)
    along = np.roll(ends, -1, axis=0) - ends
    long = np.linalg.norm(along, axis=1)
    placed: dict[int, Floats] = {}
    for mark in marks:
        away = mark - ends
        share = (away * along).sum(axis=1) / long**2
        off = np.abs(along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0]) / long**2
        fits = (share > AMID) & (share < 1 - AMID) & (off < BENT)
        side = int(np.argmin(np.where(fits, off, np.inf)))
        if not fits[side] or side in placed:
            raise InputError(
                f"the mark {mark[0]:g},{mark[1]:g} lies amid no side of the rectangle, or amid one that has a mark",
                field="marks",
                remedy="give the four corners and one mark about half way along each side",
            )
        placed[side] = mark
    return np.array([placed[side] for side in range(4)])
