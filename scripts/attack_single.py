"""Hides drawn tightly round one convex piece: a layout of one is right, so nothing may say that none can be."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from hides.hide import Hide, Ring
from nesting.bound.limits import Bound
from nesting.check import faults
from nesting.laying.lay_out import carried
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Along, Piece, Product
from nesting.model.want import Want
from nesting.posing.frame import frame_of
from nesting.posing.pose_problem import pose_problem
from nesting.result.claims import fits_nowhere
from nesting.search.arrays.arrays import Pose

SPARE = (0.0, 0.0, 0.002, 0.02, 0.3, 5.0)
"""How much larger than need be the hide is drawn, mm."""


def case(seed: int) -> str | None:
    """One piece, its hide and its layout; what is falsely proven of it."""
    rng = np.random.default_rng([1, seed])
    ring = shape(rng)
    edge, spare = float(rng.choice([0.0, 3.0, 10.0])), float(rng.choice(SPARE))
    join = str(rng.choice(["round", "mitre"]))
    angle = float(rng.choice([0.0, 90.0, float(rng.uniform(-180, 180))]))
    laid = affinity.rotate(Polygon(ring), angle, origin=(0, 0))
    grown = laid.buffer(edge + spare, join_style=join, quad_segs=16) if edge + spare else laid
    outline = tuple((round(float(x), 6), round(float(y), 6)) for x, y in grown.exterior.coords[:-1])
    turned = np.radians(angle + 90.0)
    hide = Hide("h", outline, backbone=((0.0, 0.0), (float(np.cos(turned)), float(np.sin(turned)))), edge=edge)
    tolerance = float(rng.choice([0.0, 4.0, 30.0]))
    piece = Piece("p", ring, 1, along=Along.BACKBONE, tolerance=tolerance, turn=bool(rng.integers(2)))
    return proven_false(hide, Product("P", (piece,)), angle, float(rng.choice([0.0, 4.0])), not seed % 4)


def proven_false(hide: Hide, product: Product, angle: float, gap: float, nowhere: bool) -> str | None:
    """What a bound says against a layout of one piece at the origin, where the check calls that right.

    With `nowhere` it is asked too whether the piece is said to fit nowhere, which costs more than all the rest.
    """
    (piece,) = product.pieces
    lies = carried(piece.outline, Pose(0, 0, 0.0, 0.0, angle, False))
    placement = Placement("p", "P", 1, 0.0, 0.0, angle, False, lies)
    areas = _areas(hide, lies)
    layout = Layout((ProductCount("P", 1, 1),), (product,), gap, 1, "quick", (HideLayout(hide, (placement,), areas),))
    if any(fault.code != "areas" for fault in faults(layout)):
        return None  # rounding took the piece beyond the tolerance: not a right layout, so nothing is proven by it
    problem = pose_problem(frame_of(hide).hide(hide), [Want(product)], gap)
    bound = Bound(problem)
    if (most := bound.at_most(0)) < 1:
        return f"at_most is {most}, and a layout of one is right"
    if nowhere and fits_nowhere(problem, 0):
        return "it is said to fit nowhere, and a layout of one is right"
    wrong = [limit.why for limit in bound.sharpen() if limit.uses[0] > limit.room]
    return f"{wrong[0]}: a limit forbids the one that is right" if wrong else None


def _areas(hide: Hide, lies: Ring) -> Areas:
    whole, piece = hide.measured_area, float(Polygon(lies).area)
    inner = shapely.area(Polygon(hide.outline).buffer(-hide.edge)) if hide.edge else whole
    worked = min(piece, whole)
    return Areas(whole, float(inner), worked, max(whole - worked, 0.0), 0.0, 0.0, 0.0)


def shape(rng: np.random.Generator) -> Ring:
    """A rectangle, trapezoid, parallelogram, triangle or regular polygon, corners counter-clockwise."""
    w, h = (float(v) for v in rng.uniform(8, 400, 2))
    a, b = (float(v) for v in rng.uniform(0, 0.45, 2) * w)
    n = int(rng.integers(5, 12))
    turns = np.arange(n) * 2 * np.pi / n
    rings: list[list[tuple[float, float]]] = [
        [(0, 0), (w, 0), (w, h), (0, h)],
        [(0, 0), (w, 0), (w - a, h), (b, h)],
        [(0, 0), (w, 0), (w + a, h), (a, h)],
        [(0, 0), (w, 0), (a + b, h)],
        [(float(w / 2 * np.cos(t)), float(w / 2 * np.sin(t))) for t in turns],
    ]
    return tuple((round(x, 3), round(y, 3)) for x, y in rings[int(rng.integers(len(rings)))])
