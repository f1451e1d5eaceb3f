"""A photo made ready for the page: a preview of bounded size, and the same laid flat by its four marks."""

from __future__ import annotations

import hashlib
import json
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageColor

from hides.errors import InputError
from hides.hide import Point
from hides.photo import Box, FlatPicture, Homography, Photo, Proposal, open_photo, propose_outline
from hides.photo.lens import fit_lens, on_sides
from hides.photo.warp import warped
from hides.whole_file import write_whole
from nesting.page.errors import Refusal
from nesting.page.folder import Folder, new_identity

PREVIEW = 3000
"""Longest side of the preview, pixels."""
FLAT = 2400
"""Longest side of the flattened picture, pixels."""
MARGIN = 0.5
"""How far beyond the marked rectangle the flattened picture may reach, in shares of its sides."""
BACKGROUND = "#d9d2c4"


def keep_photo(folder: Folder, content: bytes, name: str) -> dict[str, Any]:
    """Keep a photo and its upright preview; the answer is its identity and its upright size in pixels."""
    photo = open_photo(content, name)
    identity = new_identity()
    preview, _ = photo.preview(PREVIEW)
    write_whole(folder.kept("photos", identity, ".photo"), content)
    write_whole(folder.kept("photos", identity, ".preview.jpg"), preview)
    write_whole(folder.kept("photos", identity, ".size.json"), json.dumps(photo.size))
    return {"id": identity, "width": photo.size[0], "height": photo.size[1]}


def propose(folder: Folder, identity: str, floor: Homography) -> Proposal:
    """The outline proposed for a kept photo."""
    photo_size(folder, identity)
    return propose_outline(open_photo(folder.kept("photos", identity, ".photo").read_bytes(), "the photo"), floor)


def read_marks(folder: Folder, identity: str, data: dict[str, Any]) -> Homography:
    """The four marks of a request (top left, top right, bottom right, bottom left on the floor, in pixels of the
    upright photo) with the rectangle's size, mm. The order given is kept: a photo may be taken from any side."""
    within = photo_size(folder, identity)
    try:
        first, second, third, fourth = (_point(pair) for pair in data["marks"])
        size = _point(data["size"])
        middles = [_point(pair) for pair in data.get("middles") or []]
    except (KeyError, TypeError, ValueError) as error:
        raise Refusal(400, "four marks [x, y] and a size [width, depth] in mm are needed") from error
    if not all(100 <= side <= 20_000 for side in size):
        raise Refusal(422, "the measured rectangle must be between 100 mm and 20 m a side")
    marks = (first, second, third, fourth)
    if not _clockwise(marks):
        raise Refusal(422, "the four marks must go round in order: top left, top right, bottom right, bottom left")
    if not all(0 <= x <= within[0] and 0 <= y <= within[1] for x, y in marks):
        raise Refusal(422, "a mark lies outside the photo")
    if not middles:
        return Homography(marks, size)
    if len(middles) != 4:
        raise Refusal(422, "four marks amid the sides are needed, or none")
    return Homography(marks, size, fit_lens(marks, on_sides(marks, middles), within))


def keep_flat(folder: Folder, identity: str, floor: Homography) -> dict[str, Any]:
    """Keep the photo laid flat; the answer is its address and the box it fills on the floor, mm."""
    path, box = flat_file(folder, identity, floor)
    return {"href": f"/api/photos/{path.name.split('.')[0]}/flat.jpg", "box": box}


def flat_file(folder: Folder, identity: str, floor: Homography) -> tuple[Path, Box]:
    """The file of a photo laid flat, made where it is not there yet, and the box it fills on the floor, mm."""
    size = photo_size(folder, identity)
    name = hashlib.sha256(
        json.dumps([identity, floor.marks, floor.size, floor.lens and floor.lens.k, FLAT]).encode()
    ).hexdigest()[:12]
    path = folder.kept("photos", name, ".flat.jpg")
    if not path.is_file():
        _write_flat(folder.kept("photos", identity, ".preview.jpg"), path, floor, size)
    return path, _box(floor, size)


def flat_of(photo: Photo, floor: Homography) -> FlatPicture:
    """A photo laid flat as the page does it, without keeping anything."""
    preview, _ = photo.preview(PREVIEW)
    with Image.open(BytesIO(preview)) as opened:
        flat, box = _laid_flat(opened.convert("RGB"), floor, photo.size)
    return FlatPicture(np.asarray(flat), box)


def photo_size(folder: Folder, identity: str) -> tuple[int, int]:
    """Width and height of the upright photo, pixels; Refusal where it is not in the folder."""
    try:
        width, height = json.loads(folder.kept("photos", identity, ".size.json").read_bytes())
    except OSError as error:
        raise Refusal(404, "this photo is not in the folder any more; bring it in again") from error
    return int(width), int(height)


def _write_flat(source: Path, path: Path, floor: Homography, size: tuple[int, int]) -> None:
    with Image.open(source) as opened:
        flat, _ = _laid_flat(opened.convert("RGB"), floor, size)
    _keep(flat, path)


def _laid_flat(preview: Image.Image, floor: Homography, size: tuple[int, int]) -> tuple[Image.Image, Box]:
    """The preview of a photo of `size` laid flat, and the box it fills, mm."""
    box = x0, y0, x1, y1 = _box(floor, size)
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


def _keep(flat: Image.Image, path: Path) -> None:
    stream = BytesIO()
    flat.save(stream, "JPEG", quality=86)
    write_whole(path, stream.getvalue())


def _box(floor: Homography, size: tuple[int, int]) -> Box:
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


def _clockwise(points: tuple[Point, ...]) -> bool:
    """Whether the points go round a convex figure clockwise (y down)."""
    turns = []
    for i in range(4):
        (ax, ay), (bx, by), (cx, cy) = (points[(i + k) % 4] for k in range(3))
        turns.append((bx - ax) * (cy - by) - (by - ay) * (cx - bx))
    return all(turn > 1 for turn in turns)


def _point(pair: Any) -> Point:
    x, y = (float(value) for value in pair)
    if not (abs(x) < 1e6 and abs(y) < 1e6):
        raise ValueError(pair)
    return x, y
