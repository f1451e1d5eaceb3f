"""A large drawing over many sheets of paper that overlap.

Terms. *Tile*: what one page shows. *Overlap*: the strip that two neighbours both show, in which their crosses meet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from hides.hide import Point
from nesting.drawing.lettering import CAP, descent, width_of
from nesting.drawing.scene import Area, Box, Circle, Item, Line, Scene, Text, turned_by

OVERLAP = 12.0
PIECES = {"piece", "pattern", "cutout", "punch"}
"""Layers of pieces."""


def tile_count(length: float, shown: float, overlap: float = OVERLAP) -> int:
    """How many pages a length takes: ceil((L − o) ÷ (p − o)), at least one."""
    return max(1, math.ceil((length - overlap) / (shown - overlap) - 1e-9))


@dataclass(frozen=True)
class Tile:
    """One page's part of the drawing; rows are counted from the top, columns from the left, both from 1."""

    row: int
    column: int
    box: Box
    items: Scene

    @property
    def shows_piece(self) -> bool:
        """Whether any piece is on it: a page of the hide's edge alone is of no use."""
        return any(item.layer in PIECES for item in self.items)

    @property
    def name(self) -> str:
        """Row and column as pages and plan show them."""
        return f"{self.row}.{self.column}"


@dataclass(frozen=True)
class Tiling:
    """All tiles of a drawing, empty ones too."""

    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    overlap: float

    @property
    def filled(self) -> tuple[Tile, ...]:
        """The tiles with a piece on them."""
        return tuple(tile for tile in self.tiles if tile.shows_piece)

    def crosses(self) -> list[Point]:
        """Where the crosses stand in the drawing: the middles of the overlaps, and their ends."""
        tile = self.tiles[0].box
        step = tile[2] - tile[0] - self.overlap, tile[3] - tile[1] - self.overlap
        left, top = tile[0] + self.overlap / 2, tile[3] - self.overlap / 2
        return [(left + c * step[0], top - r * step[1]) for c in range(self.columns + 1) for r in range(self.rows + 1)]


def tiled(items: Sequence[Item], around: Box, shown: tuple[float, float], overlap: float = OVERLAP) -> Tiling:
    """The drawing within `around` over tiles that show `shown` (width, height) each, centred."""
    columns = tile_count(around[2] - around[0], shown[0], overlap)
    rows = tile_count(around[3] - around[1], shown[1], overlap)
    step = shown[0] - overlap, shown[1] - overlap
    left = (around[0] + around[2] - columns * step[0] - overlap) / 2
    top = (around[1] + around[3] + rows * step[1] + overlap) / 2
    tree = shapely.STRtree([footprint(item) for item in items])
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * step[0], top - row * step[1]
            box = (x, y - shown[1], x + shown[0], y)
            found = tree.query(shapely.box(*box), predicate="intersects")
            tiles.append(Tile(row + 1, column + 1, box, tuple(items[k] for k in sorted(found))))
    return Tiling(rows, columns, tuple(tiles), overlap)


def footprint(item: Item) -> BaseGeometry:
    """What an item inks when areas are not filled."""
    if isinstance(item, Line):
        return LineString(item.points)
    if isinstance(item, Area):
        return shapely.MultiLineString([[*ring, ring[0]] for ring in item.rings])
    if isinstance(item, Circle):
        return Spot(item.centre).buffer(item.diameter / 2)
    return text_box(item)


def text_box(item: Text) -> Polygon:
    """The ground that words cover."""
    w = width_of(item.words, item.height, item.bold)
    left = {"left": 0.0, "middle": -w / 2, "right": -w}[item.anchor]
    low, high = -descent(item.words) * item.height, CAP * item.height
    corners = [turned_by(p, item.angle) for p in ((left, low), (left + w, low), (left + w, high), (left, high))]
    return Polygon([(item.at[0] + x, item.at[1] + y) for x, y in corners])
