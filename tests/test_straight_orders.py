"""Straight cuts of orders: what the cutter opens to and what a cut takes; and what cannot be cut, in one line."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from layouts import assert_layout_valid
from problems import plain_hide

from hides.hide_file import write_hide
from nesting.commands import main
from nesting.result.layout_file import layout_from_data

STRAP = '[[piece]]\nname = "strap"\nalong = "backbone"\nshape = { rectangle = [30, 300] }\n'
TIE = '[[piece]]\nname = "tie"\nangles = [30]\nshape = { rectangle = [20, 200] }\n'
DISC = '[[piece]]\nname = "disc"\nshape = { circle = 40 }\n'


def workshop(folder: Path, fields: str = "", straight: bool = True, quantity: int = 20) -> list[str]:
    """The words that plan an order of straps from a board of 602 by 318 mm: nine cuts of 2 mm between ten strips."""
    (folder / "hides").mkdir()
    write_hide(folder / "hides" / "board.json", plain_hide(602, 318))
    project(folder, STRAP)
    line = f'[[line]]\nproject = "straps.toml"\nquantity = {quantity}\nstraight = {str(straight).lower()}\n'
    (folder / "order.toml").write_text(f'format = "hideplan-order-1"\n{fields}{line}')
    return ["batch", str(folder / "order.toml"), "--hides", str(folder / "hides"), "--effort", "quick"]


def project(folder: Path, *pieces: str) -> str:
    path = folder / "straps.toml"
    path.write_text('format = "hideplan-project-1"\nname = "straps"\n' + "".join(pieces))
    return str(path)


def test_an_order_says_what_a_cut_takes(tmp_path: Path) -> None:
    words = workshop(tmp_path, 'kerf = "2 mm"\ncutter = ["6 mm", "4 in"]\n')
    plan = tmp_path / "plan.json"
    assert main([*words, "--out", str(plan)]) == 0
    layout = layout_from_data(json.loads(plan.read_text())["layouts"][0])
    assert_layout_valid(layout)
    straight = layout.hides[0].straight
    assert straight is not None
    assert (straight.kerf, len(straight.pieces)) == (2.0, 20)


def test_the_options_stand_in_place_of_what_the_order_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = workshop(tmp_path, 'kerf = "2 mm"\n')
    assert main([*words, "--kerf", "3 mm"]) == 1, "nine cuts of 3 mm do not go between ten strips"
    assert "NOT filled" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("fields", "straight", "told"),
    [
        ('cutter = ["6 mm", "20 mm"]\n', True, "“strap” is 30 mm wide"),
        ('kerf = "2 mm"\n', False, "no line asks"),
        ('kerf = "-2 mm"\n', True, "less than nought"),
        ('cutter = ["6 mm"]\n', True, "pair of widths"),
        ('cutter = ["20 mm", "6 mm"]\n', True, "opens from 20 to 6 mm"),
    ],
)
def test_what_an_order_cannot_ask_is_one_line_with_a_remedy(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], fields: str, straight: bool, told: str
) -> None:
    assert_refused(workshop(tmp_path, fields, straight), told, capsys)


def test_options_for_cuts_that_no_line_asks_for_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = workshop(tmp_path, straight=False)
    assert_refused([*words, "--cutter", "6 mm", "20 mm"], "none are asked for", capsys)


@pytest.mark.parametrize(
    ("pieces", "backbone", "options", "told"),
    [
        ((STRAP,), True, ("--cutter", "6mm", "20mm"), "“strap” is 30 mm wide"),
        ((STRAP, TIE), True, (), "widen the tolerance"),
        ((STRAP,), False, (), "add two points along the backbone"),
        ((STRAP,), True, ("--kerf", "-1mm"), "“-1mm” is less than nought"),
        ((STRAP,), True, ("--kerf", "-1 mm"), "“-1 mm” is less than nought"),
        ((STRAP,), True, ("--cutter", "-9mm", "20mm"), "“-9mm” is less than nought"),
        ((DISC,), True, (), "leave it out"),
    ],
)
def test_what_yield_cannot_cut_straight_is_one_line_with_a_remedy(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    pieces: Sequence[str],
    backbone: bool,
    options: Sequence[str],
    told: str,
) -> None:
    hide = plain_hide(602, 318)
    write_hide(tmp_path / "board.json", hide if backbone else replace(hide, backbone=None))
    words = ["yield", str(tmp_path / "board.json"), project(tmp_path, *pieces), "--effort", "quick", "--straight"]
    assert_refused([*words, *options], told, capsys)


def test_a_hide_without_a_backbone_gives_strips_along_its_longest_edge(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where no piece asks for a direction nothing is refused."""
    write_hide(tmp_path / "board.json", replace(plain_hide(602, 318), backbone=None))
    made = project(tmp_path, STRAP.replace('along = "backbone"\n', ""))
    assert main(["yield", str(tmp_path / "board.json"), made, "--effort", "quick", "--straight"]) == 0
    assert "20 complete products" in capsys.readouterr().out


def assert_refused(words: Sequence[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 2, and one line that says what and, after it, the remedy."""
    assert main(list(words)) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert told in said.err
    assert said.err.count("\n") == 1
    assert ";" in said.err
