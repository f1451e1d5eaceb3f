"""`hideplan sheet`: all that is asked for or nothing; what fails its check is not drawn; one line for bad words."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from layouts import laid_by_hand

from nesting.commands import main
from nesting.model.layout import HideLayout, Layout
from nesting.result.areas import account
from nesting.result.layout_file import write_layout


@pytest.fixture(scope="module")
def layout() -> Layout:
    return laid_by_hand(complete=1)


@pytest.fixture
def file(layout: Layout, tmp_path: Path) -> Path:
    path = tmp_path / "layout.json"
    write_layout(path, layout)
    return path


def test_every_kind_of_file_is_written_by_its_ending(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    starts = {"a.pdf": b"%PDF", "a.svg": b"<?xml", "a.dxf": b"  0\n", "a.png": b"\x89PNG", "a.csv": b"hide,"}
    words = [word for name in starts for word in ("--out", str(file.with_name(name)))]
    assert main(["sheet", str(file), *words]) == 0
    for name, start in starts.items():
        assert file.with_name(name).read_bytes().startswith(start)
    assert capsys.readouterr().out.count("wrote") == 5


def test_patterns_and_json(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = str(file.with_name("p.pdf"))
    assert main(["sheet", str(file), "--patterns", target, "--units", "in", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["written"] == [{"kind": "patterns", "file": target}]


def test_a_layout_that_fails_its_check_is_not_drawn(
    layout: Layout, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    each = layout.hides[0]
    first, *rest = each.placements
    moved = replace(first, x=first.x + 900, outline=tuple((x + 900, y) for x, y in first.outline))
    write_layout(file, replace(layout, hides=(replace(each, placements=(moved, *rest)),)))
    out = file.with_name("a.csv")
    assert main(["sheet", str(file), "--out", str(out)]) == 1
    assert not out.exists()
    told = capsys.readouterr().err
    assert "fails its check" in told
    assert told.count("\n") == 1


def test_two_hides_share_a_cut_sheet_but_not_a_drawing(
    layout: Layout, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    one = layout.hides[0]
    areas, offcuts = account(one.hide, [], 0.0)
    empty = HideLayout(replace(one.hide, name="S-08"), (), areas, offcuts)
    both = replace(layout, hides=(one, empty))
    write_layout(file, both)
    csv = str(file.with_name("a.csv"))
    svg = str(file.with_name("a.svg"))
    assert main(["sheet", str(file), "--out", csv]) == 0
    assert main(["sheet", str(file), "--out", svg]) == 2
    assert "S-07, S-08" in capsys.readouterr().err
    assert main(["sheet", str(file), "--out", svg, "--hide", "2"]) == 0
    assert main(["sheet", str(file), "--out", svg, "--hide", "S-08"]) == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "nothing to write"),
        (["--out", "a.txt"], "names no kind of file"),
        (["--out", "a"], "names no kind of file"),
        (["--csv", "layout.json"], "written over"),
        (["--csv", "x.csv", "--svg", "x.csv"], "written over"),
        (["--out", "a.csv", "--hide", "none such"], "no hide"),
        (["--out", "a.csv", "--hide", "0"], "no hide"),
        (["--out", "missing/a.csv"], "cannot be written"),
        (["--out", "a.csv", "--paper", "A9"], "--paper"),
        (["--out", "a.csv", "--units", "ell"], "--units"),
        (["--out", "a.csv", "--fraction", "7"], "--fraction"),
    ],
)
def test_words_that_cannot_be_used_are_told_in_one_line(
    file: Path, words: list[str], told: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(file.parent)
    before = file.read_bytes()
    assert main(["sheet", "layout.json", *words]) == 2
    error = capsys.readouterr().err
    assert told in error
    assert error.count("\n") == 1
    assert file.read_bytes() == before
    assert sorted(path.name for path in file.parent.iterdir()) == ["layout.json"]
