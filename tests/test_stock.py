"""The register: every change is one transaction, told in the history, and can be taken back."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from stocks import box, cut_of, folder_of, side, stock_of

from hides.errors import InputError
from hides.hide import Hide, Ring
from hides.hide_file import write_hide
from hides.stock import Cut, Status, Stock, hides_from, open_stock, read_folder
from hides.stock.audit import faults
from hides.stock.listing import entries
from hides.stock.picture import picture
from hides.stock.register import ALL


def names(stock: Stock, *statuses: Status) -> list[str]:
    return [row.name for row in stock.rows(statuses or (Status.IN,))]


def test_what_is_added_comes_back_the_same_in_the_order_it_came(tmp_path: Path) -> None:
    hides = [side("S-2"), side("S-1", 1200), side("S-3", 900)]
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        stock.add([(hide, "x.json") for hide in hides])
    with open_stock(tmp_path / "a.stock") as stock:
        assert [each.hide for each in stock.hides()] == hides
        assert [each.source for each in stock.hides()] == ["x.json"] * 3


def test_the_same_content_is_never_added_twice_whatever_its_file(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        again = stock.add([(side("S-1"), "copy.json"), (side("S-9", 870), "new.json"), (side("S-9", 870), "twin.json")])
        assert [row.name for row in again.known] == ["S-1"]
        assert [row.name for row in again.added] == ["S-9"]
        nothing = stock.add([(side("S-1"), "copy.json")])
        assert (nothing.change, nothing.added) == (0, ())
        assert len(stock.history()) == 2


def test_another_hide_of_a_name_on_hand_is_refused_and_nothing_is_added(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        with pytest.raises(InputError, match="another hide called “S-1” is on hand"):
            stock.add([(side("S-5"), "s5.json"), (side("S-1", 840), "other.json")])
        assert names(stock) == ["S-1"]
        assert len(stock.history()) == 1


def test_a_name_is_free_again_once_its_hide_is_cut(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
        stock.add([(side("S-1", 840), "new.json")])
        assert names(stock) == ["S-1.1", "S-1.2", "S-1"]
        assert stock.find("S-1").status is Status.IN
        with pytest.raises(InputError, match="another hide is called “S-1” by now"):
            stock.undo(2)
        assert faults(stock) == []


def test_a_cut_marks_the_hide_keeps_its_layout_and_shelves_its_offcuts(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        change = stock.commit_cuts([cut_of(stock, "S-1", "the layout")], "order 12")
        cut, (first, second) = stock.find("S-1"), [each for each in stock.hides() if each.parent]
        assert (cut.status, stock.layout(cut.id)) == (Status.CUT, "the layout")
        assert (first.hide.name, first.hide.cut, first.hide.parent, first.parent) == ("S-1.1", "offcut", "S-1", cut.id)
        assert (first.hide.lot, first.hide.leather, first.hide.price) == ("L-3", "bridle", side("S-1").price)
        assert [flaw.kind for flaw in first.hide.flaws] == ["scar"]
        assert [flaw.kind for flaw in second.hide.flaws] == ["hole"]
        assert (stock.history()[-1].id, stock.history()[-1].note) == (change, "order 12")
        assert names(stock) == ["S-2", "S-1.1", "S-1.2"]


def test_a_commit_of_which_one_cut_fails_changes_nothing(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        stock.commit_cuts([cut_of(stock, "S-2")])
        before = stock.rows(tuple(Status))
        with pytest.raises(InputError, match="“S-2” is cut already"):
            stock.commit_cuts([cut_of(stock, "S-1"), cut_of(stock, "S-2")])
        with pytest.raises(InputError, match="no hide number 99"):
            stock.commit_cuts([cut_of(stock, "S-1"), Cut(99, "{}")])
        with pytest.raises(InputError, match="“S-1” is cut already"):
            stock.commit_cuts([cut_of(stock, "S-1"), cut_of(stock, "S-1")])
        assert stock.rows(tuple(Status)) == before
        assert len(stock.history()) == 2


def test_offcuts_of_offcuts_keep_their_line_of_parents_and_the_area_left_adds_up(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
        part = stock.find("S-1.1")
        smaller = Hide("S-1.1.1", box(600, 500, 700, 600), cut="offcut", parent="S-1.1")
        stock.commit_cuts([Cut(part.id, "{}", [smaller])])
        found, _ = entries(stock, ALL)
        left = {entry.stock_hide.hide.name: entry.area_left for entry in found}
        assert left == pytest.approx({"S-1": 39_000, "S-1.1": 10_000, "S-1.2": 29_000, "S-1.1.1": 10_000})


def test_an_offcut_whose_name_is_taken_gets_a_number_after_it(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-1.1") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
        assert names(stock) == ["S-1.1", "S-1.1 (2)", "S-1.2"]


def test_taking_out_and_putting_back_are_told_and_refuse_what_is_not_there(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        stock.take(["S-1"], "on the bench")
        assert (names(stock), names(stock, Status.OUT)) == (["S-2"], ["S-1"])
        with pytest.raises(InputError, match="“S-1” is taken out; only what is on the shelf"):
            stock.take(["S-2", "S-1"])
        with pytest.raises(InputError, match="“S-2” is on the shelf"):
            stock.put_back(["S-2"])
        with pytest.raises(InputError, match="unknown hide “S-7”"):
            stock.take(["S-7"])
        with pytest.raises(InputError, match="no hide is named"):
            stock.take([])
        stock.put_back(["1"])
        assert names(stock) == ["S-1", "S-2"]


def test_a_hide_that_was_taken_out_can_be_cut_and_undo_leaves_it_out(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.take(["S-1"])
        stock.commit_cuts([cut_of(stock, "S-1")])
        stock.undo()
        assert (names(stock), names(stock, Status.OUT)) == ([], ["S-1"])


def test_undo_and_redo_walk_the_history_as_an_editor_does(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        stock.take(["S-2"])
        stock.commit_cuts([cut_of(stock, "S-1")])
        seen = [stock.rows(ALL)]
        for _ in range(3):
            stock.undo()
            seen.append(stock.rows(ALL))
        assert seen[3] == []
        with pytest.raises(InputError, match="nothing to undo"):
            stock.undo()
        for then in (2, 1, 0):
            stock.redo()
            assert stock.rows(ALL) == seen[then]
        with pytest.raises(InputError, match="nothing to redo"):
            stock.redo()
        assert [change.kind for change in stock.history()] == ["add", "take", "cut", *["undo"] * 3, *["redo"] * 3]
        assert stock.layout(1) is not None
        assert faults(stock) == []


def test_a_new_change_after_an_undo_ends_what_redo_could_take_back(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        stock.take(["S-2"])
        stock.undo()
        stock.take(["S-1"])
        with pytest.raises(InputError, match="nothing to redo"):
            stock.redo()


def test_an_earlier_change_is_undone_only_if_nothing_since_stands_on_it(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
        stock.take(["S-1.1"])
        stock.take(["S-2"])
        with pytest.raises(InputError, match=r"“S-1\.1” has changed since; undo change 3 first"):
            stock.undo(2)
        stock.undo(3)
        stock.undo(2)
        with pytest.raises(InputError, match="undone already"):
            stock.undo(2)
        with pytest.raises(InputError, match="there is no change 77"):
            stock.undo(77)
        assert (names(stock), names(stock, Status.OUT)) == (["S-1"], ["S-2"])


def test_a_hide_whose_addition_was_undone_can_be_added_again_under_its_number(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.undo()
        assert stock.rows(ALL) == []
        assert [row.id for row in stock.add([(side("S-1"), "s1.json")]).added] == [1]


STEPS = st.lists(
    st.tuples(st.sampled_from(["add", "take", "back", "cut", "undo", "redo"]), st.integers(0, 5)), max_size=14
)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_after_any_changes_the_register_agrees_with_its_history(tmp_path: Path, steps: list[tuple[str, int]]) -> None:
    """And undoing everything leads back to an empty shelf, redoing everything to where it was."""
    path = tmp_path / "any.stock"
    path.unlink(missing_ok=True)
    with open_stock(path, create=True) as stock:
        for kind, which in steps:
            try_it(stock, kind, f"S-{which}")
        assert faults(stock) == []
        end, undone = stock.rows(ALL), 0
        while any(change.in_force and change.kind not in ("undo", "redo") for change in stock.history()):
            stock.undo()
            undone += 1
        assert stock.rows(ALL) == []
        for _ in range(undone):
            stock.redo()
        assert stock.rows(ALL) == end
        assert faults(stock) == []


def try_it(stock: Stock, kind: str, name: str) -> None:
    acts = {
        "add": lambda: stock.add([(side(name), f"{name}.json")]),
        "take": lambda: stock.take([name]),
        "back": lambda: stock.put_back([name]),
        "cut": lambda: stock.commit_cuts([cut_of(stock, name)]),
        "undo": stock.undo,
        "redo": stock.redo,
    }
    try:
        acts[kind]()
    except InputError:
        return


def test_a_folder_and_a_register_give_the_same_hides(tmp_path: Path) -> None:
    folder = folder_of(tmp_path, "S-1", "S-2", "S-3")
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        stock.add(read_folder(folder))
    from_folder, from_stock = hides_from(folder), hides_from(tmp_path / "a.stock")
    assert [each.hide for each in from_folder] == [each.hide for each in from_stock]
    assert [each.id for each in from_folder] == [0, 0, 0]
    assert [each.id for each in from_stock] == [1, 2, 3]


def test_a_folders_other_files_of_hideplan_are_passed_over_aloud(tmp_path: Path) -> None:
    folder, told = folder_of(tmp_path, "S-1"), []
    (folder / "plan.json").write_text('{"format": "hideplan-plan-1"}')
    (folder / "note.txt").write_text("buy wax")
    assert [each.hide.name for each in hides_from(folder, told.append)] == ["S-1"]
    assert len(told) == 1
    assert "plan.json" in told[0]


def test_a_folder_with_one_bad_file_or_none_or_two_of_a_name_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="holds no hide files"):
        hides_from(tmp_path)
    with pytest.raises(InputError, match="neither there as a folder nor as a register"):
        hides_from(tmp_path / "missing")
    folder = folder_of(tmp_path, "S-1")
    write_hide(folder / "z.json", side("S-1", 855))
    with pytest.raises(InputError, match=r"z\.json: name: is called “S-1”"):
        hides_from(folder)
    (folder / "z.json").write_text("{")
    with pytest.raises(InputError, match=r"z\.json: is not JSON"):
        hides_from(folder)


def test_a_picture_draws_only_what_lies_on_the_leather_and_escapes_names() -> None:
    drawn = picture(side("<S & Co>"))
    assert "&lt;S &amp; Co&gt;" in drawn
    assert drawn.count("<path") == 5  # leather, hole, scar, outline, backbone
    assert "nan" not in drawn


@pytest.mark.parametrize(
    ("outline", "drawn"),
    [
        (box(1000, 500, 2000, 900), (6, 44.4, 234, 135.6)),  # as wide as goes: 228 px for 1000 mm
        (box(-100, -300, 100, 900), (106, 6, 134, 174)),  # as high as goes: 168 px for 1200 mm
    ],
)
def test_a_picture_fills_its_frame_but_for_six_pixels_and_lies_in_its_middle(
    outline: Ring, drawn: tuple[float, ...]
) -> None:
    path = re.search(r'<path d="M([^"]*)Z"', picture(Hide("S", outline)))
    assert path
    points = [tuple(map(float, pair.split())) for pair in path[1].split("L")]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx(drawn, abs=0.05)


def test_a_list_tells_the_area_that_is_marked_on_a_hide_and_none_where_none_is(tmp_path: Path) -> None:
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        stock.add([(replace(side("S-1"), area=654_321.678), ""), (side("S-2"), "")])
        told = [entry.to_data()["marked_area_mm2"] for entry in entries(stock, ALL)[0]]
    assert told == [654_321.7, None]


def test_two_hides_of_one_name_cut_one_after_the_other_keep_their_own_offcuts(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S") as stock:
        stock.commit_cuts([cut_of(stock, "S")])
        first = stock.rows()
        stock.commit_cuts([cut_of(stock, row.name) for row in first])
        stock.add([(side("S", 840), "another.json")])
        parent = stock.find("S").id
        offcuts = cut_of(stock, "S").offcuts
        alike = [first[0].read("").hide, first[1].read("").hide]  # as content they are the first S's own offcuts
        change = stock.commit_cuts([Cut(parent, "the second layout", tuple(alike))])
        new = [row for row in stock.rows() if row.parent == parent]
        assert len(new) == len(offcuts)
        assert {row.id for row in new}.isdisjoint(row.id for row in first)
        assert [row.name for row in new] == [f"{row.name} (2)" for row in first]
        assert [stock.find(f"#{row.id}").status for row in first] == [Status.CUT] * 2
        assert faults(stock) == []
        stock.undo(change)
        stock.redo()
        assert faults(stock) == []


def test_the_audit_finds_an_offcut_that_another_hides_cut_brought_back(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S") as stock:
        stock.commit_cuts([cut_of(stock, "S")])
        old = stock.rows()[0]
        stock.commit_cuts([cut_of(stock, old.name)])
        stock.add([(side("T"), "t.json")])
        change = stock.commit_cuts([cut_of(stock, "T")])
        assert faults(stock) == []
        stock._database.execute("INSERT INTO step VALUES (?, ?, 'cut', 'in')", (change, old.id))
        stock._database.execute("UPDATE hide SET status = 'in' WHERE id = ?", (old.id,))
        assert any("brings back" in fault for fault in faults(stock))


def test_an_offcut_whose_cut_was_taken_back_is_not_added_as_a_hide_of_its_own(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S") as stock:
        stock.commit_cuts([cut_of(stock, "S")])
        offcut = stock.rows()[0].read("").hide
        stock.undo()
        with pytest.raises(InputError, match="in the register already"):
            stock.add([(offcut, "offcut.json")])
        assert faults(stock) == []
