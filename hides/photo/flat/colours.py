"""How likely a colour is leather's and not the floor's, from samples of both."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from hides.photo.plan_view import Pixels

BINS = 20
SPREAD = 0.8
"""Width of the smoothing, in bins."""
_UNSEEN = 2e-5


def likelihood(lab: Pixels, leather: Pixels, floor: Pixels) -> Pixels:
    """For each pixel of `lab` the chance of leather, ½ where neither was seen.

    `leather` and `floor` weigh the pixels as samples of one and the other. Three-dimensional histograms, smoothed (a
    Parzen estimate on a grid; E. Parzen, 1962), so that a floor may have any number of colours.
    """
    cells = _cells(lab)
    one, other = (_density(cells, weight) for weight in (leather, floor))
    return np.asarray((one + _UNSEEN) / (one + other + 2 * _UNSEEN), np.float32)[cells]


def _cells(lab: Pixels) -> NDArray[np.int64]:
    flat = lab.reshape(-1, 3)
    low, high = np.percentile(flat, (0.5, 99.5), axis=0)
    width = np.maximum((high - low) / BINS, (1.5, 1.0, 1.0))
    place = np.clip(np.floor((flat - low) / width), 0, BINS - 1).astype(np.int64)
    return np.asarray(place @ (BINS * BINS, BINS, 1)).reshape(lab.shape[:2])


def _density(cells: NDArray[np.int64], weight: Pixels) -> Pixels:
    counts = np.bincount(cells.ravel(), weight.ravel(), minlength=BINS**3).reshape(BINS, BINS, BINS)
    smooth = ndimage.gaussian_filter(counts, SPREAD, mode="constant")
    return np.asarray(smooth / max(float(smooth.sum()), 1e-9), np.float32).ravel()
