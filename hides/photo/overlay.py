"""The outline drawn over the photo, so that the maker can look."""

from __future__ import annotations

import io
from collections.abc import Sequence

from PIL import Image, ImageDraw

from hides.hide import Point
from hides.photo.homography import Homography
from hides.photo.photo import Photo

OUTLINE, MARKS, DARK = (255, 64, 160), (0, 190, 255), (20, 20, 20)


def draw_outline(photo: Photo, homography: Homography, ring: Sequence[Point], longest: int = 2000) -> bytes:
    """A PNG of the photo with the outline (plan mm), its points, and the marked rectangle."""
    data, factor = photo.preview(longest, "PNG")
    picture = Image.open(io.BytesIO(data))
    draw = ImageDraw.Draw(picture)
    width = max(2, max(picture.size) // 700)
    marks = [(x * factor, y * factor) for x, y in homography.marks]
    draw.line([*marks, marks[0]], fill=MARKS, width=width)
    points = [(x * factor, y * factor) for x, y in homography.to_pixels(ring).tolist()]
    closed = [*points, points[0]]
    draw.line(closed, fill=DARK, width=width + 2, joint="curve")
    draw.line(closed, fill=OUTLINE, width=width, joint="curve")
    for place in points:
        draw.circle(place, width * 1.5, fill=OUTLINE, outline=DARK)
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()
