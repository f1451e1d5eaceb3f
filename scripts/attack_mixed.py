"""Planted layouts of mixed pieces on leather that is hardly more than they: no bound, limit or sentence may deny them.

A parallelogram is cut by random lines into pieces, with a gap or a little less than none between them, and laid side by
side so often. Pieces ask for grade, thickness, a part of the hide, a distance from the backbone or angles, and the
leather below each is just as it asks; strips of flaws, holes and cracks may part it. Two products share the pieces.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.ops import split

from hides.hide import Flaw, Grade, Hide, Price, Ring, Segment, Thickness, Zone
from nesting.batch.bound import least
from nesting.batch.demand import ProductDemand
from nesting.batch.limits import task_limits
from nesting.batch.order import OrderLine
from nesting.batch.task import make_task
from nesting.bound.exclusion import ExclusionBudget
from nesting.bound.line_measure import MeasureBudget
from nesting.check import faults
from nesting.laying.case import Case, case_of
from nesting.laying.shortage import why_not
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Along, Cover, Piece, Product
from nesting.model.settings import Settings, Stop, Watch
from nesting.model.want import Want
from nesting.result.claims import best_count, cannot_fill, fits_nowhere, has_no_leather

OFF = (0.0, 0.0, 0.004, 0.0098)
"""By how much neighbours lie in one another where they keep no gap, mm; the check lets 0.01 pass."""
SMALLEST = 6.0
"""Narrowest piece, mm."""
DENIALS = ("at any angle", "is wide enough", "no leather")
"""Words of sentences that deny a piece all places."""
WEIGHTS = MeasureBudget(together=2, rounds=3, steps=20, sampled=2000, cut=2000, hope=1.0, boxes=60_000)
"""What is spent on weights on lines in every fourth case."""

PLACES = ExclusionBudget(pieces=16, boxes=1_000, rounds=12, time=4.0)
"""What is spent on places that exclude one another in every third."""

LONGEST = 1.5
"""CPU seconds that a bound may be worked out for; what it says by then must be true as well."""
THIN = Thickness(1.0, 1.5)
met = {"right": 0, "too tight for the check": 0}


def told_met() -> str:
    """How many layouts the check found right, so that something was tried, and how many it did not."""
    return ", ".join(f"{number} {what}" for what, number in met.items())


@dataclass(frozen=True)
class Lying:
    """A piece, and how it lies on the first tile, on a zone of its own."""

    piece: Piece
    angle: float
    mirrored: bool
    zone: Zone

    def at(self, shift: tuple[float, float], product: str, number: int, small: float) -> Placement:
        """Its placement on a tile, drawn too small all round by so much."""
        shape = Polygon(self.piece.outline).buffer(-small, join_style="mitre")
        shape = affinity.scale(shape, -1, 1, origin=(0, 0)) if self.mirrored else shape
        shape = affinity.translate(affinity.rotate(shape, self.angle, origin=(0, 0)), *shift)
        return Placement(self.piece.name, product, number, *shift, self.angle, self.mirrored, _ring(shape))

    def ground(self, shift: tuple[float, float]) -> Zone:
        """The leather below it on a tile."""
        return replace(self.zone, outline=_ring(affinity.translate(Polygon(self.zone.outline), *shift)))


@dataclass(frozen=True)
class Grid:
    """Parallelograms side by side."""

    wide: float
    high: float
    slant: float
    across: int
    up: int

    def corner(self, i: float, j: float) -> tuple[float, float]:
        """The lower left corner of a tile."""
        return self.wide * i + self.slant * j, self.high * j

    def block(self, across: int, up: int) -> Polygon:
        """So many tiles together."""
        return Polygon([self.corner(i, j) for i, j in ((0, 0), (across, 0), (across, up), (0, up))])

    @property
    def shifts(self) -> list[tuple[float, float]]:
        """Where every tile lies."""
        return [self.corner(i, j) for j in range(self.up) for i in range(self.across)]

    @property
    def seams(self) -> list[LineString]:
        """The lines between tiles."""
        lines = [LineString([self.corner(i, 0), self.corner(i, self.up)]) for i in range(1, self.across)]
        return lines + [LineString([self.corner(0, j), self.corner(self.across, j)]) for j in range(1, self.up)]


def case(seed: int) -> str | None:
    """One planted layout; what is falsely said of it."""
    rng = np.random.default_rng([11, seed])
    layout = planted(rng)
    if any(fault.code != "areas" for fault in faults(layout)):
        met["too tight for the check"] += 1
        return None
    met["right"] += 1
    return next(denied(rng, layout), None)


def planted(rng: np.random.Generator) -> Layout:
    """A layout as the module says; its areas are made up."""
    wide, gap = float(rng.uniform(60, 220)), float(rng.choice([0.0, 0.0, 1.5, 4.0]))
    slant = float(rng.uniform(-0.6, 0.6)) * wide if rng.integers(2) else 0.0
    grid = Grid(wide, wide * float(rng.uniform(0.4, 2.0)), slant, int(rng.integers(1, 5)), int(rng.integers(1, 4)))
    off = float(rng.choice(OFF)) if gap == 0 else float(rng.choice([0.0, 0.009]))
    bearing = float(rng.choice([0.0, 90.0, rng.uniform(-180, 180)]))
    cells = _cut(rng, grid.block(1, 1), int(rng.integers(1, 5)), gap)
    lying = [_lying(rng, f"p{i}", cell, (off - gap) / 2, bearing) for i, cell in enumerate(cells)]
    edge = float(rng.choice([0.0, 6.0]))
    ground = grid.block(grid.across, grid.up).buffer(edge - gap / 2, join_style="mitre")
    zones = tuple(each.ground(shift) for shift in grid.shifts for each in lying)
    flaws = tuple(_seams(rng, grid, gap)) if gap and rng.integers(2) else ()
    hide = Hide(
        "h", _ring(ground), backbone=_backbone(bearing), edge=edge, zones=zones, flaws=flaws, thickness=THIN,
        price=Price(10.0, "EUR", 1000.0, "m2"),
    )  # fmt: skip
    return _layout(rng, hide, lying, grid.shifts, gap)


def _cut(rng: np.random.Generator, tile: Polygon, number: int, gap: float) -> list[Polygon]:
    """A tile cut by lines through its largest part, all parts wide enough; two of them may be put together again."""
    parts = [tile]
    for _ in range(4 * number):
        first, *rest = sorted(parts, key=lambda part: -part.area)
        new = _halves(first, float(rng.uniform(0, math.pi)))
        if len(parts) < number and len(new) == 2 and all(not p.buffer(-(SMALLEST + gap) / 2).is_empty for p in new):
            parts = [*rest, *new]
    if len(parts) > 2 and rng.integers(3) == 0:
        first, *rest = parts
        touching = [part for part in rest if first.intersection(part).length > SMALLEST]
        joined = first.union(touching[0]) if touching else first
        if isinstance(joined, Polygon) and touching:
            parts = [joined, *(part for part in rest if part is not touching[0])]
    return parts


def _halves(part: Polygon, turn: float) -> list[Polygon]:
    middle, far = part.centroid, 4 * part.length
    ends = [(middle.x + s * far * math.cos(turn), middle.y + s * far * math.sin(turn)) for s in (-1, 1)]
    return [half for half in split(part, LineString(ends)).geoms if isinstance(half, Polygon)]


def _lying(rng: np.random.Generator, name: str, cell: Polygon, grown: float, bearing: float) -> Lying:
    """A piece that lies in a cell, asking for what it may, and leather of no more than it asks for below."""
    own = float(rng.uniform(-180, 180)) if rng.integers(5) == 0 else None  # a way of least stretch of the zone's own
    along, tolerance, angles = Along.ANY, 0.0, None
    turned = float(rng.choice([0.0, 90.0, 180.0, rng.uniform(-180, 180)]))
    if (way := int(rng.integers(4))) == 0:
        along, tolerance = Along(rng.choice(["backbone", "across"])), float(rng.choice([0.0, 0.0, 5.0]))
        turned = float(rng.choice([0.0, 180.0])) + (90 if along is Along.ACROSS else 0)
        turned += float(rng.uniform(-1, 1)) * tolerance
    elif way == 1:
        angles = tuple(sorted({turned, *(float(rng.choice([0, 45, 90])) for _ in range(2))}))
    angle, mirrored = turned + (bearing if own is None else own) - 90, bool(rng.integers(2))
    shape = affinity.rotate(cell.buffer(grown, join_style="mitre"), -angle, origin=(0, 0))
    outline = _ring(affinity.scale(shape, -1, 1, origin=(0, 0)) if mirrored else shape)
    grade = Grade(int(rng.choice([0, 0, 1, 2])))
    covered = (Cover(outline, Grade.C),) if grade < Grade.C and rng.integers(4) == 0 else ()
    thick = bool(rng.integers(4) == 0)
    piece = Piece(
        name, outline, along=along, tolerance=tolerance, angles=angles, mirror=mirrored or bool(rng.integers(2)),
        grade=grade, covered=covered, thickness=Thickness(2.0, 3.0) if thick else None,
        regions=(f"zone {name}",) if rng.integers(5) == 0 else (), spare=bool(rng.integers(4) == 0),
    )  # fmt: skip
    zone = Zone(
        f"zone {name}", _ring(cell), Grade.C if covered else grade, thickness=Thickness(2.2, 2.8) if thick else THIN,
        backbone=None if own is None else _backbone(own),
    )  # fmt: skip
    return Lying(piece, angle, mirrored, zone)


def _backbone(bearing: float) -> Segment:
    way = math.radians(bearing)
    return (0.0, 0.0), (100 * math.cos(way), 100 * math.sin(way))


def _seams(rng: np.random.Generator, grid: Grid, gap: float) -> Iterator[Flaw]:
    """Strips of bad leather between tiles, as wide as the gap lets them be, some of it as clearance."""
    clearance = float(rng.choice([0.0, gap / 4]))
    for line in grid.seams:
        if rng.integers(2):
            yield Flaw("seam", _ring(line.buffer(gap / 2 - clearance, cap_style="flat")), Grade.NONE, clearance)


def _layout(
    rng: np.random.Generator, hide: Hide, lying: Sequence[Lying], shifts: Sequence[tuple[float, float]], gap: float
) -> Layout:
    """The pieces on every tile, as one product or two, each complete so often as there are tiles."""
    parted = int(rng.integers(1, len(lying))) if len(lying) > 1 and rng.integers(2) else len(lying)
    groups = {f"P{i}": group for i, group in enumerate((lying[:parted], lying[parted:])) if group}
    small = float(rng.choice([0.0, 0.0, 0.007]))
    lies = [
        each.at(shift, name, number, small)
        for number, shift in enumerate(shifts, 1)
        for name, group in groups.items()
        for each in group
    ]
    area = hide.measured_area
    on = HideLayout(hide, tuple(lies), Areas(area, area, 0.0, 0.0, 0.0, 0.0, area))
    counts = tuple(ProductCount(name, len(shifts), len(shifts)) for name in groups)
    products = tuple(Product(name, tuple(each.piece for each in group)) for name, group in groups.items())
    return Layout(counts, products, gap, 1, "quick", (on,))


def denied(rng: np.random.Generator, layout: Layout) -> Iterator[str]:
    """What bounds, limits and sentences say against a layout that is right."""
    hide, many = layout.hides[0].hide, layout.counts[0].complete
    wants, settings = [Want(product) for product in layout.products], Settings(effort="quick", gap=layout.gap)
    posed = case_of(hide, wants, settings)
    if int(posed.problem.kinds[0].area) % 4 == 0:  # no draw: earlier seeds stay what they were
        posed.bound.measure(WEIGHTS, soon())
    if int(posed.problem.kinds[0].area) % 3 == 0:
        posed.bound.exclude((0,) * len(wants), PLACES, soon())
    yield from _too_few(posed, many, "")
    for limit in posed.bound.measure(None, soon()):
        if sum(limit.uses) * many > limit.room * (1 + 1e-12):
            yield f"{limit.why}: a limit forbids {many} of each"
    for k, piece in enumerate(posed.pieces):
        if fits_nowhere(posed.problem, k) or has_no_leather(posed.problem, k):
            yield f"{piece.name} is said to fit nowhere"
        told = why_not(hide, piece, "mm")
        if any(words in told for words in DENIALS):
            yield f"{piece.name}: {told}"
    yield from _unbuyable(hide, layout, settings)
    lies = layout.hides[0].placements
    stay = tuple(replace(p, keep=True) for p in lies if rng.integers(2))
    if stay:
        yield from _too_few(case_of(hide, wants, settings, stay), many, f" beside {len(stay)} of {len(lies)} that stay")


def soon() -> Stop:
    """A stop rule that says so in a while."""
    end = time.process_time() + LONGEST
    return lambda: time.process_time() > end


def _too_few(posed: Case, many: int, beside: str) -> Iterator[str]:
    for want, place in zip(posed.wants, posed.places, strict=True):
        if (most := posed.bound.at_most(place, soon())) < many:
            yield f"{want.product.name}: {best_count(0, most, beside)} {many} are laid"


def _unbuyable(hide: Hide, layout: Layout, settings: Settings) -> Iterator[str]:
    """What a batch's bound says against an order of just what lies there."""
    many = [count.complete for count in layout.counts]
    demands = [
        ProductDemand(product.name, (OrderLine(f"{product.name}.toml", n),), ((THIN.middle, product),))
        for product, n in zip(layout.products, many, strict=True)
    ]
    task = make_task(demands, [hide])
    limits = task_limits([group.hide for group in task.groups], task.products, settings, watch=Watch(stop=soon()))
    told = least(task, limits, many)
    if said := cannot_fill(told.possible):
        yield said
    elif told.hides > 1 or told.cost > sum(group.cost for group in task.groups) + 1e-6:
        yield f"no plan needs fewer than {told.hides} hides or costs less than {told.cost}"


def _ring(shape: Polygon) -> Ring:
    return tuple((float(x), float(y)) for x, y in shapely.geometry.polygon.orient(shape).exterior.coords[:-1])
