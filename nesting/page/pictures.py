"""A photo made ready for the page: a preview of bounded size, and the same laid flat by its four marks."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps

from hides.hide import Point
from hides.whole_file import write_whole
from nesting.page.errors import Refusal
from nesting.page.folder import Folder

PREVIEW = 3000
"""Longest side of the preview, pixels."""
FLAT = 2400
"""Longest side of the flattened picture, pixels."""
MARGIN = 0.5
"""How far beyond the marked rectangle the flattened picture may reach, in shares of its sides."""


@dataclass(frozen=True)
class Marks:
    """The four marks in pixels of the upright photo (top left, top right, bottom right, bottom left on the floor)
    and the rectangle they span, mm. The floor's frame has its origin at the fourth mark, y upwards."""

    points: tuple[Point, Point, Point, Point]
    size: tuple[float, float]

    @property
    def corners(self) -> list[Point]:
        """The marks on the floor, mm."""
        width, height = self.size
        return [(0.0, height), (width, height), (width, 0.0), (0.0, 0.0)]


def read_marks(data: dict[str, Any]) -> Marks:
    """Marks and size from a request; Refusal where they cannot be."""
    try:
        first, second, third, fourth = (_point(pair) for pair in data["marks"])
        width, height = _point(data["size"])
    except (KeyError, TypeError, ValueError) as error:
        raise Refusal(400, "four marks [x, y] and a size [width, depth] in mm are needed") from error
    if not (100 <= width <= 20_000 and 100 <= height <= 20_000):
        raise Refusal(422, "the measured rectangle must be between 100 mm and 20 m a side")
    marks = Marks((first, second, third, fourth), (width, height))
    if not _goes_round(marks.points):
        raise Refusal(422, "the four marks must go round in order: top left, top right, bottom right, bottom left")
    return marks


def keep_preview(folder: Folder, identity: str, content: bytes) -> tuple[int, int]:
    """Keep the upright preview of a photo; the answer is the upright photo's size in pixels."""
    try:
        with Image.open(BytesIO(content)) as opened:
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError, SyntaxError) as error:
        raise Refusal(415, "the picture is damaged and cannot be read to its end") from error
    size = upright.size
    upright.thumbnail((PREVIEW, PREVIEW), Image.Resampling.LANCZOS)
    write_whole(folder.kept("photos", identity, ".preview.jpg"), _jpeg(upright))
    write_whole(folder.kept("photos", identity, ".size.json"), json.dumps(size))
    return size


def keep_flat(folder: Folder, identity: str, marks: Marks) -> dict[str, Any]:
    """Keep the photo laid flat; the answer is its address and the box it fills on the floor, mm."""
    width, height = photo_size(folder, identity)
    box = _box(marks, width, height)
    name = hashlib.sha256(json.dumps([identity, marks.points, marks.size, FLAT]).encode()).hexdigest()[:12]
    path = folder.kept("photos", name, ".flat.jpg")
    if not path.is_file():
        _write_flat(folder.kept("photos", identity, ".preview.jpg"), path, marks, box, width)
    return {"href": f"/api/photos/{name}/flat.jpg", "box": box}


def photo_size(folder: Folder, identity: str) -> tuple[int, int]:
    """Width and height of the upright photo, pixels; Refusal where it is not in the folder."""
    try:
        width, height = json.loads(folder.kept("photos", identity, ".size.json").read_bytes())
    except OSError as error:
        raise Refusal(404, "this photo is not in the folder any more; bring it in again") from error
    return int(width), int(height)


def homography(source: list[Point], target: list[Point]) -> np.ndarray:
    """The 3 × 3 projective map that carries four points onto four others (direct linear solution, h33 = 1)."""
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.linalg.solve(np.array(rows, float), np.array(right, float))
    return np.append(solved, 1.0).reshape(3, 3)


def _write_flat(source: Path, path: Path, marks: Marks, box: list[float], width: int) -> None:
    with Image.open(source) as opened:
        preview = opened.convert("RGB")
    shrunk = preview.width / width
    x0, y0, x1, y1 = box
    scale = FLAT / max(x1 - x0, y1 - y0)
    wide, high = max(1, round((x1 - x0) * scale)), max(1, round((y1 - y0) * scale))
    floor = [((x - x0) * scale, (y1 - y) * scale) for x, y in marks.corners]
    seen = [(x * shrunk, y * shrunk) for x, y in marks.points]
    back = homography(floor, seen)
    values = tuple((back / back[2, 2]).ravel()[:8])
    flat = preview.transform(
        (wide, high), Image.Transform.PERSPECTIVE, values, Image.Resampling.BICUBIC, fillcolor="#d9d2c4"
    )
    write_whole(path, _jpeg(flat))


def _box(marks: Marks, width: int, height: int) -> list[float]:
    """What of the floor to show: the whole photo, but no further than the margin round the rectangle."""
    to_floor = homography(list(marks.points), marks.corners)
    corners = np.array([[0, 0, 1], [width, 0, 1], [width, height, 1], [0, height, 1]], float) @ to_floor.T
    wide, high = marks.size
    limits = np.array([[-MARGIN * wide, -MARGIN * high], [(1 + MARGIN) * wide, (1 + MARGIN) * high]])
    if (corners[:, 2] * corners[0, 2] > 1e-9).all():
        seen = corners[:, :2] / corners[:, 2:]
        limits = np.array([np.maximum(limits[0], seen.min(axis=0)), np.minimum(limits[1], seen.max(axis=0))])
    return [round(float(value), 1) for value in limits.ravel()]


def _goes_round(points: tuple[Point, ...]) -> bool:
    turns = []
    for i in range(4):
        (ax, ay), (bx, by), (cx, cy) = (points[(i + k) % 4] for k in range(3))
        turns.append((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
    return all(turn > 1 for turn in turns) or all(turn < -1 for turn in turns)


def _point(pair: Any) -> Point:
    x, y = (float(value) for value in pair)
    if not (abs(x) < 1e6 and abs(y) < 1e6):
        raise ValueError(pair)
    return x, y


def _jpeg(picture: Image.Image) -> bytes:
    stream = BytesIO()
    picture.save(stream, "JPEG", quality=86)
    return stream.getvalue()
