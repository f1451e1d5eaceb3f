"""Leader labels: names of things too small to be written on, on free ground near by, with a leader line.

The leader line as ISO 128 (leader and reference lines) has it: from memory.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from nesting.drawing.labels import Label, box_size
from nesting.drawing.scene import Box, Line

WAYS = 24
RINGS = 34
MOST = 60
"""Places to which a leader is tried."""
CROSSING = 4.0
"""How much longer a leader may be to run over free ground instead of over pieces."""


class FreeGround:
    """Where labels may go on one drawing: within its frame, off the `busy` shapes and off one another."""

    def __init__(self, frame: Box, busy: BaseGeometry, pad: float) -> None:
        self._frame, self._busy, self._pad = shapely.box(*frame), busy, pad
        self._taken: list[BaseGeometry] = []
        self._kept_off: list[BaseGeometry] = []
        shapely.prepare(self._frame)
        shapely.prepare(self._busy)

    def take(self, shape: BaseGeometry) -> None:
        """Mark ground as written on."""
        self._taken.append(shape)
        self._kept_off.append(shape.buffer(self._pad))

    def taken(self) -> BaseGeometry:
        """All ground written on so far."""
        return shapely.union_all(self._taken) if self._taken else Polygon()

    def beside(
        self, shape: BaseGeometry, words: str, height: float, far: float, tidy: bool = False
    ) -> tuple[Label, Line | None] | None:
        """A label for `shape` at most `far` from it with its leader (None where it stands right at it), or None.

        The leader crosses no other label and as little of the pieces as can be; none at all where `tidy`.
        """
        w, h = box_size(words, height)
        at = shape.representative_point()
        x, y, away = _places(shape, w, h, self._pad, far)
        boxes = shapely.box(x - w / 2, y - h / 2, x + w / 2, y + h / 2)
        taken = shapely.STRtree(self._kept_off)
        free = self._free(shape, boxes, taken)
        best = self._cheapest(shape, at, boxes, away, free[np.argsort(away[free], kind="stable")], taken)
        if best is None:
            return None
        leader = LineString([at, _near_end(boxes[best], at)])
        if tidy and leader.difference(shape).intersection(self._busy).length > 2 * self._pad:
            return None
        self.take(boxes[best])
        label = Label(words, (float(x[best]), float(y[best])), height)
        gap = shape.distance(boxes[best])
        if gap <= 2 * self._pad and self._busy.difference(shape.buffer(0.01)).distance(boxes[best]) > 1.5 * gap:
            return label, None
        self.take(leader.difference(shape))
        return label, Line("leader", tuple((float(a), float(b)) for a, b in leader.coords))

    def _free(self, shape: BaseGeometry, boxes: np.ndarray, taken: shapely.STRtree) -> np.ndarray:
        """The boxes that lie on free ground, asked of few what costs much."""
        free = np.flatnonzero(shapely.contains(self._frame, boxes) & ~shapely.intersects(self._busy, boxes))
        free = free[shapely.distance(shape, boxes[free]) > self._pad / 2]
        return np.delete(free, taken.query(boxes[free], predicate="intersects")[0])

    def _cheapest(
        self,
        shape: BaseGeometry,
        at: Spot,
        boxes: np.ndarray,
        away: np.ndarray,
        nearest: np.ndarray,
        taken: shapely.STRtree,
    ) -> int | None:
        nearest = nearest[:MOST]
        if not nearest.size:
            return None
        leaders = _leaders(shape, at, boxes[nearest])
        crossing = set(taken.query(leaders, predicate="intersects")[0].tolist())
        others = shapely.clip_by_rect(self._busy, *shapely.total_bounds([shape, *boxes[nearest]]))
        best, least = None, np.inf
        for number, k in enumerate(nearest):
            if away[k] >= least:
                break
            if number in crossing:
                continue
            cost = away[k] + CROSSING * _length_over(leaders[number], others)
            if cost < least - 1e-6:
                best, least = int(k), float(cost)
        return best


def _length_over(leader: BaseGeometry, ground: BaseGeometry) -> float:
    """How much of a leader lies over ground, of which only what lies about it is asked."""
    left, low, right, high = leader.bounds
    about = shapely.clip_by_rect(ground, left - 1, low - 1, right + 1, high + 1)
    return float(leader.intersection(about).length)


def _leaders(shape: BaseGeometry, at: Spot, boxes: np.ndarray) -> np.ndarray:
    """The leaders from a point of a shape to boxes, from where they leave it."""
    ends = shapely.get_coordinates(shapely.get_point(shapely.shortest_line(boxes, at), 0))
    starts = np.broadcast_to((at.x, at.y), ends.shape)
    leaders: np.ndarray = shapely.difference(shapely.linestrings(np.stack([starts, ends], axis=1)), shape)
    return leaders


def _places(
    shape: BaseGeometry, w: float, h: float, pad: float, far: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Middles of boxes around a shape, from touching it outwards, and how far each is from it."""
    left, low, right, high = shape.bounds
    turn = np.linspace(0, 2 * np.pi, WAYS, endpoint=False)
    step = np.linspace(pad, far, RINGS)
    turns, steps = np.meshgrid(turn, step)
    cx, cy = (left + right) / 2, (low + high) / 2
    half_x, half_y = (right - left + w) / 2, (high - low + h) / 2
    # On a box around the shape rather than a circle, so that long things have places along their sides.
    reach = 1 / np.maximum(np.abs(np.cos(turns)), np.abs(np.sin(turns)))
    x = cx + np.cos(turns) * reach * (half_x + steps)
    y = cy + np.sin(turns) * reach * (half_y + steps)
    return x.ravel(), y.ravel(), steps.ravel()


def _near_end(box: Polygon, at: Spot) -> Spot:
    """The point of a box where a leader from `at` ends."""
    return shapely.shortest_line(box, at).interpolate(0)
