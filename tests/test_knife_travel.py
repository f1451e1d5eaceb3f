"""How far the knife travels: by hand on a few rectangles."""

from __future__ import annotations

import pytest
from boards import board, laid, lain
from problems import rectangle

from nesting.result.knife_travel import knife_travel


def test_a_shared_edge_is_cut_once() -> None:
    """Two rectangles 100 × 200 side by side: 2 · 600 mm apart, 200 mm of it shared."""
    piece = rectangle("r", 100, 200, count=2)
    told = knife_travel(laid(board(), [piece], [lain(piece, 100, 100), lain(piece, 200, 100)]))
    assert told.travel == pytest.approx(1000)
    assert told.apart == pytest.approx(1200)
    assert told.shared == pytest.approx(1 / 6)
    assert told.along == pytest.approx(1)


def test_a_part_of_an_edge_that_is_shared_counts_once_too() -> None:
    """The second lies 50 mm higher: they share 150 mm."""
    piece = rectangle("r", 100, 200, count=2)
    told = knife_travel(laid(board(), [piece], [lain(piece, 100, 100), lain(piece, 200, 150)]))
    assert told.travel == pytest.approx(1200 - 150)


def test_a_slanting_piece_runs_along_nothing() -> None:
    piece = rectangle("r", 100, 200, count=2)
    told = knife_travel(laid(board(), [piece], [lain(piece, 100, 100), lain(piece, 500, 100, 20)]))
    assert told.along == pytest.approx(0.5)
    assert told.shared == pytest.approx(0)


def test_an_empty_layout_needs_no_knife() -> None:
    told = knife_travel(laid(board(), [rectangle("r", 100, 200)], [], complete=0))
    assert (told.travel, told.shared, told.along) == (0, 0, 0)
