"""Points of the leather that no piece lies on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from nesting.search.arrays.arrays import Arrays
from nesting.search.arrays.inner_fits import Laid
from nesting.search.filling.leftover import placed

DRAWN, ROUNDS = 64, 4
"""Points drawn at a time over a region's box, and how often at most."""


class FreeLeather:
    """The leather of a problem, for asking again and again while pieces come and go."""

    def __init__(self, arrays: Arrays) -> None:
        self._arrays = arrays
        self._outlines: dict[Laid, Polygon] = {}
        # Its own copies: to ask them for points prepares them, which two threads may not do to one geometry.
        self._regions = [shapely.from_wkb(shapely.to_wkb(region)) for region in arrays.problem.regions]

    def point(self, laid: Sequence[Laid], kind: int, rng: np.random.Generator) -> tuple[float, float] | None:
        """A point (mm) where a part of a kind may lie and no piece does, each as likely; None where none is found."""
        named = [number for way in self._arrays.problem.kinds[kind].orientations for number in way.regions]
        region = self._regions[int(rng.choice(named))]
        if region.is_empty:
            return None
        pieces = shapely.STRtree([self._outline(piece) for piece in laid])
        x0, y0, x1, y1 = region.bounds
        for _ in range(ROUNDS):
            x, y = rng.uniform((x0, y0), (x1, y1), (DRAWN, 2)).T
            inside = shapely.contains_xy(region, x, y)
            points = shapely.points(x[inside], y[inside])
            free = np.setdiff1d(np.arange(len(points)), pieces.query(points, predicate="within")[0])
            if len(free):
                return float(points[free[0]].x), float(points[free[0]].y)
        return None

    def _outline(self, piece: Laid) -> Polygon:
        if piece not in self._outlines:
            pose = self._arrays.pose_of(piece.kind, piece.orientation, piece.x, piece.y, piece.angle)
            self._outlines[piece] = placed(self._arrays.problem, pose)
        return self._outlines[piece]
