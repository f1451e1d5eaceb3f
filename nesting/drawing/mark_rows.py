"""Rows of like pieces, so that a sheet tells the first and the last of them and how far apart they lie.

A row is at least `LEAST` pieces of one kind that lie the same way up and round, each as far from the one before, in one
direction; marks stepped off evenly between those of the first and the last fall on all of them to `OFF` mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hides.hide import Point
from nesting.drawing.marks import marks
from nesting.drawing.names import LaidName

LEAST = 4
OFF = 0.25
"""mm"""
NEAR = 6
"""So many neighbours of a piece are tried as the next one of its row."""


@dataclass(frozen=True)
class Stretch:
    """One piece by itself, or a row of them from the first to the last."""

    pieces: tuple[LaidName, ...]
    marks: tuple[tuple[Point, ...], ...]

    @property
    def pitch(self) -> float:
        """From one piece to the next, mm."""
        return math.dist(self.marks[0][0], self.marks[-1][0]) / max(len(self.pieces) - 1, 1)


def stretches(laid: Sequence[LaidName]) -> list[Stretch]:
    """The pieces of one kind (on a hide whose backbone is level) in rows and singles: rows first, longest first."""
    left = list(laid)
    where = {one.name: marks(one.piece, one.placement) for one in laid}
    rows: list[list[LaidName]] = []
    while len(left) >= LEAST:
        row = max((_longest(alike, where) for alike in _alike(left, where)), key=len, default=[])
        if len(row) < LEAST:
            break
        rows.append(row)
        gone = {one.name for one in row}
        left = [one for one in left if one.name not in gone]
    return [_stretch(row, where) for row in [*rows, *([one] for one in left)]]


def _stretch(row: Sequence[LaidName], where: dict[str, tuple[Point, ...]]) -> Stretch:
    ordered = row if where[row[0].name][0] <= where[row[-1].name][0] else list(reversed(row))
    return Stretch(tuple(ordered), tuple(where[one.name] for one in ordered))


def _alike(laid: Sequence[LaidName], where: dict[str, tuple[Point, ...]]) -> list[list[LaidName]]:
    """Groups that lie the same way up and round."""
    groups: list[tuple[bool, NDArray[np.float64], list[LaidName]]] = []
    for one in laid:
        own = np.array(where[one.name])
        form = own - own[0]
        for over, like, group in groups:
            if over == one.placement.mirrored and np.abs(form - like).max() <= OFF:
                group.append(one)
                break
        else:
            groups.append((one.placement.mirrored, form, [one]))
    return [group for _, _, group in groups]


def _longest(alike: Sequence[LaidName], where: dict[str, tuple[Point, ...]]) -> list[LaidName]:
    """The longest row among pieces that lie alike."""
    if len(alike) < LEAST:
        return []
    at = np.array([where[one.name][0] for one in alike])
    best: list[int] = []
    for i in range(len(at)):
        for j in np.argsort(_off(at, at[i]), kind="stable")[1 : NEAR + 1]:
            row = _walked(at, i, int(j))
            if len(row) > len(best) and _even(at[row]):
                best = row
    return [alike[k] for k in best]


def _walked(at: NDArray[np.float64], i: int, j: int) -> list[int]:
    """From piece i over piece j as far as the steps go on."""
    row = [i, j]
    while True:
        step = (at[row[-1]] - at[i]) / (len(row) - 1)
        off = _off(at, at[i] + step * len(row))
        following = int(off.argmin())
        if off[following] > OFF or following in row:
            return row
        row.append(following)


def _off(points: NDArray[np.float64], point: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far points are from one."""
    off: NDArray[np.float64] = np.hypot(*(points - point).T)
    return off


def _even(points: NDArray[np.float64]) -> bool:
    even = np.linspace(points[0], points[-1], len(points))
    return bool(_off(points, even).max() <= OFF)
