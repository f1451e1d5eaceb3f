"""Planted layouts of many pieces, also too tight by what the check lets pass: no bound may forbid them.

Rows of one convex shape and its head-to-tail copy, drawn small and overlapping by a little less than the tolerance, on
leather cut off close round them. What a layout gives is what its rows hold; the bound must allow as many.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from hides.hide import Hide, Ring
from nesting.bound.exclusion import ExclusionBudget
from nesting.bound.limits import Bound
from nesting.bound.line_measure import MeasureBudget
from nesting.check import faults
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Along, Piece, Product
from nesting.model.want import Want
from nesting.posing.frame import frame_of
from nesting.posing.pose_problem import pose_problem

OFF = (0.0, 0.0, 0.004, 0.0098)
"""By how much neighbours lie in one another, mm; the check lets 0.01 pass."""


WEIGHTS = MeasureBudget(together=1, rounds=3, steps=20, sampled=2000, cut=2000, hope=1.0, boxes=60_000)
"""What is spent on weights on lines in every fourth case."""

PLACES = ExclusionBudget(pieces=16, boxes=1_500, rounds=12, time=4.0)
"""What is spent on places that exclude one another, as often."""


def case(seed: int, weighed: bool = False) -> str | None:
    """One planted layout; what is falsely proven of it. `weighed` asks for weights on lines whatever the seed."""
    rng = np.random.default_rng([2, seed])
    size, small = float(rng.uniform(15, 120)), float(rng.choice([0.0, 0.0, 0.007]))
    off, gap = float(rng.choice(OFF)), float(rng.choice([0.0, 0.0, 3.0]))
    rings, cell = _cell(rng, size, gap - off)
    across, up = int(rng.integers(1, 9)), int(rng.integers(1, 7))
    lie = [
        affinity.translate(Polygon(ring), cell[0] * i, cell[1] * j)
        for j in range(up)
        for i in range(across)
        for ring in rings
    ]
    return _told(rng, lie, small, gap, off, weighed)


def _cell(rng: np.random.Generator, size: float, apart: float) -> tuple[list[Ring], tuple[float, float]]:
    """The pieces of one cell of the pattern, all congruent (turned by 180° at most), and the cell's sides."""
    w, h = size, size * float(rng.uniform(0.3, 3.0))
    if rng.integers(2):
        return [((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))], (w + apart, h + apart)
    # Two right triangles make a rectangle; they keep `apart` across the diagonal.
    long = float(np.hypot(w, h))
    dx, dy = apart * h / long, apart * w / long
    first: Ring = ((0.0, 0.0), (w, 0.0), (0.0, h))
    second: Ring = tuple((w + dx - x, h + dy - y) for x, y in first)
    return [first, second], (w + dx + apart, h + dy + apart)


def _told(
    rng: np.random.Generator, lie: list[Polygon], small: float, gap: float, off: float, weighed: bool
) -> str | None:
    piece_ring: Ring = tuple(lie[0].exterior.coords[:-1])
    edge = float(rng.choice([0.0, 5.0]))
    ground = shapely.union_all(lie).convex_hull.buffer(edge + 0.5 * float(rng.integers(2)), join_style="mitre")
    hide = Hide("h", tuple((float(x), float(y)) for x, y in ground.exterior.coords[:-1]),
                backbone=((0.0, 0.0), (0.0, 1.0)), edge=edge)  # fmt: skip
    piece = Piece("p", piece_ring, 1, along=Along.BACKBONE, tolerance=float(rng.choice([0.0, 5.0])))
    product = Product("P", (piece,))
    placements = []
    for number, shape in enumerate(lie, 1):
        turned = not shape.equals_exact(affinity.translate(lie[0], *_between(lie[0], shape)), 1e-6)
        angle = 180.0 if turned else 0.0
        x, y = _pose(lie[0], shape, turned)
        drawn = shape.buffer(-small, join_style="mitre") if small else shape
        outline: Ring = tuple((float(a), float(b)) for a, b in drawn.exterior.coords[:-1])
        placements.append(Placement("p", "P", number, x, y, angle, False, outline))
    many = len(lie)
    worked = sum(Polygon(p.outline).area for p in placements)
    inner = Polygon(hide.outline).buffer(-edge, join_style="mitre").area if edge else hide.measured_area
    edge_area = hide.measured_area - inner
    areas = Areas(hide.measured_area, inner, worked, edge_area, 0.0, 0.0, hide.measured_area - worked - edge_area)
    told = HideLayout(hide, tuple(placements), areas)
    layout = Layout((ProductCount("P", many, many),), (product,), gap, 1, "quick", (told,))
    if any(fault.code != "areas" for fault in faults(layout)):
        return None  # too tight for the check as well: nothing is proven by it
    problem = pose_problem(frame_of(hide).hide(hide), [Want(product)], gap)
    bound = Bound(problem)
    if weighed or rng.integers(4) == 0:
        bound.measure(WEIGHTS)
    if weighed or rng.integers(4) == 0:
        bound.exclude((0,), PLACES)
    if (most := bound.at_most(0)) < many:
        return f"at_most is {most}, and a layout of {many} is right (off {off}, drawn {small} small, gap {gap})"
    wrong = [limit.why for limit in bound.sharpen() if limit.uses[0] * many > limit.room * (1 + 1e-12)]
    return f"{wrong[0]}: a limit forbids {many}, which are right" if wrong else None


def _between(first: Polygon, shape: Polygon) -> tuple[float, float]:
    return shape.centroid.x - first.centroid.x, shape.centroid.y - first.centroid.y


def _pose(first: Polygon, shape: Polygon, turned: bool) -> tuple[float, float]:
    """The shift that carries the piece's own frame, turned or not, to where the shape lies."""
    centre = first.centroid
    x, y = (-centre.x, -centre.y) if turned else (centre.x, centre.y)
    return shape.centroid.x - x, shape.centroid.y - y
