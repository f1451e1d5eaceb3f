"""Where a hide's area goes once the pieces lie on it, and which leftovers are worth keeping.

Terms. *Usable leather*: the hide less the strip along its edge and less everything of grade `none` with the
clearance around it. *Offcut*: a leftover worth keeping. *Scrap*: the leftover that is not.

The rule for an offcut: a disc of `LEAST_WIDTH` can be rolled through all of it, so narrow necks and tongues are
left out, and it measures at least `LEAST_AREA`. It lies on usable leather, at least the gap from every piece,
and may hold lesser grades. A leftover that rings a piece or a flaw is slit open from there to its own outside,
as the knife would do it, so that every offcut is one plain ring with nothing but leather inside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide, Ring
from nesting.geometry.convex import polygons
from nesting.geometry.solid import solid
from nesting.model.layout import Areas, HideLayout
from nesting.model.offcut_rule import LEAST_AREA, LEAST_WIDTH

GONE = "gone"
"""What leather that is cut already, or lost, is called among a hide's flaws."""

SLIT = 0.5
"""Width of the slit that opens a leftover lying around something, mm."""

_DRAW_IN = 0.4
"""Offcuts are drawn in by this much: it pays for thinning by `_THIN` and for the chords of round corners."""
_THIN = 0.25
_DETAILED = 12_000
"""Corners from which a leftover is drawn in by another `_DRAW_IN` before all else, to have fewer."""
_GRID = 1e-3
"""Offcuts' corners lie on a grid of so many millimetres."""


def account(hide: Hide, outlines: Sequence[Ring], gap: float) -> tuple[Areas, tuple[Ring, ...]]:
    """The areas of a hide with pieces lying as `outlines`, and the rings of its offcuts, largest first.

    `outlines` are in hide coordinates and inside the hide; `gap` is the distance kept between pieces, mm.
    The areas are mm²; pieces + edge + flaws + offcuts + scrap = hide.
    """
    lain = [Polygon(outline) for outline in outlines]
    pieces = solid(shapely.union_all(lain))
    inner, bad = inside_edge(hide), unusable(hide)
    usable = inner.difference(bad).intersection(hide.polygon)
    free = solid(usable).difference(grown(pieces, gap))
    offcuts = _offcuts(free)
    taken = solid(shapely.union_all([pieces, *(Polygon(ring) for ring in offcuts)]))
    left = solid(hide.polygon.difference(taken))
    edge = left.difference(inner).area
    within = left.intersection(inner)
    if abs(within.area + edge - left.area) > 0.1:  # borders that touch by a rounding: the engine is asked on a grid
        within = shapely.intersection(left, inner, grid_size=1e-6)
        edge = left.area - within.area
    flaws = solid(within).intersection(bad).area
    kept = sum(Polygon(ring).area for ring in offcuts)
    whole = hide.measured_area
    # Pieces may overlap by the layout's tolerance; the balance must hold all the same.
    worked = min(sum(polygon.area for polygon in lain), whole - edge - flaws - kept)
    scrap = whole - edge - flaws - kept - worked
    return Areas(whole, usable.area, worked, edge, flaws, kept, scrap), offcuts


def gone(on: HideLayout) -> float:
    """Leather that is gone and would be usable if it were not: a part of `areas.flaws`, mm².

    What lies in the edge strip, or under a flaw of another kind that nobody can use, counts there.
    """
    lost = [flaw for flaw in on.hide.flaws if flaw.kind == GONE and flaw.grade is Grade.NONE]
    if not lost:
        return 0.0
    before = replace(on.hide, flaws=tuple(flaw for flaw in on.hide.flaws if flaw not in lost))
    usable = inside_edge(before).intersection(before.polygon).difference(unusable(before))
    held = shapely.union_all([Polygon(ring) for ring in (*(each.outline for each in on.placements), *on.offcuts)])
    here = shapely.union_all([grown(Polygon(flaw.outline), flaw.clearance) for flaw in lost])
    return min(float(solid(usable.intersection(here)).difference(held).area), on.areas.flaws)


def headings(areas: Areas, gone: float) -> list[tuple[str, float]]:
    """The parts that make a hide's area, in mm², by their names; what is gone, where anything is, apart from flaws."""
    rows = [("pieces", areas.pieces), ("offcuts", areas.offcuts), ("edge strip", areas.edge)]
    rows.append(("unusable flaws", areas.flaws - gone))
    return [*rows, *([("gone already", gone)] if gone else []), ("scrap", areas.scrap)]


def usefulness(offcuts: Sequence[Ring]) -> float:
    """How useful offcuts are by their size: the sum of the squares of their areas, m⁴."""
    return sum((_area(ring) / 1e6) ** 2 for ring in offcuts)


def _area(ring: Ring) -> float:
    """Area of a ring by the surveyor's formula, mm²."""
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2


def inside_edge(hide: Hide) -> BaseGeometry:
    """The leather farther from the outline than the hide's edge strip is wide."""
    outline = Polygon(hide.outline)
    return grown(outline, -hide.edge)


def unusable(hide: Hide) -> BaseGeometry:
    """Everything of grade `none`, each flaw with its clearance around it."""
    if hide.grade is Grade.NONE:
        return Polygon(hide.outline)
    flaws = [grown(Polygon(flaw.outline), flaw.clearance) for flaw in hide.flaws if flaw.grade is Grade.NONE]
    zones = [Polygon(zone.outline) for zone in hide.zones if zone.grade is Grade.NONE]
    return solid(shapely.union_all([*flaws, *zones]))


def grown(shape: BaseGeometry, by: float) -> BaseGeometry:
    """The shape grown by a distance (shrunk by a negative one), round corners; under a micrometre it stays as it is.

    Without that floor a distance near the smallest number there is makes the engine answer with nothing at all.
    """
    return shape.buffer(by, quad_segs=16) if abs(by) > 1e-3 else shape


def _offcuts(free: BaseGeometry) -> tuple[Ring, ...]:
    """The rings in `free` that the rule keeps, largest first."""
    radius = LEAST_WIDTH / 2
    if shapely.get_num_coordinates(free) > _DETAILED:  # to draw such detail in by half a strip takes minutes
        free = free.buffer(-_DRAW_IN).simplify(_DRAW_IN)
    cores = sorted(polygons(free.buffer(-radius)), key=_size_first)
    rings: list[Polygon] = []
    held: BaseGeometry = Polygon()
    for core in cores:
        # Cores either side of a neck grow towards each other again: the larger one keeps the neck.
        field = core.buffer(radius - _DRAW_IN).difference(solid(held))
        held = held.union(field.buffer(_DRAW_IN))
        rings += [part for whole in polygons(field) for part in _opened(_thinned(whole, free))]
    on_grid = [part for ring in rings for part in polygons(shapely.set_precision(ring, _GRID))]
    keep = [ring for ring in on_grid if ring.area >= LEAST_AREA and not ring.interiors]
    return tuple(_ring(polygon) for polygon in sorted(keep, key=_size_first))


def _thinned(polygon: Polygon, free: BaseGeometry) -> Polygon:
    """The polygon with fewer corners; as it is where these would lie outside `free`, for GEOS may stray too far."""
    thin = polygon.simplify(_THIN)
    return thin if free.covers(thin) else polygon


def _opened(polygon: Polygon) -> list[Polygon]:
    """The polygon with a slit from each of its holes to its outside, or to a hole already opened."""
    if not polygon.interiors:
        return [polygon]
    outside: BaseGeometry = polygon.exterior
    slits = []
    # Nearest first: a hole that another one shuts off from the outside comes after it.
    for hole in sorted(polygon.interiors, key=lambda ring: ring.distance(polygon.exterior)):
        (x0, y0), (x1, y1) = shapely.shortest_line(hole, outside).coords
        outside = MultiLineString([*_lines(outside), hole.coords])
        slits.append(_slit(x0, y0, x1, y1))
    parts = polygons(polygon.difference(shapely.union_all(slits)))
    return [part for part in parts if not part.interiors]


def _slit(x0: float, y0: float, x1: float, y1: float) -> BaseGeometry:
    """A narrow cut from one point to the other and a little beyond both."""
    line = shapely.LineString([(x0, y0), (x1, y1)])
    return line.buffer(SLIT / 2, cap_style="square")


def _lines(geometry: BaseGeometry) -> list[Sequence[tuple[float, ...]]]:
    return [list(part.coords) for part in getattr(geometry, "geoms", [geometry])]


def _size_first(polygon: Polygon) -> tuple[float, float, float]:
    """Largest first; equal sizes by place, so that the order is always the same."""
    x, y, _, _ = polygon.bounds
    return -round(polygon.area), x, y


def _ring(polygon: Polygon) -> Ring:
    points = shapely.geometry.polygon.orient(polygon).exterior.coords[:-1]
    return tuple((round(x, 3), round(y, 3)) for x, y in points)
