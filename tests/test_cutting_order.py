"""The order of cutting: partings run through no piece, pieces come from the outside in, waste lies by no neighbour."""

from __future__ import annotations

import pytest
from boards import board, box, laid, lain
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import rectangle
from shapely.geometry import LineString, Polygon

from nesting.drawing.cutting_list import order_lines
from nesting.drawing.names import named
from nesting.drawing.sheet_style import SheetStyle
from nesting.model.layout import HideLayout, Layout
from nesting.result.cutting_order import SIDES, cutting_order

PIECE = rectangle("r", 100, 100, count=40)


def _grid(wide: int, high: int, step: float, *, shift: float = 0.0) -> Layout:
    """Squares of 100 mm, `step` apart; every other row shifted."""
    places = [lain(PIECE, 100 + step * i + shift * (j % 2), 100 + step * j) for j in range(high) for i in range(wide)]
    return laid(board(), [PIECE], places)


def _hide(layout: Layout) -> HideLayout:
    (each,) = layout.hides
    return each


def test_a_lone_piece_has_waste_all_round() -> None:
    (cut,) = cutting_order(_hide(_grid(1, 1, 100))).pieces
    assert cut.all_round


def test_no_waste_lies_where_a_neighbour_shares_the_edge() -> None:
    cuts = {cut.place: set(cut.waste) for cut in cutting_order(_hide(_grid(3, 1, 100))).pieces}
    assert cuts == {0: {"left", "above", "below"}, 1: {"above", "below"}, 2: {"right", "above", "below"}}


def test_the_piece_amid_the_others_comes_last() -> None:
    hide = board(outline=box(0, 0, 500, 500), backbone=((0.0, 250.0), (500.0, 250.0)))
    layout = laid(hide, [PIECE], [lain(PIECE, 100 + 100 * i, 100 + 100 * j) for j in range(3) for i in range(3)])
    order = cutting_order(_hide(layout)).pieces
    assert order[-1].place == 4
    assert order[-1].waste == ()


def test_a_cut_in_the_open_is_clear_of_every_piece_and_has_waste_on_both_sides() -> None:
    order = cutting_order(_hide(_grid(4, 4, 130)))
    assert order.partings
    for parting in order.partings:
        assert parting.along == ()
        assert len(parting.waste) == 2
        assert all(
            Polygon(p.outline).distance(LineString(parting.line)) > 2.9 for p in _hide(_grid(4, 4, 130)).placements
        )


def test_a_cut_between_touching_rows_is_the_edge_of_both() -> None:
    order = cutting_order(_hide(_grid(4, 4, 100)))
    inner = [parting for parting in order.partings if parting.along]
    assert inner
    assert all(parting.waste == () and len(parting.along) % 2 == 0 for parting in inner)
    assert {cut.part for cut in order.pieces} == set(range(order.parts))


def test_rows_that_interlock_are_not_parted() -> None:
    """Bricks of a wall: the level joints run through, the upright ones do not."""
    inner = [parting for parting in cutting_order(_hide(_grid(5, 4, 100, shift=50))).partings if parting.along]
    assert inner
    for parting in inner:
        (_, a), (_, b) = parting.line
        assert a == pytest.approx(b)


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_partings_run_through_no_piece_and_every_piece_is_cut_once(data: st.DataObject) -> None:
    steps = st.floats(100, 160)
    wide, high = data.draw(st.integers(2, 5)), data.draw(st.integers(2, 5))
    layout = _grid(wide, high, data.draw(steps), shift=data.draw(st.sampled_from([0.0, 10.0, 50.0])))
    each = _hide(layout)
    order = cutting_order(each)
    assert sorted(cut.place for cut in order.pieces) == list(range(len(each.placements)))
    for parting in order.partings:
        line = LineString(parting.line)
        inner = [Polygon(p.outline).buffer(-0.05) for p in each.placements]
        assert not any(shape.intersects(line) for shape in inner)
        assert all(Polygon(each.placements[n].outline).distance(line) <= 0.051 for n in parting.along)
    for cut in order.pieces:
        assert set(cut.waste) <= set(SIDES)


def test_the_sheet_names_every_cut_and_every_piece() -> None:
    layout = _grid(4, 4, 130)
    order = cutting_order(_hide(layout))
    lines = order_lines(layout, _hide(layout), order, SheetStyle())
    assert [line.split(" ")[1] for line in lines if line.startswith("Cut ")] == [
        str(n) for n in range(1, len(order.partings) + 1)
    ]
    told = [word for line in lines if line.startswith("Part ") for word in line.split(": ", 1)[1].split()]
    assert sorted(word for word in told if word.startswith("R")) == sorted(
        one.name for one in named(layout, _hide(layout))
    )
    assert "6.4 m" in lines[-1]
