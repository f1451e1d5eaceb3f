"""Holes that run over the edge or into one another: each made what it can only be."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from hides.finding import Finding
from hides.hide import Ring
from hides.rings import mend_ring


def settle_holes(
    whole: Polygon, holes: Sequence[Ring], findings: list[Finding]
) -> tuple[tuple[Ring, ...], tuple[Ring, ...]]:
    """The holes that lie inside the hide, apart from one another, and those that run over its edge.

    A hole over the edge is no hole of a polygon; it is what a hole means all the same, leather that cannot be
    used, so the caller keeps it as a flaw. Holes that overlap are one hole.
    """
    if Polygon(whole.exterior, holes).is_valid:
        return tuple(holes), ()
    within = [ring for ring in holes if whole.contains(Polygon(ring)) and _clear_of_edge(whole, ring)]
    over = tuple(ring for ring in holes if ring not in within)
    if over:
        findings.append(
            Finding(
                "hole-over-edge", "runs over the hide's edge and is kept as a flaw that no piece may lie on", "holes"
            )
        )
    if Polygon(whole.exterior, within).is_valid:
        return tuple(within), over
    findings.append(Finding("holes-joined", "overlap and are joined into one", "holes"))
    return _joined(within), over


def _clear_of_edge(whole: Polygon, ring: Ring) -> bool:
    """Whether the hole touches the outline nowhere but in single points."""
    return bool(Polygon(whole.exterior, [ring]).is_valid)


def _joined(rings: Sequence[Ring]) -> tuple[Ring, ...]:
    union = shapely.union_all([Polygon(ring) for ring in rings])
    parts = [part for part in shapely.get_parts(union) if part.area > 0]
    return tuple(sorted(mend_ring(list(part.exterior.coords)).ring for part in parts))
