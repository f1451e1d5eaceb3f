"""`hideplan trace photo` writes a hide file a maker can use, says in words what it did, and keeps nothing half done."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from camera import CORNERS, SIZE, Camera, as_bytes, known_hide, photograph
from PIL import Image

from hides.errors import InputError
from hides.hide_file import read_hide
from nesting.commands import Parser, trace_photo

CAMERA = Camera(size=(800, 600))


def seen(*points: tuple[float, float]) -> list[str]:
    return [f"{x:.2f},{y:.2f}" for x, y in CAMERA.sees(np.array(points, float))]


MARKS = ["--marks", *seen(*map(tuple, CORNERS))]
SIDES = ["--size", f"{SIZE[0]:g} mm", "1.8 m"]
CHECK = ["--check", *seen((300, 500), (1500, 1400))]


@pytest.fixture(scope="module")
def image(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("photo") / "side-07.jpg"
    path.write_bytes(as_bytes(photograph(known_hide(), "concrete", CAMERA)))
    return path


def traced(*words: str | Path) -> int:
    parser = Parser(prog="hideplan trace photo")
    trace_photo.add_arguments(parser)
    return trace_photo.run(parser.parse_args([str(word) for word in words]))


def size_of(picture: Path) -> tuple[int, int]:
    with Image.open(picture) as opened:
        return opened.size


def test_the_whole_way_from_photo_to_hide_file(image: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, picture = tmp_path / "s07.json", tmp_path / "s07.png"
    described = ["--name", "S-07", "--cut", "side", "--thickness", "10-11 oz", "--area", "20 sq ft", "--price", "9.50 USD per sq ft"]  # fmt: skip  # noqa: E501
    backbone = ["--backbone", *seen((300, 900), (1900, 900))]
    assert (
        traced(image, *MARKS, *SIDES, *CHECK, "1500 mm", *described, *backbone, "--out", out, "--picture", picture) == 0
    )
    hide = read_hide(out)
    assert (hide.name, hide.cut) == ("S-07", "side")
    assert hide.measured_area == pytest.approx(known_hide().area, rel=0.01)
    assert hide.direction == pytest.approx(0, abs=0.1)
    assert hide.cost == pytest.approx(190)
    assert size_of(picture) == CAMERA.size
    told = capsys.readouterr().out
    for words in ("S-07: 1.8", "points", "within 2 mm", "marked 1.858 m²", "good", "proposal", str(out)):
        assert words in told


def test_a_wrong_scale_is_warned_about(image: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert traced(image, *MARKS, *SIDES, *CHECK, "1450 mm") == 0
    told = capsys.readouterr().out
    assert "warning, scale off by more than 1 %" in told
    assert "nothing kept" in told


def test_json_stands_alone_on_standard_output(image: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert traced(image, *MARKS, "--size", "2200", "1800", *CHECK, "1500", "--json") == 0
    result = json.loads(capsys.readouterr().out)
    assert result["hide"]["name"] == "side-07"
    assert result["checks"][0]["good"] is True
    assert result["points"] == len(result["hide"]["outline"])


def test_without_marks_it_says_how_to_find_them(image: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="800 × 600 pixels; give x,y in pixels from the top left"):
        traced(image)
    grid = tmp_path / "grid.png"
    with pytest.raises(InputError, match=r"grid in .*grid\.png"):
        traced(image, "--picture", grid)
    assert size_of(grid) == CAMERA.size


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([*MARKS], "--size: missing"),
        ([*MARKS, "--size", "2200 furlongs", "1 m"], "--size: .*unknown unit"),
        ([*MARKS, "--size", "0", "1 m"], "size: width 0 mm is no size"),
        ([*MARKS, "--size", "nan", "1 m"], "--size: "),
        (["--marks", "1,1", "9;9", "3,3", "4,4", *SIDES], "--marks: “9;9” is no place"),
        (["--marks", "1,1", "2,2", "3,3", "4,4", *SIDES], "marks: .*almost in a line"),
        (["--marks", "1,1", "900,2", "900,500", "1,500", *SIDES], "marks: .*900,2 lies outside"),
        (["--marks", "1,1", "9,9", *SIDES], "2 marks where four or eight are needed"),
        ([*MARKS, *SIDES, "--tolerance", "1 m"], "tolerance: 1000 mm is no tolerance"),
        ([*MARKS, *SIDES, "--price", "9"], "--price: “9” is no price"),
        ([*MARKS, *SIDES, "--cut", "sde"], "cut: .*“side”"),
        ([*MARKS, *SIDES, *CHECK, "0 mm"], "check: 0 mm is no distance"),
        ([*MARKS, *SIDES, "--lens", "9"], "--lens: 9 is no bend of a lens"),
        ([*MARKS, *SIDES, "--picture", "x.jpg"], "does not end in .png"),
    ],
)
def test_bad_arguments_are_one_line_and_write_nothing(
    image: Path, tmp_path: Path, words: list[str], message: str
) -> None:
    out = tmp_path / "s07.json"
    with pytest.raises(InputError, match=message) as caught:
        traced(image, *words, "--out", out)
    assert "\n" not in str(caught.value)
    assert not out.exists()
