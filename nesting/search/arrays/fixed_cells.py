"""Pieces that stay, as the search sees those it lays: the same outlines of few corners, parted alike.

A layout's pieces touch by these outlines. With others, drawn afresh about the leather that is left, the very places
that pieces were taken from would be too small by a hair.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import Array, convex_parts
from nesting.lattice.minkowski import grown
from nesting.model.problem import Fixed, Problem

HAIR = 0.001
"""How much (mm) nearer than a layout's gap others may come to pieces that stay: files round where these lie, and a
place without any play would be lost. A tenth of what the check lets pass."""


def fixed_cells(problem: Problem, draw: Callable[[Polygon], Polygon]) -> list[Array]:
    """The convex parts of pieces that stay, a hair smaller, as they lie, grown by the gap; each shape (n, 2)."""

    @cache
    def parts(kind: int, mirrored: bool) -> list[Array]:
        outline = problem.kinds[kind].outline
        drawn = draw(affinity.scale(outline, -1.0, 1.0, origin=(0, 0)) if mirrored else outline)
        return convex_parts(a_hair_smaller(drawn))

    lie = [_carried(part, each) for each in problem.fixed for part in parts(each.kind, each.mirrored)]
    return [grown(part, problem.gap) for part in lie] if problem.gap > 0 else lie


def a_hair_smaller(shape: Polygon) -> BaseGeometry:
    """A shape with what others may come too near taken off."""
    return shape.buffer(-HAIR, join_style="mitre")


def _carried(part: Array, piece: Fixed) -> Array:
    turn = math.radians(piece.angle)
    c, s = math.cos(turn), math.sin(turn)
    return np.asarray(part @ np.array([[c, s], [-s, c]]) + (piece.x, piece.y))
