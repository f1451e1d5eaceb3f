"""A hide's photo as it lies under its layout: turned with the hide, only where there is leather, paled for print."""

from __future__ import annotations

import math
from collections.abc import Iterable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from hides.errors import InputError
from hides.hide import Hide, Point
from hides.photo import FlatPicture, read_flat
from nesting.drawing.hide_scene import turned_hide, upright_turn
from nesting.drawing.scene import Picture, box_of

LONGEST = 1500
"""Longest side of the picture, pixels: 150 dots an inch on A4."""
PALE = 0.35
"""How far it is paled, so that lines and words stand out on it."""
COLOURS = 255
"""As many colours are kept; the file is a third as large."""


def photos_of(hides: Iterable[Hide], folder: Path) -> dict[str, FlatPicture]:
    """The photos that hides name, by the hide; InputError where none does, or where one is not there."""
    named = {hide.name: hide.photo for hide in hides if hide.photo}
    if not named:
        remedy = "trace one with “hideplan trace photo … --flat FILE.jpg”, or leave --photo out"
        raise InputError("no hide here has a photo", field="--photo", remedy=remedy)
    return {name: read_flat(photo, folder) for name, photo in named.items()}


def photo_under(flat: FlatPicture, hide: Hide, scale: float, shift: Point) -> Picture:
    """The photo on a page that shows the hide level, `scale` times as large and then shifted.

    What lies outside the leather and in its holes is white.
    """
    by = upright_turn(hide)
    shown = turned_hide(hide, by)
    left, low, right, high = box = box_of(shown.outline)
    step = max((right - left) / LONGEST, (high - low) / LONGEST, flat.step)
    size = max(1, math.ceil((right - left) / step)), max(1, math.ceil((high - low) / step))
    picture = _turned(flat, by, box[0], high, step, size)
    white = Image.new("RGB", size, "white")
    made = Image.composite(Image.blend(picture, white, PALE), white, _leather(shown, left, high, step, size))
    pixels: NDArray[np.uint8] = np.asarray(made.quantize(COLOURS, dither=Image.Dither.NONE).convert("RGB"))
    x, y = shift
    wide, tall = size[0] * step * scale, size[1] * step * scale
    top = high * scale + y
    return Picture(pixels, (left * scale + x, top - tall, left * scale + x + wide, top))


def _turned(flat: FlatPicture, by: float, left: float, high: float, step: float, size: tuple[int, int]) -> Image.Image:
    """The flat picture seen in the plane of the turned hide: pixel (i, j) shows (left + i · step, high − j · step)."""
    c, s = math.cos(math.radians(by)), math.sin(math.radians(by))
    x0, _, _, y1 = flat.box
    grow = 1 / flat.step
    # From pixels to the turned plane, back by the turn, to pixels of the flat picture (y down).
    to_plane = np.array([[step, 0, left], [0, -step, high], [0, 0, 1]])
    back = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
    to_flat = np.array([[grow, 0, -x0 * grow], [0, -grow, y1 * grow], [0, 0, 1]])
    values = (to_flat @ back @ to_plane)[:2].ravel().tolist()
    source = Image.fromarray(flat.pixels)
    return source.transform(size, Image.Transform.AFFINE, values, Image.Resampling.BILINEAR, fillcolor="white")


def _leather(hide: Hide, left: float, high: float, step: float, size: tuple[int, int]) -> Image.Image:
    mask = Image.new("L", size, 0)
    draw = ImageDraw.Draw(mask)
    for ring, fill in ((hide.outline, 255), *((hole, 0) for hole in hide.holes)):
        draw.polygon([((x - left) / step, (high - y) / step) for x, y in ring], fill=fill)
    return mask
