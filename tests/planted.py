"""Hides drawn round a known layout: what is left of the leather is the pieces themselves and a little more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from boards import lain
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Flaw, Grade, Hide, Ring, Zone
from nesting.model.layout import Placement
from nesting.model.product import Along, Cover, Piece, Product

SHAPES: dict[str, Ring] = {
    "panel": ((0, 0), (70, 0), (70, 120), (0, 120)),
    "strap": ((0, 0), (20, 0), (20, 190), (10, 204), (0, 190)),
    "tapered": ((0, 0), (60, 0), (44, 110), (16, 110)),
    "ell": ((0, 0), (80, 0), (80, 30), (30, 30), (30, 90), (0, 90)),
    "disc": tuple((25 * float(np.cos(a)), 25 * float(np.sin(a))) for a in np.arange(40) * np.pi / 20),
    "half moon": tuple((45 * float(np.cos(a)), 45 * float(np.sin(a))) for a in np.arange(21) * np.pi / 20),
}


@dataclass(frozen=True)
class Planted:
    """A hide that surely gives `number` of a product, keeping `gap`, and the placements that show it."""

    hide: Hide
    product: Product
    number: int
    gap: float
    placements: tuple[Placement, ...]


def planted(
    seed: int, names: Sequence[str], number: int, gap: float = 0.0, spoilt: float = 1.0, off: float = 0.0
) -> Planted:
    """A hide round a layout of `number` products of one or two pieces of each shape named.

    `spoilt` is the share of the leather between the pieces that flaws take away. Everything is too tight by `off`:
    up to 0.01 mm the layout is right all the same.
    """
    rng = np.random.default_rng(seed)
    bearing = float(rng.uniform(0, 180))
    pieces = tuple(_piece(name, rng) for name in names)
    wanted = [(p, n + 1) for p in pieces for n in range(number) for _ in range(p.count)]
    laid = _rows(wanted, rng, bearing, gap - off)
    lie = shapely.union_all([Polygon(placement.outline) for placement, _ in laid])
    edge = float(rng.choice([0.0, 7.0]))
    box = shapely.box(*lie.bounds)
    clearance = float(rng.choice([0.0, 2.0]))
    tighter = 0.5 * off  # at its corners a piece is then deeper in a flaw: by up to twice as much
    between = box.difference(lie).buffer(tighter - clearance, quad_segs=64)
    crumbs = shapely.constrained_delaunay_triangles(between).geoms
    flaws = tuple(
        Flaw("hole", _ring(crumb), Grade.NONE, clearance)
        for crumb in crumbs
        if crumb.area > 1e-3 and rng.random() < spoilt
    )
    covers = [cover for _, cover in laid if cover is not None and rng.random() < 0.7]
    zones = tuple(Zone(f"belly {i}", _ring(cover), Grade.C) for i, cover in enumerate(covers))
    end = 1000 * np.exp(1j * np.radians(bearing))
    hide = Hide(
        "planted",
        _ring(box.buffer(edge - off, join_style="mitre")),
        backbone=((0.0, 0.0), (float(end.real), float(end.imag))),
        edge=edge,
        flaws=flaws,
        zones=zones,
    )
    return Planted(hide, Product("goods", pieces), number, gap, tuple(placement for placement, _ in laid))


def _piece(name: str, rng: np.random.Generator) -> Piece:
    ring = SHAPES[name]
    west, south, east, _ = Polygon(ring).bounds
    foot = _ring(Polygon(ring).intersection(shapely.box(west, south, east, south + 12.0)))  # no cover beyond its piece
    return Piece(
        name,
        ring,
        count=int(rng.integers(1, 3)),
        along=Along(rng.choice(["backbone", "across", "any"])),
        tolerance=float(rng.choice([0.0, 0.0, 3.0, 20.0])),
        turn=bool(rng.random() < 0.5),
        mirror=bool(rng.random() < 0.5),
        covered=(Cover(foot, Grade.C),) if rng.random() < 0.3 else (),
    )


def _rows(
    pieces: Sequence[tuple[Piece, int]], rng: np.random.Generator, bearing: float, gap: float
) -> list[tuple[Placement, BaseGeometry | None]]:
    """Pieces (and their products' numbers) in rows about 700 mm long, bounds a gap apart; their covers, if any."""
    turns = [_turn(piece, rng, bearing) for piece, _ in pieces]
    laid, x, y, high = [], 0.0, 0.0, 0.0
    for k in rng.permutation(len(pieces)):
        (piece, number), (angle, mirrored) = pieces[k], turns[k]
        west, south, east, north = _carried(Polygon(piece.outline), angle, mirrored).bounds
        if x > 0 and x + east - west > 700:
            x, y, high = 0.0, y + high + gap, 0.0
        placement = lain(piece, x - west, y - south, angle, mirrored, number)
        cover = _carried(Polygon(piece.covered[0].outline), angle, mirrored) if piece.covered else None
        laid.append((placement, affinity.translate(cover, x - west, y - south) if cover is not None else None))
        x, high = x + east - west + gap, max(high, north - south)
    return laid


def _turn(piece: Piece, rng: np.random.Generator, bearing: float) -> tuple[float, bool]:
    if piece.along is Along.ANY:
        angle = float(rng.uniform(-180, 180))
    else:
        angle = bearing - 90 + (90 if piece.along is Along.ACROSS else 0)
        angle += float(rng.uniform(-1, 1)) * piece.tolerance + (180 if piece.turn and rng.random() < 0.5 else 0)
    return angle, bool(piece.mirror and rng.random() < 0.5)


def _carried(shape: Polygon, angle: float, mirrored: bool) -> BaseGeometry:
    shape = affinity.scale(shape, -1, 1, origin=(0, 0)) if mirrored else shape
    return affinity.rotate(shape, angle, origin=(0, 0))


def _ring(shape: BaseGeometry) -> Ring:
    oriented = shapely.geometry.polygon.orient(shape)
    return tuple((float(x), float(y)) for x, y in oriented.exterior.coords[:-1])
