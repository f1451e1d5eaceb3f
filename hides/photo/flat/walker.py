"""A random walk over a picture's pixels: what is likely hide, from a few pixels that are known.

The chance that a walker who steps the more seldom across an edge the stronger it is meets hide before floor is the
solution of a Dirichlet problem on the grid of pixels (L. Grady, "Random walks for image segmentation", IEEE Trans.
PAMI 28, 2006). Pixels that are only likely to be one or the other pull by a weight (L. Grady, "Multilabel random walker
image segmentation using prior models", CVPR 2005), which keeps the walk from leaking where a shadow or a board's joint
is stronger than the hide's edge. scikit-image's `random_walker` is the same without these weights (a test holds the two
against each other); here no matrix is made, since the grid's rows and columns are its diagonals.
"""

from __future__ import annotations

import numpy as np

from hides.photo.homography import Floats
from hides.photo.plan_view import Pixels

KNOWN = 1e4
"""A pull as strong as a known pixel."""
MOST_STEPS = 400


def conductances(lab: Pixels, sharpness: float) -> tuple[Pixels, Pixels]:
    """How easily the walker steps down and right: exp(−sharpness · squared difference over its mean)."""
    down, right = np.square(np.diff(lab, axis=0)).sum(axis=-1), np.square(np.diff(lab, axis=1)).sum(axis=-1)
    scale = sharpness / max(float((down.sum() + right.sum()) / max(1, down.size + right.size)), 1e-9)
    return _ease(scale * down), _ease(scale * right)


def _ease(hardness: Pixels) -> Pixels:
    return np.asarray(np.exp(-hardness) + 1e-5, np.float32)


def walk(down: Pixels, right: Pixels, likely: Pixels, pull: Pixels, accuracy: float = 2e-3) -> Pixels:
    """The chance of hide for each pixel.

    `down` and `right` are conductances between neighbours; each pixel is pulled to `likely` by `pull` (0: not at all).
    Conjugate gradients with the diagonal as preconditioner; deterministic.
    """
    diagonal = pull.astype(np.float64)
    diagonal[:-1] += down
    diagonal[1:] += down
    diagonal[:, :-1] += right
    diagonal[:, 1:] += right
    chance = likely.astype(np.float64)
    left = pull * likely - _times(chance, diagonal, down, right)
    ready = left / diagonal
    direction, size = ready.copy(), float((left * ready).sum())
    for _ in range(MOST_STEPS):
        if float(np.abs(ready).max()) < accuracy:
            break
        moved = _times(direction, diagonal, down, right)
        along = size / float((direction * moved).sum())
        chance += along * direction
        left -= along * moved
        ready = left / diagonal
        before, size = size, float((left * ready).sum())
        direction = ready + size / before * direction
    return chance.astype(np.float32)


def _times(x: Floats, diagonal: Floats, down: Pixels, right: Pixels) -> Floats:
    """The Laplacian with the pulls on its diagonal, times a picture."""
    made: Floats = diagonal * x
    made[:-1] -= down * x[1:]
    made[1:] -= down * x[:-1]
    made[:, :-1] -= right * x[:, 1:]
    made[:, 1:] -= right * x[:, :-1]
    return made
