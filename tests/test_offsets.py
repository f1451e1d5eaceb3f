"""Tables of offsets: areas against the rules of quadrature on shapes of known area, and every slip."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import simpson
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.hide import Grade, Hide
from hides.hide_file import hide_from_data, hide_to_data
from hides.offsets import offsets_from_bytes, read_offsets

SIDE = """# S-11, measured on the bench
name, S-11
cut, side
units, cm
thickness, 10-11 oz
edge, 1
area, 14 1/2 sq ft
price, 9.5, sq ft, USD

station, left
0, 30
50, 70
100, 75
150, 72
200, 35

flaw, station, offset, length, width, turn, grade, clearance
hole, 60, 20, 1.2, , , none, 5 mm
scar, 120, 40, 18, 1.5, 30, C,

zone, from, to, inner, outer, grade, thickness
belly, 0, 210, 60, 90, C, 8-9 oz
"""


def read(text: str) -> Hide:
    return offsets_from_bytes(text.encode(), "t.csv")


def test_a_table_of_one_side_is_read_whole() -> None:
    hide = read(SIDE)
    assert (hide.name, hide.cut, hide.edge, hide.grade) == ("S-11", "side", 10, Grade.A)
    assert hide.outline == ((0, 0), (2000, 0), (2000, 350), (1500, 720), (1000, 750), (500, 700), (0, 300))
    assert hide.backbone == ((0, 0), (2000, 0))
    assert hide.price is not None
    hole, scar = (Polygon(flaw.outline) for flaw in hide.flaws)
    assert hole.centroid.coords[0] == pytest.approx((600, 200))
    assert hole.area == pytest.approx(math.pi * 6**2, rel=0.03)
    assert hole.contains(hole.centroid.buffer(5.99))
    assert (hide.flaws[0].grade, hide.flaws[0].clearance, hide.flaws[1].grade) == (Grade.NONE, 5, Grade.C)
    assert scar.area == pytest.approx(math.pi * 90 * 7.5, rel=0.03)
    assert Polygon(hide.zones[0].outline).bounds == (0, 600, 2100, 900)
    assert hide_from_data(hide_to_data(hide)) == hide


def test_the_area_is_that_of_the_trapezoidal_rule() -> None:
    stations, offsets = [0, 50, 100, 150, 200], [30, 70, 75, 72, 35]
    assert read(SIDE).measured_area == pytest.approx(np.trapezoid(offsets, stations) * 100)


@pytest.mark.parametrize(("count", "within"), [(11, 0.05), (41, 0.01)])
def test_an_ellipse_measured_on_both_sides_has_nearly_its_area(count: int, within: float) -> None:
    a, b, c = 900.0, 420.0, 380.0
    stations = np.linspace(0, 2 * a, count)
    half = np.sqrt(np.maximum(1 - ((stations - a) / a) ** 2, 0))
    rows = [f"{x:.3f}, {b * h:.3f}, {c * h:.3f}" for x, h in zip(stations, half, strict=True)]
    hide = read("station, left, right\n" + "\n".join(rows))
    true = math.pi * a * (b + c) / 2
    assert hide.measured_area == pytest.approx(np.trapezoid((b + c) * half, stations), rel=1e-5)
    assert hide.measured_area == pytest.approx(true, rel=within)
    assert hide.measured_area == pytest.approx(simpson((b + c) * half, x=stations), rel=within)
    assert hide.measured_area < true


def test_a_parabola_agrees_with_simpsons_rule_which_is_exact_for_it() -> None:
    stations = np.linspace(0, 2000, 41)
    offsets = 800 - 600 * ((stations - 1000) / 1000) ** 2
    exact = simpson(offsets, x=stations)
    assert exact == pytest.approx(800 * 2000 - 600 * 2000 / 3)
    rows = "\n".join(f"{x},{y}" for x, y in zip(stations, offsets, strict=True))
    assert read("station,left\n" + rows).measured_area == pytest.approx(exact, rel=1e-3)


def test_the_right_side_lies_below_the_backbone() -> None:
    hide = read("station, right\n0, 50\n100, 80\nflaw, station, offset, length\nhole, 50, 20, 4")
    assert Polygon(hide.outline).bounds == (0, -80, 100, 0)
    assert Polygon(hide.flaws[0].outline).centroid.y == pytest.approx(-20)


def test_an_empty_cell_leaves_the_station_out_on_that_side() -> None:
    hide = read("station, left, right\n0, 50, 50\n50, , 70\n100, 50, 50")
    assert len(hide.outline) == 5


def test_lengths_carry_their_own_unit_where_they_have_one() -> None:
    hide = read('station, left\n0, "5 1/2 in"\n"1 ft", 60')
    assert hide.outline == ((0, 0), (304.8, 0), (304.8, 60), (0, 139.7))


def test_a_spreadsheet_with_semicolons_and_decimal_commas_is_read() -> None:
    hide = offsets_from_bytes("\ufeffunits;cm\nstation;left;right\n0;10,5;10\n20;12;11,25\n".encode(), "t.csv")
    assert hide.measured_area == pytest.approx((10.5 + 12 + 10 + 11.25) / 2 * 20 * 100)


def test_a_table_is_read_from_a_file(tmp_path: Path) -> None:
    (tmp_path / "side.csv").write_text(SIDE.replace("name, S-11\n", ""), encoding="utf-8")
    assert read_offsets(tmp_path / "side.csv").name == "side"
    with pytest.raises(InputError, match="cannot be read"):
        read_offsets(tmp_path / "none.csv")


HEAD = "station, left\n0, 50\n100, 80\n"
BOTH = "station, left, right\n0, 50, 50\n100, 80, 60\n"
SLIPS = {
    "nothing": ("", "has fewer than two stations"),
    "one station": ("station, left\n0, 50", "has fewer than two stations"),
    "no offsets": ("station, left\n0, 0\n10, 0", "has no offset above nought"),
    "stations out of order": ("station, left\n0, 5\n20, 5\n10, 5", "row 4: station “10” does not lie beyond"),
    "a station twice": ("station, left\n0, 5\n0, 5", "row 3: station “0” does not lie beyond"),
    "a negative offset": ("station, left\n0, 5\n10, -5", "row 3, left: is “-5”; give at least 0 mm"),
    "a word for an offset": ("station, left\n0, wide\n10, 5", "row 2, left: “wide” does not begin with a number"),
    "an empty station": ("station, left\n0, 5\n, 5", "row 3, station: is empty"),
    "not a number": ("station, left\n0, nan\n10, 5", "row 2, left: nan is not a finite number"),
    "10^9": ("station, left\n0, 5\n1e9, 5", "row 3, station: 1000000000.0 is longer than a kilometre"),
    "an unknown unit": ("station, left\n0, 5 px\n10, 5", "row 2, left: “5 px” has the unknown unit “px”"),
    "unknown units": ("units, feet\n" + HEAD, "row 1: unknown “feet”"),
    "an unknown row": ("colour, red\n" + HEAD, "row 1: unknown row “colour”"),
    "a row misspelt": ("thicknes, 3 mm\n" + HEAD, "row 1: unknown row “thicknes”; did you mean “thickness”?"),
    "a row said twice": ("name, a\nname, b\n" + HEAD, "row 2: “name” is said twice"),
    "a row without value": ("name\n" + HEAD, "row 1: “name” has 0 cells"),
    "a price of one cell": ("price, 9.5\n" + HEAD, "row 1: “price” has 1 cells; write: price, 9.50, sq ft, USD"),
    "an unknown column": ("station, lift\n0, 5", "row 1: unknown column “lift”; did you mean “left”?"),
    "a column twice": ("station, left, left\n0, 5, 5", "row 1: a column is given twice"),
    "too many cells": (HEAD + "110, 5, 6", "row 4: has 3 cells under 2 columns"),
    "an unknown cut": ("cut, sides\n" + HEAD, "row 1: unknown “sides”; did you mean “side”?"),
    "a grade that is none": (HEAD + "flaw, station, offset, length, grade\nhole, 5, 5, 5, E", "unknown “E”"),
    "a flaw without size": (HEAD + "flaw, station, offset\nhole, 5, 5", "row 5, length: is empty"),
    "a flaw of no width": (HEAD + "flaw, station, length, width\nhole, 5, 5, 0", "row 5, width: is “0”"),
    "a flaw without side": (
        BOTH + "flaw, station, offset, length\nhole, 5, 5, 5",
        "row 5, side: does not say",
    ),
    "a flaw on no side": (BOTH + "flaw, station, side, length\nhole, 5, up, 5", "row 5, side: side “up”"),
    "a flaw outside": (HEAD + "flaw, station, offset, length\nhole, 5, 500, 5", "lies wholly outside the hide"),
    "a turn of words": (HEAD + "flaw, station, length, turn\nhole, 5, 5, x", "row 5, turn: “x” is no number"),
    "a zone without size": (HEAD + "zone, from, to, inner, outer\nb, 5, 5, 0, 9", "row 5: a zone has no size"),
    "rows without end": (HEAD + "\n" * 5000, "rows; at most 5000 make sense"),
    "zero bytes": ("a\0b", "is no text"),
}


@pytest.mark.parametrize(("text", "told"), SLIPS.values(), ids=SLIPS.keys())
def test_a_slip_is_refused_in_one_line_with_row_and_column(text: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    assert str(caught.value).startswith("t.csv: ")
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_is_not_utf_8_is_refused() -> None:
    with pytest.raises(InputError, match="is not UTF-8 text"):
        offsets_from_bytes("name, Höhe".encode("latin-1"), "t.csv")
