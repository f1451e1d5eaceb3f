"""Layout files: written and read back to the same value and bytes, foreign ones read, slips told in one line."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from boards import board, box, laid, lain
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import assert_layout_valid, laid_by_hand

from hides.errors import InputError
from hides.hide import Grade, Thickness
from nesting.check import faults, unchecked
from nesting.commands import main
from nesting.model.layout import Layout
from nesting.model.product import Along, Cover, Piece, PunchHole
from nesting.result.layout_file import layout_from_data, layout_text, layout_to_data, read_layout, write_layout

PANEL = Piece(
    "panel", box(0, 0, 100, 200), 1, Grade.B, Along.BACKBONE, 5.0, False, True,
    holes=(PunchHole((20, 20), 5, "wall"), PunchHole((40, 20), 4)), cutouts=(box(30, 50, 20, 20),),
    thickness=Thickness(3.0, 4.0), spare=True, covered=(Cover(box(0, 0, 100, 30), Grade.C),),
)  # fmt: skip
DISC = Piece("disc", ((30, 0), (0, 30), (-30, 0), (0, -30)), 2, angles=(0.0, 45.0))


def sample() -> Layout:
    hide = board(thickness=Thickness(3.2, 3.6), edge=10, holes=(box(900, 500, 20, 20),), grade=Grade.A)
    places = [lain(PANEL, 100, 300, -90, True), lain(DISC, 500, 300, -90), lain(DISC, 600, 300, -90)]
    return replace(laid(hide, [PANEL, DISC], places, gap=2.0), seed=7, effort="quick", stopped=True)


FOREIGN: dict[str, Any] = {
    "format": "hideplan-layout-1",
    "units": "cm",
    "products": [{"name": "goods", "complete": 1, "at_most": 2}],
    "gap": 0.2,
    "seed": 1,
    "effort": "normal",
    "hides": [
        {
            "name": "S-07", "edge": 1, "outline": [[0, 0], [100, 0], [100, 60], [0, 60], [0, 0]], "holes": [],
            "backbone": [[0, 30], [100, 30]], "grade": "A", "flaws": [], "zones": [],
            "placements": [
                {
                    "piece": "back", "product": "goods", "number": 1, "x": 10, "y": 10, "angle": 0, "mirrored": False,
                    "outline": [[10, 10], [10, 30], [20, 30], [20, 10], [10, 10]],
                }
            ],
            "areas": {
                "hide": 600000, "usable": 568400, "pieces": 20000, "edge": 31600, "flaws": 0, "offcuts": 0,
                "scrap": 548400,
            },
        }
    ],
}  # fmt: skip
"""Only the fields that every layout file has, in centimetres, rings closed and clockwise."""


def foreign(*path: object, value: object) -> dict[str, Any]:
    """The foreign layout with one value changed (or, with `...`, taken away)."""
    data = copy.deepcopy(FOREIGN)
    at: Any = data
    for step in path[:-1]:
        at = at[step]
    if value is ...:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return data


def test_the_sample_is_right() -> None:
    assert_layout_valid(sample())


def test_a_layout_reads_back_to_the_same_value() -> None:
    told = replace(sample(), counts=(replace(sample().counts[0], told_by="whole lengths"), *sample().counts[1:]))
    assert layout_from_data(json.loads(layout_text(told))).counts == told.counts
    once = layout_from_data(json.loads(layout_text(sample())))
    assert layout_from_data(json.loads(layout_text(once))) == once
    assert (once.counts, once.products, once.gap, once.seed, once.effort, once.stopped) == (
        sample().counts, sample().products, 2.0, 7, "quick", True
    )  # fmt: skip
    assert once.hides[0].hide == sample().hides[0].hide
    for read, placed in zip(once.hides[0].placements, sample().hides[0].placements, strict=True):
        assert replace(read, outline=()) == replace(placed, outline=())
        assert sum(read.outline, ()) == pytest.approx(sum(placed.outline, ()), abs=1e-6)


def test_a_layout_with_many_numbers_keeps_its_bytes_and_stays_right(tmp_path: Path) -> None:
    path = tmp_path / "layout.json"
    write_layout(path, laid_by_hand())
    again = read_layout(path)
    assert_layout_valid(again)
    assert not unchecked(again)
    write_layout(tmp_path / "again.json", again)
    assert read_layout(tmp_path / "again.json") == again
    assert layout_text(read_layout(tmp_path / "again.json")) == layout_text(again)


def test_the_fields_of_the_format_are_all_there() -> None:
    data = layout_to_data(sample())
    assert set(FOREIGN) <= set(data)
    assert set(FOREIGN["hides"][0]) <= set(data["hides"][0])
    assert set(FOREIGN["hides"][0]["placements"][0]) == set(data["hides"][0]["placements"][0])
    assert set(FOREIGN["hides"][0]["areas"]) == set(data["hides"][0]["areas"])


def test_numbers_are_written_to_a_millionth_and_never_as_minus_nought() -> None:
    moved = replace(lain(PANEL, 100, 300, -90), x=1 / 3, y=-1e-9)
    data = layout_to_data(laid(board(), [PANEL], [moved]))["hides"][0]["placements"][0]
    assert (data["x"], str(data["y"])) == (0.333333, "0")


def test_a_foreign_layout_is_read_in_its_units() -> None:
    layout = layout_from_data(FOREIGN)
    (hide,) = layout.hides
    assert (layout.gap, hide.hide.edge, hide.placements[0].x) == (2, 10, 100)
    assert set(hide.placements[0].outline) == {(100, 100), (200, 100), (200, 300), (100, 300)}
    assert faults(layout) == []
    assert len(unchecked(layout)) == 1


def test_a_ring_that_crosses_itself_is_read_for_the_check_to_name() -> None:
    bad = foreign("hides", 0, "placements", 0, "outline", value=[[10, 10], [20, 30], [20, 10], [10, 31]])
    assert "ring" in {fault.code for fault in faults(layout_from_data(bad))}


SLIPS = {
    "no format": (foreign("format", value=...), "format: is missing"),
    "another format": (foreign("format", value="hideplan-layout-2"), "hideplan-layout-1"),
    "an unknown field": (foreign("gab", value=1), "did you mean “gap”"),
    "unknown units": (foreign("units", value="ell"), "units: unknown “ell”"),
    "no hides": (foreign("hides", value=...), "hides: is missing"),
    "hides that are a table": (foreign("hides", value={}), "not a list"),
    "a hide that is a number": (foreign("hides", 0, value=3), "hides[0]"),
    "no placements": (foreign("hides", 0, "placements", value=...), "hides[0].placements: is missing"),
    "an unknown placement field": (
        foreign("hides", 0, "placements", 0, "rotation", value=1),
        "hides[0].placements[0]: unknown field “rotation”",
    ),
    "no outline": (foreign("hides", 0, "placements", 0, "outline", value=...), "outline: is missing"),
    "an outline of two points": (
        foreign("hides", 0, "placements", 0, "outline", value=[[0, 0], [1, 1], [0, 0]]),
        "fewer than three",
    ),
    "a point in words": (
        foreign("hides", 0, "placements", 0, "outline", value=[[0, 0], ["1", 1], [2, 0]]),
        "not a number",
    ),
    "a point a kilometre away": (
        foreign("hides", 0, "placements", 0, "outline", value=[[0, 0], [1e9, 1], [2, 0]]),
        "kilometre",
    ),
    "a huge whole number": (foreign("hides", 0, "placements", 0, "x", value=10**400), "too large"),
    "a number that is true": (foreign("hides", 0, "placements", 0, "x", value=True), "not a number"),
    "a negative product number": (foreign("hides", 0, "placements", 0, "number", value=-1), "whole number"),
    "a turned-over text": (foreign("hides", 0, "placements", 0, "mirrored", value="no"), "true or false"),
    "no areas": (foreign("hides", 0, "areas", value=...), "areas: is missing"),
    "an area missing": (foreign("hides", 0, "areas", "scrap", value=...), "areas.scrap: is missing"),
    "an area in words": (foreign("hides", 0, "areas", "scrap", value="1"), "not a number"),
    "a negative gap": (foreign("gap", value=-1), "gap"),
    "no count": (foreign("products", 0, "complete", value=...), "products[0].complete: is missing"),
    "half a product": (foreign("products", 0, "complete", value=1.5), "whole number"),
    "two products of one name": (foreign("products", value=FOREIGN["products"] * 2), "two products"),
    "an unknown effort": (foreign("effort", value="heroic"), "unknown “heroic”"),
    "a bad outline of a hide": (foreign("hides", 0, "outline", value=[[0, 0], [1, 1]]), "hides[0]"),
    "a list": ([], "not a table"),
}


@pytest.mark.parametrize("name", SLIPS)
def test_a_slip_in_a_layout_gets_one_line(tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    data, told = SLIPS[name]
    path = tmp_path / "layout.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    assert main(["check", str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert told in err
    assert str(path) in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "not JSON"),
        ("{", "not JSON"),
        ("[1,", "not JSON"),
        ('{"format": NaN}', "not a finite number"),
        ("[" * 100_000, "nests too deep"),
        ('{"gap": 1, "gap": 2}', "given twice"),
    ],
)
def test_a_file_that_is_no_json_is_said_to_be_none(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "layout.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=told):
        read_layout(path)


# --- the command


def check(tmp_path: Path, data: object, *words: str) -> int:
    path = tmp_path / "layout.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    return main(["check", str(path), *words])


def test_a_right_layout_is_said_to_be_right(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert check(tmp_path, layout_to_data(sample())) == 0
    assert "the layout is right: 3 pieces on board, 1 goods complete" in capsys.readouterr().out


def test_each_fault_is_named_with_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = layout_to_data(sample())
    data["gap"] = 60
    assert check(tmp_path, data) == 1
    out = capsys.readouterr().out
    assert "gap: board: “disc” of goods no. 1 and “disc” of goods no. 1 are 40.000 mm apart" in out
    assert "1 fault in 3 pieces" in out


def test_the_result_as_json_is_alone_on_standard_output(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = layout_to_data(sample())
    data["gap"] = 60
    assert check(tmp_path, data, "--json", "--out", str(tmp_path / "found.json")) == 1
    out, err = capsys.readouterr()
    assert err == ""
    result = json.loads(out)
    assert (result["right"], result["faults"][0]["code"]) == (False, "gap")
    assert result["faults"][0]["by"] == pytest.approx(20, abs=1e-6)
    assert (tmp_path / "found.json").read_text(encoding="utf-8") == out


PROJECT = """
format = "hideplan-project-1"
name = "goods"
[[piece]]
name = "back"
shape = { rectangle = [100, "200 mm"] }
along = "across"
"""


def test_a_foreign_layout_says_what_was_not_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert check(tmp_path, FOREIGN) == 0
    out = capsys.readouterr().out
    assert "not checked: the pieces of “goods” are not described" in out
    assert "the layout is right" not in out


@pytest.mark.parametrize(
    ("project", "status", "told"),
    [
        (PROJECT, 0, "the layout is right"),
        (PROJECT.replace("across", "backbone"), 1, "angle: S-07: “back” of goods no. 1 is turned 90°"),
        (PROJECT.replace("200 mm", "201 mm"), 1, "shape: S-07: “back” of goods no. 1 is drawn 1.000 mm off"),
        (PROJECT + "count = 2\n", 1, "“goods” no. 1 has 1 of “back”, and takes 2"),
    ],
)
def test_a_foreign_layout_is_checked_against_the_project(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], project: str, status: int, told: str
) -> None:
    (tmp_path / "goods.toml").write_text(project, encoding="utf-8")
    assert check(tmp_path, FOREIGN, "--project", str(tmp_path / "goods.toml")) == status
    assert told in capsys.readouterr().out


def test_a_projects_thickness_is_the_hides_or_the_one_given(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "goods.toml").write_text(PROJECT.replace("200 mm", "197 + t"), encoding="utf-8")
    words = ("--project", str(tmp_path / "goods.toml"))
    assert check(tmp_path, FOREIGN, *words) == 2
    assert "thickness t" in capsys.readouterr().err
    assert check(tmp_path, FOREIGN, *words, "--thickness", "3 mm") == 0
    assert check(tmp_path, foreign("hides", 0, "thickness", value="2.8-3.2 mm"), *words) == 0
    assert check(tmp_path, FOREIGN, *words, "--thickness", "3") == 2


def test_a_project_of_another_product_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "goods.toml").write_text(PROJECT.replace('"goods"', '"bag"'), encoding="utf-8")
    assert check(tmp_path, FOREIGN, "--project", str(tmp_path / "goods.toml")) == 2
    assert "no product “bag”" in capsys.readouterr().err


# --- planted faults: one change to a right layout's file, and the code it must earn


def _first(data: dict[str, Any]) -> dict[str, Any]:
    return data["hides"][0]["placements"][0]


def _shift(place: dict[str, Any], x: float, y: float) -> None:
    place["x"] += x
    place["y"] += y
    place["outline"] = [[a + x, b + y] for a, b in place["outline"]]


PLANTED: dict[str, tuple[Any, str]] = {
    "a piece moved alone": (lambda d: _first(d).update(x=_first(d)["x"] + 0.02), "shape"),
    "a piece moved off the hide": (lambda d: _shift(_first(d), 5000, 0), "outside"),
    "a piece turned on paper only": (lambda d: _first(d).update(angle=_first(d)["angle"] + 0.01), "shape"),
    "a piece turned over on paper only": (lambda d: _first(d).update(mirrored=True), "mirrored"),
    "a piece laid twice": (lambda d: d["hides"][0]["placements"].append(dict(_first(d))), "overlap"),
    "a piece taken away": (lambda d: d["hides"][0]["placements"].pop(0), "count"),
    "a piece renamed": (lambda d: _first(d).update(piece="lid"), "unknown piece"),
    "a piece of another product": (lambda d: _first(d).update(product="Bag"), "unknown piece"),
    "a piece given to another number": (lambda d: _first(d).update(number=2), "count"),
    "a product more than there is": (lambda d: d["products"][0].update(complete=4, at_most=9), "count"),
    "a product less than there is": (lambda d: d["products"][0].update(complete=2), "count"),
    "a bound below the count": (lambda d: d["products"][0].update(at_most=2), "bound"),
    "a wider gap": (lambda d: d.update(gap=5), "gap"),
    "a wider edge": (lambda d: d["hides"][0].update(edge=60), "outside"),
    "a worse hide": (lambda d: d["hides"][0].update(grade="D"), "grade"),
    "a wider clearance": (lambda d: d["hides"][0]["flaws"][0].update(clearance=90), "flaw"),
    "a hole where pieces lie": (
        lambda d: d["hides"][0].update(holes=[[[a, b], [a + 1, b], [a, b + 1]] for a, b in [_inside(_first(d))]]),
        "flaw",
    ),
    "a zone that is worse": (lambda d: d["hides"][0]["zones"][0].update(outline=d["hides"][0]["outline"]), "grade"),
    "a backbone the other way": (lambda d: d["hides"][0].update(backbone=[[0, 0], [100, 100]]), "angle"),
    "no backbone": (lambda d: d["hides"][0].pop("backbone"), "backbone"),
    "a piece that asks for a thickness": (lambda d: d["pieces"][0].update(thickness="8-10 oz"), "thickness"),
    "a piece that is larger than drawn": (lambda d: d["pieces"][0]["outline"][1].__setitem__(0, 141), "shape"),
    "a count that is higher": (lambda d: d["pieces"][0].update(count=3), "count"),
    "areas that do not add up": (lambda d: d["hides"][0]["areas"].update(scrap=0), "areas"),
    "an offcut under a piece": (lambda d: d["hides"][0]["offcuts"][0].update(outline=_first(d)["outline"]), "offcut"),
}


def _inside(place: dict[str, Any]) -> tuple[float, float]:
    return (
        sum(x for x, _ in place["outline"]) / len(place["outline"]),
        sum(y for _, y in place["outline"]) / len(place["outline"]),
    )


@pytest.fixture(scope="module")
def right() -> dict[str, Any]:
    data = layout_to_data(laid_by_hand())
    assert not faults(layout_from_data(data))
    return data


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_named(right: dict[str, Any], name: str) -> None:
    change, code = PLANTED[name]
    data = copy.deepcopy(right)
    change(data)
    assert code in {fault.code for fault in faults(layout_from_data(data))}


# --- any change at all: read and checked, or refused in one line


def _paths(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [path] * bool(path) + [found for key, value in items for found in _paths(value, (*path, key))]


SMALL = layout_to_data(sample())
ODD = st.one_of(
    st.none(), st.booleans(), st.integers(-3, 10**18), st.floats(), st.text(max_size=4), st.just([]), st.just({}),
    st.lists(st.floats(-50, 1000), min_size=2, max_size=2), st.sampled_from([1e308, -1e308, 10**400, "1 in", "none"]),
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(_paths(SMALL)), ODD)
def test_any_value_anywhere_is_checked_or_refused(path: tuple[Any, ...], value: object) -> None:
    data = copy.deepcopy(SMALL)
    at: Any = data
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    try:
        layout: Layout | None = layout_from_data(data, "file")
        refusal = "file: read"
    except InputError as error:
        layout, refusal = None, str(error)
    assert refusal.startswith("file: ")
    assert "\n" not in refusal
    if layout is None:
        return
    assert all(isinstance(str(fault), str) for fault in faults(layout))
    unchecked(layout)
    layout_text(layout)
