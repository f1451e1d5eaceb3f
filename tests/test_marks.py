"""Marks one can trust: a slip of the awl moves no point far, rows step off evenly, and the list leads back."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from layouts import laid_by_hand, oval, rectangle, side
from shapely.geometry import Polygon
from strategies import star_rings

from hides.hide import Hide, Point, Ring
from nesting.drawing.cut_sheet import sheet_pages
from nesting.drawing.mark_points import grain_line, is_circle, mark_points
from nesting.drawing.mark_rows import OFF, stretches
from nesting.drawing.marks import carried, datum_of, marks
from nesting.drawing.names import LaidName, named
from nesting.drawing.place_list import place_chunks
from nesting.drawing.scene import Text
from nesting.drawing.sheet_style import SheetStyle
from nesting.model.layout import HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Along, Cover, Piece, Product, PunchHole
from nesting.project.project_file import read_product
from nesting.project.shapes import strap
from nesting.result.areas import account

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
KINDS = [
    pytest.param(piece, id=f"{name} {t}: {piece.name}")
    for name in ("map-rack", "tool-roll")
    for t in (1.8, 4.2)
    for piece in read_product(SCENARIO / f"{name}.toml", t).pieces
]


def moved(piece: Piece, slips: tuple[Point, Point], pin: int) -> float:
    """The farthest a corner of the piece moves when it is laid by hand on two marks that stand off by `slips`.

    The piece is pinned with one point on its mark and turned until the other lies on the line to its mark.
    """
    own = [np.array(mark.at) for mark in mark_points(piece)]
    pricked = [point + np.array(slip) for point, slip in zip(own, slips, strict=True)]
    if pin:
        own, pricked = own[::-1], pricked[::-1]
    was, now = own[1] - own[0], pricked[1] - pricked[0]
    turn = math.atan2(now[1], now[0]) - math.atan2(was[1], was[0])
    c, s = math.cos(turn), math.sin(turn)
    ring = np.array(piece.outline)
    laid = (ring - own[0]) @ np.array([[c, s], [-s, c]]) + pricked[0]
    return float(np.hypot(*(laid - ring).T).max())


def worst(piece: Piece, step: int = 15) -> float:
    round_ = [(0.5 * math.cos(math.radians(a)), 0.5 * math.sin(math.radians(a))) for a in range(0, 360, step)]
    return max(moved(piece, (a, b), pin) for a in round_ for b in round_ for pin in (0, 1))


@pytest.mark.parametrize("piece", KINDS)
def test_half_a_millimetre_at_both_marks_moves_no_corner_of_a_scenario_s_piece_a_millimetre(piece: Piece) -> None:
    if is_circle(piece.outline):
        assert [mark.words for mark in mark_points(piece)] == ["centre"]
    else:
        assert len(mark_points(piece)) == 2
        assert worst(piece) <= 1.0 + 1e-3


@settings(max_examples=25, deadline=None)
@given(star_rings())
def test_two_marks_are_taken_only_where_they_keep_every_corner_within_a_millimetre(ring: Ring) -> None:
    piece = Piece("p", ring)
    found = mark_points(piece)
    assert len(found) in (1, 2, 3)
    if len(found) == 2:
        assert worst(piece, 30) <= 1.0 + 5e-3


def test_a_piece_without_two_points_far_enough_apart_gets_three() -> None:
    """An arch of a cord: without a corner, both middle lines across it are short."""
    middle = [(400 * math.cos(a), 400 * math.sin(a)) for a in np.linspace(0.15, 2.2, 40)]
    cord = shapely.LineString(middle).buffer(6, quad_segs=12)
    ring = tuple((float(x), float(y)) for x, y in cord.exterior.coords[:-1])
    piece = Piece("arch", ring)
    found = mark_points(piece)
    assert len(found) == 3
    assert math.dist(found[0].at, found[1].at) > 600
    assert all(Polygon(ring).exterior.distance(shapely.Point(mark.at)) < 1e-6 for mark in found)


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        (Piece("p", rectangle(32, 560)), ["bottom left corner", "top left corner"]),
        (Piece("p", rectangle(50, 55)), ["bottom left corner", "top right corner"]),
        (Piece("p", strap(38, 1240, ("round", "point"))), ["foot of the middle line", "top corner"]),
        (Piece("p", strap(38, 1240, ("round", "round"))), ["foot of the middle line", "head of the middle line"]),
        (Piece("p", strap(38, 1240, ("square", "point"))), ["bottom left corner", "top left corner"]),
    ],
)
def test_marks_are_told_in_words(piece: Piece, words: list[str]) -> None:
    assert [mark.words for mark in mark_points(piece)] == words


@pytest.mark.parametrize("ends", [("square", "point"), ("point", "point"), ("round", "point"), ("round", "round")])
def test_the_marks_of_a_belt_stand_nearly_its_whole_length_apart(ends: tuple[str, str]) -> None:
    first, second = mark_points(Piece("belt", strap(38, 1240, ends)))
    assert math.dist(first.at, second.at) > 1200


@pytest.mark.parametrize("mirrored", [False, True])
def test_marks_of_a_curved_piece_are_the_ends_of_its_grain_line(mirrored: bool) -> None:
    piece = Piece("oval", oval(10, 20, 30, 60, 64), along=Along.BACKBONE)
    placement = Placement("oval", "", 1, 300, 200, -70, mirrored, ())
    ring = tuple(carried(p, placement) for p in piece.outline)
    found = marks(piece, placement)
    assert found == tuple(carried(p, placement) for p in grain_line(piece))
    assert max(Polygon(ring).exterior.distance(shapely.Point(p)) for p in found) < 1e-6


def test_a_circle_is_marked_by_its_centre() -> None:
    piece = Piece("c", oval(0, 0, 14, 14, 32))
    assert not is_circle(rectangle(2, 2))
    placement = Placement("c", "", 1, 500, 400, 33, False, piece.outline)
    assert marks(piece, placement) == (pytest.approx((500, 400)),)


def test_a_piece_that_looks_the_same_after_half_a_turn_is_marked_the_same() -> None:
    plain = Piece("p", rectangle(30, 200))
    here, there = Placement("p", "", 1, 0, 30, -90, False, ()), Placement("p", "", 1, 200, 0, 90, False, ())
    assert np.array(marks(plain, here)) == pytest.approx(np.array(marks(plain, there)))
    assert marks(plain, there)[0] == pytest.approx((0, 30))
    for other in (
        replace(plain, holes=(PunchHole((15, 20), 5),)),
        replace(plain, outline=strap(30, 200, ("round", "point"))),
        replace(plain, covered=(Cover(rectangle(30, 20), plain.grade),)),
    ):
        assert marks(other, here)[0] != pytest.approx(marks(other, there)[0])
    even = replace(plain, holes=(PunchHole((10, 20), 5), PunchHole((20, 180), 5)))
    assert marks(even, here)[0] == pytest.approx(marks(even, there)[0])


# --- rows ---


def laid(piece: Piece, x: float, y: float, angle: float, name: str) -> LaidName:
    return LaidName(Placement(piece.name, "", 1, x, y, angle, False, ()), piece, "S", name, 0)


@pytest.mark.parametrize("angle", [-90.0, 12.0])
def test_a_row_of_straps_is_told_as_one_row_and_the_others_by_themselves(angle: float) -> None:
    piece = Piece("strap", strap(38, 400, ("square", "point")))
    row = [laid(piece, 100 + 5 * k, 38 * k, angle, f"{k}") for k in range(17)]
    stray = [laid(piece, 900, 700, angle, "x"), laid(piece, 1000, 100, angle + 3, "y")]
    found = stretches([*stray, *row])
    assert [len(each.pieces) for each in found] == [17, 1, 1]
    assert found[0].pitch == pytest.approx(math.hypot(5, 38))
    assert {one.number for one in found[0].pieces} == {one.number for one in row}


def test_a_row_with_a_gap_in_it_is_two_rows() -> None:
    piece = Piece("strap", rectangle(38, 400))
    places = [38 * k + (32 if k >= 9 else 0) for k in range(17)]
    found = stretches([laid(piece, 0, y, -90, f"{y}") for y in places])
    assert sorted(len(each.pieces) for each in found) == [8, 9]


def test_every_piece_is_in_the_list_and_its_figures_lead_back_to_its_marks() -> None:
    layout = laid_by_hand(complete=3)
    each = layout.hides[0]
    datum = datum_of(each.hide)
    where = {one.name: marks(one.piece, one.placement) for one in named(layout, each)}
    told: dict[str, list[float]] = {}
    for line in (line for chunk in place_chunks(layout, each, SheetStyle(), 60, 2.2) for line in chunk):
        step = 5 if len(line.cells) == 5 else 3
        for k in range(0, len(line.cells), step):
            told[line.cells[k]] = [float(text) for text in line.cells[k + 1 : k + step] if text]
    rows = [row for kind in {one.code for one in named(layout, each)}
            for row in stretches([one for one in named(layout, each) if one.code == kind])]  # fmt: skip
    for row in rows:
        for end in (0, -1):
            figures = told.pop(row.pieces[end].name, None) or figures  # noqa: F821
            for point, k in zip(where[row.pieces[end].name], range(0, len(figures), 2), strict=True):
                assert datum.at(figures[k], figures[k + 1]) == pytest.approx(point, abs=0.36)
        steps = np.linspace(row.marks[0][0], row.marks[-1][0], len(row.pieces))
        for one, at in zip(row.pieces, steps, strict=True):
            assert math.dist(where[one.name][0], at) <= OFF + 1e-9
    assert not told


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_161_pieces_without_a_row_are_marked_from_two_pages_and_cut_by_a_third(paper: str, units: str) -> None:
    kinds = tuple(Piece(f"piece {k}", rectangle(20 + 3 * k, 60 + 4 * k), 1) for k in range(8))
    hide = Hide("H", rectangle(2600, 1600), backbone=((0, 10), (2500, 10)))
    placements = []
    for k in range(161):
        piece = kinds[k % 8]
        blank = Placement(piece.name, "P", k // 8 + 1, 60 + 150 * (k % 16), 80 + 145 * (k // 16), 37.3 * k, False, ())
        placements.append(replace(blank, outline=tuple(carried(p, blank) for p in piece.outline)))
    areas, _ = account(side(), [], 0.0)
    whole = HideLayout(hide, tuple(placements), areas, ())
    layout = Layout((ProductCount("P", 20, 30),), (Product("P", kinds),), 0, 1, "quick", (whole,))
    pages = sheet_pages(layout, SheetStyle(paper, units))
    assert len(pages) in (2, 3)
    words = {item.words for item in pages[1].items if isinstance(item, Text)}
    assert {one.name for one in named(layout, whole)} <= words
