"""Two files given the wrong way round are told as that, whichever command they are given to."""

from __future__ import annotations

import os
import shlex
from pathlib import Path

import pytest

from hides.stock import open_stock
from nesting.commands import main
from nesting.commands.swapped import kind_of

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
HIDE, PROJECT = str(SCENARIO / "side-1.json"), str(SCENARIO / "belt.toml")
ORDER, LEATHERS = str(SCENARIO / "order.toml"), str(SCENARIO / "leathers.toml")


def refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(words) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    return told.err


SWAPPED = {
    "yield": (["yield", PROJECT, HIDE], "belt.toml is a project", "side-1.json a hide", ["yield", HIDE, PROJECT]),
    "compare": (
        ["compare", LEATHERS, PROJECT],
        "leathers.toml is a leathers file",
        "belt.toml a project",
        ["compare", PROJECT, LEATHERS],
    ),
    "batch": (
        ["batch", str(SCENARIO), "--hides", ORDER],
        "scenario is a folder",
        "order.toml an order",
        ["batch", ORDER, "--hides", str(SCENARIO)],
    ),
}


@pytest.mark.parametrize(("words", "one", "other", "right"), SWAPPED.values(), ids=SWAPPED.keys())
def test_two_files_the_wrong_way_round_are_both_named_with_the_command_that_is_right(
    words: list[str], one: str, other: str, right: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    told = refused(words, capsys)
    assert "the wrong way round" in told
    assert one in told
    assert other in told
    assert shlex.split(told.rsplit(": hideplan ", 1)[1]) == right


def test_the_right_command_quotes_names_with_blanks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hide = tmp_path / "my side.json"
    hide.write_bytes(Path(HIDE).read_bytes())
    told = refused(["yield", PROJECT, str(hide)], capsys)
    assert shlex.split(told.rsplit(": hideplan ", 1)[1]) == ["yield", str(hide), PROJECT]


def test_a_layout_and_the_project_it_is_checked_against_are_told_apart(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    layout = tmp_path / "layout.json"
    layout.write_text('{"format": "hideplan-layout-1"}')
    told = refused(["check", PROJECT, "--project", str(layout)], capsys)
    assert f"give the layout first, then the project: hideplan check {layout} --project {PROJECT}" in told


def test_a_corrected_hide_is_named_before_its_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = refused(["stock", "correct", HIDE, "Side-1", "--stock", str(tmp_path / "hides.stock")], capsys)
    assert "the wrong way round" in told
    assert told.endswith(f"give the hide's name first, then its file: Side-1 {HIDE}\n")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["yield", HIDE, HIDE], "name a project file"),
        (["yield", PROJECT, PROJECT], "is TOML"),
        (["yield", HIDE, ORDER], 'a project file says "hideplan-project-1"'),
        (["yield", HIDE, LEATHERS], 'a project file says "hideplan-project-1"'),
        (["batch", PROJECT, "--hides", str(SCENARIO)], 'an order file says "hideplan-order-1"'),
        (["compare", PROJECT, ORDER], 'a leathers file says "hideplan-leathers-1"'),
        (["check", HIDE], 'a layout file says "hideplan-layout-1"'),
    ],
)
def test_one_file_of_another_kind_is_told_by_what_its_place_takes(
    words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    line = refused(words, capsys)
    assert "wrong way round" not in line
    assert told in line


def test_a_file_tells_its_kind_by_what_it_holds(tmp_path: Path) -> None:
    register, flat = tmp_path / "hides.stock", tmp_path / "flat.json"
    with open_stock(register, create=True):
        pass
    flat.write_text('{"format":"hideplan-plan-1","layouts":[]}')
    kinds = {HIDE: "hide", PROJECT: "project", ORDER: "order", LEATHERS: "leathers", str(tmp_path): "folder"}
    kinds |= {str(register): "register", str(flat): "plan", str(SCENARIO / "page.png"): "", "nowhere": "", "\0": ""}
    assert {path: kind_of(path) for path in kinds} == kinds


def test_what_comes_through_a_pipe_is_left_to_its_reader(tmp_path: Path) -> None:
    reading, writing = os.pipe()
    os.write(writing, b'format = "hideplan-project-1"')
    os.close(writing)
    assert kind_of(f"/dev/fd/{reading}") == ""
    assert os.read(reading, 6) == b"format"
    os.close(reading)
