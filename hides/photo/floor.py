"""How unlike the floor each pixel is.

The strip along the rectangle's border shows floor only. Its light is levelled with a smooth field, its colours are
gathered into a few kinds (boards and gaps, black and white tiles), each a normal distribution in CIE L*a*b*
(CIE 15:2018; sRGB by IEC 61966-2-1), and every pixel of the plan gets its Mahalanobis distance to the nearest kind
(P. C. Mahalanobis, "On the generalised distance in statistics", 1936).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.cluster.vq import kmeans2

from hides.photo.plan_view import Pixels

Mask = NDArray[np.bool_]
BORDER = 0.035
"""Width of the strip that is taken for floor, as a part of the rectangle's shorter side."""
KINDS = 4
RAREST, LEAST_OF_SIDE = 0.06, 0.04
"""A kind of colour that makes less of the strip, or that shows on less than three of its sides, is a mark, a foot or
the hide itself where it reaches the strip, not floor."""
LEAST_SPREAD = (2.5, 1.2, 1.2)
"""Standard deviations added to each kind: no floor is as even as a few thousand of its pixels may look."""
SAMPLE = 6000
DARKEST = 0.45
"""What a hide's own shadow leaves of the light at least, on a floor that is lit from more than one side."""
SHADES = tuple(np.geomspace(1, DARKEST, 7).tolist())

_TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]], np.float32
) / np.array([[0.9505], [1.0], [1.089]], np.float32)  # fmt: skip


@dataclass(frozen=True)
class SeenFloor:
    """The floor as the strip shows it: `linear` light of the whole plan, levelled, and the floor's kinds of colours."""

    linear: Pixels = field(repr=False)
    kinds: list[Pixels] = field(repr=False)

    @classmethod
    def of(cls, plan: Pixels) -> SeenFloor:
        """From an sRGB plan (rows × columns × 3)."""
        strip = border(plan.shape[:2])
        linear = linear_light(ndimage.gaussian_filter(plan, (1.0, 1.0, 0)))
        level = np.asarray(linear / _light(linear, strip)[..., None], np.float32)
        return cls(level, _kinds(_sample(to_lab(level[strip])), _sample(_sides(plan.shape[:2])[strip])))

    @cached_property
    def distance(self) -> Pixels:
        """Mahalanobis distance of every pixel to the floor's colours."""
        return self._nearest(to_lab(self.linear))

    def shaded_distance(self, where: Mask) -> Pixels:
        """The same where wanted (infinite elsewhere), to the floor in its own light or in any shadow down to `DARKEST`.

        A shadow takes light and leaves the colour about as it is, so each pixel is also compared as if it had the more.
        """
        made = np.full(where.shape, np.inf, np.float32)
        light = self.linear[where]
        made[where] = np.min([self._nearest(to_lab(light / shade)) for shade in SHADES], axis=0)
        return made

    def _nearest(self, lab: Pixels) -> Pixels:
        return np.asarray(np.min([_mahalanobis(lab, kind) for kind in self.kinds], axis=0), np.float32)


def border(shape: tuple[int, ...]) -> Mask:
    """The strip along the rectangle's border."""
    width = max(3, round(BORDER * min(shape)))
    strip = np.ones(shape, bool)
    strip[width:-width, width:-width] = False
    return strip


def _sides(shape: tuple[int, ...]) -> NDArray[np.int64]:
    """For each pixel the number of the side it is nearest to: above, below, left, right."""
    rows, columns = shape
    y, x = np.ogrid[:rows, :columns]
    away = np.broadcast_arrays(y, rows - 1 - y, x, columns - 1 - x)
    return np.asarray(np.argmin(np.stack(away), axis=0))


def linear_light(srgb: Pixels) -> Pixels:
    """sRGB values of 0 to 1 as linear light (IEC 61966-2-1)."""
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4).astype(np.float32)


def to_lab(linear: Pixels) -> Pixels:
    """Linear light as CIE L*a*b* under D65."""
    xyz = linear @ _TO_XYZ.T
    root = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1).astype(np.float32)


def _light(linear: Pixels, strip: Mask) -> Pixels:
    """The floor's light as a smooth field, 1 on average: a quadratic of log luminance fitted to the strip.

    Refitted thrice with large residuals weighted down (P. J. Huber, 1964), so that dark gaps and marks count little.
    """
    luminance = np.log(linear @ np.array([0.2126, 0.7152, 0.0722], np.float32) + 1e-3)
    rows, columns = linear.shape[:2]
    y, x = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-1, 1, columns), indexing="ij")
    terms = np.stack([np.ones_like(x), x, y, x * y, x * x, y * y], axis=-1).astype(np.float32)
    base, values = _sample(terms[strip]), _sample(luminance[strip])
    weight = np.ones_like(values)
    for _ in range(4):
        fitted = np.linalg.lstsq(base * weight[:, None], values * weight, rcond=None)[0]
        residual = np.abs(values - base @ fitted)
        spread = 1.5 * float(np.median(residual)) + 1e-3
        weight = np.sqrt(np.minimum(1, spread / np.maximum(residual, 1e-9)))
    field = (terms @ fitted).astype(np.float32)
    return np.asarray(np.exp(np.clip(field - field[strip].mean(), -1.5, 1.5)), np.float32)


def _sample(values: NDArray[Any]) -> NDArray[Any]:
    return values[:: max(1, len(values) // SAMPLE)]


def _kinds(colours: Pixels, sides: NDArray[np.int64]) -> list[Pixels]:
    """The strip's colours gathered into kinds, those of the floor only."""
    rng = np.random.default_rng(1)
    floor = colours + rng.normal(scale=0.3, size=colours.shape)  # a drawn floor may have fewer colours than KINDS
    _, label = kmeans2(floor / floor.std(axis=0), KINDS, minit="++", rng=rng, missing="warn")
    shares = np.array([[np.mean(label[sides == side] == kind) for side in range(4)] for kind in range(KINDS)])
    common = np.bincount(label, minlength=KINDS) >= RAREST * len(floor)
    spread = (shares >= LEAST_OF_SIDE).sum(axis=1) >= 3
    return [floor[label == kind] for kind in np.flatnonzero(common & spread)] or [floor]


def _mahalanobis(lab: Pixels, kind: Pixels) -> Pixels:
    spread = np.cov(kind, rowvar=False) + np.diag(np.square(LEAST_SPREAD))
    whiten = np.linalg.cholesky(np.linalg.inv(spread)).astype(np.float32)
    return np.asarray(np.linalg.norm((lab - kind.mean(axis=0)) @ whiten, axis=-1))
