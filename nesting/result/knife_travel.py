"""How far the knife travels in a layout, shared lines once; and how much of it runs straight with the rest.

Terms. *Travel*: the length of all outlines and cutouts, where two pieces share a line counted once. *Apart*: the same
piece by piece. *Along*: the share of the pieces' outlines (by length) that runs along the datum line or square to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LinearRing

from nesting.model.layout import HideLayout, Layout

GRID = 0.01
"""Lines nearer than this (mm), the layout's tolerance, are one."""
EVEN = 0.05
"""Degrees within which an edge counts as along the line."""


@dataclass(frozen=True)
class KnifeTravel:
    """The figures of a layout; see the module. Lengths in mm."""

    travel: float
    apart: float
    along: float

    @property
    def shared(self) -> float:
        """The share of the outlines that is cut together with a neighbour's."""
        return 1 - self.travel / self.apart if self.apart > 0 else 0.0


def knife_travel(layout: Layout) -> KnifeTravel:
    """How far the knife travels on all hides of a layout."""
    cutouts = {(pr.name, piece.name): piece.cutouts for pr in layout.products for piece in pr.pieces}
    travel = apart = along = 0.0
    for each in layout.hides:
        rings = [LinearRing(p.outline) for p in each.placements]
        inner = [LinearRing(r) for p in each.placements for r in cutouts.get((p.product, p.piece), ())]
        inside = sum(float(ring.length) for ring in inner)
        whole = sum(float(ring.length) for ring in rings)
        travel += min(_once(each, rings), whole) + inside
        apart += whole + inside
        along += _along(each)
    outlines = sum(float(LinearRing(p.outline).length) for each in layout.hides for p in each.placements)
    return KnifeTravel(travel, apart, along / outlines if outlines > 0 else 0.0)


def _once(each: HideLayout, rings: list[LinearRing]) -> float:
    """The length of the outlines, what they share counted once: turned to the grain, where edges are level."""
    angle = each.hide.direction or 0.0
    turned = [affinity.rotate(ring, -angle, origin=(0, 0)) for ring in rings]
    return float(shapely.union_all(turned, grid_size=GRID).length) if turned else 0.0


def _along(each: HideLayout) -> float:
    """The length of the edges that run along the datum line or square to it."""
    angle = each.hide.direction or 0.0
    total = 0.0
    for placement in each.placements:
        ring = np.array(placement.outline)
        edges = np.roll(ring, -1, axis=0) - ring
        bearings = np.degrees(np.arctan2(edges[:, 1], edges[:, 0])) - angle
        off = np.abs((bearings + 45.0) % 90.0 - 45.0)
        total += float(np.hypot(edges[:, 0], edges[:, 1])[off <= EVEN].sum())
    return total


def metres(mm: float) -> str:
    """A length in metres with one decimal."""
    return f"{math.floor(mm / 100 + 0.5) / 10:.1f} m"
