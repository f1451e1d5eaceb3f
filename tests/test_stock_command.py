"""`hideplan stock` as a maker types it, and as a careless or hostile hand does."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from layouts import laid_by_hand
from stocks import folder_of, side, stock_of

from hides.hide import Thickness
from hides.hide_file import read_hide, write_hide
from hides.stock import Status, open_stock
from nesting.commands import main
from nesting.result.layout_file import layout_from_data, layout_to_data, write_layout


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys: pytest.CaptureFixture[str], *words: str, status: int = 0) -> str:
    """What a command prints; its status must be as expected, and an error must be one line."""
    capsys.readouterr()
    got = main(["stock", *words])
    out, err = capsys.readouterr()
    assert got == status, err
    if status == 2:
        assert err.count("\n") == 1, err
        assert err.startswith("hideplan: ")
    return out + err


def test_a_folder_is_added_once_and_what_was_there_is_said(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder_of(home, "S-1", "S-2")
    first = told(capsys, "add", "sides")
    assert "added: S-1 (number 1)" in first
    assert "2 hides added to hides.stock (change 1" in first
    again = told(capsys, "add", "sides", "sides/S-1.json")
    assert "already there: S-2 (number 2, sides/S-2.json)" in again
    assert "0 hides added" in again


def test_the_list_tells_each_hide_and_the_sums(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """800 mm × 1000 mm is 80 dm², and 80 dm² at 10 USD a square foot 86.11 USD."""
    stock_of(home / "hides.stock", "S-1").close()
    lines = told(capsys, "list").splitlines()
    assert lines[0].split("  ")[0] == "no."
    for part in ("S-1", "on the shelf", "side", "4-4.4 mm", "80.0 dm²", "86.11 USD", "bridle", "L-3", "S-1.json"):
        assert part in lines[1]
    assert lines[-1] == "on hand: 1 hide, 80.0 dm², 86.11 USD"


def test_json_holds_the_same_and_nothing_else(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock_of(home / "hides.stock", "S-1", "S-2").close()
    told(capsys, "take", "S-2", "--note", "for the show")
    rows = json.loads(told(capsys, "list", "--json"))
    assert [(row["name"], row["status"]) for row in rows] == [("S-1", "in"), ("S-2", "out")]
    assert rows[0]["area_mm2"] == 800_000
    history = json.loads(told(capsys, "history", "--json"))
    assert (history[-1]["kind"], history[-1]["note"]) == ("take", "for the show")
    assert json.loads(told(capsys, "show", "S-2", "--json"))["history"][-1]["change"] == 2


def test_undo_and_redo_say_which_change_they_are_about(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock_of(home / "hides.stock", "S-1").close()
    told(capsys, "take", "S-1")
    assert "change 2 is undone: take S-1" in told(capsys, "undo")
    assert "change 2 holds again: take S-1" in told(capsys, "redo")
    assert "change 2 is undone: take S-1" in told(capsys, "undo", "--change", "2")
    assert "take, undone" in told(capsys, "history")


def test_a_contact_sheet_has_a_picture_for_each_hide(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock_of(home / "hides.stock", "S-1", "S-2").close()
    told(capsys, "list", "--out", "sheet.html")
    page = (home / "sheet.html").read_text()
    assert page.count("<svg") == 2
    assert "1 · S-1" in page
    told(capsys, "show", "S-1", "--out", "one.svg")
    assert (home / "one.svg").read_text().startswith("<svg")


def shelf_with_the_hide(home: Path) -> None:
    write_hide(home / "s07.json", laid_by_hand().hides[0].hide)
    assert main(["stock", "add", "s07.json"]) == 0


def test_done_commits_a_layout_with_its_offcuts(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    layout = laid_by_hand()
    shelf_with_the_hide(home)
    write_layout(home / "layout.json", layout)
    said = told(capsys, "done", "layout.json")
    assert "S-07 (1 offcut) cut" in said
    with open_stock(home / "hides.stock") as stock:
        kept = [each.hide for each in stock.hides()]
        assert stock.find("S-07").status is Status.CUT
        text = stock.layout(1)
    assert text is not None
    assert layout_from_data(json.loads(text)) == layout_from_data(layout_to_data(layout))
    assert len(kept) == len(layout.hides[0].offcuts)
    assert sum(hide.measured_area for hide in kept) == pytest.approx(layout.hides[0].areas.offcuts, abs=1)
    assert {hide.parent for hide in kept} == {"S-07"}
    assert "“S-07” is cut already" in told(capsys, "done", "layout.json", status=2)
    told(capsys, "check")


def test_done_says_that_a_hide_counts_as_split_where_its_layout_is_of_thinner_leather(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A hide measured anew after its layout was made would else lose its thickness without a word."""
    layout = laid_by_hand()
    hide = layout.hides[0].hide
    write_hide(home / "s07.json", replace(hide, thickness=Thickness(4.0, 4.4)))
    assert main(["stock", "add", "s07.json"]) == 0
    thin = replace(layout, hides=(replace(layout.hides[0], hide=replace(hide, thickness=Thickness(3.0, 3.4))),))
    write_layout(home / "thin.json", thin)
    assert "S-07 counts as split, from 4-4.4 mm to 3-3.4 mm" in told(capsys, "done", "thin.json")
    told(capsys, "undo")
    write_layout(
        home / "same.json",
        replace(thin, hides=(replace(thin.hides[0], hide=replace(hide, thickness=Thickness(4.0, 4.4))),)),
    )
    assert "counts as split" not in told(capsys, "done", "same.json")


def test_done_keeps_only_leftovers_of_the_stated_size(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shelf_with_the_hide(home)
    layout = laid_by_hand()
    write_layout(home / "layout.json", layout)
    told(capsys, "done", "layout.json", "--least-offcut", "10 sq ft")
    with open_stock(home / "hides.stock") as stock:
        assert all(each.hide.measured_area >= 929_030 for each in stock.hides())
        assert len(stock.hides()) < len(layout.hides[0].offcuts)


def test_done_commits_a_plan_as_one_change(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole = laid_by_hand()
    other = replace(whole.hides[0].hide, name="S-08")
    second = replace(whole, hides=(replace(whole.hides[0], hide=other),))
    shelf_with_the_hide(home)
    write_hide(home / "s08.json", other)
    told(capsys, "add", "s08.json")
    plan = {"format": "hideplan-plan-1", "layouts": [layout_to_data(whole), layout_to_data(second)]}
    (home / "plan.json").write_text(json.dumps(plan))
    told(capsys, "done", "plan.json", "--note", "order 12")
    with open_stock(home / "hides.stock") as stock:
        assert [row.name for row in stock.rows((Status.CUT,))] == ["S-07", "S-08"]
        assert (stock.history()[-1].kind, stock.history()[-1].note) == ("cut", "order 12")
        stock.undo()
        assert [row.name for row in stock.rows()] == ["S-07", "S-08"]


def test_done_refuses_a_layout_of_another_hide_of_that_name(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock_of(home / "hides.stock", "S-07").close()
    write_layout(home / "layout.json", laid_by_hand())
    assert "outlines differ" in told(capsys, "done", "layout.json", status=2)


def test_export_writes_files_that_add_knows_again(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock_of(home / "hides.stock", "S-1", "S/2").close()
    told(capsys, "export", "--out", "out")
    assert read_hide(home / "out" / "S-1.json") == side("S-1", 1000)
    assert read_hide(home / "out" / "S_2.json").name == "S/2"
    assert "0 hides added" in told(capsys, "add", "out")
    assert "is there already" in told(capsys, "export", "S-1", "--out", "out", status=2)
    told(capsys, "export", "S-1", "--out", "out", "--replace")


def test_file_names_of_any_bytes_are_kept_as_text(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = "S-1\n\udcff.json"
    write_hide(home / "S-1.json", side("S-1"))
    (home / "S-1.json").rename(home / name)
    told(capsys, "add", name)
    assert r"S-1\x0a\xdcff.json" in told(capsys, "list")


BAD = {
    "no register": ["list"],
    "no action": [],
    "an unknown action": ["lits"],
    "an unknown hide": ["take", "S-9", "--stock", "a.stock"],
    "a number of nothing": ["take", "#99999999999999999999", "--stock", "a.stock"],
    "a name of strange signs": ["show", "\x00\n';--", "--stock", "a.stock"],
    "a name that is no text": ["take", "\udcff", "--stock", "a.stock"],
    "nothing to add": ["add", "none.json"],
    "a folder without hides": ["add", "."],
    "a register in no folder": ["add", "good.json", "--stock", "none/a.stock"],
    "a register that is a folder": ["add", "good.json", "--stock", "."],
    "a register that is a hide file": ["list", "--stock", "good.json"],
    "a register with a strange name": ["list", "--stock", "a\x00b"],
    "a register with a name too long": ["add", "good.json", "--stock", "x" * 300],
    "no undo of that number": ["undo", "--change", "-4", "--stock", "a.stock"],
    "an undo of a huge number": ["undo", "--change", "9" * 30, "--stock", "a.stock"],
    "an undo that is no number": ["undo", "--change", "two", "--stock", "a.stock"],
    "nothing to redo": ["redo", "--stock", "a.stock"],
    "a note of two lines": ["take", "S-1", "--note", "a\nb", "--stock", "a.stock"],
    "a sheet of the wrong kind": ["list", "--out", "a.pdf", "--stock", "a.stock"],
    "a sheet without a name": ["list", "--out", "", "--stock", "a.stock"],
    "a sheet in no folder": ["list", "--out", "none/a.html", "--stock", "a.stock"],
    "a layout that is a hide": ["done", "good.json", "--stock", "a.stock"],
    "a layout that is no file": ["done", ".", "--stock", "a.stock"],
    "a plan without layouts": ["done", "plan.json", "--stock", "a.stock"],
    "a plan with a bad layout": ["done", "plan-2.json", "--stock", "a.stock"],
    "an offcut size that is none": ["done", "good.json", "--least-offcut", "big", "--stock", "a.stock"],
    "an export onto a file": ["export", "--out", "good.json", "--stock", "a.stock"],
    "an export into a file": ["export", "--out", "good.json/x", "--stock", "a.stock"],
}


@pytest.mark.parametrize("name", BAD)
def test_bad_input_gets_one_line_and_changes_nothing(home: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    stock_of(home / "a.stock", "S-1").close()
    write_hide(home / "good.json", side("S-3", 900))
    (home / "plan.json").write_text('{"format": "hideplan-plan-1", "layouts": []}')
    (home / "plan-2.json").write_text('{"format": "hideplan-plan-1", "layouts": [{"format": "hideplan-layout-1"}]}')
    before = {file.name: file.read_bytes() for file in home.iterdir() if file.name != "sides"}
    folder = home / "sides"
    folder.mkdir()
    if name == "a folder without hides":
        BAD[name][1] = str(folder)
    told(capsys, *BAD[name], status=2)
    folder.rmdir()
    assert {file.name: file.read_bytes() for file in home.iterdir()} == before
