"""Which way round a piece lies: against the backbone that holds where it lies, and which side up."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import Polygon

from hides.hide import Hide, bearing
from nesting.check.depth import joined, overstep, shortfall
from nesting.check.fault import TOLERANCE, Fault, title
from nesting.model.layout import Placement
from nesting.model.product import Along, Piece


class Directions:
    """The backbones of one hide: its own, and those of zones, which replace it there."""

    def __init__(self, hide: Hide) -> None:
        self.hide = hide
        self._own = hide.direction
        self._zones = [(z.name, Polygon(z.outline), bearing(z.backbone)) for z in hide.zones if z.backbone]
        self._elsewhere = joined([area for _, area, _ in self._zones])

    def faults(self, placement: Placement, lies: Polygon, piece: Piece) -> Iterator[Fault]:
        """What is wrong with how a piece is turned."""
        name = title(placement)
        where = lies.representative_point().coords[0]
        if placement.mirrored and not piece.mirror:
            yield Fault("mirrored", f"{name} is turned over, which it may not be", self.hide.name, (name,), where)
        if piece.angles is None and piece.along is Along.ANY:
            return
        slack = _slack(piece)
        for ground, direction in self._under(lies):
            if direction is None and piece.angles is None:
                text = f"{name} is to lie {_wish(piece)}, and {ground} states no backbone"
                yield Fault("backbone", text, self.hide.name, (name,), where)
                continue
            off = turned_off(piece, placement.angle + 90 - (direction or 0.0))
            if off > slack:
                text = f"{name} is turned {off:.6g}° further than it may be from {_wish(piece)} in {ground}"
                yield Fault("angle", text, self.hide.name, (name,), where, math.radians(off) * _reach(piece))

    def _under(self, lies: Polygon) -> Iterator[tuple[str, float | None]]:
        """Each ground the piece lies on and its direction: zones with their own backbone, and the rest."""
        for name, area, direction in self._zones:
            if lies.intersects(area) and shortfall(lies, area):
                yield f"the zone “{name}”", direction
        if not self._zones or overstep(lies, self._elsewhere):
            yield "the hide", self._own


def turned_off(piece: Piece, alpha: float) -> float:
    """Degrees by which a piece is turned beyond what it allows; `alpha` is counted from the backbone to its +y."""
    if piece.angles is not None:
        return min(_between(alpha, angle) for angle in piece.angles)
    middles = [90.0 if piece.along is Along.ACROSS else 0.0]
    if piece.turn:
        middles.append(middles[0] + 180)
    return max(0.0, min(_between(alpha, middle) for middle in middles) - piece.tolerance)


def _between(first: float, second: float) -> float:
    """The angle between two directions, 0 to 180 degrees."""
    return abs(math.remainder(first - second, 360))


def _slack(piece: Piece) -> float:
    """The angle that moves the piece's farthest point by less than the tolerance."""
    return max(1e-6, math.degrees(TOLERANCE / _reach(piece)))


def _reach(piece: Piece) -> float:
    """From the middle of the piece's box to its farthest corner."""
    west, south, east, north = piece.polygon.bounds
    middle = ((west + east) / 2, (south + north) / 2)
    return max(math.dist(middle, corner) for corner in piece.outline)


def _wish(piece: Piece) -> str:
    if piece.angles is not None:
        return f"the angles {', '.join(f'{angle:g}' for angle in piece.angles[:8])} to the backbone"
    way = "along the backbone" if piece.along is Along.BACKBONE else "across the backbone"
    return f"{way} (±{piece.tolerance:g}°{'' if piece.turn else ', one way round'})"
