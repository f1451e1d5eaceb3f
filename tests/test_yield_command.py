"""`hideplan yield` from the command line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from nesting.commands import main

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
RACK, BEND = str(SCENARIO / "map-rack.toml"), str(SCENARIO / "bend-1.json")


def test_the_answer_the_layout_and_the_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The whole main job: words on the terminal, a layout that passes `check`, a PDF."""
    layout, sheet = tmp_path / "layout.json", tmp_path / "sheet.pdf"
    assert main(["yield", BEND, RACK, "--effort", "quick", "--out", str(layout), "--sheet", str(sheet)]) == 0
    told = capsys.readouterr().out
    assert "complete products of Map rack" in told
    assert "No layout can give more than" in told or "Proven best" in told
    assert sheet.read_bytes().startswith(b"%PDF")
    assert main(["check", str(layout)]) == 0
    held = json.loads(layout.read_text())["products"][0]
    assert 2 <= held["complete"] <= held["at_most"]


def test_json_holds_the_answer_and_the_layout_and_nothing_else(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["yield", BEND, RACK, "--effort", "quick", "--gap", "2 mm", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["layout"]["format"] == "hideplan-layout-1"
    assert told["layout"]["gap"] == 2


@pytest.mark.parametrize(
    "words",
    [
        ["yield"],
        ["yield", BEND],
        ["yield", "nowhere.json", RACK],
        ["yield", BEND, "nowhere.toml"],
        ["yield", RACK, BEND],
        ["yield", BEND, RACK, "--gap", "-1 mm"],
        ["yield", BEND, RACK, "--gap", "wide"],
        ["yield", BEND, RACK, "--gap", "nan"],
        ["yield", BEND, RACK, "--edge", "3 parsec"],
        ["yield", BEND, RACK, "--seed", "one"],
        ["yield", BEND, RACK, "--seed", "-1"],
        ["yield", BEND, RACK, "--time", "0"],
        ["yield", BEND, RACK, "--time", "inf"],
        ["yield", BEND, RACK, "--effort", "heroic"],
        ["yeild", BEND, RACK],
    ],
)
def test_unusable_words_are_told_in_one_line(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("hideplan: ")
    assert told.err.count("\n") == 1


def test_nothing_is_written_where_the_folder_is_missing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["yield", BEND, RACK, "--effort", "quick", "--out", str(tmp_path / "no" / "layout.json")]) == 2
    assert "cannot be written" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_behind_standard_output_is_one_line() -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "nesting", "--help"], stdout=full, stderr=subprocess.PIPE, text=True
        )
    assert "Traceback" not in done.stderr


def test_help_loads_none_of_the_heavy_libraries() -> None:
    """So that it comes at once."""
    asked = "import sys, atexit; from nesting.commands import main; atexit.register(lambda: print(sorted(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", f"{asked}; main(['--help'])"], check=True, capture_output=True, text=True
    )
    assert "sub-commands" in done.stdout or "usage" in done.stdout
    assert not [name for name in ("numpy", "shapely", "numba", "ortools", "matplotlib") if f"'{name}'" in done.stdout]
