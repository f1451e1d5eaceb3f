"""Full-size prints: how many pages, what each shows, and that nothing is lost between them."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import RACK, laid_by_hand

from nesting.drawing.break_lines import break_in
from nesting.drawing.hide_pattern import hide_pattern
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.piece_pattern import pattern, piece_patterns
from nesting.drawing.scene import Area, Line, Page, Text
from nesting.drawing.sheet_style import SheetStyle
from nesting.drawing.tile_pages import shown_size
from nesting.drawing.tiling import OVERLAP, tile_count, tiled
from nesting.model.product import InnerLine, Piece, Product, PunchHole


@pytest.mark.parametrize(
    ("length", "shown", "overlap", "pages"),
    [(190, 190, 12, 1), (191, 190, 12, 2), (368, 190, 12, 2), (369, 190, 12, 3), (5, 190, 12, 1), (2000, 190, 10, 12)],
)
def test_pages_are_the_length_less_an_overlap_over_the_step(
    length: float, shown: float, overlap: float, pages: int
) -> None:
    """Common practice: pages = ceil((L − o) ÷ (p − o))."""
    assert tile_count(length, shown, overlap) == pages
    assert pages == max(1, math.ceil((length - overlap) / (shown - overlap)))


@settings(max_examples=50, deadline=None)
@given(st.floats(10, 3000), st.floats(10, 3000), st.floats(100, 400), st.floats(100, 400))
def test_tiles_cover_the_drawing_and_neighbours_share_the_overlap(w: float, h: float, pw: float, ph: float) -> None:
    around = (5.0, -7.0, 5 + w, -7 + h)
    tiling = tiled([Line("piece", ((5, -7), (5 + w, -7 + h)))], around, (pw, ph))
    assert tiling.columns == tile_count(w, pw)
    assert tiling.rows == tile_count(h, ph)
    boxes = shapely.union_all([shapely.box(*tile.box) for tile in tiling.tiles])
    assert boxes.buffer(1e-6).covers(shapely.box(*around))
    for one, other in zip(tiling.tiles, tiling.tiles[1:], strict=False):
        if one.row == other.row:
            assert one.box[2] - other.box[0] == pytest.approx(OVERLAP)


def test_every_cross_between_two_pages_is_shown_by_both() -> None:
    tiling = tiled([Line("piece", ((0, 0), (900, 900)))], (0, 0, 900, 900), (190, 267))
    for x, y in tiling.crosses():
        seen = sum(b[0] < x < b[2] and b[1] < y < b[3] for b in (tile.box for tile in tiling.tiles))
        assert seen in (1, 2, 4)
    assert sum(1 for _ in tiling.crosses()) == (tiling.rows + 1) * (tiling.columns + 1)


def test_pages_with_nothing_on_them_are_left_out() -> None:
    """A diagonal over 5 × 5 pages leaves the corners off it empty."""
    tiling = tiled([Line("piece", ((0, 0), (900, 900)))], (0, 0, 900, 900), (190, 190))
    assert len(tiling.tiles) == 25
    names = {tile.name for tile in tiling.filled}
    assert {"1.1", "5.5"}.isdisjoint(names)
    assert {"1.5", "5.1", "3.3"} <= names


def words(page: Page) -> str:
    return " ".join(item.words for item in (*page.items, *page.seen) if isinstance(item, Text))


@pytest.mark.parametrize(("units", "side"), [("mm", 100.0), ("in", 101.6)])
def test_the_first_page_has_a_test_square(units: str, side: float) -> None:
    """Common practice: 100 mm, or 4 in = 101.6 mm."""
    first = piece_patterns(laid_by_hand(complete=1), SheetStyle("Letter", units))[0]
    square = next(item for item in first.items if isinstance(item, Line) and item.layer == "strong rule")
    xs, ys = zip(*square.points, strict=True)
    assert (max(xs) - min(xs), max(ys) - min(ys)) == (pytest.approx(side), pytest.approx(side))
    assert "100 %" in words(first)


def test_a_hide_over_many_pages_tells_row_and_column_on_each() -> None:
    layout = laid_by_hand(complete=1)
    first, *rest = hide_pattern(layout, layout.hides[0])
    assert "Assembly plan" in words(first)
    assert f"{len(rest)} pages" in words(first)
    assert all("row " in words(page) and "column " in words(page) and "100 %" in words(page) for page in rest)


def test_patterns_are_at_full_size_and_inside_their_page() -> None:
    layout = laid_by_hand(complete=1)
    paper = Paper("A4")
    pages = piece_patterns(layout)
    outlines = [item for page in pages for item in page.seen if isinstance(item, Area) and item.layer == "pattern"]
    sizes = {round(shapely.Polygon(item.rings[0]).area) for item in outlines}
    assert sizes == {round(_drawn_area(piece)) for piece in RACK.pieces}
    for page in pages[1:]:
        assert page.window == (MARGIN, MARGIN, MARGIN + shown_size(paper)[0], MARGIN + shown_size(paper)[1])


def _drawn_area(piece: Piece) -> float:
    """A strap too long for a page is drawn without the stretch between its break lines."""
    broken = break_in(piece) if piece.polygon.bounds[3] > 260 else None
    return piece.area - (piece.polygon.bounds[2] * broken.left_out if broken else 0.0)


def test_a_pattern_says_what_it_is() -> None:
    made = pattern(RACK, RACK.pieces[0], "P")
    told = " ".join(item.words for item in made.scene if isinstance(item, Text))
    assert "P  panel" in told
    assert "140 × 300 mm, 2 for each Map rack, grade A, along ± 10°" in told


@pytest.mark.parametrize(
    ("units", "ounces", "told"),
    [
        ("mm", False, ["skive 12.7 mm to 1.19 mm", "punch 4.76 mm × 1"]),
        ("in", False, ["skive 1/2 in to 1.19 mm", "punch 3/16 in × 1"]),
        ("in", True, ["skive 1/2 in to 3 oz", "punch 3/16 in × 1"]),
    ],
)
def test_a_pattern_in_inches_tells_skiving_and_punches_in_them(units: str, ounces: bool, told: list[str]) -> None:
    skive = InnerLine("skive", ((10.0, 0.0), (10.0, 90.0)), 12.7, 3 * 25.4 / 64)
    hole = PunchHole((40.0, 50.0), 25.4 * 3 / 16)
    piece = Piece("flap", ((0, 0), (90, 0), (90, 90), (0, 90)), holes=(hole,), lines=(skive,))
    drawn = pattern(Product("bag", (piece,), ounces=ounces), piece, "F", style=SheetStyle("Letter", units))
    said = " ".join(item.words for item in drawn.scene if isinstance(item, Text))
    assert all(words in said for words in told)
