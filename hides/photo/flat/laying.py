"""The photo laid flat: warped by its marks to the floor seen from straight above, kept as a picture, read again."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image, ImageColor

from hides.errors import InputError
from hides.hide import HidePhoto
from hides.photo.flat.picture import Box, FlatPicture
from hides.photo.homography import Homography
from hides.photo.photo import open_photo
from hides.photo.warp import warped

FLAT = 2400
"""Longest side of the flattened picture, pixels."""
MARGIN = 0.5
"""How far beyond the marked rectangle the flattened picture may reach, in shares of its sides."""
BACKGROUND = "#d9d2c4"


def jpeg_of(flat: Image.Image) -> bytes:
    """A flat picture as it is kept."""
    stream = BytesIO()
    flat.save(stream, "JPEG", quality=86)
    return stream.getvalue()


def read_flat(photo: HidePhoto, folder: Path) -> FlatPicture:
    """The picture that a hide file names, from the folder it lies in; InputError where it is not there or is none."""
    path = folder / photo.file
    if not path.is_file():
        remedy = "put it beside the file, or name the folder it lies in"
        raise InputError(f"there is no “{photo.file}” in {folder}", field="photo", remedy=remedy)
    return FlatPicture(np.asarray(open_photo(path).image), photo.box)


def laid_flat(preview: Image.Image, floor: Homography, size: tuple[int, int]) -> tuple[Image.Image, Box]:
    """The preview of a photo of `size` laid flat, and the box it fills, mm."""
    box = x0, y0, x1, y1 = box_seen(floor, size)
    scale = FLAT / max(x1 - x0, y1 - y0)
    shrunk = preview.width / size[0]
    if floor.lens is not None:
        return _through_lens(preview, floor, box, scale, shrunk), box
    to_floor = np.array([[1 / scale, 0, x0], [0, -1 / scale, y1], [0, 0, 1]])
    to_preview = np.diag([shrunk, shrunk, 1.0]) @ np.linalg.inv(floor.matrix) @ to_floor
    values = (to_preview / to_preview[2, 2]).ravel()[:8].tolist()
    wide, high = max(1, round((x1 - x0) * scale)), max(1, round((y1 - y0) * scale))
    flat = preview.transform(
        (wide, high), Image.Transform.PERSPECTIVE, values, Image.Resampling.BICUBIC, fillcolor=BACKGROUND
    )
    return flat, box


def _through_lens(preview: Image.Image, floor: Homography, box: Box, scale: float, shrunk: float) -> Image.Image:
    """The same where the lens bends: every pixel looked up by itself."""
    x0, y0, x1, y1 = box
    x = x0 + (np.arange(max(1, round((x1 - x0) * scale))) + 0.5) / scale
    y = y1 - (np.arange(max(1, round((y1 - y0) * scale))) + 0.5) / scale
    places = floor.to_pixels(np.stack(np.meshgrid(x, y), axis=-1)) * shrunk
    red, green, blue = ImageColor.getrgb(BACKGROUND)[:3]
    made = warped(preview, places, (red / 255, green / 255, blue / 255))
    return Image.fromarray((made * 255).round().astype(np.uint8))


def box_seen(floor: Homography, size: tuple[int, int]) -> Box:
    """What of the floor to show: the whole photo, but no further than the margin round the rectangle."""
    wide, high = floor.size
    limits = np.array([[-MARGIN * wide, -MARGIN * high], [(1 + MARGIN) * wide, (1 + MARGIN) * high]])
    try:
        seen = floor.to_mm([(0, 0), (size[0], 0), size, (0, size[1])])
        limits = np.array([np.maximum(limits[0], seen.min(axis=0)), np.minimum(limits[1], seen.max(axis=0))])
    except InputError:
        pass  # a corner of the photo shows the horizon; the margin alone bounds the picture
    x0, y0, x1, y1 = (round(float(value), 1) for value in limits.ravel())
    return x0, y0, x1, y1
