"""What is cut of each piece, where it lies, with its curves as true arcs and its lines moved for the tool's width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.errors import InputError
from hides.hide import Point, Ring
from nesting.drawing.machine.arcs import STANDS_OFF, with_arcs
from nesting.drawing.machine.path import Path, Round
from nesting.drawing.marks import carried
from nesting.model.layout import HideLayout, Layout, Placement
from nesting.model.product import InnerLine, Piece

Shape = Path | Round
NEAR = 0.01
"""mm by which pieces may be nearer than the kerf."""
SHARP = 10.0
"""A corner moved outwards stays sharp up to this many times the distance it is moved."""


@dataclass(frozen=True)
class CutContour:
    """What is cut of one piece: its outline, its openings and its punch holes; and the lines on it that are not cut
    through (folds, seams, ...), each with its kind.
    """

    outline: Shape
    openings: tuple[Shape, ...]
    punches: tuple[Round, ...]
    lines: tuple[tuple[str, Path], ...] = ()


def contours(layout: Layout, each: HideLayout, kerf: float = 0.0) -> tuple[CutContour, ...]:
    """The contours of all pieces on a hide, in the hide's own coordinates; `kerf` is the width the tool takes away.

    Outlines are moved outwards by half of it, openings and holes inwards. Raises InputError where pieces lie nearer to
    one another than the kerf, or where something in a piece is smaller than it.
    """
    pieces = {(product.name, piece.name): piece for product in layout.products for piece in product.pieces}
    if kerf > 0:
        _refuse_near([Polygon(p.outline) for p in each.placements], each.placements, kerf)
    return tuple(_laid(_own(pieces[p.product, p.piece], kerf), p) for p in each.placements)


def pattern_contour(piece: Piece, kerf: float = 0.0) -> CutContour:
    """The contour of one kind of piece in its own frame."""
    return _own(piece, kerf)


@cache
def _own(piece: Piece, kerf: float) -> CutContour:
    for hole in piece.holes:
        if hole.diameter <= kerf:
            raise _too_wide(kerf, f"a hole of “{piece.name}” is {hole.diameter:g} mm wide")
    return CutContour(
        _offset(piece.outline, kerf / 2, piece),
        tuple(_offset(ring, -kerf / 2, piece) for ring in piece.cutouts),
        tuple(Round(hole.at, hole.diameter - kerf) for hole in piece.holes),
        tuple((line.kind, _open(line)) for line in piece.lines if len(line.points) > 1),
    )


def _open(line: InnerLine) -> Path:
    return Path(line.points, (0.0,) * (len(line.points) - 1), False)


def _offset(ring: Ring, by: float, piece: Piece) -> Shape:
    if by == 0:
        return with_arcs(ring)
    moved = shapely.buffer(Polygon(ring), by, join_style="mitre", mitre_limit=SHARP)
    if not isinstance(moved, Polygon) or moved.is_empty or moved.interiors:
        raise _too_wide(2 * abs(by), f"an opening or a slit of “{piece.name}” is narrower")
    points = tuple((float(x), float(y)) for x, y in shapely.geometry.polygon.orient(moved).exterior.coords[:-1])
    return with_arcs(points, STANDS_OFF * (1 + abs(by)))


def _too_wide(kerf: float, why: str) -> InputError:
    return InputError(f"{kerf:g} mm is too wide: {why}", where="--kerf", remedy="give the width that the tool takes")


def _refuse_near(shapes: Sequence[BaseGeometry], placements: Sequence[Placement], kerf: float) -> None:
    tree = shapely.STRtree(shapes)
    for i, j in tree.query(shapes, predicate="dwithin", distance=kerf - NEAR).T if kerf > NEAR else ():
        if i < j:
            names = " and ".join(f"“{placements[k].piece}”" for k in (i, j))
            apart = shapes[i].distance(shapes[j])
            raise InputError(
                f"{names} lie {apart:.2f} mm apart, and the kerf is {kerf:g} mm", where="--kerf",
                remedy=f'lay out with --gap "{kerf:g} mm", or leave --kerf out: shared lines are then cut once',
            )  # fmt: skip


def _laid(own: CutContour, placement: Placement) -> CutContour:
    def at(point: Point) -> Point:
        return carried(point, placement)

    def moved(shape: Shape) -> Shape:
        if isinstance(shape, Round):
            return Round(at(shape.centre), shape.diameter)
        return shape.carried(at, placement.mirrored)

    return CutContour(
        moved(own.outline),
        tuple(map(moved, own.openings)),
        tuple(Round(at(hole.centre), hole.diameter) for hole in own.punches),
        tuple((kind, path.carried(at, placement.mirrored)) for kind, path in own.lines),
    )
