"""`hideplan trace`: what is drawn, measured or only known by its area becomes a hide file, or one clear line."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest

from hides.hide import Grade
from hides.hide_file import read_hide
from nesting.commands import main

SVG = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"
 width="1800mm" height="900mm" viewBox="0 0 1800 900">
<g inkscape:groupmode="layer" inkscape:label="Outline" id="layer1"><path id="path12" d="M50 50H1750V850H50z"/></g>
<g inkscape:groupmode="layer" inkscape:label="flaws" id="layer2">
  <circle id="circle3" cx="400" cy="300" r="6"/><ellipse id="brand" cx="900" cy="500" rx="60" ry="40"/></g>
<g inkscape:groupmode="layer" inkscape:label="flaws C" id="layer3"><path id="path9" d="M200 200h80v5h-80z"/></g>
<g inkscape:groupmode="layer" inkscape:label="belly" id="layer4"><rect id="rect7" width="1800" height="200"/></g>
<line inkscape:label="backbone" id="line1" x1="60" y1="840" x2="1740" y2="840"/>
</svg>"""


def hide_dxf(path: Path) -> Path:
    document = ezdxf.new()
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (1500, 0), (1500, 700), (0, 700)], close=True, dxfattribs={"layer": "rim"})
    space.add_circle((300, 300), 8, {"layer": "scars"})
    space.add_circle((600, 300), 8, {"layer": "rim holes"})
    space.add_line((10, 10), (1490, 10), {"layer": "grain"})
    document.saveas(path)
    return path


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    status = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return status, out, err


def test_a_drawing_with_plain_names_needs_no_options(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "S-21.svg").write_text(SVG)
    out = tmp_path / "S-21.json"
    status, said, _ = run(capsys, "trace", "drawing", tmp_path / "S-21.svg", "--zones", "belly=C", "--out", out)
    assert status == 0
    hide = read_hide(out)
    assert (hide.name, hide.measured_area) == ("S-21", 1700 * 800)
    assert [(flaw.kind, flaw.grade) for flaw in hide.flaws] == [
        ("flaw", Grade.NONE),
        ("brand", Grade.NONE),
        ("flaw", Grade.C),
    ]
    assert [(zone.name, zone.grade) for zone in hide.zones] == [("belly", Grade.C)]
    assert hide.backbone == ((60, 60), (1740, 60))
    assert "the outline (by the name “Outline”)" in said


def test_layers_are_said_and_the_outline_is_the_shape_that_holds_all_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "h.json"
    words = ["--flaws", "scars=C", "--holes", "rim holes", "--backbone", "grain", "--thickness", "10-11 oz"]
    words += [
        "--cut",
        "side",
        "--area",
        "11 1/4 sq ft",
        "--price",
        "9.50 USD per sq ft",
        "--edge",
        "5 mm",
        "--name",
        "R-1",
    ]
    status, said, _ = run(capsys, "trace", "drawing", hide_dxf(tmp_path / "r.dxf"), *words, "--out", out)
    assert status == 0
    hide = read_hide(out)
    assert (hide.name, hide.cut, hide.edge, len(hide.holes)) == ("R-1", "side", 5, 1)
    assert hide.flaws[0].kind == "scars"
    assert hide.price is not None
    assert hide.price.per_area == 9.5
    assert "the only closed shape" in said


def test_what_is_not_used_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, said, _ = run(capsys, "trace", "drawing", hide_dxf(tmp_path / "r.dxf"))
    assert status == 0
    assert "the shape that holds all others" in said
    assert "3 shapes are not used: on layer “scars”, on layer “rim holes”, on layer “grain”; say what they are" in said
    assert "No backbone" in said
    assert "nothing kept: give --out FILE" in said


def test_json_stands_alone_on_standard_output(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, said, told = run(capsys, "trace", "drawing", hide_dxf(tmp_path / "r.dxf"), "--json")
    assert status == 0
    result = json.loads(said)
    assert result["hide"]["format"] == "hideplan-hide-1"
    assert result["area"] == 1500 * 700
    assert "outline" in [each["code"] for each in result["findings"]]
    assert "nothing kept" in told


def test_a_table_of_offsets_becomes_a_hide_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "t.csv").write_text("cut, side\nstation, left\n0, 500\n1000, 700\n2000, 300\n")
    out = tmp_path / "t.json"
    status, _, _ = run(capsys, "trace", "offsets", tmp_path / "t.csv", "--name", "S-30", "--out", out)
    assert status == 0
    hide = read_hide(out)
    assert (hide.name, hide.cut, hide.measured_area) == ("S-30", "side", 600 * 1000 + 500 * 1000)


def test_a_typical_outline_says_that_it_is_an_estimate(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "t.json"
    words = ["trace", "typical", "--cut", "side", "--area", "22 3/4 sq ft", "--thickness", "4 mm", "--out", out]
    status, said, _ = run(capsys, *words)
    assert status == 0
    hide = read_hide(out)
    assert hide.estimate
    assert hide.area == pytest.approx(22.75 * 92903.04)
    assert "An estimate: a typical outline, not this hide's own." in said


def test_the_same_input_gives_the_same_bytes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing = hide_dxf(tmp_path / "r.dxf")
    for name in ("a.json", "b.json"):
        run(capsys, "trace", "drawing", drawing, "--out", tmp_path / name)
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()


def svg(body: str, head: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"') -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'


RECT = '<rect id="a" width="90" height="90"/>'
INNER = '<circle id="spot" cx="40" cy="40" r="5"/>'
DRAWINGS: dict[str, tuple[str, list[str], str]] = {
    "nothing in it": ("", [], "is not well-formed XML"),
    "no geometry": (svg("<text>x</text>"), [], "holds no shape"),
    "only open lines": (svg('<path id="p" d="M0 0H90V90"/>'), [], "“p”: is open, from"),
    "two outlines": (svg(RECT + '<rect id="b" x="100" width="90" height="90"/>'), [], "of which none holds all others"),
    "an outline that crosses itself": (svg('<path id="p" d="M0 0 90 90 90 0 0 90z"/>'), [], "“p”: crosses itself near"),
    "an unknown outline": (svg(RECT), ["--outline", "c"], "unknown layer or id “c”"),
    "an unknown layer of flaws": (svg(RECT), ["--flaws", "scars"], "unknown layer or id “scars”"),
    "an unknown grade": (svg(RECT + INNER), ["--flaws", "spot=E"], "“E” is no grade; use A, B, C, D, none"),
    "a zone without grade": (
        svg(RECT + INNER),
        ["--zones", "spot"],
        'a zone does not say its grade; say it: --zones "spot=C"',
    ),
    "a ring for a backbone": (svg(RECT + INNER), ["--backbone", "spot"], "the backbone is a ring"),
    "a flaw outside": (
        svg(RECT + '<circle id="spot" cx="150" cy="40" r="5"/>'),
        ["--flaws", "spot"],
        "flaws[0].outline: lies wholly outside the hide",
    ),
    "a hide of a square millimetre": (svg('<rect width="1" height="1"/>'), [], "outline: has an area of 1 mm²"),
    "no unit": (svg(RECT, 'viewBox="0 0 200 100"'), [], "does not say its size; say --units mm, cm or in"),
    "an unknown unit": (svg(RECT), ["--units", "px"], "argument --units: invalid choice: 'px'"),
    "a thickness without unit": (svg(RECT), ["--thickness", "10"], "--thickness: “10” has no unit of thickness"),
    "an area without unit": (svg(RECT), ["--area", "22"], "--area: “22” has no known unit of area"),
    "a negative edge": (svg(RECT), ["--edge", "-3 mm"], "--edge: is “-3 mm”; give 0 or more"),
    "a price of words": (svg(RECT), ["--price", "cheap"], "--price: “cheap” is no price of leather"),
    "an unknown cut": (svg(RECT), ["--cut", "sides"], "argument --cut: invalid choice: 'sides'"),
    "an entity bomb": ('<!DOCTYPE s [<!ENTITY a "b">]>' + svg(RECT), [], "declares XML entities"),
}


def assert_one_line(status: int, out: str, err: str, told: str) -> None:
    assert status == 2
    assert out == ""
    assert re.fullmatch(r"hideplan: [^\n]+\n", err)
    assert told in err
    assert "Traceback" not in err


@pytest.mark.parametrize(("content", "words", "told"), DRAWINGS.values(), ids=DRAWINGS.keys())
def test_a_drawing_that_cannot_be_used_leaves_one_line_and_no_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: str, words: list[str], told: str
) -> None:
    (tmp_path / "h.svg").write_text(content)
    status, out, err = run(capsys, "trace", "drawing", tmp_path / "h.svg", *words, "--out", tmp_path / "h.json")
    assert_one_line(status, out, err, told)
    assert [path.name for path in tmp_path.iterdir()] == ["h.svg"]


OTHERS: dict[str, tuple[list[str], str]] = {
    "no way": (["trace"], "the following arguments are required: WAY"),
    "an unknown way": (["trace", "guess"], "invalid choice: 'guess'"),
    "no file": (["trace", "drawing"], "the following arguments are required: FILE"),
    "a missing drawing": (["trace", "drawing", "none.dxf"], "none.dxf: cannot be read"),
    "another kind of drawing": (["trace", "drawing", "h.pdf"], "h.pdf: "),
    "a missing table": (["trace", "offsets", "none.csv"], "none.csv: cannot be read"),
    "typical without area": (["trace", "typical", "--cut", "side"], "the following arguments are required: --area"),
    "a typical offcut": (["trace", "typical", "--cut", "offcut", "--area", "3 sq ft"], "unknown cut “offcut”"),
    "a typical of no area": (["trace", "typical", "--cut", "side", "--area", "0 m2"], "--area: '0 m2' is no area"),
    "a folder that is not there": (
        ["trace", "typical", "--cut", "side", "--area", "2 m2", "--out", "/none/h.json"],
        "/none/h.json: cannot be written",
    ),
}


@pytest.mark.parametrize(("words", "told"), OTHERS.values(), ids=OTHERS.keys())
def test_a_slip_on_the_command_line_is_one_line(
    capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    status, out, err = run(capsys, *words)
    assert_one_line(status, out, err, told)


def test_a_file_that_stood_there_is_kept_when_the_drawing_cannot_be_used(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "h.svg").write_text(svg(""))
    (tmp_path / "h.json").write_text("before")
    run(capsys, "trace", "drawing", tmp_path / "h.svg", "--out", tmp_path / "h.json")
    assert (tmp_path / "h.json").read_text() == "before"


@pytest.mark.parametrize("change", [lambda text: text[:200], lambda text: text.replace("path", "pth")])
def test_a_damaged_drawing_never_ends_in_a_traceback(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: Callable[[str], str]
) -> None:
    (tmp_path / "h.svg").write_text(change(SVG))
    status, _, err = run(capsys, "trace", "drawing", tmp_path / "h.svg")
    assert status in (0, 2)
    assert "Traceback" not in err
