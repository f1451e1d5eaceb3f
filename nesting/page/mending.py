"""An outline mended on the flat photo: what the page sends is read, bounded, and handed to `hides.photo`."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from shapely import make_valid
from shapely.geometry import Polygon

from hides.photo import (
    Box,
    Doubt,
    FlatPicture,
    Homography,
    Stroke,
    confidence_left,
    doubts_of,
    follow,
    snapped,
    spots_of,
    with_stretch,
)
from nesting.page import pictures
from nesting.page.errors import Refusal
from nesting.page.folder import Folder

MOST_POINTS = 20_000
MOST_STROKES = 400
WIDEST = 500.0
"""Half a brush's width at most, mm."""


def paint(folder: Folder, identity: str, floor: Homography, data: dict[str, Any]) -> dict[str, Any]:
    """The outline and holes after the last of the strokes sent."""
    flat, hide, strokes = flat_picture(folder, identity, floor), _hide(data), _strokes(data)
    return _told(follow(flat, hide, strokes))


def stretch(folder: Folder, identity: str, floor: Homography, data: dict[str, Any]) -> dict[str, Any]:
    """The outline and holes with the stretch between two places snapped to the edge."""
    flat, hide = flat_picture(folder, identity, floor), _hide(data)
    ends = _points(data.get("ends"), "ends")
    try:
        within = float(data.get("within", 10))
    except (TypeError, ValueError) as error:
        raise Refusal(400, "within needs a length in mm") from error
    if len(ends) != 2 or not 0 <= within <= WIDEST or hide.is_empty:
        raise Refusal(422, "an outline, the two ends of a stretch of it and how far they may move are needed")
    return _told(with_stretch(hide, snapped(flat, ends[0], ends[1], within)))


def doubts(folder: Folder, identity: str, floor: Homography, data: dict[str, Any]) -> dict[str, Any]:
    """The stretches of an outline that are in doubt, and what share of confidence they leave."""
    return told_doubts(_doubts(flat_picture(folder, identity, floor), _hide(data)), _hide(data).length)


def spots(folder: Folder, identity: str, floor: Homography, data: dict[str, Any]) -> dict[str, Any]:
    """Marks on the leather, proposed."""
    hide = _hide(data)
    if hide.is_empty:
        raise Refusal(422, "there is no outline yet; marks are looked for within it")
    found = spots_of(flat_picture(folder, identity, floor), hide)
    return {
        "spots": [
            {"outline": _ring([*spot.ring, spot.ring[0]]), "words": spot.words, "darker": spot.darker} for spot in found
        ]
    }


def flat_picture(folder: Folder, identity: str, floor: Homography) -> FlatPicture:
    """The kept photo laid flat, in memory; the last two stay there, so that only a first stroke waits for it."""
    path, box = pictures.flat_file(folder, identity, floor)
    return _read(path, box)


@lru_cache(maxsize=2)
def _read(path: Path, box: Box) -> FlatPicture:
    with Image.open(path) as opened:
        return FlatPicture(np.asarray(opened.convert("RGB")), box)


def _hide(data: dict[str, Any]) -> Polygon:
    """The outline sent, with its holes; empty where there is none. What crosses itself is made whole."""
    outline = _points(data.get("outline") or [], "outline")
    if len(outline) < 3:
        return Polygon()
    holes = [_points(ring, "holes") for ring in _list(data.get("holes") or [], "holes")]
    hide = make_valid(Polygon(outline, [ring for ring in holes if len(ring) > 2]))
    parts = [part for part in getattr(hide, "geoms", [hide]) if isinstance(part, Polygon)]
    return max(parts, key=lambda part: float(part.area), default=Polygon())


def _strokes(data: dict[str, Any]) -> list[Stroke]:
    strokes = [_stroke(each) for each in _list(data.get("strokes"), "strokes")[-MOST_STROKES:]]
    if not strokes:
        raise Refusal(400, "a stroke is needed")
    return strokes


def _stroke(data: Any) -> Stroke:
    try:
        leather, radius, line = data["leather"], float(data["radius"]), _points(data["line"], "line")
    except (KeyError, TypeError, ValueError) as error:
        raise Refusal(400, "a stroke needs whether it is leather, its line and its radius in mm") from error
    if not line or not 0 < radius <= WIDEST or not isinstance(leather, bool):
        raise Refusal(422, f"a stroke has a point at least and a radius up to {WIDEST:g} mm")
    return Stroke(leather, line, radius)


def _points(data: Any, name: str) -> tuple[tuple[float, float], ...]:
    try:
        points = tuple((float(x), float(y)) for x, y in _list(data, name))
    except (TypeError, ValueError) as error:
        raise Refusal(400, f"{name} needs points [x, y] in mm") from error
    if len(points) > MOST_POINTS or not all(math.isfinite(v) and abs(v) < 1e6 for point in points for v in point):
        raise Refusal(422, f"{name} has a place that cannot be, or too many points")
    return points


def _list(data: Any, name: str) -> list[Any]:
    if not isinstance(data, list):
        raise Refusal(400, f"{name} needs a list")
    return data


def _told(hide: Polygon) -> dict[str, Any]:
    return {"outline": _ring(hide.exterior.coords), "holes": [_ring(hole.coords) for hole in hide.interiors]}


def _doubts(flat: FlatPicture, hide: Polygon) -> tuple[Doubt, ...]:
    return () if hide.is_empty else doubts_of(flat, hide)


def told_doubts(found: tuple[Doubt, ...], length: float) -> dict[str, Any]:
    """Doubts as the page shows them."""
    lines = [{"line": _ring([*doubt.line, doubt.line[0]]), "why": doubt.why, "words": doubt.words} for doubt in found]
    return {"doubts": lines, "left": round(confidence_left(found, length), 2) if length else 1.0}


def _ring(coords: Any) -> list[list[float]]:
    return [[round(float(x), 2), round(float(y), 2)] for x, y in list(coords)[:-1]]


WAYS: dict[str, Callable[[Folder, str, Homography, dict[str, Any]], dict[str, Any]]] = {
    "strokes": paint,
    "stretch": stretch,
    "doubts": doubts,
    "spots": spots,
}
"""What can be asked of a flat photo, by the last word of its address."""
