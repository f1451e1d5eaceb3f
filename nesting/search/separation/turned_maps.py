"""Depth maps of kinds that may turn, at angles close together: of shapes about one another, and over the leather."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence

import numpy as np
from shapely.geometry import Polygon

from nesting.engine.disk_cache import kept
from nesting.lattice import minkowski
from nesting.search.arrays import no_fit_polygons, touching_positions
from nesting.search.arrays.inner_fits import InnerFits, Rotation
from nesting.search.separation import map_kernel, sheets
from nesting.search.separation.map_kernel import Ints
from nesting.search.separation.sheets import Sheets, inner_fit
from nesting.search.separation.turning_kernel import ROUND, Turning

SPACED = (144, 72, 36, 24)
"""Angles of a full turn at which maps are drawn: the most of these for which they are not too many.

Never farther apart than half of what a kind may turn at most, but for the first: between two maps a side that is flush
seems to overlap, and a kind that may turn by little always lies flush.
"""

MOST_PAIRS, MOST_WALLS = 6_000, 450
"""Maps of shapes about one another and over the leather: half a millisecond to draw, and up to ten on a real hide."""

TURNS = 1e-9
"""An orientation with less between its angles (radians) is fixed."""

Span = tuple[float, float]
"""The least and the greatest angle, radians."""


def turning(fits: InnerFits, rotations: Sequence[Rotation], step: float) -> Turning:
    """The maps at any angle of a problem; none where no kind may turn, or kinds are too many."""
    t, gap = fits.arrays.tables, fits.arrays.problem.gap
    spans, close = _spans(fits, rotations), _close(fits, rotations)
    between = _between(fits, spans) if _spaced(close, lambda n: _walls_at(spans, n), MOST_WALLS) else {}
    many = _spaced(close, lambda n: sum(len(_numbers(each, n)) for each in between.values()), MOST_PAIRS)
    if many == 0 or not between:
        return _described(fits, rotations, Sheets(step).fine(), np.full((1, 1, 1), -1), np.full((1, 1), -1))
    drawn = {pair: _numbers(each, many) for pair, each in between.items()}
    key = np.array([(p, q, k) for (p, q), numbers in drawn.items() for k in numbers], dtype=np.int64)
    made_of = [t.verts, t.part_at, t.shape_at, t.shape_solid, key, np.array([gap, step, float(many)])]
    makers = [sys.modules[__name__], sheets, map_kernel, no_fit_polygons, touching_positions, minkowski]
    pairs = kept(made_of, makers, lambda: _pairs(fits, key, many, step))
    pair = np.full((len(t.shape_at) - 1, len(t.shape_at) - 1, many), -1, dtype=np.int64)
    pair[key[:, 0], key[:, 1], key[:, 2]] = np.arange(len(key))
    return _over_leather(fits, rotations, pairs, pair, step)


def on_other_leather(before: Turning, fits: InnerFits, rotations: Sequence[Rotation], step: float) -> Turning:
    """The same with what depends on the leather drawn anew."""
    if len(before.start) == 0:
        return before
    count = int(before.pair.max()) + 1
    end = int(before.start[count])
    pairs = {"values": before.values[:end]} | {n: getattr(before, n)[:count] for n in ("start", "size", "origin")}
    return _over_leather(fits, rotations, pairs, before.pair, step)


def _spans(fits: InnerFits, rotations: Sequence[Rotation]) -> dict[int, Span]:
    """The orientations in use, and the angles that each allows."""
    used = sorted({v.orientation for v in rotations})
    angles = fits.arrays.tables.orientation_angles
    return {a: (float(angles[a, 0]), float(angles[a, 1])) for a in used}


def _between(fits: InnerFits, spans: dict[int, Span]) -> dict[tuple[int, int], list[Span]]:
    """How far the second shape may be turned from the first, for all pairs of shapes, lower numbers first."""
    shape = fits.arrays.tables.orientation_shape.tolist()
    found: dict[tuple[int, int], list[Span]] = {}
    for a, (least, most) in spans.items():
        for b, (low, high) in spans.items():
            if shape[a] <= shape[b]:
                found.setdefault((shape[a], shape[b]), []).append((low - most, high - least))
    return found


def _numbers(spans: Sequence[Span], many: int) -> list[int]:
    """The numbers of the angles, of so many around, between which all angles of some intervals lie."""
    found: set[int] = set()
    for low, high in spans:
        first, last = math.floor(low / ROUND * many), math.floor(high / ROUND * many) + 1
        found.update(k % many for k in range(first, min(last, first + many - 1) + 1))
    return sorted(found)


def _walls_at(spans: dict[int, Span], many: int) -> int:
    return sum(len(_numbers([span], many)) for span in spans.values())


def _close(fits: InnerFits, rotations: Sequence[Rotation]) -> list[int]:
    """Numbers of angles around that lie close enough together for all kinds; none where no kind may turn."""
    turns: dict[int, float] = {}
    for orientation, (low, high) in _spans(fits, rotations).items():
        kind = int(np.searchsorted(fits.arrays.tables.kind_orientations, orientation, side="right"))
        turns[kind] = max(turns.get(kind, 0.0), high - low)
    least = min((turn for turn in turns.values() if turn > TURNS), default=0.0)
    return [n for n in SPACED if least and (n == max(SPACED) or 2 * ROUND / n <= least + TURNS)]


def _spaced(close: Sequence[int], count: Callable[[int], int], most: int) -> int:
    """The most angles around at which there are not too many maps; 0 where there always are."""
    return next((many for many in close if count(many) <= most), 0)


def _pairs(fits: InnerFits, key: Ints, many: int, step: float) -> dict[str, np.ndarray]:
    """The maps of shapes about one another: rows of `key` are the first, the second, and the number of the angle."""
    drawn = Sheets(step)
    for p, q, k in key.tolist():
        drawn.add(fits.no_fits.region(p, q, k * ROUND / many), 1.0)
    return drawn.fine()


def _over_leather(
    fits: InnerFits, rotations: Sequence[Rotation], pairs: dict[str, np.ndarray], pair: Ints, step: float
) -> Turning:
    """The maps of shapes about one another and, after them, those over the leather."""
    spans, kinds = _spans(fits, rotations), {v.orientation: v.kind for v in rotations}
    many = _spaced(_close(fits, rotations), lambda n: _walls_at(spans, n), MOST_WALLS)
    wall = np.full((len(fits.arrays.tables.orientation_shape), many), -1, dtype=np.int64)
    drawn, count = Sheets(step), len(pairs["start"])
    for a, span in spans.items():
        for k in _numbers([span], many):
            made = fits.rotation(kinds[a], a, k * ROUND / many)
            fitting = made is not None and made.empty.size[1] > 0
            wall[a, k] = count + drawn.add(inner_fit(made) if made is not None and fitting else Polygon(), -1.0)
    walls = drawn.fine()
    walls["start"] = walls["start"] + len(pairs["values"])
    both = {name: np.concatenate([pairs[name], walls[name]]) for name in walls}
    return _described(fits, rotations, both, pair, wall)


def _described(
    fits: InnerFits, rotations: Sequence[Rotation], maps: dict[str, np.ndarray], pair: Ints, wall: Ints
) -> Turning:
    """Maps with what the kernel asks of rotations."""
    t = fits.arrays.tables
    orientation = np.array([v.orientation for v in rotations], dtype=np.int64)
    return Turning(
        **maps,
        pair=pair,
        wall=wall,
        span=np.ascontiguousarray(t.orientation_angles[orientation]),
        angle=np.array([v.angle for v in rotations], dtype=np.float64),
        shape=np.ascontiguousarray(t.orientation_shape[orientation]),
        orientation=orientation,
    )
