"""Square cells over the leather, and which of them a shape fills or touches. Every doubt goes to the outer side."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import Array, ring_of

Mask = NDArray[np.bool_]
Ints = NDArray[np.intp]

COARSE = 16
"""Cells to a side of the blocks that are asked first."""


@dataclass(frozen=True)
class Raster:
    """Cells of side `size` (mm): cell (j, i) has its lower left corner at west + i·size, south + j·size."""

    west: float
    south: float
    size: float
    rows: int
    columns: int

    @classmethod
    def over(cls, shape: BaseGeometry, size: float) -> Raster:
        """Cells that hold a shape; they lie the same whatever the shape, so that less leather is never more."""
        west, south, east, north = shape.bounds
        i, j = math.floor(west / size), math.floor(south / size)
        return cls(i * size, j * size, size, math.ceil(north / size) - j + 1, math.ceil(east / size) - i + 1)

    def filled(self, shape: BaseGeometry) -> Mask:
        """The cells that lie wholly in a shape; of shape (rows, columns)."""
        return self._cells(shape, shapely.contains)

    def met(self, shape: BaseGeometry) -> Mask:
        """The cells that a shape meets, if only in a point; of shape (rows, columns)."""
        return self._cells(shape, shapely.intersects)

    def shares(self, shape: BaseGeometry, cells: Mask) -> NDArray[np.float64]:
        """The area of a shape in each of some cells, mm²; in the order of `cells`' own elements."""
        areas = np.zeros(cells.shape)
        j, i = np.nonzero(cells)
        block = j // COARSE * cells.shape[1] + i // COARSE
        for each in np.unique(block):  # cut to a block first: then each cell meets a few edges only
            here = block == each
            row, column = j[here][0] // COARSE * COARSE, i[here][0] // COARSE * COARSE
            part = shape.intersection(self._boxes(row, column, COARSE).item())
            areas[j[here], i[here]] = shapely.area(shapely.intersection(part, self._boxes(j[here], i[here], 1)))
        return areas[cells]

    def _cells(self, shape: BaseGeometry, holds: Callable[..., Mask]) -> Mask:
        """Blocks of cells first; only those that the shape's border crosses are looked into."""
        blocks = -(-self.rows // COARSE), -(-self.columns // COARSE)
        out = np.zeros((blocks[0] * COARSE, blocks[1] * COARSE), dtype=bool)
        shapely.prepare(shape)
        j, i = (index.ravel() for index in np.indices(blocks) * COARSE)
        boxes = self._boxes(j, i, COARSE)
        inside = shapely.contains(shape, boxes)
        mixed = shapely.intersects(shape, boxes) & ~inside
        for row, column in zip(j[inside], i[inside], strict=True):
            out[row : row + COARSE, column : column + COARSE] = True
        dj, di = (index.ravel() for index in np.indices((COARSE, COARSE)))
        j, i = (j[mixed, None] + dj).ravel(), (i[mixed, None] + di).ravel()
        out[j, i] = holds(shape, self._boxes(j, i, 1))
        return out[: self.rows, : self.columns]

    def _boxes(self, j: Ints | np.intp, i: Ints | np.intp, many: int) -> NDArray[np.object_]:
        x, y, side = self.west + i * self.size, self.south + j * self.size, many * self.size
        return np.asarray(shapely.box(x, y, x + side, y + side))


@dataclass(frozen=True)
class Stencil:
    """Cells about the origin that a shape meets: cell (0, 0) has its lower left corner at the origin."""

    south: int
    west: int
    cells: Mask


def stencil(shape: BaseGeometry, size: float) -> Stencil:
    """The cells of side `size` that a shape meets."""
    west, south, east, north = shape.bounds
    i, j = math.floor(west / size), math.floor(south / size)
    raster = Raster(i * size, j * size, size, math.ceil(north / size) - j, math.ceil(east / size) - i)
    if isinstance(shape, Polygon) and shape.area >= shape.convex_hull.area * (1 - 1e-12):
        return Stencil(j, i, _met_by_convex(raster, ring_of(shape)))
    return Stencil(j, i, raster.met(shape))


def _met_by_convex(raster: Raster, ring: Array) -> Mask:
    """Cells met by a convex ring: those that none of its edges' lines parts from it (separating axes).

    The raster is no larger than the ring's own bounds ask for, which settles the cells' own axes.
    """
    edges = np.roll(ring, -1, axis=0) - ring
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    ends = np.einsum("ij,ij->i", normals, ring)
    nearest = raster.size * np.minimum(normals, 0.0).sum(axis=1)
    x = raster.west + raster.size * np.arange(raster.columns)
    y = raster.south + raster.size * np.arange(raster.rows)
    met = np.ones((raster.rows, raster.columns), dtype=bool)
    for (a, b), end, near in zip(normals, ends, nearest, strict=True):
        met &= (a * x)[None, :] + (b * y)[:, None] + near <= end
    return met
