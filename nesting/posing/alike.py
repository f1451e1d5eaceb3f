"""Leather of like grade on both sides of the backbone, for pieces that pair across it.

Two pieces of a pair lie on leather of like grade where the worst under one is as good as the worst under the other.
"""

from __future__ import annotations

import shapely
from shapely import affinity
from shapely.geometry import GeometryCollection, Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Grade, Hide, Point
from nesting.geometry.solid import solid


def level_of(backbone: tuple[Point, Point]) -> float:
    """The y of a backbone that is level, as it lies in a problem's frame."""
    return (backbone[0][1] + backbone[1][1]) / 2


def worse_leather(hide: Hide, than: Grade) -> BaseGeometry:
    """All leather worse than a grade that the hide states in a zone or a flaw."""
    marked = [(each.outline, each.grade) for each in hide.zones] + [(each.outline, each.grade) for each in hide.flaws]
    return solid(shapely.union_all([shapely.make_valid(Polygon(ring)) for ring, grade in marked if grade > than]))


def unlike_places(hide: Hide, level: float) -> BaseGeometry:
    """Where the mirrored place about the backbone, at y = `level`, is of another grade.

    Where left pieces keep out of it and right ones lie in their mirrored places, the worst under both is the same.
    """
    found: list[BaseGeometry] = [GeometryCollection()]
    grades = {hide.grade, *(zone.grade for zone in hide.zones), *(flaw.grade for flaw in hide.flaws)}
    for grade in sorted(grades - {Grade.NONE}):
        worse = worse_leather(hide, grade)
        mirrored = affinity.scale(worse, 1.0, -1.0, origin=(0.0, level))
        found.append(shapely.symmetric_difference(worse, mirrored))
    return solid(shapely.union_all(found))
