"""Every kind of piece once at full size: small ones together on pages, large ones over several pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import shapely
from shapely.geometry import Polygon

from hides.hide import Point, Ring
from nesting.drawing.break_lines import Break, break_in, break_items
from nesting.drawing.hide_pattern import fewest_pages
from nesting.drawing.inner_lines import bare_end_words, inner_lines, line_words
from nesting.drawing.labels import box_place, box_size, long_way
from nesting.drawing.lettering import width_of
from nesting.drawing.mark_points import grain_line, is_circle, mark_points
from nesting.drawing.marks import carried
from nesting.drawing.names import codes
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.pattern_words import cutting_words, is_shown_by_other_hand, punch_words
from nesting.drawing.piece_list import along_text, grade_text, size_text
from nesting.drawing.scene import Area, Box, Circle, Item, Line, Page, Scene, Text, box_of, mapped, points_of, turned_by
from nesting.drawing.sheet_style import PLAIN, SheetStyle
from nesting.drawing.tile_pages import first_page, full_size_page, shown_size, tile_pages
from nesting.drawing.tiling import text_box
from nesting.model.layout import Layout, Placement
from nesting.model.product import Piece, Product
from nesting.result.wording import length_text

SPACE = 6.0
"""Between two patterns on a page, mm."""
INSET = 2.0
"""Between a pattern and the frame, mm."""
SIZES = (4.0, 3.2, 2.6, 2.2)
HOLE_NAME = 2.2


@dataclass(frozen=True)
class PatternDrawing:
    """A pattern as a scene with the box it takes, words included."""

    title: str
    scene: Scene
    box: Box

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.box[2] - self.box[0], self.box[3] - self.box[1]


def piece_patterns(layout: Layout, style: SheetStyle = PLAIN) -> list[Page]:
    """The patterns of a layout's products."""
    return product_patterns(layout.products, style)


def product_patterns(products: Sequence[Product], style: SheetStyle = PLAIN) -> list[Page]:
    """The pages: test square and list first, then the patterns."""
    paper = Paper(style.paper)
    shown = shown_size(paper)
    whole: list[PatternDrawing] = []
    large: list[PatternDrawing] = []
    code_of = codes(products)
    for product in products:
        for piece in product.pieces:
            if is_shown_by_other_hand(piece, product):
                continue
            made = _best_way(product, piece, code_of[product.name, piece.name], _room(shown), style)
            (whole if _fits(made, _room(shown)) else large).append(made)
    shared = _packed(whole, _room(shown))
    pages = [_shared_page(paper, group, number, len(shared)) for number, group in enumerate(shared, 1)]
    notes = ["Print at 100 % (“actual size”, no fitting to the page).", "Each kind of piece once, grain lines marked."]
    for made in large:
        on, tiling = fewest_pages(list(made.scene), style.paper)
        pages += tile_pages(tiling, on, made.title)
        notes.append(f"{made.title}: {tiling.rows} × {tiling.columns} pages; join them so that the crosses meet.")
    first = first_page(paper, "Patterns: " + ", ".join(p.name for p in products), notes, style.units)
    return [first, *pages]


def _best_way(
    product: Product, piece: Piece, code: str, shown: tuple[float, float], style: SheetStyle
) -> PatternDrawing:
    """The pattern upright, or lying where only so it fits a page, or, too long for one, with a break."""
    upright, lying = (pattern(product, piece, code, turn, style) for turn in (0.0, -90.0))
    if not _fits(upright, shown) and not _fits(lying, shown) and (broken := break_in(piece)):
        return pattern(product, piece, code, 0.0, style, broken)
    return lying if _fits(lying, shown) and not _fits(upright, shown) else upright


def _room(shown: tuple[float, float]) -> tuple[float, float]:
    return shown[0] - 2 * INSET, shown[1] - 2 * INSET


def _fits(made: PatternDrawing, shown: tuple[float, float]) -> bool:
    return made.size[0] <= shown[0] and made.size[1] <= shown[1]


def pattern(
    product: Product,
    piece: Piece,
    code: str,
    turn: float = 0.0,
    style: SheetStyle = PLAIN,
    broken: Break | None = None,
) -> PatternDrawing:
    """One kind of piece turned by `turn` degrees: outline, cutouts, punch marks, grain line with marks, words.

    A `broken` one is drawn shorter, its true length told.
    """
    at = Placement(piece.name, product.name, 0, 0.0, 0.0, turn, False, ())

    def put(point: Point) -> Point:
        return carried(broken.short(point) if broken else point, at)

    outline = _ring(piece.outline, put)
    items: list[Item] = [Area("pattern", (outline,))]
    items += [Area("cutout", (_ring(ring, put),)) for ring in piece.cutouts]
    items += [Area("cover", (_ring(cover.outline, put),)) for cover in piece.covered]
    for hole in piece.holes:
        x, y = put(hole.at)
        items.append(Circle("punch", (x, y), hole.diameter))
        arm = 4.0 if hole.diameter >= 2 else hole.diameter  # the crosses of stitch holes would run together
        items += [Line("punch", ((x - arm, y), (x + arm, y))), Line("punch", ((x, y - arm), (x, y + arm)))]
    items += _hole_names(product, piece, put)
    if not is_circle(piece.outline):
        items += _grain(piece, put, at.angle + 90)
    items += inner_lines(piece, put)
    size = f"{size_text(piece, style.units, style.part)} {style.units}"
    about = f"{size}, {piece.count} for each {product.name}, grade {grade_text(piece)}, {along_text(piece)}"
    head = f"{code}  {piece.name}"
    told = [cutting_words(piece, product), punch_words(piece, style.units), _break_words(broken, style)]
    items += [*line_words(piece, put, style.units, product.ounces), *bare_end_words(piece, put)]
    across = [_turned(item, at) for item in break_items(piece, broken)] if broken else []
    items += [*across, *_words(outline, [*items, *across], [head, about, *filter(None, told)])]
    box = box_of(point for item in items for point in _span(item))
    return PatternDrawing(f"{head} ({product.name})", tuple(items), box)


def _hole_names(product: Product, piece: Piece, put: Callable[[Point], Point]) -> list[Item]:
    """The names that joints know holes by, each beside the first of its holes: to the right, or where there is room."""
    joined = {g for j in product.making.joints for layer in j.layers if layer.piece == piece.name for g in layer.groups}
    shape, items = Polygon([put(point) for point in piece.outline]), list[Item]()
    for group in sorted(joined):
        hole = next(hole for hole in piece.holes if hole.group == group)
        (x, y), wide = put(hole.at), width_of(group, HOLE_NAME)
        off = max(4.0, hole.diameter / 2) + 0.8
        places = [(x + off, y - 0.7), (x - off - wide, y - 0.7), (x - wide / 2, y + off), (x - wide / 2, y - off - 1.6)]
        made = [Text("quiet words", place, group, HOLE_NAME) for place in places]
        items.append(next((text for text in made if shape.contains(text_box(text))), made[0]))
    return items


def _turned(item: Item, at: Placement) -> Item:
    """An item of the piece's own frame where it is drawn."""
    if isinstance(item, Area):
        return replace(item, rings=tuple(_ring(ring, partial(carried, placement=at)) for ring in item.rings))
    if isinstance(item, Line):
        return replace(item, points=_ring(item.points, partial(carried, placement=at)))
    return item


def _break_words(broken: Break | None, style: SheetStyle) -> str:
    """What the break lines leave out."""
    if broken is None:
        return ""
    return f"{length_text(broken.left_out, style.units, part=style.part)} left out between the break lines: measure"


def _words(outline: Ring, drawn: list[Item], lines: list[str]) -> list[Item]:
    """Lines of words inside the outline off everything else, or below it; the first is the head."""
    shape = Polygon(outline)
    free = shape.difference(shapely.union_all([_solid(item) for item in drawn[1:]]))
    for size in SIZES:
        rows = [(lines[0], size * 1.2, True), *((line, size * 0.8, False) for line in lines[1:])]
        tall = 2.6 + 1.05 * (len(rows) - 2)
        shifts = [0.25 + (tall - 2.6) / 2, *(-0.95 + (tall - 2.6) / 2 - 1.05 * i for i in range(len(rows) - 1))]
        w = max(box_size(*row)[0] for row in rows)
        for angle in (0.0, long_way(shape)):
            middle = box_place(free, w + 3, tall * size, angle)
            if middle:
                return [_line(row, middle, shift * size, angle) for row, shift in zip(rows, shifts, strict=True)]
    left, low, right, _ = shape.bounds
    x = (left + right) / 2
    return [
        Text("words", (x, low - 4), lines[0], 2.8, "middle", bold=True),
        *(Text("words", (x, low - 7.5 - 2.6 * i), line, 2.0, "middle") for i, line in enumerate(lines[1:])),
    ]


def _line(row: tuple[str, float, bool], middle: tuple[float, float], shift: float, angle: float) -> Text:
    dx, dy = turned_by((0, shift), angle)
    return Text("words", (middle[0] + dx, middle[1] + dy), row[0], row[1], "middle", angle, row[2])


def _solid(item: Item) -> Polygon:
    if isinstance(item, Circle):
        return shapely.Point(item.centre).buffer(item.diameter / 2 + 1)
    if isinstance(item, Area) and item.layer == "cutout":
        return Polygon(item.rings[0])
    if isinstance(item, Text):
        return text_box(item)
    return shapely.LineString([*points_of(item), points_of(item)[0]]).buffer(1)


def _span(item: Item) -> tuple[Point, ...]:
    return tuple(text_box(item).exterior.coords) if isinstance(item, Text) else points_of(item)


def _grain(piece: Piece, put: Callable[[Point], Point], angle: float) -> list[Item]:
    """The grain line from foot to head with an arrow, and the piece's marks; `angle` is where the head points."""
    foot, head = (put(point) for point in grain_line(piece))
    wings = [turned_by((-5, side), angle) for side in (1.6, -1.6)]
    arrow = ((head[0] + wings[0][0], head[1] + wings[0][1]), head, (head[0] + wings[1][0], head[1] + wings[1][1]))
    layers = ("mark", "second mark", "third mark")
    points = [put(mark.at) for mark in mark_points(piece)]
    return [
        Line("grain", (foot, head)),
        Line("grain", arrow),
        *(Circle(layer, point, 1.4) for layer, point in zip(layers, points, strict=False)),
    ]


def _ring(ring: Sequence[Point], put: Callable[[Point], Point]) -> Ring:
    return tuple(put(point) for point in ring)


def _packed(
    patterns: list[PatternDrawing], shown: tuple[float, float]
) -> list[list[tuple[PatternDrawing, float, float]]]:
    """Patterns on pages in shelves, tallest first: each with the place of its box's upper left corner."""
    pages: list[list[tuple[PatternDrawing, float, float]]] = []
    x = y = shelf = 0.0
    for made in sorted(patterns, key=lambda each: -each.size[1]):
        wide, tall = made.size
        if pages and x + wide > shown[0]:
            x, y, shelf = 0.0, y + shelf + SPACE, 0.0
        if not pages or y + tall > shown[1]:
            pages.append([])
            x = y = shelf = 0.0
        pages[-1].append((made, x, y))
        x, shelf = x + wide + SPACE, max(shelf, tall)
    return pages


def _shared_page(paper: Paper, group: list[tuple[PatternDrawing, float, float]], number: int, of: int) -> Page:
    width, height = shown_size(paper)
    window = (MARGIN, MARGIN, MARGIN + width, MARGIN + height)
    seen: list[Item] = []
    for made, x, y in group:
        shift = MARGIN + INSET + x - made.box[0], MARGIN + height - INSET - y - made.box[3]
        seen += mapped(made.scene, 1.0, shift)
    return full_size_page(paper, tuple(seen), window, "Patterns at full size", f"page {number} of {of}")
