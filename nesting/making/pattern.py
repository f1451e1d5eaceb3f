"""Whether two hole patterns fall together when their pieces lie on one another.

A pattern is carried onto another by a shift and a turn, and, where the piece lies grain side to grain side, by turning
it over. Fits are sought from pairs of holes (two holes fix where all others fall), so that one misplaced hole is named
for what it is and does not drag the others with it, as a plain least-squares fit would.
The refinement is the orthogonal Procrustes fit (Schönemann, Psychometrika 31, 1966; Kabsch, Acta Cryst. A32, 1976).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Start = tuple[float, int, int, int, int]
"""By how much two pairs differ in length, then the pair's holes and those they are laid on."""
MOST_PAIRS = 28
MOST_STARTS = 120


@dataclass(frozen=True)
class Fit:
    """How a pattern falls on another: `onto[i]` is the hole that hole i falls on, `off[i]` how far from it (mm).

    `turned_over` tells that the piece lies the other side up.
    """

    onto: tuple[int, ...]
    off: tuple[float, ...]
    turned_over: bool

    def wrong(self, tolerance: float) -> tuple[int, ...]:
        """The holes that are off by more than the tolerance."""
        return tuple(i for i, off in enumerate(self.off) if off > tolerance)


def best_fit(pattern: Points, base: Points, tolerance: float) -> Fit:
    """The fit of `pattern` (n × 2, mm) onto `base` (m × 2, m ≥ n) with the fewest holes off by more than the tolerance,
    then the least total distance; grain side up is taken before turned over where both are as good.
    """
    if len(pattern) > len(base) or not len(pattern):
        raise ValueError("a pattern can only fall on one with as many holes")
    if len(pattern) == 1:
        return Fit((0,), (0.0,), False)
    fits = [_best_one_side_up(pattern, base, tolerance, over) for over in (False, True)]
    return min(fits, key=lambda fit: (_merit(fit, tolerance), fit.turned_over))


def _merit(fit: Fit, tolerance: float) -> tuple[int, float]:
    return len(fit.wrong(tolerance)), round(sum(fit.off), 6)


def _best_one_side_up(pattern: Points, base: Points, tolerance: float, over: bool) -> Fit:
    moving = pattern * (-1.0, 1.0) if over else pattern
    starts = [start for pair in _pairs(moving) for start in _starts(moving, base, pair)]
    starts.sort(key=lambda start: start[0])
    close = [start for start in starts if start[0] <= 4 * tolerance] or starts
    fits = [
        _refined(moving, base, laid, tolerance, over)
        for _, i, j, a, b in close[:MOST_STARTS]
        for laid in (
            _carried(moving, moving[[i, j]], base[[a, b]]),
            # a wrong spacing is then told as one hole that is off, not as two that are off by half of it
            _anchored(moving, (i, j), base[a], base[b]),
        )
    ]
    return min(fits, key=lambda fit: _merit(fit, tolerance))


def _pairs(points: Points) -> list[tuple[int, int]]:
    """Pairs of holes, the farthest apart first, no hole in all of them where that can be helped."""
    pairs = sorted(combinations(range(len(points)), 2), key=lambda p: -float(np.hypot(*(points[p[0]] - points[p[1]]))))
    return pairs[:: max(1, len(pairs) // MOST_PAIRS)]


def _starts(moving: Points, base: Points, pair: tuple[int, int]) -> list[Start]:
    """The pair laid on every pair of the base, with the difference of their lengths."""
    i, j = pair
    length = float(np.hypot(*(moving[i] - moving[j])))
    gaps = np.hypot(*(base[:, None] - base[None, :]).transpose(2, 0, 1))
    return [(abs(float(gaps[a, b]) - length), i, j, a, b) for a in range(len(base)) for b in range(len(base)) if a != b]


def _refined(moving: Points, base: Points, laid: Points, tolerance: float, over: bool) -> Fit:
    onto, off = _assigned(laid, base)
    good = off <= max(2 * tolerance, 1e-9)
    if good.sum() >= 2:
        laid = _carried(moving, moving[good], base[onto[good]])
        closer, nearer = _assigned(laid, base)
        if (nearer > tolerance).sum() <= (off > tolerance).sum():
            onto, off = closer, nearer
    return Fit(tuple(map(int, onto)), tuple(map(float, off)), over)


def _carried(moving: Points, from_: Points, to: Points) -> Points:
    """All moving points by the turn and shift that lay `from_` on `to` best."""
    middle, goal = from_.mean(axis=0), to.mean(axis=0)
    a, b = from_ - middle, to - goal
    angle = np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum())
    c, s = np.cos(angle), np.sin(angle)
    laid: Points = (moving - middle) @ np.array([[c, s], [-s, c]]) + goal
    return laid


def _anchored(moving: Points, pair: tuple[int, int], at: Points, towards: Points) -> Points:
    """All moving points with the pair's first hole on `at` and the second in the direction of `towards`."""
    i, j = pair
    laid = _carried(moving, moving[[i, j]], np.array([at, towards]))
    anchored: Points = laid + (at - laid[i])
    return anchored


def _assigned(laid: Points, base: Points) -> tuple[NDArray[np.intp], Points]:
    from scipy.optimize import linear_sum_assignment  # heavy: only where it is needed

    distances = np.hypot(*(laid[:, None] - base[None, :]).transpose(2, 0, 1))
    # squares make many small misses cheaper than one large one, as a person would pair the holes
    rows, columns = linear_sum_assignment(np.minimum(distances, 1e6) ** 2)
    return columns, distances[rows, columns]
