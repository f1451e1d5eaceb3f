"""Whether width and height of the measured rectangle may have been swapped.

A camera with square pixels and its axis through the picture's middle shows a rectangle's proportions without any
measure: Z. Zhang and L.-W. He, "Whiteboard scanning and image enhancement", Digital Signal Processing 17 (2007)
414-432. Clicks and cropped pictures make it rough, so it only ever raises a doubt.
"""

from __future__ import annotations

import math

import numpy as np

from hides.photo.homography import Homography

USUAL_FOCAL = 0.85
"""Focal length over the picture's longer side where the view is too square-on to tell: a phone's main lens."""


def proportions(homography: Homography, photo: tuple[int, int], focal: float | None = None) -> float:
    """Width over height of the marked rectangle as the photo alone suggests; `focal` as a share of its longer side."""
    to_pixels = np.linalg.inv(homography.matrix)
    centred = np.array([[1, 0, -photo[0] / 2], [0, 1, -photo[1] / 2], [0, 0, 1]]) / max(photo)
    centred[2, 2] = 1
    h1, h2 = (centred @ to_pixels)[:, :2].T
    focal_squared = USUAL_FOCAL**2
    slant = float(h1[2] * h2[2])
    if focal is not None:
        focal_squared = focal**2
    elif slant:
        told = -float(h1[0] * h2[0] + h1[1] * h2[1]) / slant
        focal_squared = told if 0.4**2 < told < 2.5**2 else focal_squared
    along, up = (math.sqrt(float(h[0] ** 2 + h[1] ** 2) / focal_squared + float(h[2] ** 2)) for h in (h1, h2))
    return homography.size[0] / homography.size[1] * along / up


def looks_swapped(homography: Homography, photo: tuple[int, int], focal: float | None = None) -> bool:
    """Whether the photo fits far better with width and height the other way round."""
    stated = math.log(homography.size[0] / homography.size[1])
    seen = math.log(proportions(homography, photo, focal))
    return abs(stated - seen) > 0.12 and abs(stated + seen) < abs(stated - seen) / 3
