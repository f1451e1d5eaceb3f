"""The outline drawn over the photo, so that the maker can look."""

from __future__ import annotations

import io
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFont

from hides.hide import Point
from hides.photo.homography import Homography
from hides.photo.photo import Photo

Font = ImageFont.ImageFont | ImageFont.FreeTypeFont
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


def draw_grid(photo: Photo, longest: int = 2000) -> bytes:
    """A PNG of the upright photo under a grid labelled in photo pixels, to read the marks' places from."""
    data, factor = photo.preview(longest, "PNG")
    picture = Image.open(io.BytesIO(data))
    draw = ImageDraw.Draw(picture)
    step = next(size for size in (50, 100, 200, 500, 1000) if size >= max(photo.size) / 24 or size == 1000)
    font = ImageFont.load_default(max(12, max(picture.size) // 90))
    for at in range(0, photo.size[0], step):
        draw.line([(at * factor, 0), (at * factor, picture.height)], fill=MARKS, width=1)
        _label(draw, (at * factor + 3, 2), str(at), font)
    for at in range(step, photo.size[1], step):
        draw.line([(0, at * factor), (picture.width, at * factor)], fill=MARKS, width=1)
        _label(draw, (3, at * factor + 2), str(at), font)
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def _label(draw: ImageDraw.ImageDraw, at: tuple[float, float], text: str, font: Font) -> None:
    draw.text(at, text, fill=(255, 255, 255), font=font, stroke_width=2, stroke_fill=DARK)
