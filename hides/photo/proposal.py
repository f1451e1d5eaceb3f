"""An outline found in the photo, as a proposal for the maker to look at and correct."""

from __future__ import annotations

from dataclasses import dataclass

from hides.hide import Ring
from hides.photo.homography import Homography
from hides.photo.photo import Photo


@dataclass(frozen=True)
class Proposal:
    """An outline in plan millimetres, never more than a proposal.

    `ring` runs counter-clockwise, simplified so that no point of the found edge lies further than `tolerance` mm
    from it. `area` is its area, mm². `confidence`, 0 to 1, says how clearly hide and floor differ in colour.
    `remarks` are sentences for the maker: what to look at. `resolution` is the plan's mm per pixel.
    """

    ring: Ring
    tolerance: float
    area: float
    confidence: float
    resolution: float
    remarks: tuple[str, ...] = ()


def propose_outline(
    photo: Photo, homography: Homography, *, tolerance: float = 2.0, resolution: float | None = None
) -> Proposal:
    """Find the hide inside the marked rectangle by its colour.

    `tolerance` (mm) is how far the simplified outline may leave the found edge; `resolution` (mm per pixel of the plan)
    is chosen from the rectangle's size unless given. Raises InputError where nothing stands out from the floor.
    """
    raise NotImplementedError
