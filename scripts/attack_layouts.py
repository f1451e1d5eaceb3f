"""Random hides and products, laid at quick, against a check of their own that shares nothing with the program's.

Three searches of four are stopped at a random question of their own, so that what is given after a stop is met too;
all tasks run in turn, so that a case stops where it stopped before. Of most products only a few go on the hide, as
faults need no crowd; of one in sixteen many. Every rule is asked of shapes a hair smaller than they lie: what is left
of one after that may not leave its ground, nor meet what is left of another.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Flaw, Grade, Hide, Ring, Zone
from nesting.batch.searching import Here
from nesting.laying.case import case_of
from nesting.laying.lay_out import solve
from nesting.laying.shortage import shortages
from nesting.model.layout import Layout, Placement
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings, Watch
from nesting.model.want import Want
from scripts.attack_single import shape

HAIR = 0.0105
"""How much smaller each piece is taken, mm: the tolerance and what rounding adds."""

NEVER = 1_000_000_000
"""No search asks so often whether it is to stop."""


@dataclass
class Asked:
    """A stop rule that stops when it was asked so often."""

    left: int

    def __call__(self) -> bool:
        self.left -= 1
        return self.left < 0


def stop_of(rng: np.random.Generator) -> Asked:
    """A stop at a random question, early rather than late; every fourth never."""
    return Asked(int(10 ** rng.uniform(0, 3)) if rng.integers(4) else NEVER)


def case(seed: int) -> str | None:
    """One hide, one product, one layout; what is wrong with it."""
    rng = np.random.default_rng([3, seed])
    hide, gap = random_hide(rng), float(rng.choice([0.0, 0.0, 2.5]))
    product = random_product(rng, hide)
    stop = stop_of(rng)
    settings = Settings(gap=gap, effort="quick", seed=seed, begin=rng.random() < 0.5, tidily=rng.random() < 0.25)
    posed = case_of(hide, [Want(product)], settings)
    layout = solve(posed, Watch(stop=stop, executor=Here(), stop_there=stop))
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


FEW, MANY = 12.0, 120.0
"""Times a product's area goes into the hide's, at most: of most products, and of one in sixteen."""


def random_product(rng: np.random.Generator, hide: Hide) -> Product:
    """One to three kinds of pieces, large enough that not too many go on a hide."""
    scale = float(rng.uniform(0.15, 0.5))
    pieces = []
    for n in range(int(rng.integers(1, 4))):
        ring = tuple((round(x * scale, 3), round(y * scale, 3)) for x, y in shape(rng))
        along = Along(str(rng.choice(["any", "backbone", "across"])))
        pieces.append(
            Piece(f"p{n}", ring, int(rng.integers(1, 3)), Grade(int(rng.integers(0, 4))), along,
                  float(rng.choice([0.0, 5.0, 30.0])), bool(rng.integers(2)), bool(rng.integers(2)))
        )  # fmt: skip
    most = MANY if rng.random() < 1 / 16 else FEW
    area = sum(piece.count * Polygon(piece.outline).area for piece in pieces)
    larger = max(1.0, float(np.sqrt(hide.measured_area / float(rng.uniform(1.5, most)) / area)))
    return Product("P", tuple(replace(p, outline=_larger(p.outline, larger)) for p in pieces))


def _larger(ring: Ring, by: float) -> Ring:
    return tuple((round(x * by, 3), round(y * by, 3)) for x, y in ring)


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
    return _crowded(small, layout.gap)


def _crowded(small: list[tuple[Polygon, BaseGeometry]], gap: float) -> str | None:
    """What is wrong of two pieces together, each as it lies and a hair smaller."""
    shapes, cores = (np.array([pair[which] for pair in small], dtype=object) for which in (0, 1))
    one, two = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=gap + 1.0)
    one, two = one[one < two], two[one < two]
    if gap and (shapely.distance(shapes[one], shapes[two]) < gap - HAIR).any():
        return "two pieces are nearer than the gap"
    return "two pieces overlap" if (shapely.area(shapely.intersection(cores[one], cores[two])) > 1e-6).any() else None


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
