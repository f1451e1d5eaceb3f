"""A photo made ready for the page: a preview of bounded size, and the same laid flat by its four marks."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from PIL import Image

from hides.hide import Point
from hides.photo import Box, Homography, Proposal, box_seen, jpeg_of, laid_flat, open_photo, propose_outline
from hides.photo.flat.laying import FLAT
from hides.photo.lens import fit_lens, on_sides
from hides.whole_file import write_whole
from nesting.page import known_lenses
from nesting.page.errors import Refusal
from nesting.page.folder import Folder, new_identity

PREVIEW = 3000
"""Longest side of the preview, pixels."""


def keep_photo(folder: Folder, content: bytes, name: str) -> dict[str, Any]:
    """Keep a photo and its upright preview; the answer is its identity and its upright size in pixels."""
    photo = open_photo(content, name)
    identity = new_identity()
    preview, _ = photo.preview(PREVIEW)
    write_whole(folder.kept("photos", identity, ".photo"), content)
    write_whole(folder.kept("photos", identity, ".preview.jpg"), preview)
    write_whole(folder.kept("photos", identity, ".size.json"), json.dumps(photo.size))
    told: dict[str, Any] = {"id": identity, "width": photo.size[0], "height": photo.size[1]}
    return told | known_lenses.camera_told(folder, identity, photo)


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
        return Homography(marks, size, known_lenses.lens_given(data.get("lens"), within))
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
    return path, box_seen(floor, size)


def photo_size(folder: Folder, identity: str) -> tuple[int, int]:
    """Width and height of the upright photo, pixels; Refusal where it is not in the folder."""
    try:
        width, height = json.loads(folder.kept("photos", identity, ".size.json").read_bytes())
    except OSError as error:
        raise Refusal(404, "this photo is not in the folder any more; bring it in again") from error
    return int(width), int(height)


def _write_flat(source: Path, path: Path, floor: Homography, size: tuple[int, int]) -> None:
    with Image.open(source) as opened:
        flat, _ = laid_flat(opened.convert("RGB"), floor, size)
    write_whole(path, jpeg_of(flat))


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
