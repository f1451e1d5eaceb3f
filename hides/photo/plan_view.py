"""The marked rectangle seen straight from above."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from hides.photo.homography import Floats, Homography
from hides.photo.photo import Photo
from hides.photo.warp import warped

Pixels = NDArray[np.float32]
ALONG = 1200
"""Plan pixels along the longer side of the rectangle unless a resolution is given: about 2 mm each for a side."""
MOST_ALONG = 4000


def resolution_for(homography: Homography, resolution: float | None = None) -> float:
    """Millimetres per pixel of the plan: the wanted one within what memory bears, else one that suits the size."""
    longest = max(homography.size)
    return max(longest / MOST_ALONG, longest / ALONG if resolution is None else resolution)


def plan_view(photo: Photo, homography: Homography, resolution: float) -> Pixels:
    """The rectangle warped to rows × columns × 3 sRGB values of 0 to 1, first row at the top (y = height).

    The centre of row i, column j lies at x = (j + ½) · resolution, y = height − (i + ½) · resolution.
    """
    width, height = homography.size
    columns, rows = (max(1, math.ceil(side / resolution)) for side in (width, height))
    # From plan pixels (y down) to mm, to photo pixels, to pixels of the picture worked on.
    to_mm = np.array([[resolution, 0, 0], [0, -resolution, height], [0, 0, 1]])
    across, down = photo.scale
    to_image = np.diag([across, down, 1.0]) @ np.linalg.inv(homography.matrix) @ to_mm
    image, by = _reduced(photo.image, to_image, columns, rows)
    to_image = np.diag([1 / by, 1 / by, 1.0]) @ to_image
    if homography.lens is not None:
        return _through_lens(image, photo, homography, (rows, columns), resolution, by)
    coefficients = (to_image / to_image[2, 2]).ravel()[:8].tolist()
    plan = image.transform((columns, rows), Image.Transform.PERSPECTIVE, coefficients, Image.Resampling.BILINEAR)
    pixels: Pixels = np.asarray(plan).astype(np.float32) / np.float32(255)
    return pixels


def _through_lens(
    image: Image.Image, photo: Photo, homography: Homography, shape: tuple[int, int], resolution: float, by: int
) -> Pixels:
    """The same where the lens bends: every pixel of the plan is looked up by itself."""
    x = (np.arange(shape[1]) + 0.5) * resolution
    y = homography.size[1] - (np.arange(shape[0]) + 0.5) * resolution
    places = homography.to_pixels(np.stack(np.meshgrid(x, y), axis=-1))
    return warped(image, places * np.array(photo.scale) / by)


def _reduced(image: Image.Image, to_image: Floats, columns: int, rows: int) -> tuple[Image.Image, int]:
    """The picture averaged down to about a plan pixel, since a warp that skips pixels would pick up their noise."""
    middle = np.array([[columns / 2, rows / 2, 1], [columns / 2 + 1, rows / 2, 1], [columns / 2, rows / 2 + 1, 1]])
    moved = middle @ to_image.T
    a, b, c = moved[:, :2] / moved[:, 2:]
    step = math.sqrt(abs(float((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0])))
    by = max(1, math.floor(step))
    if by == 1 or image.width % by or image.height % by:
        # A remainder would stretch the last column; crop it, it lies at the photo's rim.
        image = image.crop((0, 0, image.width - image.width % by, image.height - image.height % by))
    return (image.reduce(by) if by > 1 else image), by
