"""Slips that once went unnoticed: each of these tests fails when the value or the order it is about is changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from boards import board, box
from problems import in_box, plain_hide, product, rectangle
from shapely.geometry import Polygon
from stocks import box as rect
from stocks import cut_of, side, stock_of

from hides.hide import Flaw, Grade
from hides.offcut import offcuts
from hides.stock import Cut, Status
from hides.stock.audit import faults
from hides.stock.listing import entries
from nesting.bound.hall import rooms
from nesting.bound.limits import at_most
from nesting.laying.case import case_of
from nesting.laying.lay_out import _bound
from nesting.model.product import Along, Piece, Product
from nesting.model.tolerance import DRAWN, GIVE, SHARED
from nesting.model.want import Want
from nesting.posing.pose_problem import pose_problem
from nesting.posing.usable import LeatherDemand, usable
from nesting.search.search import Found
from nesting.stock.sheet import contact_sheet

SQUARE = Polygon([(0, 0), (20, 0), (20, 20), (0, 20)])


def test_what_pieces_may_share_is_taken_off_their_area() -> None:
    """A 20 mm square has 80 mm of border: so much of its 400 mm² it need not have for itself."""
    got = rooms(in_box(100, 100, [(SQUARE, 1, (0.0,))]))
    assert got.uses[-1, 0] == pytest.approx(400 - 80 * SHARED)
    assert SHARED > DRAWN


def test_leather_of_a_bound_reaches_out_by_what_a_layout_may_be_off() -> None:
    hide = plain_hide(300, 200, edge=10.0)
    x0, y0, x1, y1 = usable(hide, LeatherDemand(Grade.A), outer=True).bounds
    assert (x0, y0, x1, y1) == pytest.approx((10 - GIVE, 10 - GIVE, 290 + GIVE, 190 + GIVE))
    assert GIVE > 0.01


def test_islands_are_given_half_of_the_gap_all_round() -> None:
    """Two islands of just a panel each: the gap is kept between pieces, not to the leather's border."""
    cut = Flaw("cut", box(100.0, -1.0, 3.0, 202.0), Grade.NONE)
    hide = replace(board(), outline=box(0.0, 0.0, 203.0, 200.0), flaws=(cut,))
    panel = Product("panels", (Piece("panel", box(0.0, 0.0, 100.0, 200.0), along=Along.BACKBONE, tolerance=90.0),))
    for gap in (0.0, 2.9):
        assert at_most(pose_problem(hide, [Want(panel)], gap), 0) == 2


def test_a_plan_that_cuts_a_hide_and_an_offcut_of_its_name_is_undone_in_the_right_order(tmp_path: Path) -> None:
    """The name S-1.1 passes from one hide to another within one change: going back, it must be free first."""
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
        stock.add([(side("S-1", 840), "new.json")])
        before = [(row.id, row.name) for row in stock.rows((Status.IN,))]
        gone = [Cut(stock.find(name).id, '{"made": "up"}', ()) for name in ("S-1.1", "S-1.2")]
        own = stock.find("S-1")
        rest = offcuts(own.read(stock.where).hide, [rect(500, 500, 800, 700), rect(10, 10, 110, 250)])
        stock.commit_cuts([*gone, Cut(own.id, '{"made": "up"}', rest)])
        between = [(row.id, row.name) for row in stock.rows((Status.IN,))]
        assert {name for _, name in between} == {"S-1.1", "S-1.2"}
        assert not set(between) & set(before)
        stock.undo()
        assert [(row.id, row.name) for row in stock.rows((Status.IN,))] == before
        stock.redo()
        assert [(row.id, row.name) for row in stock.rows((Status.IN,))] == between
        assert not faults(stock)


def test_marks_of_markup_in_a_hide_are_text_in_the_stock_sheet(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock") as stock:
        stock.add([(replace(side("<b>S</b>"), leather="<script>x</script>", lot="&amp"), "x.json")])
        page = contact_sheet(entries(stock, (Status.IN,))[0], "<i>shelf</i>")
    assert "<b>" not in page
    assert "<script" not in page
    assert "<i>" not in page
    assert "&lt;b&gt;S&lt;/b&gt;" in page
    assert "&amp;amp" in page


def test_a_goal_that_the_search_proved_impossible_lowers_the_bound() -> None:
    case = case_of(plain_hide(290, 290), [Want(product(rectangle("square", 100, 100, angles=(0.0, 90.0))))])
    most = case.at_most[0]
    assert _bound(case, Found((3,)), 0) == case.bound.told(0)
    lower = _bound(case, Found((3,), impossible=((most,),)), 0)
    assert lower == (most - 1, "all ways to lay its rectangles")
