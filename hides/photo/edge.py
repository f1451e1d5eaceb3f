"""Where exactly the edge runs, between the pixels.

A pixel that the edge crosses mixes hide and floor, and so does its neighbour through the lens's blur; a soft shadow
lies beside. The threshold that finds the hide takes all of them in. Along the edge a pixel's distance from the floor's
colour over that of the hide just inside is about the share of hide in it: the edge is where that share is one half.
Where the hide differs from floor in shadow too, the distance is measured from that, and the shadow counts as floor.
"""

from __future__ import annotations

import numpy as np
from contourpy import contour_generator
from scipy import ndimage
from shapely.geometry import Polygon

from hides.photo.floor import Mask, SeenFloor
from hides.photo.plan_view import Pixels

INWARD, OUTWARD = 5, 2
"""The band, in pixels from the mask's edge, in which the share is looked at; within it all is hide, without, floor."""
NEARBY = 8.0
PLAIN, SURE = 3.0, 5.0
"""The hide's distance from shaded floor: up to the one it may be shadow itself, from the other on it is surely not."""
WIDEST_SHADOW = 25.0
"""How far from the mask's edge its shadow may reach, mm: that of an edge which stands up a little."""
_AROUND = OUTWARD + 3


def edge(seen: SeenFloor, mask: Mask, step: float, height: float) -> Polygon:
    """The hide's edge as a polygon in plan mm, counter-clockwise.

    `seen` is the floor and `mask` the hide, rows × columns; `step` mm per pixel; `height` of the plan in mm.
    """
    share = np.pad(_share(seen, _without_shadow(seen, mask, WIDEST_SHADOW / step)), _AROUND)
    lines = contour_generator(z=ndimage.gaussian_filter(share, 1.0)).lines(0.5)
    polygons = [Polygon(line) for line in lines if len(line) >= 4]
    corners = np.asarray(max(polygons, key=lambda one: float(one.area)).exterior.coords)
    middle = _AROUND - 0.5
    places = np.c_[(corners[:, 0] - middle) * step, height - (corners[:, 1] - middle) * step]
    ring = Polygon(places)
    return ring if ring.exterior.is_ccw else Polygon(places[::-1])


def _without_shadow(seen: SeenFloor, mask: Mask, deep: float) -> Mask:
    """The mask without what along its edge, `deep` pixels at most, is nearer to shaded floor than to the hide."""
    from_edge = ndimage.distance_transform_edt(mask)
    near = mask & (from_edge <= deep + 3 * NEARBY)
    core = near & (from_edge > deep)
    if not core.any():
        return mask
    shaded = seen.shaded_distance(near)
    inside = _inside(shaded, core)
    shadow = near & ~core & (shaded < inside / 2) & (inside > SURE)
    out = ndimage.binary_propagation(~mask, mask=ndimage.binary_opening(shadow | ~mask, iterations=2))
    label, count = ndimage.label(ndimage.binary_opening(mask & ~out, iterations=2))
    return np.asarray(label == np.argmax(np.bincount(label.ravel())[1:]) + 1) if count else mask


def _share(seen: SeenFloor, mask: Mask) -> Pixels:
    """The hide's share of each pixel, 0 to 1."""
    from_edge = ndimage.distance_transform_edt(mask)
    beyond = ndimage.distance_transform_edt(~mask)
    core = from_edge > INWARD
    if not core.any():
        return mask.astype(np.float32)
    distance = seen.distance
    plain = distance / _inside(distance, core)
    near = (from_edge <= INWARD + 3 * NEARBY) & (beyond <= OUTWARD)
    shaded = seen.shaded_distance(near)
    inside = _inside(shaded, core & near)
    sure = np.clip((inside - PLAIN) / (SURE - PLAIN), 0, 1)
    share = np.where(near, np.clip(plain * (1 - sure) + np.where(near, shaded, 0) / inside * sure, 0, 1), 0)
    share[core] = 1
    share[beyond > OUTWARD] = 0
    return np.asarray(share, np.float32)


def _inside(distance: Pixels, core: Mask) -> Pixels:
    """The distance of the hide just inside, for each pixel: a mean of nearby core pixels, else of all."""
    weight = ndimage.gaussian_filter(core.astype(np.float32), NEARBY)
    total = ndimage.gaussian_filter(np.where(core, distance, 0).astype(np.float32), NEARBY)
    usual = np.float32(np.median(distance[core]))
    near = np.where(weight > 1e-3, total / np.maximum(weight, 1e-3), usual)
    return np.asarray(np.maximum(near, 1e-6), np.float32)
