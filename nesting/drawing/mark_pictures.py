"""A small picture of every kind of piece with its marks, grain line upright and face up, and the words for them."""

from __future__ import annotations

from shapely.geometry import Polygon

from hides.hide import Point, Ring
from nesting.drawing.lettering import shortened, wrapped
from nesting.drawing.mark_points import MarkPoint, is_circle, mark_points
from nesting.drawing.names import codes
from nesting.drawing.scene import Area, Circle, Item, Line, Text
from nesting.model.layout import HideLayout, Layout
from nesting.model.product import Piece

ACROSS = 23.0
HIGH = 15.0
"""Least width of a field and height of its picture, mm."""
THIN = 4.5
"""mm to which a very thin piece is widened, so that left and right can be seen."""
SIZE = 1.9
LAYERS = ("mark", "second mark", "third mark")


def mark_pictures(layout: Layout, each: HideLayout, x: float, width: float) -> list[tuple[list[Item], float]]:
    """Rows of fields, one field for every kind on the hide: each with its items below y = 0 and its height."""
    code_of = codes(layout.products)
    here = {(p.product, p.piece) for p in each.placements}
    kinds = [(p.name, piece) for p in layout.products for piece in p.pieces if (p.name, piece.name) in here]
    across = max(1, int(width / ACROSS))
    field = width / across
    rows = []
    for start in range(0, len(kinds), across):
        fields = [
            _field(piece, code_of[product, piece.name], x + n * field, field - 2)
            for n, (product, piece) in enumerate(kinds[start : start + across])
        ]
        rows.append(([item for items, _ in fields for item in items], 1.5 - min(low for _, low in fields)))
    return rows


def _field(piece: Piece, code: str, x: float, width: float) -> tuple[list[Item], float]:
    points = mark_points(piece)
    items = picture(piece, points, (x + width / 2, -HIGH / 2 - 0.8), width - 2)
    low = -HIGH - 4.0
    items.append(Text("words", (x, low + 0.8), shortened(f"{code}  {piece.name}", 2.3, width, True), 2.3, bold=True))
    for number, mark in enumerate(points, 1):
        for line in wrapped(f"{number} {mark.words}" if len(points) > 1 else mark.words, SIZE, width):
            low -= 2.4
            items.append(Text("words", (x, low + 0.7), line, SIZE))
    return items, low


def picture(piece: Piece, points: tuple[MarkPoint, ...], middle: Point, width: float) -> list[Item]:
    """A kind of piece in a field `width` wide and `HIGH` high about `middle`, with these marks."""
    left, low, right, high = Polygon(piece.outline).bounds
    scale = min(width / (right - left), (HIGH - 2) / (high - low))
    wide, tall = (max(scale, THIN / side) for side in (right - left, high - low))

    def at(point: Point) -> Point:
        return middle[0] + (point[0] - (left + right) / 2) * wide, middle[1] + (point[1] - (low + high) / 2) * tall

    def ring(outline: Ring) -> Ring:
        return tuple(map(at, outline))

    items: list[Item] = [Area("pattern", (ring(piece.outline),))]
    items += [Area("cutout", (ring(each),)) for each in piece.cutouts]
    items += [Circle("punch", at(hole.at), 0.9) for hole in piece.holes]
    if not is_circle(piece.outline):
        items += _arrow(middle, (high - low) * tall)
    return items + [Circle(layer, at(mark.at), 1.5) for layer, mark in zip(LAYERS, points, strict=False)]


def _arrow(middle: Point, high: float) -> list[Item]:
    x, y = middle
    half = min(0.3 * high, 4.0)
    head = ((x - 0.6, y + half - 1.3), (x, y + half), (x + 0.6, y + half - 1.3))
    return [Line("grain", ((x, y - half), (x, y + half))), Line("grain", head)]
