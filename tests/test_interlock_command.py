"""`hideplan interlock`: the table, the data, the picture, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from nesting.commands import main

PROJECT = """\
format = "hideplan-project-1"
name = "Wedges"
[[piece]]
name = "wedge"
count = 2
along = "backbone"
shape = { polygon = [[0, 0], [60, 0], [20, 45]] }
[[piece]]
name = "pointed one way"
along = "backbone"
turn = false
shape = { polygon = [[0, 0], [60, 0], [20, 45]] }
"""


@pytest.fixture
def wedges(tmp_path: Path) -> str:
    path = tmp_path / "wedges.toml"
    path.write_text(PROJECT, encoding="utf-8")
    return str(path)


def test_a_triangle_wastes_nothing_head_to_tail_and_a_third_where_it_may_not_turn(
    wedges: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Any triangle tiles; facing one way it fills two thirds (Fáry 1950, from memory)."""
    assert main(["interlock", wedges, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [round(piece["yield"], 6) for piece in told["pieces"]] == [1.0, round(2 / 3, 6)]
    assert [piece["head_to_tail"] for piece in told["pieces"]] == [True, False]


def test_the_answer_explains_its_terms_and_shows_each_piece(wedges: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["interlock", wedges]) == 0
    told = capsys.readouterr().out
    assert "between the pieces" in told
    assert "parallelogram" in told
    assert "one way (may not turn)" in told
    assert "66.7 %" in told
    assert "100.0 %" in told


def test_a_gap_is_waste(wedges: str, capsys: pytest.CaptureFixture[str]) -> None:
    shares = []
    for gap in ("0", "3 mm"):
        main(["interlock", wedges, "--gap", gap, "--json"])
        shares.append(json.loads(capsys.readouterr().out)["pieces"][0]["yield"])
    assert shares[1] < 0.9 < shares[0]


@pytest.mark.parametrize("ending", [".svg", ".png", ".pdf"])
def test_it_is_drawn_by_the_files_ending_and_twice_alike(wedges: str, tmp_path: Path, ending: str) -> None:
    paths = [tmp_path / f"{n}{ending}" for n in (1, 2)]
    for path in paths:
        assert main(["interlock", wedges, "--out", str(path)]) == 0
    assert paths[0].read_bytes() == paths[1].read_bytes()


@pytest.mark.parametrize(
    ("words", "named"),
    [(["--out", "x.bmp"], ".svg"), (["--gap", "wide"], "--gap"), (["--thickness", "thick"], "--thickness")],
)
def test_what_cannot_be_used_is_one_line_that_names_it(
    wedges: str, words: list[str], named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["interlock", wedges, *words]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.splitlines()) == 1
    assert named in told.err


def test_a_project_that_uses_the_leathers_thickness_asks_for_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "loop.toml"
    path.write_text(PROJECT + '[[piece]]\nname = "loop"\nshape = { rectangle = [20, "80 + t"] }\n', encoding="utf-8")
    assert main(["interlock", str(path)]) == 2
    assert "--thickness" in capsys.readouterr().err
    assert main(["interlock", str(path), "--thickness", "3.2 mm"]) == 0


TWO_LEATHERS = """\
format = "hideplan-project-1"
name = "Case"
leather = [{ name = "shell", thickness = "2 mm" }, { name = "lining", thickness = "1 mm" }]
[[piece]]
name = "outside"
leather = "shell"
along = "backbone"
turn = false
shape = { polygon = [[0, 0], [60, 0], [0, "40 + t"]] }
[[piece]]
name = "inside"
leather = "lining"
along = "backbone"
turn = false
shape = { polygon = [[0, "40 + t"], [60, 0], [60, "40 + t"]] }
"""


def assessed(path: Path, text: str, capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    path.write_text(text, encoding="utf-8")
    assert main(["interlock", str(path), "--json", *words]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_leathers_that_the_project_states_need_no_thickness_and_one_that_is_told_is_that_of_all(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "case.toml"
    told = assessed(path, TWO_LEATHERS, capsys)
    assert [piece["area"] for piece in told["pieces"]] == pytest.approx([30 * 42, 30 * 41])
    told = assessed(path, TWO_LEATHERS, capsys, "--thickness", "4 mm")
    assert [piece["area"] for piece in told["pieces"]] == pytest.approx([30 * 44, 30 * 44])
    path.write_text(TWO_LEATHERS.replace(', thickness = "1 mm"', ""), encoding="utf-8")
    assert main(["interlock", str(path)]) == 2
    assert "--thickness" in capsys.readouterr().err


def test_kinds_of_two_leathers_never_share_rows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "case.toml"
    one_leather = TWO_LEATHERS.replace('leather = "lining"', 'leather = "shell"')
    assert assessed(path, one_leather, capsys)["pairs"]
    assert not assessed(path, TWO_LEATHERS, capsys)["pairs"]
