"""Which pixels of the plan are hide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from hides.photo.floor import Mask, border
from hides.photo.plan_view import Pixels

LEAST_SHARE = 0.02
"""Less of the rectangle than this is no hide that anybody would have marked so wide."""


@dataclass(frozen=True)
class HideMask:
    """The hide's pixels, filled; and what was seen on the way.

    `apart` is how clearly floor and hide fall into two groups (Otsu's criterion, 0 to 1), `contrast` how many times
    further the hide's usual pixel is from the floor's colour than the floor varies itself, `holes` how many places
    inside look like floor, `touching` the share of the rectangle's border that the hide reaches, `left_out` the area
    of the next largest thing as a share of the hide's.
    """

    mask: Mask
    apart: float
    contrast: float
    holes: int
    touching: float
    left_out: float


def find_region(distance: Pixels, radius: int) -> HideMask | None:
    """The largest thing unlike the floor, smoothed by a disc of `radius` pixels; None where nothing stands out."""
    level = np.log1p(np.minimum(distance, 60.0))
    threshold, apart = otsu(level)
    raw = level > threshold
    disc = _disc(radius)
    clean = ndimage.binary_opening(raw, disc)
    clean = ndimage.binary_closing(np.pad(clean, radius), disc)[radius:-radius, radius:-radius]
    label, count = ndimage.label(clean)
    if count == 0:
        return None
    sizes = np.bincount(label.ravel())[1:]
    order = np.argsort(sizes)[::-1]
    body = label == order[0] + 1
    filled = ndimage.binary_fill_holes(body)
    contrast = float(np.median(distance[filled]) / _floor_spread(distance))
    if filled.sum() < LEAST_SHARE * filled.size or not _stands_out(contrast, apart):
        return None
    _, holes = ndimage.label(filled & ~body)
    rim = border(filled.shape) & ~np.pad(np.ones(tuple(n - 2 for n in filled.shape), bool), 1)
    left_out = float(sizes[order[1]] / sizes[order[0]]) if count > 1 else 0.0
    return HideMask(filled, apart, contrast, holes, float(filled[rim].mean()), left_out)


def _stands_out(contrast: float, apart: float) -> bool:
    """Whether it can be more than the floor's own variation, which alone was seen to reach 1.1 and 0.74."""
    return contrast >= 1.25 or (contrast >= 1 and apart >= 0.75)


def _floor_spread(distance: Pixels) -> float:
    """The distance below which nearly all floor lies; a fifth of the border may be hide that reaches it."""
    return 2 * max(0.5, float(np.percentile(distance[border(distance.shape)], 80)))


def otsu(values: NDArray[np.float32]) -> tuple[float, float]:
    """The threshold that parts values best in two, and the share of variance it explains.

    N. Otsu, "A threshold selection method from gray-level histograms", IEEE Trans. SMC 9 (1979) 62-66.
    """
    counts, edges = np.histogram(values, 256)
    centres = (edges[:-1] + edges[1:]) / 2
    below = np.cumsum(counts)[:-1]
    above = counts.sum() - below
    total = np.cumsum(counts * centres)
    mean_below = total[:-1] / np.maximum(below, 1)
    mean_above = (total[-1] - total[:-1]) / np.maximum(above, 1)
    between = below * above * (mean_below - mean_above) ** 2
    best = int(np.argmax(between))
    variance = float(values.var()) * float(counts.sum()) ** 2
    return float(edges[best + 1]), float(between[best] / variance) if variance > 0 else 0.0


def _disc(radius: int) -> Mask:
    y, x = np.ogrid[-radius : radius + 1, -radius : radius + 1]
    return np.asarray(x * x + y * y <= radius * radius + radius)
