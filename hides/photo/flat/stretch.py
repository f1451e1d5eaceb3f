"""A stretch of the edge between two places: the line snaps to the strongest edge near it.

A least-cost path over the pixels, cheap where the picture changes fast (E. N. Mortensen and W. A. Barrett, "Intelligent
scissors for image composition", SIGGRAPH 1995), found by scikit-image's `route_through_array`. The change of a colour
picture is that of S. Di Zenzo, "A note on the gradient of a multi-image", CVGIP 33 (1986), here the root of all
channels' squared slopes.
"""

from __future__ import annotations

import numpy as np
from scipy import ndimage
from shapely import make_valid
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import substring

from hides.errors import InputError
from hides.hide import Point as Place
from hides.photo.flat.picture import FlatPicture, Window, parts
from hides.photo.homography import Floats
from hides.photo.plan_view import Pixels

MOST = 60_000
ASIDE = 0.3
"""How far aside of the straight line the edge is looked for, as a part of its length."""
LEAST_ASIDE = 25.0
CHEAPEST = 0.03
"""Cost of a pixel on the strongest edge; one on no edge costs 1."""
TOLERANCE = 0.8
SHORTEST = 3.0


def snapped(flat: FlatPicture, first: Place, last: Place, within: float) -> tuple[Place, ...]:
    """The line along the edge from near `first` to near `last`, mm. Both ends may move by `within` to find the edge.

    Raises InputError where the two lie outside the photo or at one place.
    """
    from skimage.graph import route_through_array  # loading it takes longer than a path does

    length = float(np.hypot(last[0] - first[0], last[1] - first[1]))
    aside = max(LEAST_ASIDE, ASIDE * length) + within
    x0, x1 = sorted((first[0], last[0]))
    y0, y1 = sorted((first[1], last[1]))
    window = flat.window((x0 - aside, y0 - aside, x1 + aside, y1 + aside), MOST)
    inside = all(_holds(window, place) for place in (first, last))
    if not inside or length < SHORTEST:
        problem = "the two places lie too near each other" if inside else "a place lies outside the photo"
        raise InputError(problem, field="stretch", remedy="press on the edge at both ends of the stretch")
    strength = change(window)
    cost = 1 + CHEAPEST - np.minimum(1, strength / max(float(np.percentile(strength, 97)), 1e-6))
    away = ndimage.distance_transform_edt(~window.covers(LineString([first, last]).buffer(window.step)))
    cost = cost * (1 + np.square(away * window.step / aside))
    ends = [_strongest(window, strength, place, within) for place in (first, last)]
    start, end = ends
    path, _ = route_through_array(cost, start, end)  # type: ignore[no-untyped-call]
    rows, columns = np.asarray(path, float).T
    places = window.to_mm(_smooth(np.c_[columns, rows]))
    line = LineString(places).simplify(TOLERANCE) if len(places) > 1 else LineString([first, last])
    return tuple((float(x), float(y)) for x, y in line.coords)


def change(window: Window) -> Pixels:
    """How fast the colour changes at each pixel."""
    slopes = [
        ndimage.gaussian_filter(window.lab, (1.2, 1.2, 0), order=order) for order in ((1, 0, 0), (0, 1, 0))
    ]  # fmt: skip
    return np.asarray(np.sqrt(sum(np.square(slope).sum(axis=-1) for slope in slopes)), np.float32)


def with_stretch(hide: Polygon, line: tuple[Place, ...]) -> Polygon:
    """The hide with the part of its outline that runs beside the line replaced by it."""
    ring = LineString(hide.exterior.coords)
    start, end = (ring.project(Point(place)) for place in (line[0], line[-1]))
    ways = [_between(ring, start, end), _between(ring, end, start)[::-1]]
    new = LineString(line)
    off = [_beside(new, way) for way in ways]
    keep = _between(ring, end, start) if off[0] <= off[1] else _between(ring, start, end)[::-1]
    made = make_valid(Polygon([*line, *keep[1:-1]], hide.interiors))
    return max(parts(made), key=lambda part: float(part.area), default=hide)


def _between(ring: LineString, start: float, end: float) -> list[Place]:
    """The points of a closed line from one place along it to another."""
    if start <= end:
        return list(substring(ring, start, end).coords)
    return [*substring(ring, start, ring.length).coords, *substring(ring, 0, end).coords[1:]]


def _beside(new: LineString, way: list[Place]) -> float:
    """How far the old way is from the new line at most; the way along the line is the one to be replaced."""
    old = LineString(way) if len(way) > 1 else Point(way[0])
    return float(new.hausdorff_distance(old))


def _holds(window: Window, place: Place) -> bool:
    x0, y0, x1, y1 = window.box
    return x0 <= place[0] <= x1 and y0 <= place[1] <= y1


def _strongest(window: Window, strength: Pixels, place: Place, within: float) -> tuple[int, int]:
    """Row and column of the strongest edge near a place; the nearer counts more."""
    (column, row), reach = window.to_pixels([place])[0], within / window.step
    y, x = np.ogrid[: strength.shape[0], : strength.shape[1]]
    away = np.hypot(y - row, x - column)
    near = np.where(away <= max(reach, 0.75), strength * (1 - 0.5 * away / max(reach, 0.75)), -1)
    best = np.unravel_index(int(np.argmax(near)), near.shape)
    return int(best[0]), int(best[1])


def _smooth(path: Floats) -> Floats:
    """The path without the pixels' stairs; its ends stay."""
    even = ndimage.gaussian_filter1d(path, 1.5, axis=0, mode="nearest")
    even[0], even[-1] = path[0], path[-1]
    return np.asarray(even)
