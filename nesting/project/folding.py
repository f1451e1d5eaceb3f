"""A piece drawn by half: what is drawn, punched and cut in the half goes through both layers of the folded paper.

What lies on the fold line, or across it, is there once. What has its mirror image already is not doubled.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from hides.hide import Point, Ring
from nesting.model.product import Cover, InnerLine, Piece, PunchHole
from nesting.project.shapes import FOLD_AXES, PieceShape, folded, refuse_across, simple_ring

T = TypeVar("T")
NEAR = 1e-3
"""Millimetres within which a thing is the mirror image of another."""


@dataclass(frozen=True)
class Drawn(Generic[T]):
    """A thing in the half that is drawn, and whether the fold carries it to the other."""

    thing: T
    carry: bool = True


def folded_shape(shape: PieceShape, fold: str) -> PieceShape:
    """The whole of a half (or quarter) piece; InputError where it lies on both sides of the line it is folded on."""
    if fold == "none":
        return shape
    contour = shape.edges
    for axis in FOLD_AXES[fold]:
        refuse_across(contour.points, axis)
        contour = contour.folded(axis)
    plain = all(edge.straight for edge in shape.edges.edges)
    outline = folded(shape.outline, fold) if plain else contour.ring()
    return replace(
        shape,
        outline=outline,
        contour=contour,
        cutouts=carried([Drawn(ring) for ring in shape.cutouts], fold, ring_points, mirrored_ring),
        holes=carried([Drawn(hole) for hole in shape.holes], fold, hole_points, mirrored_hole),
        lines=carried([Drawn(line) for line in shape.lines], fold, line_points, mirrored_line),
    )


def carried(
    things: Iterable[Drawn[T]],
    fold: str,
    points: Callable[[T], Sequence[Point]],
    mirrored: Callable[[T, int], T],
) -> tuple[T, ...]:
    """The things with their mirror images: over each fold line in turn, behind those that are drawn."""
    found = list(things)
    for axis in FOLD_AXES[fold]:
        for drawn in tuple(found):
            if drawn.carry and not _across(points(drawn.thing), axis):
                image = mirrored(drawn.thing, axis)
                if not any(_same(image, other.thing, points) for other in found):
                    found.append(Drawn(image))
    return tuple(drawn.thing for drawn in found)


def turned_over(piece: Piece, name: str, hand: str) -> Piece:
    """The same piece for the other hand: the paper turned over, in a frame whose box is where it was."""
    west, _, east, _ = piece.polygon.bounds

    def other(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((west + east - x, y) for x, y in points)

    return replace(
        piece,
        name=name,
        hand=hand,
        outline=other(piece.outline[::-1]),
        cutouts=tuple(other(ring[::-1]) for ring in piece.cutouts),
        holes=tuple(replace(hole, at=other([hole.at])[0]) for hole in piece.holes),
        covered=tuple(replace(cover, outline=other(cover.outline[::-1])) for cover in piece.covered),
        lines=tuple(replace(line, points=other(line.points)) for line in piece.lines),
        finished=other(piece.finished[::-1]) if piece.finished else None,
    )


def ring_points(ring: Ring) -> Sequence[Point]:
    """The points of a ring."""
    return ring


def hole_points(hole: PunchHole) -> Sequence[Point]:
    """Where a hole lies."""
    return (hole.at,)


def line_points(line: InnerLine) -> Sequence[Point]:
    """The points of a line."""
    return line.points


def cover_points(cover: Cover) -> Sequence[Point]:
    """The points of a covered part."""
    return cover.outline


def mirrored_ring(ring: Ring, axis: int) -> Ring:
    """A ring mirrored, again counter-clockwise."""
    return simple_ring([_mirrored(point, axis) for point in ring[::-1]])


def mirrored_hole(hole: PunchHole, axis: int) -> PunchHole:
    """A hole mirrored."""
    return replace(hole, at=_mirrored(hole.at, axis))


def mirrored_line(line: InnerLine, axis: int) -> InnerLine:
    """A line mirrored."""
    return replace(line, points=tuple(_mirrored(point, axis) for point in line.points))


def mirrored_cover(cover: Cover, axis: int) -> Cover:
    """A covered part mirrored."""
    return replace(cover, outline=mirrored_ring(cover.outline, axis))


def _across(points: Sequence[Point], axis: int) -> bool:
    """Whether a thing lies on the fold line, or on both sides of it."""
    values = [point[axis] for point in points]
    return min(values) < -NEAR < NEAR < max(values) or all(abs(value) <= NEAR for value in values)


def _same(first: T, second: T, points: Callable[[T], Sequence[Point]]) -> bool:
    group = getattr(first, "group", "") == getattr(second, "group", "")
    return group and _alike(points(first), points(second))


def _alike(first: Sequence[Point], second: Sequence[Point]) -> bool:
    """Whether two things have the same points, in whatever order."""
    if len(first) != len(second):
        return False
    return all(min(math.dist(point, other) for other in second) <= NEAR for point in first)


def _mirrored(point: Point, axis: int) -> Point:
    return (-point[0] + 0.0, point[1]) if axis == 0 else (point[0], -point[1] + 0.0)
