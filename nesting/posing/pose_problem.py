"""A hide and the products wanted become a `Problem`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from hides.errors import InputError
from hides.hide import Grade, Hide, bearing
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.product import Piece
from nesting.model.value_table import USUAL
from nesting.model.want import Want
from nesting.posing.angles import Span, spans
from nesting.posing.datum import datum
from nesting.posing.usable import LeatherDemand, directions, usable


def pose_problem(hide: Hide, wants: Sequence[Want], gap: float, bare: Hide | None = None) -> Problem:
    """The nesting problem of cutting products from a hide; `bare` is the hide without the pieces that stay on it.

    Raises InputError where a piece must run along or across a backbone that the hide does not state.
    """
    regions = _Regions(hide, bare)
    kinds = tuple(
        _kind(piece, index, hide, regions) for index, want in enumerate(wants) for piece in want.product.pieces
    )
    wanted = tuple(Wanted(w.product.name, w.worth, w.limit) for w in wants)
    heading = hide.direction if hide.direction is not None else 0.0
    leather = tuple(regions.inner), tuple(regions.outer)
    made = Problem(*leather, kinds, wanted, gap, heading, better_leather(hide), datum(hide))
    return replace(made, bare=tuple(regions.bare)) if bare else made


def better_leather(hide: Hide) -> tuple[tuple[BaseGeometry, float], ...]:
    """The usable leather of each grade or better that a hide has, best first, and its worth beyond the next grade's."""
    grades = sorted({hide.grade, *(f.grade for f in hide.flaws), *(z.grade for z in hide.zones)} - {Grade.NONE})
    found = [(usable(hide, LeatherDemand(g)), USUAL.of(g) - USUAL.of(worse)) for g, worse in pairwise(grades)]
    return tuple((region, step) for region, step in found if not region.is_empty)


class _Regions:
    """The distinct regions a problem's pieces ask for."""

    def __init__(self, hide: Hide, bare: Hide | None) -> None:
        self.hide, self.bare_hide = hide, bare
        self.bare: list[BaseGeometry] = []
        self.inner: list[BaseGeometry] = []
        self.outer: list[BaseGeometry] = []
        self._index: dict[LeatherDemand, int] = {}

    def index(self, demand: LeatherDemand) -> int:
        if demand not in self._index:
            self._index[demand] = self._same(usable(self.hide, demand), demand)
        return self._index[demand]

    def _same(self, region: BaseGeometry, demand: LeatherDemand) -> int:
        for index, known in enumerate(self.inner):
            if known.equals_exact(region, 0.0):
                return index
        self.inner.append(region)
        self.outer.append(usable(self.hide, demand, outer=True))
        if self.bare_hide:
            self.bare.append(usable(self.bare_hide, demand))
        return len(self.inner) - 1


def _kind(piece: Piece, product: int, hide: Hide, regions: _Regions) -> Kind:
    if piece.needs_direction and hide.backbone is None:
        raise InputError(
            f'piece “{piece.name}” runs along = "{piece.along.value}", but the hide states no backbone',
            where=f"hide “{hide.name}”",
            field="backbone",
            remedy="add two points along the backbone to the hide file",
        )
    if piece.needs_backbone and hide.backbone is None:
        wish = (
            f"is kept {piece.off_backbone:g} mm off the backbone" if piece.off_backbone else "is one of a mirrored pair"
        )
        raise InputError(
            f"piece “{piece.name}” {wish}, but the hide states no backbone",
            where=f"hide “{hide.name}”",
            field="backbone",
            remedy="add two points along the backbone to the hide file",
        )
    bearings = {key: bearing(line) if line else 0.0 for key, line in directions(hide).items()}
    parts, grades = graded_parts(piece)

    def asked(span: Span) -> tuple[int, ...]:
        return tuple(
            regions.index(LeatherDemand(grade, piece.thickness, span.suits, piece.off_backbone, piece.regions))
            for grade in grades
        )

    orientations = tuple(
        Orientation(mirrored, span.low, span.high, asked(span))
        for span in _few_enough(piece, spans(piece, bearings))
        for mirrored in ([False, True] if piece.mirror and not is_round(piece) else [False])
    )
    return Kind(piece.name, product, piece.polygon, parts, piece.count, orientations, piece.spare)


ROUND = 0.97
"""A piece that fills this share of its enclosing circle is a disc: turning it gains nothing."""


def is_round(piece: Piece) -> bool:
    """Whether a piece is (nearly) a disc, all of one grade."""
    circle = shapely.minimum_bounding_circle(piece.polygon)
    return not piece.covered and piece.area >= ROUND * float(circle.area)


def _few_enough(piece: Piece, found: list[Span]) -> list[Span]:
    """A disc needs one angle for each set of directions it suits."""
    if not is_round(piece):
        return found
    single = {span.suits: replace(span, high=span.low) for span in reversed(found)}
    return list(single.values())


def graded_parts(piece: Piece) -> tuple[tuple[BaseGeometry, ...], tuple[Grade, ...]]:
    """The areas of a piece by the grade each asks for, best first; where covers lie on one another the worst serves."""
    left: BaseGeometry = piece.polygon
    parts: list[tuple[BaseGeometry, Grade]] = []
    for grade in sorted({c.grade for c in piece.covered if c.grade > piece.grade}, reverse=True):
        hidden = shapely.union_all([Polygon(c.outline) for c in piece.covered if c.grade == grade])
        part = left.intersection(hidden)
        if part.area > 1e-6:
            parts.append((part, grade))
            left = left.difference(hidden)
    if left.area > 1e-6:
        parts.append((left, piece.grade))
    parts.reverse()
    return tuple(p for p, _ in parts), tuple(g for _, g in parts)
