"""Allowances: the cut outline against closed forms, and the finished edge inside it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from shapely.geometry import LineString, Polygon
from test_features import one

from hides.errors import InputError

BOX = "{ rectangle = [100, 60] }"


def test_a_turned_edge_is_cut_so_much_further_out(tmp_path: Path) -> None:
    made = one(tmp_path, shape=BOX, allowances='[{ edge = "top", kind = "turned", width = 12 }]')
    assert made.polygon.bounds == pytest.approx((0, 0, 100, 72))
    assert made.area == pytest.approx(7200)
    assert made.finished is not None
    assert Polygon(made.finished).bounds == (0, 0, 100, 60)
    assert [line.kind for line in made.lines] == ["fold"]
    assert LineString(made.lines[0].points).bounds == (0, 60, 100, 60)


def test_allowances_meet_in_corners(tmp_path: Path) -> None:
    text = (
        '[{ edge = ["left", "top"], kind = "seam", width = 10 }, { edge = "right", kind = "lap", width = 4, left = 1 }]'
    )
    made = one(tmp_path, 3.0, shape=BOX, allowances=text)
    assert made.polygon.bounds == pytest.approx((-10, 0, 104, 70))
    assert made.area == pytest.approx(114 * 70)
    assert [(line.kind, line.width, line.left) for line in made.lines] == [("stitch", None, None), ("skive", 4, 1)]


def test_all_round_a_circle_and_a_rounded_corner_stay_round(tmp_path: Path) -> None:
    """Closed forms: a circle grows by its radius, a corner of radius 10 to one of 15."""
    disc = one(tmp_path, shape="{ circle = 60 }", allowances='[{ edge = "all", kind = "turned", width = 5 }]')
    assert disc.area == pytest.approx(math.pi * 35**2, rel=3e-3)
    box = one(
        tmp_path, shape="{ rectangle = [100, 60], corner = 10 }",
        allowances='[{ edge = "all", kind = "turned", width = 5 }]',
    )  # fmt: skip
    assert box.area == pytest.approx(110 * 70 - (4 - math.pi) * 225, abs=5)
    assert box.polygon.contains(Polygon(box.finished))


def test_a_folded_piece_has_its_allowance_on_both_sides(tmp_path: Path) -> None:
    shape = '{ polygon = [[0, 0], [50, 0], { at = [50, 80], edge = "side" }, { at = [0, 80], edge = "top" }] }'
    rows = '[{ edge = "side", kind = "seam", width = 8 }, { edge = "top", kind = "turned", width = 10, left = 1 }]'
    made = one(tmp_path, 3.0, fold='"y"', shape=shape, allowances=rows)
    assert made.polygon.bounds == pytest.approx((-58, 0, 58, 90))
    assert [line.kind for line in made.lines] == ["stitch", "stitch", "fold", "skive"]


def test_a_sharp_corner_is_cut_across(tmp_path: Path) -> None:
    made = one(
        tmp_path, shape="{ polygon = [[0, 0], [200, 0], [0, 20]] }",
        allowances='[{ edge = "all", kind = "turned", width = 5 }]',
    )  # fmt: skip
    assert made.polygon.bounds[2] < 206
    assert made.polygon.is_valid


def test_rows_and_holes_are_measured_from_the_finished_edge(tmp_path: Path) -> None:
    made = one(
        tmp_path, shape=BOX, allowances='[{ edge = "left", kind = "turned", width = 10 }]',
        rows='[{ edge = "left", inset = 3, number = 2, diameter = 1 }]', holes="[{ at = [-5, 30], diameter = 2 }]",
    )  # fmt: skip
    assert {hole.at for hole in made.holes} == {(-5, 30), (3, 57), (3, 3)}


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ('[{ edge = "top", kind = "hem", width = 3 }]', "allowances[0].kind: unknown “hem”"),
        ('[{ edge = "tpo", kind = "seam", width = 3 }]', "allowances[0].edge: unknown edge “tpo”"),
        ('[{ edge = "top", kind = "seam", width = 0 }]', "too small"),
        ('[{ edge = "top", kind = "seam", width = 3 }, { edge = "top", kind = "lap", width = 3 }]', "already"),
        ('[{ edge = "top", kind = "turned", width = 9, left = 5 }]', "not less than the leather's 4 mm"),
    ],
)
def test_a_slip_in_an_allowance_gets_one_line(tmp_path: Path, rows: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        one(tmp_path, 4.0, shape=BOX, allowances=rows)
    assert told in str(caught.value)
    assert "piece “back”.allowances" in str(caught.value)


def test_an_allowance_that_runs_into_itself_is_told(tmp_path: Path) -> None:
    shape = "{ polygon = [[0, 0], [60, 0], [60, 60], [34, 60], [34, 10], [26, 10], [26, 60], [0, 60]] }"
    with pytest.raises(
        InputError, match=r"piece “back”.allowances: the cut outline cannot be drawn: crosses or touches itself near"
    ):
        one(tmp_path, shape=shape, allowances='[{ edge = "all", kind = "turned", width = 6 }]')


def test_an_allowance_at_a_curve_ends_where_it_meets_the_next_edge(tmp_path: Path) -> None:
    """Its parallel runs past the next edge drawn on, and is cut off there."""
    shape = '{ polygon = [[0, 0], [90, 0], [90, 90], [30, 90], { smooth = [[20, 70], [0, 40]], edge = "side" }] }'
    made = one(tmp_path, shape=shape, allowances='[{ edge = "side", kind = "turned", width = 3 }]')
    assert made.finished is not None
    assert made.polygon.bounds[0] == pytest.approx(0, abs=0.05)
    assert made.polygon.buffer(0.01).contains(Polygon(made.finished))
    side = LineString(made.lines[0].points).length
    assert made.area - Polygon(made.finished).area == pytest.approx(3 * side, rel=0.1)  # its ends are cut off
