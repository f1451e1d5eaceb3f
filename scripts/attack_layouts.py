"""Random hides and products, laid at quick, against a check of their own that shares nothing with the program's.

Every rule is asked of shapes a hair smaller than they lie: what is left of one after that may not leave its ground, nor
meet what is left of another.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Flaw, Grade, Hide, Ring, Zone
from nesting.laying.case import case_of
from nesting.laying.lay_out import solve
from nesting.laying.shortage import shortages
from nesting.model.layout import Layout, Placement
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings
from nesting.model.want import Want
from scripts.attack_single import shape

HAIR = 0.0105
"""How much smaller each piece is taken, mm: the tolerance and what rounding adds."""


def case(seed: int) -> str | None:
    """One hide, one product, one layout; what is wrong with it."""
    rng = np.random.default_rng([3, seed])
    hide, product, gap = random_hide(rng), random_product(rng), float(rng.choice([0.0, 0.0, 2.5]))
    posed = case_of(hide, [Want(product)], Settings(gap=gap, effort="quick", seed=seed))
    layout = solve(posed)
    shortages(posed, layout)
    return wrong(layout)


def random_hide(rng: np.random.Generator) -> Hide:
    """A rectangle or a star of leather with flaws, zones and an edge strip."""
    size = float(rng.uniform(200, 700))
    if rng.random() < 0.3:
        ring: Ring = ((0.0, 0.0), (size, 0.0), (size, size * 0.6), (0.0, size * 0.6))
    else:
        turns = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(8, 24))))
        far = size / 2 * rng.uniform(0.5, 1.0, len(turns))
        star = Polygon([(float(r * np.cos(t)), float(r * np.sin(t))) for r, t in zip(far, turns, strict=True)])
        whole = star if star.is_valid and star.area > 1000 else star.convex_hull
        ring = tuple((round(x, 3), round(y, 3)) for x, y in whole.exterior.coords[:-1])
    spots = [_spot(rng, size) for _ in range(int(rng.integers(0, 5)))]
    flaws = tuple(Flaw("spot", s, Grade(int(rng.integers(1, 5))), float(rng.choice([0.0, 3.0]))) for s in spots)
    belly: Ring = ((-size, -size), (size, -size), (size, -0.1 * size), (-size, -0.1 * size))
    zones = (Zone("belly", belly, Grade(int(rng.integers(1, 4)))),) if rng.random() < 0.3 else ()
    turn = float(rng.uniform(0, 2 * np.pi))
    way = ((0.0, 0.0), (float(np.cos(turn)), float(np.sin(turn))))
    return Hide("h", ring, backbone=way, edge=float(rng.choice([0.0, 5.0])), flaws=flaws, zones=zones)


def _spot(rng: np.random.Generator, size: float) -> Ring:
    x, y = (float(v) for v in rng.uniform(-0.4, 0.4, 2) * size)
    a, b = (float(v) for v in rng.uniform(2, 30, 2))
    return ((x, y), (x + a, y), (x + a, y + b), (x, y + b))


def random_product(rng: np.random.Generator) -> Product:
    """One to three kinds of pieces."""
    scale = float(rng.uniform(0.15, 0.5))
    pieces = []
    for n in range(int(rng.integers(1, 4))):
        ring = tuple((round(x * scale, 3), round(y * scale, 3)) for x, y in shape(rng))
        along = Along(str(rng.choice(["any", "backbone", "across"])))
        pieces.append(
            Piece(f"p{n}", ring, int(rng.integers(1, 3)), Grade(int(rng.integers(0, 4))), along,
                  float(rng.choice([0.0, 5.0, 30.0])), bool(rng.integers(2)), bool(rng.integers(2)))
        )  # fmt: skip
    return Product("P", tuple(pieces))


def wrong(layout: Layout) -> str | None:
    """The first rule that a layout of one product on one hide breaks."""
    (on,), (product,), (count,) = layout.hides, layout.products, layout.counts
    pieces = {piece.name: piece for piece in product.pieces}
    if count.complete > count.at_most:
        return f"{count.complete} complete, and at most {count.at_most}"
    many = Counter((p.number, p.piece) for p in on.placements if p.number)
    begun = {name: many.pop((n, name)) for n, name in list(many) if n == count.complete + 1}
    if many != {(n, p.name): p.count for n in range(1, count.complete + 1) for p in product.pieces}:
        return "the pieces are not those of complete products"
    if any(number > pieces[name].count for name, number in begun.items()):
        return "the product that is begun has more pieces than it takes"
    if begun == {p.name: p.count for p in product.pieces}:
        return "the product that is begun is complete"
    small = []
    for placement in on.placements:
        piece, lies = pieces[placement.piece], Polygon(placement.outline)
        if _carried(piece, placement).hausdorff_distance(lies) > HAIR:
            return f"{piece.name} is not its own outline carried there"
        if not _turned_right(piece, placement, on.hide):
            return f"{piece.name} is turned by {placement.angle}"
        core = lies.buffer(-HAIR, join_style="mitre")
        if shapely.area(core.difference(_ground(on.hide, piece.grade))) > 1e-4:
            return f"{piece.name} leaves its ground"
        small.append((lies, core))
    for (one, core), (two, other) in combinations(small, 2):
        if layout.gap and one.distance(two) < layout.gap - HAIR:
            return "two pieces are nearer than the gap"
        if core.intersection(other).area > 1e-6:
            return "two pieces overlap"
    return None


def _carried(piece: Piece, placement: Placement) -> BaseGeometry:
    lies = Polygon(piece.outline)
    if placement.mirrored:
        lies = affinity.scale(lies, -1, 1, origin=(0, 0))
    return affinity.translate(affinity.rotate(lies, placement.angle, origin=(0, 0)), placement.x, placement.y)


def _ground(hide: Hide, grade: Grade) -> BaseGeometry:
    """Where a piece of a grade may lie; arcs are finer than the hair by which pieces are smaller."""
    ground = Polygon(hide.outline)
    if hide.edge:
        ground = ground.buffer(-hide.edge, quad_segs=200)
    for flaw in hide.flaws:
        if flaw.grade > grade:
            ground = ground.difference(Polygon(flaw.outline).buffer(flaw.clearance, quad_segs=200))
    for zone in hide.zones:
        if zone.grade > grade:
            ground = ground.difference(Polygon(zone.outline))
    return ground


def _turned_right(piece: Piece, placement: Placement, hide: Hide) -> bool:
    if placement.mirrored and not piece.mirror:
        return False
    if piece.along is Along.ANY or hide.backbone is None:
        return True
    (x0, y0), (x1, y1) = hide.backbone
    grain = np.degrees(np.arctan2(y1 - y0, x1 - x0)) + (90.0 if piece.along is Along.ACROSS else 0.0)
    off = (placement.angle + 90.0 - grain + 180.0) % 360.0 - 180.0
    most = piece.tolerance + 0.02
    return bool(abs(off) <= most or (piece.turn and abs(off) >= 180.0 - most))
