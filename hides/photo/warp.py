"""A picture seen through a map: each pixel of the result looked up where it came from."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from hides.photo.homography import Floats

Pixels = NDArray[np.float32]


def warped(image: Image.Image, places: Floats, outside: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Pixels:
    """Values (rows × columns × 3, 0 to 1) of an RGB picture at places (rows × columns × 2, in its pixels), bilinear."""
    values = np.asarray(image, np.float32) / np.float32(255)
    at = np.stack([places[..., 1] - 0.5, places[..., 0] - 0.5])  # a pixel's value stands at its middle
    rows, columns = values.shape[:2]
    away = (at[0] < -0.5) | (at[0] > rows - 0.5) | (at[1] < -0.5) | (at[1] > columns - 0.5)
    made = np.stack([ndimage.map_coordinates(values[..., c], at, order=1, mode="nearest") for c in range(3)], axis=-1)
    made[away] = outside
    return np.asarray(made, np.float32)
