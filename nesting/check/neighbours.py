"""Whether the pieces on one hide keep their distance from one another."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from nesting.check.depth import shortfall
from nesting.check.fault import Fault, title
from nesting.model.layout import Placement


def crowded(
    hide: str,
    placements: Sequence[Placement],
    lie: Sequence[Polygon],
    gap: float,
    cut: Collection[int] = (),
    kerf: float = 0.0,
) -> Iterator[Fault]:
    """Pairs of pieces nearer than `gap`, or on one another; those `cut` off strips keep the kerf from one another."""
    for first, second in near_pairs(lie, max(gap, kerf) if cut else gap):
        wanted = kerf if first in cut and second in cut else gap
        met = shortfall(lie[first], lie[second], wanted)
        if not met:
            continue
        names = title(placements[first]), title(placements[second])
        if met[0] > wanted:
            text = f"{names[0]} and {names[1]} overlap by {met[0] - wanted:.3f} mm"
            yield Fault("overlap", text, hide, names, met[1], met[0])
        else:
            text = f"{names[0]} and {names[1]} are {wanted - met[0]:.3f} mm apart, less than the gap of {wanted:g} mm"
            yield Fault("gap", text, hide, names, met[1], met[0])


def near_pairs(lie: Sequence[Polygon], gap: float) -> list[tuple[int, int]]:
    """Pairs of indices, smaller first, of polygons that are `gap` or less apart."""
    if len(lie) < 2:
        return []
    shapes = np.array(lie, dtype=object)
    pairs = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=gap)
    return sorted((int(a), int(b)) for a, b in pairs.T if a < b)
