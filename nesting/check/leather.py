"""Where on one hide a piece lies: inside the outline, off the edge and the flaws, on its grade and thickness."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide, Thickness
from nesting.check.carried import carried
from nesting.check.depth import Measured, joined, overstep, shortfall, solid
from nesting.check.fault import Fault, title
from nesting.model.layout import Placement
from nesting.model.product import Piece

SEAM = 1e-4
"""Covered parts are taken this much larger, so that no sliver is left where they end at the piece's own edge."""


@dataclass(frozen=True)
class Spoilt:
    """A part of the hide that is worse than the rest: a flaw, an opening in the hide, a weaker zone."""

    what: str
    area: Polygon
    grade: Grade
    clearance: float = 0.0
    flaw: bool = True


class CheckedLeather:
    """One hide, ready to be asked about many pieces."""

    def __init__(self, hide: Hide) -> None:
        self.hide = hide
        self.outline = Polygon(hide.outline)
        shapely.prepare(self.outline)
        self.border = self.outline.exterior
        shapely.prepare(self.border)
        self.spoilt = list(_spoilt(hide))
        self._tree = shapely.STRtree([each.area for each in self.spoilt])
        self._reach = max((each.clearance for each in self.spoilt), default=0.0)
        self._thick = [(zone.name, Polygon(zone.outline), zone.thickness) for zone in hide.zones if zone.thickness]
        self._elsewhere = joined([area for _, area, _ in self._thick])

    def faults(self, placement: Placement, lies: Polygon, piece: Piece | None) -> Iterator[Fault]:
        """What is wrong with the ground under one piece. Without its description only what holds for all is asked."""
        outside = None if self.outline.contains_properly(lies) else overstep(lies, self.outline)
        yield from self._told("outside", placement, outside, "reaches {by} over the outline")
        if not outside and self.hide.edge > 0 and self.border.dwithin(lies, self.hide.edge):
            near = shortfall(lies.exterior, self.border, self.hide.edge)
            words = f"is {{by}} too near the edge, which is to be kept {self.hide.edge:g} mm clear"
            yield from self._told("outside", placement, near, words)
        yield from self._grades(placement, lies, piece)
        if piece is not None and piece.thickness is not None:
            yield from self._thickness(placement, lies, piece.thickness)

    def _grades(self, placement: Placement, lies: Polygon, piece: Piece | None) -> Iterator[Fault]:
        wish = piece.grade if piece else Grade.D
        particular = asks_for(placement, lies, piece, self.hide.grade)
        if not particular.is_empty:
            x, y = particular.representative_point().coords[0]
            text = f"{title(placement)} asks for grade {wish.label}, and the hide is {self.hide.grade.label}"
            yield Fault("grade", text, self.hide.name, (title(placement),), (x, y))
        near = self._tree.query(lies, predicate="dwithin", distance=self._reach + 1e-9)
        for spoilt in (self.spoilt[index] for index in sorted(near)):
            part = asks_for(placement, lies, piece, spoilt.grade)
            met = shortfall(part, spoilt.area, spoilt.clearance)
            yield from self._told("flaw" if spoilt.flaw else "grade", placement, met, _words(spoilt, wish))

    def _thickness(self, placement: Placement, lies: Polygon, wish: Thickness) -> Iterator[Fault]:
        asked = f"asks for leather {wish.low:.4g} to {wish.high:.4g} mm thick"
        for name, area, own in self._thick:
            if not own.inside(wish):
                words = f"{asked} and lies {{by}} deep in the zone “{name}”, {own.low:.4g} to {own.high:.4g} mm"
                yield from self._told("thickness", placement, shortfall(lies, area), words)
        stated = self.hide.thickness
        if stated is None or not stated.inside(wish):
            found = f"it is {stated.low:.4g} to {stated.high:.4g} mm" if stated else "no thickness is stated"
            yield from self._told("thickness", placement, overstep(lies, self._elsewhere), f"{asked}; here {found}")

    def _told(self, code: str, placement: Placement, met: Measured | None, words: str) -> Iterator[Fault]:
        if met:
            name = title(placement)
            text = f"{name} {words.replace('{by}', f'{met[0]:.3f} mm')}"
            yield Fault(code, text, self.hide.name, (name,), met[1], met[0])


def asks_for(placement: Placement, lies: Polygon, piece: Piece | None, grade: Grade) -> BaseGeometry:
    """The part of a piece, as it lies, that asks for leather better than `grade`."""
    if (piece.grade if piece else Grade.D) >= grade:
        return Polygon()
    covers = [cover for cover in piece.covered if cover.grade >= grade] if piece else []
    if not covers:
        return lies
    grown = [Polygon(carried(cover.outline, placement)).buffer(SEAM, join_style="mitre") for cover in covers]
    return shapely.difference(lies, solid(shapely.union_all(grown)))


def _words(spoilt: Spoilt, wish: Grade) -> str:
    if not spoilt.flaw:
        return f"asks for grade {wish.label} and lies {{by}} deep in {spoilt.what}, grade {spoilt.grade.label}"
    clear = f", which is to be kept {spoilt.clearance:g} mm clear" if spoilt.clearance else ""
    return f"is {{by}} too near {spoilt.what}, grade {spoilt.grade.label}{clear}"


def _spoilt(hide: Hide) -> Iterator[Spoilt]:
    for flaw in hide.flaws:
        yield Spoilt(f"a flaw ({flaw.kind})", Polygon(flaw.outline), flaw.grade, flaw.clearance)
    for hole in hide.holes:
        yield Spoilt("a hole in the hide", Polygon(hole), Grade.NONE)
    for zone in hide.zones:
        yield Spoilt(f"the zone “{zone.name}”", Polygon(zone.outline), zone.grade, flaw=False)
