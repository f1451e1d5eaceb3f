"""The hide file: every field, every slip, and what is written reads back."""

from __future__ import annotations

import json
import math
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from shapely.geometry import Polygon
from strategies import hides

from hides.errors import InputError
from hides.finding import Finding
from hides.hide import Flaw, Grade, Hide, Price, Thickness
from hides.hide_file import hide_from_data, hide_text, hide_to_data, read_hide, write_hide

SIDE: dict[str, Any] = {
    "format": "hideplan-hide-1",
    "name": "S-07",
    "units": "mm",
    "cut": "side",
    "outline": [[0, 0], [1800, 40], [1750, 900], [900, 1000], [30, 880]],
    "backbone": [[20, 30], [1790, 60]],
    "grade": "A",
    "thickness": "10-11 oz",
    "edge": 10,
    "area": "18 3/4 sq ft",
    "price": {"per_area": 9.5, "unit": "sq ft", "currency": "USD"},
    "holes": [[[100, 100], [120, 100], [110, 120]]],
    "flaws": [
        {"kind": "hole", "outline": [[400, 300], [420, 300], [410, 330]], "grade": "none", "clearance": 5},
        {"kind": "scar", "outline": [[900, 500], [1000, 520], [990, 530]], "grade": "C"},
    ],
    "zones": [
        {
            "name": "belly",
            "outline": [[0, 700], [1800, 700], [1800, 1100], [0, 1100]],
            "grade": "C",
            "thickness": "8-9 oz",
            "backbone": [[0, 0], [1, 0.2]],
        }
    ],
    "leather": "bridle, russet",
    "lot": "24-118",
    "parent": "H-3",
}
LEAST: dict[str, Any] = {"format": "hideplan-hide-1", "outline": [[0, 0], [100, 0], [100, 100], [0, 100]]}


def test_every_field_is_read() -> None:
    hide = hide_from_data(SIDE)
    assert (hide.name, hide.cut, hide.grade, hide.edge) == ("S-07", "side", Grade.A, 10)
    assert hide.backbone == ((20, 30), (1790, 60))
    assert hide.thickness == Thickness(10 * 25.4 / 64, 11 * 25.4 / 64)
    assert hide.area == pytest.approx(18.75 * 304.8**2)
    assert hide.price == Price(9.5 / 92903.04, "USD", 9.5, "sq ft")
    assert len(hide.holes) == 1
    assert hide.flaws[0] == Flaw("hole", ((400, 300), (420, 300), (410, 330)), Grade.NONE, 5)
    assert hide.flaws[1].grade == Grade.C
    assert hide.zones[0].thickness == Thickness(8 * 25.4 / 64, 9 * 25.4 / 64)
    assert hide.zones[0].backbone == ((0, 0), (1, 0.2))
    assert (hide.leather, hide.lot, hide.parent) == ("bridle, russet", "24-118", "H-3")


def test_what_is_left_out_has_its_default() -> None:
    hide = hide_from_data(LEAST, "/hides/S-09.json")
    assert hide == Hide("S-09", ((0, 0), (100, 0), (100, 100), (0, 100)))
    flaw = {"outline": [[1, 1], [2, 1], [2, 2]]}
    hide = hide_from_data({**LEAST, "flaws": [flaw], "zones": [flaw]})
    assert (hide.flaws[0].grade, hide.flaws[0].clearance, hide.flaws[0].kind) == (Grade.NONE, 0, "flaw")
    assert hide.zones[0].grade == Grade.A


def test_units_hold_for_every_length_and_for_plain_areas() -> None:
    data = {
        **LEAST,
        "units": "in",
        "edge": 0.5,
        "area": 9000,
        "flaws": [{"outline": [[1, 1], [2, 1], [2, 2]], "clearance": "1/4 in"}],
        "backbone": [[0, 0], [10, 0]],
    }
    hide = hide_from_data(data)
    assert hide.outline[2] == (2540, 2540)
    assert (hide.edge, hide.flaws[0].clearance) == (12.7, 6.35)
    assert hide.area == pytest.approx(9000 * 645.16)
    assert hide.backbone == ((0, 0), (254, 0))


def test_a_flaw_that_runs_over_the_edge_is_normal() -> None:
    hide = hide_from_data({**LEAST, "flaws": [{"outline": [[90, 90], [130, 90], [130, 130]]}]})
    assert len(hide.flaws) == 1


def test_a_hole_over_the_edge_becomes_a_flaw_and_this_is_said() -> None:
    findings: list[Finding] = []
    hide = hide_from_data({**LEAST, "holes": [[[90, 40], [130, 40], [130, 60]]]}, findings=findings)
    assert (hide.holes, [flaw.grade for flaw in hide.flaws]) == ((), [Grade.NONE])
    assert [finding.code for finding in findings] == ["hole-over-edge"]


def test_holes_that_overlap_are_one_hole() -> None:
    findings: list[Finding] = []
    rings = [[[10, 10], [30, 10], [30, 30], [10, 30]], [[20, 20], [40, 20], [40, 40], [20, 40]]]
    hide = hide_from_data({**LEAST, "holes": rings}, findings=findings)
    assert hide.measured_area == 1e4 - 700
    assert [finding.code for finding in findings] == ["holes-joined"]


def test_mending_is_told_with_the_field() -> None:
    findings: list[Finding] = []
    flaw = {"outline": [[1, 1], [2, 1], [2, 1], [2, 2]]}
    hide_from_data({**LEAST, "flaws": [flaw]}, findings=findings)
    assert [str(each) for each in findings] == ["flaws[0].outline: a repeated point was left out: point 3 [2, 1]"]


def test_an_area_far_from_the_drawn_one_is_remarked() -> None:
    findings: list[Finding] = []
    hide_from_data({**LEAST, "area": "1 sq ft"}, findings=findings)
    assert [finding.code for finding in findings] == ["area-differs"]


def test_a_hide_file_reads_back_equal(tmp_path: Path) -> None:
    hide = hide_from_data(SIDE)
    write_hide(tmp_path / "side.json", hide)
    assert read_hide(tmp_path / "side.json") == hide
    assert hide_text(read_hide(tmp_path / "side.json")) == hide_text(hide)


def test_marked_area_and_ounces_are_written_as_they_were_given() -> None:
    data = hide_to_data(hide_from_data(SIDE))
    assert (data["area"], data["thickness"], data["zones"][0]["thickness"]) == ("18.75 sq ft", "10-11 oz", "8-9 oz")
    data = hide_to_data(hide_from_data({**SIDE, "area": "2.1 m2", "thickness": "4.0-4.4 mm"}))
    assert (data["area"], data["thickness"]) == ("2100000.0 mm2", [4.0, 4.4])


@settings(max_examples=40)
@given(hides())
def test_any_hide_reads_back_equal_in_any_unit_and_is_written_the_same_again(hide: Hide) -> None:
    for units in ("mm", "cm", "in"):
        text = hide_text(replace(hide, units=units))
        back = hide_from_data(json.loads(text))
        assert back == hide
        assert hide_text(back) == text


def test_a_file_saved_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    (tmp_path / "h.json").write_bytes(b"\xef\xbb\xbf" + json.dumps(LEAST).encode())
    assert read_hide(tmp_path / "h.json").name == "h"


def test_a_hide_of_5000_points_and_200_flaws_reads_at_once(tmp_path: Path) -> None:
    def wobble(x: float, y: float, r: float, n: int) -> list[list[float]]:
        turns = [2 * math.pi * i / n for i in range(n)]
        reach = [r * (1 + 0.05 * math.sin(40 * a)) for a in turns]
        return [[x + q * math.cos(a), y + q * math.sin(a)] for q, a in zip(reach, turns, strict=True)]

    flaws = [{"outline": wobble(i % 20 * 40 - 400, i // 20 * 60 - 300, 8, 12)} for i in range(200)]
    data = {**LEAST, "outline": wobble(0, 0, 800, 5000), "flaws": flaws}
    (tmp_path / "h.json").write_text(json.dumps(data))
    hide = read_hide(tmp_path / "h.json")
    assert (len(hide.outline), len(hide.flaws)) == (5000, 200)


def changed(path: str, value: Any) -> dict[str, Any]:
    data = deepcopy(SIDE)
    *way, last = path.split(".")
    place: Any = data
    for step in way:
        place = place[int(step) if step.isdigit() else step]
    place[int(last) if last.isdigit() else last] = value
    return data


FAR = [[9000, 9000], [9100, 9000], [9100, 9100]]
SLIPS = {
    "an unknown field": ("tanner", "red", "unknown field “tanner”"),
    "a field misspelt": ("ouline", [], "unknown field “ouline”; did you mean “outline”?"),
    "an unknown field of a flaw": ("flaws.0.clearence", 3, "flaws[0]: unknown field “clearence”; did you mean"),
    "an unknown field of a zone": ("zones.0.kind", "x", "zones[0]: unknown field “kind”"),
    "an unknown field of the price": ("price.per", 3, "price: unknown field “per”; did you mean “per_area”?"),
    "another format": ("format", "hideplan-layout-1", "format: is “hideplan-layout-1”; a hide file says"),
    "an unknown unit": ("units", "feet", "units: unknown “feet”"),
    "an unknown cut": ("cut", "bends", "cut: unknown “bends”; did you mean “bend”?"),
    "an unknown grade": ("grade", "E", "grade: unknown “E”; known: A, B, C, D, none"),
    "a grade that is a number": ("flaws.1.grade", 3, "flaws[1].grade: is 3, not a text"),
    "an outline that is a text": ("outline", "x", "outline: is “x”, not a list of points"),
    "an outline of numbers": ("outline", [1, 2, 3], "outline: point 1 is 1; write each point as [x, y]"),
    "a point of three numbers": ("outline.2", [1, 2, 3], "outline: point 3 is [1, 2, 3]"),
    "a point of texts": ("outline.2", ["1", 2], "outline: point 3 ['1', 2]"),
    "a point with a null": ("outline.2", [None, 2], "outline: point 3 [None, 2]"),
    "NaN": ("outline.1", [math.nan, 0], "outline: point 2 [nan, 0]"),
    "infinity": ("outline.1", [math.inf, 0], "outline: point 2 [inf, 0]"),
    "a coordinate of 10^9": ("outline.1", [1e9, 0], "point 2 [1000000000.0, 0] is more than a kilometre away"),
    "an integer of 400 digits": ("outline.1", [10**400, 0], "outline: point 2"),
    "a ring of two points": ("outline", [[0, 0], [5, 5]], "outline: has no area"),
    "a ring without area": ("outline", [[0, 0], [5, 5], [9, 9]], "outline: has no area"),
    "a hide the size of a thumbnail": ("outline", [[0, 0], [5, 0], [5, 5]], "outline: has an area of 12.5 mm²"),
    "a ring that crosses itself": ("outline", [[0, 0], [9, 9], [9, 0], [0, 9]], "outline: crosses itself near"),
    "a flaw that crosses itself": ("flaws.0.outline", [[0, 0], [9, 9], [9, 0], [0, 9]], "flaws[0].outline: crosses"),
    "a flaw outside the hide": ("flaws.1.outline", FAR, "flaws[1].outline: lies wholly outside the hide"),
    "a zone outside the hide": ("zones.0.outline", FAR, "zones[0].outline: lies wholly outside the hide"),
    "a hole outside the hide": ("holes.0", FAR, "holes[0]: lies wholly outside the hide"),
    "a flaw without outline": ("flaws.1", {"kind": "scar"}, "flaws[1].outline: is missing"),
    "a flaw that is a number": ("flaws.1", 7, "flaws[1]: is 7, not a table of fields"),
    "flaws that are a table": ("flaws", {}, "flaws: is {}, not a list"),
    "an absurd count of flaws": ("flaws", [{}] * 2001, "flaws: lists 2001; at most 2000 make sense"),
    "an absurd count of points": ("outline", [[0, 0]] * 20_001, "outline: has 20001 points"),
    "a negative edge": ("edge", -3, "edge: is -3; give 0 or more"),
    "an edge that is no number": ("edge", True, "edge: True is not a number"),
    "a length without unit": ("edge", "5", "edge: “5” has no unit"),
    "a negative clearance": ("flaws.0.clearance", -0.5, "flaws[0].clearance: is -0.5; give 0 or more"),
    "a clearance of unknown unit": ("flaws.0.clearance", "5 px", "flaws[0].clearance: “5 px” has the unknown unit"),
    "an area of nothing": ("area", 0, "area: 0 is no area of leather"),
    "a negative area": ("area", "-3 sq ft", "area: '-3 sq ft' is no area of leather"),
    "an area without unit": ("area", "22", "area: “22” has no known unit of area"),
    "a thickness without unit": ("thickness", "10-11", "thickness: “10-11” has no unit of thickness"),
    "a thickness upside down": ("thickness", [4, 3], "thickness: [4, 3] is no thickness of leather"),
    "a zone's thickness of nought": ("zones.0.thickness", 0, "zones[0].thickness: 0 is no thickness"),
    "a backbone of one point": ("backbone", [[0, 0]], "backbone: is no direction"),
    "a backbone from a point to itself": ("backbone", [[5, 5], [5, 5]], "backbone: is no direction"),
    "a backbone of words": ("backbone", "up", "backbone: is “up”, not a list of points"),
    "a negative price": ("price.per_area", -1, "price.per_area: is -1"),
    "a price by the piece": ("price.unit", "piece", "price.unit: “piece” has no known unit of area"),
    "a price without currency": ("price", {"per_area": 1, "unit": "m2"}, "price.currency: is missing"),
    "a name over two lines": ("name", "a\nb", "name: is too long or holds unprintable characters"),
    "an estimate that is a text": ("estimate", "yes", "estimate: is “yes”; write true or false"),
}


@pytest.mark.parametrize(("path", "value", "told"), SLIPS.values(), ids=SLIPS.keys())
def test_a_slip_is_refused_in_one_line_with_file_and_field(path: str, value: Any, told: str) -> None:
    with pytest.raises(InputError) as caught:
        hide_from_data(changed(path, value), "S-07.json")
    line = str(caught.value)
    assert line.startswith("S-07.json: ")
    assert told in line
    assert "\n" not in line
    assert len(line) < 320


TEXTS = {
    "nothing": (b"", "is not JSON"),
    "cut short": (json.dumps(SIDE).encode()[:200], "is not JSON"),
    "a project": (b'name = "rack"\n', "is TOML, as projects and orders are, and no JSON"),
    "a name and a number of 5000 digits": (b"n = " + b"1" * 5000, "is not JSON"),
    "NaN": (b'{"edge": NaN}', "NaN is not a finite number"),
    "minus infinity": (b'{"edge": -Infinity}', "-Infinity is not a finite number"),
    "a field given twice": (b'{"edge": 1, "edge": 2}', "edge: is given twice"),
    "nesting without end": (b"[" * 200_000, "nests too deep"),
    "latin-1": (b'{"name": "Alp\xe9"}', "is not UTF-8 text (byte 14)"),
    "binary": (bytes(range(256)), "is not UTF-8"),
    "a list": (b"[1, 2]", "is [1, 2], not a table of fields"),
    "a number of 5000 digits": (b"1" * 5000, "holds a number with too many digits"),
}


@pytest.mark.parametrize(("content", "told"), TEXTS.values(), ids=TEXTS.keys())
def test_a_file_that_is_no_hide_file_is_refused_in_one_line(tmp_path: Path, content: bytes, told: str) -> None:
    path = tmp_path / "h.json"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_hide(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    for path in (tmp_path / "none.json", tmp_path):
        with pytest.raises(InputError, match="cannot be read"):
            read_hide(path)


def test_the_rings_of_a_read_hide_are_counter_clockwise_and_open() -> None:
    data = changed("outline", SIDE["outline"][::-1] + SIDE["outline"][-1:])
    hide = hide_from_data(data)
    assert hide.outline[0] != hide.outline[-1]
    assert Polygon(hide.outline).exterior.is_ccw
