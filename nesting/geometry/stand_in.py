"""Outlines of few corners that stand for detailed ones: round a piece, within a region.

What is searched are these; what is laid and checked are the true ones.
"""

from __future__ import annotations

from collections.abc import Callable

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import Array, polygons, ring_of
from nesting.geometry.minimum_link import minimum_link
from nesting.geometry.simplify import inner, outer

CURVE = 0.4
"""How far (mm) curves may be drawn out, at the very most, to have fewer corners."""

FINE = 0.02
"""The same where the last hair is settled."""

FEW_CORNERS = 16
"""Pieces of no more corners are taken as they are: what fits exactly is to fit."""

PIECE_CORNERS, REGION_CORNERS = 64, 400
"""Outlines with more corners once their curves are drawn out have too much detail: they are drawn afresh."""

HOPELESS = 10
"""A region with so many times the corners is not worth a try at its curves."""

LONG = 2000
"""Rings of more points are drawn afresh twice: within a quarter of the distance, then within the rest."""

FURTHEST = 8
"""Distances tried at most, from `CURVE` on, each the root of two times the one before."""

Drawing = Callable[[BaseGeometry, float], BaseGeometry | None]

OFF = 1e-7
"""Rounding (mm): what strays by no more does not stray."""


def round_piece(outline: Polygon, corners: int = PIECE_CORNERS) -> Polygon:
    """A polygon that holds a piece's outline, of few corners: at most so many where the furthest distance allows it.

    >>> from shapely.geometry import Point, box
    >>> round_piece(box(0, 0, 20, 30)).equals(box(0, 0, 20, 30))
    True
    >>> disc = Point(0, 0).buffer(20, quad_segs=100)
    >>> drawn = round_piece(disc)
    >>> len(disc.exterior.coords), len(drawn.exterior.coords) < 40, drawn.buffer(1e-9).covers(disc)
    (401, True, True)
    """
    if len(outline.exterior.coords) <= FEW_CORNERS + 1:
        return outline
    drawn = outer(outline, CURVE)
    if _corners(drawn) <= corners:
        return drawn
    made = _fewest(outline, drawn, corners, round_about)
    return made if isinstance(made, Polygon) else drawn


def close_round_piece(outline: Polygon) -> Polygon:
    """A polygon that holds a piece's outline and strays from it by next to nothing."""
    return outline if len(outline.exterior.coords) <= FEW_CORNERS + 1 else outer(outline, FINE)


def close_round_part(part: BaseGeometry) -> BaseGeometry:
    """An area that holds an area of a piece and strays from it by next to nothing."""
    return outer(part, FINE) if isinstance(part, Polygon) and not part.interiors else part


def close_within_region(region: BaseGeometry) -> BaseGeometry:
    """A region inside another that strays from it by next to nothing."""
    return inner(region, FINE) if polygons(region) else region


def round_part(part: BaseGeometry) -> BaseGeometry:
    """An area of few corners that holds an area of a piece."""
    plain = isinstance(part, Polygon) and not part.interiors
    drawn = outer(part, CURVE) if plain else part
    return drawn if _corners(drawn) <= PIECE_CORNERS else _fewest(part, drawn, PIECE_CORNERS, round_about)


def within_region(region: BaseGeometry) -> BaseGeometry:
    """A region inside another, of few corners."""
    if not polygons(region):
        return region
    drawn = inner(region, CURVE) if _corners(region) <= HOPELESS * REGION_CORNERS else region
    return drawn if _corners(drawn) <= REGION_CORNERS else _fewest(region, drawn, REGION_CORNERS, inside)


def _fewest(true: BaseGeometry, first: BaseGeometry, enough: int, draw: Drawing) -> BaseGeometry:
    """The nearest drawing that has few enough corners, by halving; where none has, the one that has the fewest."""
    best, near, far = first, 0, FURTHEST
    while near < far:
        middle = (near + far) // 2
        made = draw(true, CURVE * 2 ** (middle / 2))
        few = made is not None and _corners(made) <= enough
        if made is not None and (few or _corners(made) < _corners(best)):
            best = made
        near, far = (near, middle) if few else (middle + 1, far)
    return best


def _corners(shape: BaseGeometry) -> int:
    """The corners of all its rings."""
    return sum(len(ring.coords) - 1 for p in polygons(shape) for ring in (p.exterior, *p.interiors))


def round_about(true: BaseGeometry, distance: float) -> BaseGeometry | None:
    """The area of fewest corners within a distance outside another; None where it does not hold all of it."""
    made = _drawn(true, distance, outwards=True)
    return made if made is not None and _holds(made, true) else None


def inside(true: BaseGeometry, distance: float) -> BaseGeometry | None:
    """The area of fewest corners within a distance inside another; None where a ring could not be drawn."""
    made = _drawn(true, distance, outwards=False)
    return made if made is None or _holds(true, made) else made.intersection(true)


def _drawn(area: BaseGeometry, distance: float, outwards: bool) -> BaseGeometry | None:
    """Shells drawn outwards and holes inwards, or the other way round; None where that makes no rings."""
    made: list[BaseGeometry] = []
    for polygon in polygons(area):
        shell = _ring(ring_of(polygon), distance, outwards)
        holes = [_ring(ring_of(Polygon(hole)), distance, not outwards) for hole in polygon.interiors]
        if not all(ring.is_valid for ring in (shell, *holes)):
            return None
        made.append(shell.difference(shapely.union_all(holes)) if holes else shell)
    return shapely.union_all(made)


def _ring(ring: Array, distance: float, outwards: bool) -> Polygon:
    """A counter-clockwise ring with few corners, outside the one given or inside."""
    if len(ring) <= FEW_CORNERS:
        return Polygon(ring)
    ring = ring if outwards else ring[::-1]
    if len(ring) > LONG:
        ring, distance = minimum_link(ring, distance / 4), distance * 3 / 4
    return Polygon(minimum_link(ring, distance))


def _holds(large: BaseGeometry, small: BaseGeometry) -> bool:
    return bool(large.buffer(OFF, join_style="mitre").covers(small))
