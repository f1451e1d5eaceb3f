"""An outline found in the photo, as a proposal for the maker to look at and correct."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.hide import Ring
from hides.photo.edge import edge
from hides.photo.flat.doubts import Doubt, confidence_left, doubts_of
from hides.photo.flat.picture import FlatPicture
from hides.photo.floor import SeenFloor
from hides.photo.homography import Homography
from hides.photo.photo import Photo
from hides.photo.plan_view import Pixels, plan_view, resolution_for
from hides.photo.proportions import looks_swapped
from hides.photo.region import HideMask, find_region

CLEAN = 5.0
"""Half the width, mm, below which a spur or a gap is dust or noise rather than an edge (at least two pixels)."""
COARSE = 4.0


@dataclass(frozen=True)
class Proposal:
    """An outline in plan millimetres, never more than a proposal.

    `ring` runs counter-clockwise, simplified so that no point of the found edge lies further than `tolerance` mm
    from it. `area` is its area, mm². `confidence`, 0 to 1, says how clearly hide and floor differ in colour, less where
    stretches of the outline are in doubt: those are `doubts`. `remarks` are sentences for the maker: what to look at.
    `resolution` is the plan's mm per pixel.
    """

    ring: Ring
    tolerance: float
    area: float
    confidence: float
    resolution: float
    remarks: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()


def propose_outline(
    photo: Photo, homography: Homography, *, tolerance: float = 2.0, resolution: float | None = None
) -> Proposal:
    """Find the hide inside the marked rectangle by its colour.

    `tolerance` (mm) is how far the simplified outline may leave the found edge; `resolution` (mm per pixel of the plan)
    is chosen from the rectangle's size unless given. Raises InputError where nothing stands out from the floor.
    """
    _check_tolerance(tolerance, homography)
    step = resolution_for(homography, resolution)
    plan = plan_view(photo, homography, step)
    seen = SeenFloor.of(plan)
    region = find_region(seen.distance, max(2, round(CLEAN / step)))
    if region is None:
        raise InputError(
            "nothing inside the marks stands out from the floor",
            where=photo.where,
            remedy="look at the marks, lay the hide on a floor of another colour, or click the outline on the page",
        )
    polygon = _simplified(edge(seen, region.mask, step, homography.size[1]), tolerance)
    ring = tuple((float(x), float(y)) for x, y in polygon.exterior.coords[:-1])
    doubts = doubts_of(_as_flat(plan, homography, step), polygon)
    confidence = round(_confidence(region) * confidence_left(doubts, polygon.length), 2)
    remarks = _remarks(region, photo, homography)
    return Proposal(ring, tolerance, polygon.area, confidence, step, remarks, doubts)


def _as_flat(plan: Pixels, homography: Homography, step: float) -> FlatPicture:
    rows, columns = plan.shape[:2]
    height = homography.size[1]
    return FlatPicture((plan * 255).round().astype(np.uint8), (0.0, height - rows * step, columns * step, height))


def _simplified(polygon: Polygon, tolerance: float) -> Polygon:
    """The polygon with fewer points (Douglas and Peucker, 1973); the plain way keeps the tolerance to the letter."""
    plain = polygon.simplify(tolerance, preserve_topology=False)
    whole = isinstance(plain, Polygon) and plain.is_valid and not plain.is_empty
    return plain if whole else polygon.simplify(tolerance)


def _check_tolerance(tolerance: float, homography: Homography) -> None:
    most = min(homography.size) / 20
    if not (math.isfinite(tolerance) and 0 < tolerance <= most):
        raise InputError(
            f"{tolerance:g} mm is no tolerance for an outline of this size",
            field="tolerance",
            remedy=f"give more than 0 and at most {most:.0f} mm; 2 mm suits most hides",
        )


def _confidence(region: HideMask) -> float:
    """The worse of two marks: noise alone scores about 0.64 by Otsu's criterion, well parted groups above 0.9."""
    apart, contrast = (region.apart - 0.64) / 0.3, (region.contrast - 1) / 1.5
    return round(min(1.0, max(0.0, min(apart, contrast))), 2)


def _remarks(region: HideMask, photo: Photo, homography: Homography) -> tuple[str, ...]:
    remarks = []
    mm_per_pixel = homography.mm_per_pixel()
    focal = photo.camera.focal_share(photo.size) if photo.camera else None
    if looks_swapped(homography, photo.size, focal):
        remarks.append("the rectangle looks as if its width and height were swapped: the width runs left to right")
    if _confidence(region) < 0.5:
        remarks.append("hide and floor differ little in colour: look at every stretch of the outline")
    if region.touching > 0.002:
        remarks.append("the outline reaches the edge of the marked rectangle and is cut off there")
    if region.left_out > 0.1:
        remarks.append("something else large lies inside the marks and was left out")
    if region.holes:
        places = "1 place inside looks" if region.holes == 1 else f"{region.holes} places inside look"
        remarks.append(f"{places} like floor: draw real holes as flaws")
    if mm_per_pixel > COARSE:
        remarks.append(f"a pixel is up to {mm_per_pixel:.1f} mm on the floor: a nearer or larger photo is more exact")
    return tuple(remarks)
