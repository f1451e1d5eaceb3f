"""Which camera and lens took a photo, as its Exif data tell (CIPA DC-008, "Exchangeable image file format", 2.32).

Exif tells how long a lens is, hardly ever how it bends. With four marks a focal length cannot straighten a photo
either: tried on made photographs the area came out 2 to 8 % off, no better than untouched, since a tilt and a bend look
alike in four corners. What the data do tell surely is whether two photos were taken alike: what eight marks found on
the one then holds for the other. And the focal length tells the rectangle's proportions, to catch a swapped size.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from PIL.ExifTags import IFD, Base
from PIL.Image import Exif

FILM_DIAGONAL = math.hypot(36, 24)
"""Of a 35 mm film's frame, mm: what “as on 35 mm film” is measured by."""
ULTRA_WIDE = 20.0
"""A shorter focal length, as on 35 mm film, is an ultra-wide lens (common practice)."""
LONGEST_NAME = 60


@dataclass(frozen=True)
class PhotoCamera:
    """The camera's name, its lens's (both may be empty), focal length in mm and as on 35 mm film (0: not told), and by
    how much the picture was enlarged in the camera."""

    name: str
    lens: str = ""
    focal: float = 0.0
    film_focal: float = 0.0
    zoom: float = 1.0

    @property
    def words(self) -> str:
        """For a person."""
        shown = f", {self.film_focal:g} mm as on 35 mm film" if self.film_focal else ""
        return self.name + (shown or (f", {self.focal:g} mm" if self.focal else ""))

    @property
    def ultra_wide(self) -> bool:
        """Whether it is a lens that bends the rim of its pictures most."""
        return 0 < self.film_focal < ULTRA_WIDE

    def likeness(self, size: tuple[int, int]) -> str | None:
        """The same text for photos taken alike, upright or not; None where the data do not say enough."""
        if not self.name or not (self.focal or self.film_focal):
            return None
        long, short = max(size), min(size)
        return f"{self.name}|{self.lens}|{self.focal:g}|{self.film_focal:g}|{self.zoom:g}|{long}x{short}"

    def focal_share(self, size: tuple[int, int]) -> float | None:
        """The focal length over the picture's longer side; None where it is not told."""
        return self.film_focal / FILM_DIAGONAL * math.hypot(*size) / max(size) if self.film_focal else None


def camera_of(exif: Exif) -> PhotoCamera | None:
    """The camera of a picture's Exif data; None where they name none and tell no focal length."""
    inner = exif.get_ifd(IFD.Exif)
    make, model = _text(exif.get(Base.Make)), _text(exif.get(Base.Model))
    name = model if model.lower().startswith(make.lower()) else f"{make} {model}"
    found = PhotoCamera(
        name.strip(), _text(inner.get(Base.LensModel)), _number(inner.get(Base.FocalLength)),
        _number(inner.get(Base.FocalLengthIn35mmFilm)), _number(inner.get(Base.DigitalZoomRatio)) or 1.0,
    )  # fmt: skip
    return found if found.name or found.film_focal else None


def _text(value: Any) -> str:
    plain = value.decode("utf-8", "replace") if isinstance(value, bytes) else str(value or "")
    return "".join(sign for sign in plain if sign.isprintable()).strip()[:LONGEST_NAME]


def _number(value: Any) -> float:
    """A length or ratio; 0 where there is none that could be one."""
    try:
        number = float(value)
    except (TypeError, ValueError, ArithmeticError):
        return 0.0
    return round(number, 3) if math.isfinite(number) and 0 < number < 5000 else 0.0
