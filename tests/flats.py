"""Flat pictures for tests: a known hide on a known floor seen straight from above, with a tape or not."""

from __future__ import annotations

import numpy as np
from scipy import ndimage
from shapely.geometry import Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from hides.photo import FlatPicture
from hides.photo.flat.picture import Window

BOX = (0.0, 0.0, 1600.0, 1200.0)
STEP = 2.5
BAY = Point(800, 1010).buffer(120)
TAPE = box(560, 930, 1040, 956)
FLANK = Polygon([(1080, 300), (1400, 300), (1400, 700), (1080, 700)]).buffer(40)
LEATHER, FLOOR, YELLOW = (0.45, 0.27, 0.15), (0.60, 0.58, 0.54), (0.86, 0.74, 0.16)


def hide() -> Polygon:
    """A rounded hide with a bay of 240 mm above."""
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    radius = 1 + 0.06 * np.cos(3 * turn) + 0.01 * np.sin(17 * turn)
    whole = Polygon(np.c_[800 + 600 * radius * np.cos(turn), 600 + 400 * radius * np.sin(turn)])
    left: BaseGeometry = whole.difference(BAY)
    assert isinstance(left, Polygon)
    return left


def flat(*, tape: bool = False, alike: bool = False, noise: float = 0.02, spots: bool = False) -> FlatPicture:
    """The picture. `tape` lies across the bay, `alike` makes the right flank like the floor, `spots` marks the hide."""
    rng = np.random.default_rng(3)
    shape = round((BOX[3] - BOX[1]) / STEP), round((BOX[2] - BOX[0]) / STEP)
    window = Window(np.zeros((*shape, 3), np.float32), STEP, BOX[0], BOX[3])
    picture = np.broadcast_to(np.array(FLOOR, np.float32), (*shape, 3)).copy()
    skin = np.broadcast_to(np.array(LEATHER, np.float32), (*shape, 3)).copy()
    if alike:
        own = window.share(FLANK)[..., None]
        skin += own * (np.array(FLOOR, np.float32) * np.float32(0.7) - skin)
    if spots:
        for at, size, value in SPOTS:
            skin *= 1 - window.share(Point(at).buffer(size))[..., None] * np.float32(1 - value)
    for cover, colour in ((window.share(hide()), skin), (window.share(TAPE) * tape, np.array(YELLOW, np.float32))):
        picture += cover[..., None] * (colour - picture)
    x = np.linspace(0, 1, shape[1])[None, :, None]
    picture = ndimage.gaussian_filter(picture * (0.9 + 0.2 * x), (0.8, 0.8, 0)) + rng.normal(
        scale=noise, size=picture.shape
    )
    return FlatPicture((picture.clip(0, 1) * 255).round().astype(np.uint8), BOX)


SPOTS = (((600.0, 600.0), 8.0, 0.3), ((900.0, 500.0), 14.0, 1.6), ((1050.0, 750.0), 25.0, 0.6))
"""Marks on the leather: where, radius (mm), by what the colour is multiplied."""
