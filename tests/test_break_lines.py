"""Long straps on a pattern: only a plain stretch is left out, and what is told adds up to the true length."""

from __future__ import annotations

from dataclasses import replace

import pytest
from problems import rectangle

from nesting.drawing.break_lines import SHOWN, break_in
from nesting.drawing.piece_pattern import pattern, product_patterns
from nesting.drawing.scene import Area, Text
from nesting.model.product import InnerLine, Piece, Product, PunchHole

STRAP = rectangle("strap", 30, 1000)


def _drawn_height(piece: Piece) -> float:
    broken = break_in(piece)
    assert broken is not None
    made = pattern(Product("goods", (piece,)), piece, "S", broken=broken)
    outline = next(item for item in made.scene if isinstance(item, Area) and item.layer == "pattern").rings[0]
    ys = [y for _, y in outline]
    return max(ys) - min(ys)


def test_what_is_drawn_and_what_is_left_out_are_the_whole_length() -> None:
    broken = break_in(STRAP)
    assert broken is not None
    assert _drawn_height(STRAP) + broken.left_out == pytest.approx(1000)


def test_holes_stay_outside_the_break_and_keep_their_distances_from_their_end() -> None:
    piece = replace(STRAP, holes=tuple(PunchHole((15.0, y), 5.0) for y in (80.0, 700.0, 950.0)))
    broken = break_in(piece)
    assert broken is not None
    assert 85 < broken.low < broken.high < 695
    x, y = broken.short((15.0, 950.0))
    assert (x, y) == (15.0, pytest.approx(950 - broken.left_out))
    assert broken.short((15.0, 80.0)) == (15.0, 80.0)


def test_a_line_along_the_strap_may_be_broken_a_slanting_one_may_not() -> None:
    along = replace(STRAP, lines=(InnerLine("crease", ((5.0, 0.0), (5.0, 1000.0))),))
    slanting = replace(STRAP, lines=(InnerLine("fold", ((0.0, 0.0), (30.0, 1000.0))),))
    assert break_in(along) is not None
    assert break_in(slanting) is None


def test_a_piece_without_two_straight_sides_is_never_broken() -> None:
    wedge = replace(STRAP, outline=((0.0, 0.0), (30.0, 0.0), (20.0, 1000.0), (10.0, 1000.0)))
    assert break_in(wedge) is None


def test_a_short_piece_is_shown_whole_and_a_long_one_says_what_is_left_out() -> None:
    short = rectangle("tab", 30, 150)
    pages = product_patterns([Product("goods", (STRAP, short))])
    words = [item.words for page in pages for item in (*page.items, *page.seen) if isinstance(item, Text)]
    broken = break_in(STRAP)
    assert broken is not None
    assert sum("left out between the break lines" in text for text in words) == 1
    assert any(f"{broken.left_out:.1f}".rstrip("0").rstrip(".") in text for text in words)
    assert broken.left_out > SHOWN
