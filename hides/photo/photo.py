"""The picture itself: read within limits, upright, and no larger in memory than tracing needs."""

from __future__ import annotations

import io
import struct
from dataclasses import dataclass, field
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from hides.bounded_file import read_bounded, refuse_larger
from hides.errors import InputError
from hides.photo.camera import PhotoCamera, camera_of

MOST_BYTES = 80_000_000
MOST_PIXELS = 60_000_000
"""Room for a camera's 50 megapixels; beyond it a picture is refused before a pixel is decoded."""
WORKING_PIXELS = 16_000_000
"""Larger pictures are worked on at a half, a third, ... of their size: still far finer than the outline needs."""
LEAST_SIDE = 64
KINDS = ("JPEG", "PNG", "WEBP", "TIFF")
"""A JPEG with a second view in it (MPO, as many phones write) opens as JPEG too."""
REMEDY = "save the photo as JPEG or PNG"
_ORIENTATION = 0x0112
_BROKEN = (OSError, SyntaxError, ValueError, EOFError, struct.error, TypeError, ArithmeticError, LookupError)


@dataclass(frozen=True)
class Photo:
    """An upright photograph.

    `size` is the width and height in photo pixels. `image` is the picture worked on (RGB); a photo pixel times `scale`
    is a pixel of it (`scale` is 1 for pictures up to 16 megapixels). `where` names the file in errors. `camera` is what
    its Exif data say took it.
    """

    size: tuple[int, int]
    image: Image.Image = field(repr=False)
    where: str = ""
    camera: PhotoCamera | None = None

    @property
    def scale(self) -> tuple[float, float]:
        """Pixels of `image` for each photo pixel, across and down."""
        return self.image.width / self.size[0], self.image.height / self.size[1]

    def preview(self, longest: int = 1600, kind: str = "JPEG") -> tuple[bytes, float]:
        """A small copy for the page: the bytes of a JPEG (or "PNG") and its factor.

        The longer side has at most `longest` pixels (never enlarged). A photo pixel times the factor is a
        preview pixel; divide a click's place by it to have photo pixels.
        """
        factor = min(1.0, longest / max(self.size), self.image.width / self.size[0])
        small = self.image.resize(
            (max(1, round(self.size[0] * factor)), max(1, round(self.size[1] * factor))), Image.Resampling.BOX
        )
        out = io.BytesIO()
        small.save(out, kind, quality=88)
        return out.getvalue(), factor


def open_photo(source: Path | str | bytes, name: str = "") -> Photo:
    """The photo in a file (or in its bytes, with a `name` for errors), upright.

    JPEG, PNG, WebP and TIFF, up to `MOST_BYTES` and `MOST_PIXELS`. Raises InputError for anything else: not an image,
    cut short, an animation, too large, too small.
    """
    where = name or ("the photo" if isinstance(source, bytes) else str(source))
    data = _bytes(source, where)
    try:
        with Image.open(io.BytesIO(data), formats=KINDS) as image:
            _check_size(image, where)
            _check_still(image, where)
            size = _upright_size(image)
            camera = camera_of(image.getexif())
            return Photo(size, _working_copy(image), where, camera)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many_pixels(where, "far too many") from error
    except UnidentifiedImageError as error:
        raise InputError(_what_it_is(data), where=where, remedy=REMEDY) from error
    except _BROKEN as error:
        raise InputError("the picture is damaged or cut short", where=where, remedy="copy it again whole") from error


def _bytes(source: Path | str | bytes, where: str) -> bytes:
    if not isinstance(source, bytes):
        return read_bounded(source, MOST_BYTES, REMEDY, "name a photo that exists")
    refuse_larger(source, MOST_BYTES, where, REMEDY)
    return source


def _check_size(image: Image.Image, where: str) -> None:
    pixels = image.width * image.height
    if pixels > MOST_PIXELS:
        raise _too_many_pixels(where, f"{pixels / 1e6:.0f} million")
    if min(image.size) < LEAST_SIDE:
        raise InputError(
            f"a picture of {image.width} × {image.height} pixels is too small to measure on",
            where=where,
            remedy="give the camera's own photo",
        )


def _check_still(image: Image.Image, where: str) -> None:
    # A phone's MPO holds a second view or a depth map after the photo itself, which is the first frame.
    if image.format != "MPO" and getattr(image, "n_frames", 1) > 1:
        raise InputError("holds several pictures (an animation or pages)", where=where, remedy="give one photo")


def _upright_size(image: Image.Image) -> tuple[int, int]:
    width, height = image.size
    turned = image.getexif().get(_ORIENTATION, 1) in (5, 6, 7, 8)
    return (height, width) if turned else (width, height)


def _working_copy(image: Image.Image) -> Image.Image:
    """The picture as upright RGB, reduced before it is turned so that 50 megapixels never lie in memory twice."""
    width, height = image.size
    exif = image.getexif()
    if width * height > WORKING_PIXELS:
        image.draft("RGB", (width // 2, height // 2))  # JPEG decodes straight at half size; others ignore it
    image.load()
    if image.mode in ("I;16", "I;16B", "I;16L", "I"):
        image = image.point(lambda value: value / 256.0).convert("L")
    by = 1
    while (image.width // by) * (image.height // by) > WORKING_PIXELS:
        by += 1
    small = image.reduce(by) if by > 1 and image.mode not in ("P", "1") else image
    small = small.convert("RGB")
    small.getexif().update({_ORIENTATION: exif.get(_ORIENTATION, 1)})
    return ImageOps.exif_transpose(small)


def _too_many_pixels(where: str, count: str) -> InputError:
    return InputError(
        f"{count} pixels, where {MOST_PIXELS // 10**6} million are the most",
        where=where,
        remedy="save the photo smaller; 12 million pixels are plenty",
    )


def _what_it_is(data: bytes) -> str:
    if not data:
        return "the file is empty"
    if data[4:12] in (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypheif", b"ftypavif", b"ftypmsf1"):
        return "a HEIC or AVIF picture, which cannot be read here"
    if data[:4] == b"GIF8":
        return "a GIF, which is no photo"
    return "not a picture that can be read (JPEG, PNG, WebP or TIFF)"
