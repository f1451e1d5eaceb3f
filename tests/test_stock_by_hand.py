"""What the register says, asks and refuses, figure by figure: lists, books, parting, folders, its own audit."""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from boards import board, laid, lain
from boards import box as rect
from stocks import PRICE, box, cut_of, side, stock_of

from hides.errors import InputError
from hides.fields import Fields
from hides.hide import Flaw, Grade, Hide, Price, Thickness, Zone
from hides.hide_file import write_hide
from hides.offcut import offcuts
from hides.stock import Account, Cut, Status, open_stock
from hides.stock.audit import faults, replay
from hides.stock.content import text_of
from hides.stock.database import _copy, _free, changed, is_changing
from hides.stock.folder import hides_from, read_files, read_folder
from hides.stock.ledger import Balance, LedgerLine, balances
from hides.stock.ledger import cut as cut_lines
from hides.stock.listing import Entry, entries, one
from hides.stock.money import Value, by_area, price_of, priced, share
from hides.stock.picture import SHADES, _on, picture
from hides.stock.register import ALL, printable
from hides.stock.values import Change, HideStep, StockHide
from nesting.model.layout import BegunProduct, Layout
from nesting.model.product import Piece
from nesting.model.value_table import USUAL, ValueTable
from nesting.result.layout_file import layout_to_data
from nesting.stock.books import books_of, books_text, moved_text
from nesting.stock.done import _as_split, _split_cost, cuts_of, layouts_of, split_remarks
from nesting.stock.parting import flat_price_in, noted, parting_of, parting_to_data, table_in
from nesting.stock.past_cuts import past_cuts
from nesting.stock.sheet import contact_sheet
from nesting.stock.split import charged_share, graded, kept_values, split
from nesting.stock.table import (
    change_text,
    columns,
    details,
    hides_text,
    history_table,
    stock_table,
    sums,
    thickness_text,
)

PANEL = Piece("panel", rect(0, 0, 100, 200))


def refused(words: str, call: Any, *given: Any) -> None:
    with pytest.raises(InputError, match=re.escape(words)):
        call(*given)


# --- money


def test_an_amount_is_parted_by_the_largest_remainders_and_the_first_of_equals() -> None:
    assert share(100, [1, 2, 0, 3]) == [17, 33, 0, 50]
    assert share(7, [1, 1, 1]) == [3, 2, 2]
    assert share(0, [0.0, 2.0]) == [0, 0]
    assert share(3, [0, 0]) == [2, 1]
    assert share(10, [1, 3]) == [3, 7]


def test_a_price_comes_to_cents_and_a_value_to_a_price() -> None:
    """800,000 mm² at 10 a square foot of 92,903.04 mm² are 86.11."""
    assert price_of(side("S")) == Value(8611, "USD")
    assert price_of(replace(side("S"), price=None)) is None
    dear = priced(side("S"), Value(16_000, "EUR"))
    assert dear.price is not None
    assert (dear.cost, dear.price.currency) == (pytest.approx(160), "EUR")
    assert (dear.price.per_mm2, dear.price.unit) == (pytest.approx(160 / 800_000), "sq ft")
    assert dear.price.per_area == pytest.approx(160 / 800_000 * 92_903.04)
    bare = priced(replace(side("S"), price=None), Value(16_000, "EUR"))
    assert bare.price is not None
    assert (bare.price.per_area, bare.price.unit) == (pytest.approx(200), "m2")
    assert priced(side("S"), None) == priced(side("S"), Value(8611, "USD")) == side("S")
    assert Value(1250, "USD").amount == 12.5


def test_offcuts_keep_by_area_and_the_rest_is_charged() -> None:
    quarter = Hide("q", box(0, 0, 500, 400))
    assert by_area(side("S"), [quarter, quarter], 1000) == [250, 250]
    assert by_area(quarter, [side("S")], 1000) == [1000]
    assert by_area(side("S"), [], 1000) == []


# --- books


LINES = [
    *cut_lines(1, Value(900, "USD"), {2: 200, 3: 100}),
    LedgerLine(1, Account.PAID, "USD", -1500), LedgerLine(1, Account.SHELF, "USD", 1500),
    LedgerLine(4, Account.SHELF, "USD", -300), LedgerLine(4, Account.SOLD, "USD", 300),
    LedgerLine(5, Account.SHELF, "USD", -50), LedgerLine(5, Account.WRITTEN_OFF, "USD", 50),
    LedgerLine(6, Account.PAID, "EUR", -7), LedgerLine(6, Account.SHELF, "EUR", 7),
]  # fmt: skip


def test_books_tell_where_what_was_paid_stands() -> None:
    euro, dollar = balances(LINES)
    assert dollar == Balance("USD", 1500, 600, 550, 300, 50)
    assert euro == Balance("EUR", 7, 0, 7, 0, 0)
    assert dollar.balances
    for name in ("paid", "charged", "on_shelf", "sold", "written_off"):
        assert not replace(dollar, **{name: getattr(dollar, name) + 1}).balances
    assert dollar.to_data() == {
        "currency": "USD", "paid": 15, "charged": 6, "on_shelf": 5.5, "sold": 3, "written_off": 0.5
    }  # fmt: skip
    assert cut_lines(1, Value(900, "USD"), {2: 200})[1] == LedgerLine(1, Account.CHARGED, "USD", 700)
    assert books_text([dollar, euro]).splitlines()[:6] == [
        "paid for hides, freight and all          15.00 USD",
        "  charged to what was cut                 6.00 USD",
        "  on the shelf                            5.50 USD",
        "  sold whole                              3.00 USD",
        "  written off                             0.50 USD",
        "",
    ]


def test_what_one_change_moved_is_told() -> None:
    posted = [(2 if line.currency == "EUR" else 1, line) for line in LINES]
    assert books_of(posted, 2) == [
        {"account": "paid", "currency": "EUR", "amount": -0.07},
        {"account": "shelf", "currency": "EUR", "amount": 0.07},
    ]  # fmt: skip
    assert moved_text(posted, 2) == "0.07 EUR paid"
    assert moved_text(posted, 1) == "6.00 USD charged, 15.00 USD paid, 3.00 USD sold, 0.50 USD written off"
    assert moved_text(posted, 3) == ""
    none = [(1, LINES[0]), (1, replace(LINES[0], cents=-LINES[0].cents))]
    assert books_of(none, 1) == []


# --- lists


def entry(hide: Hide, left: float = 0.0, **own: Any) -> Entry:
    return Entry(StockHide(7, hide, **own), left)


def test_a_list_has_columns_as_wide_as_they_need_to_be() -> None:
    assert columns(("a", "long"), [["wider", "x"], ["", "y"]]) == ["a      long", "wider  x", "       y"]
    long = entry(replace(side("S"), leather="x" * 41, lot="y" * 40), source="abcdefghij" * 5)
    line = stock_table([long]).splitlines()[1]
    assert "x" * 18 + "..." + "x" * 19 + "  " + "y" * 40 in line
    assert line.endswith("abcdefghijabcdefgh...bcdefghijabcdefghij")


def test_sums_count_what_is_on_hand_by_currency() -> None:
    euro = replace(side("E"), price=replace(PRICE, currency="EUR"))
    listed = [
        entry(side("S"), 800_000), entry(side("T"), 800_000, status=Status.OUT), entry(euro, 100_000),
        entry(replace(side("F"), price=None), 1000), entry(side("C"), 9e9, status=Status.CUT),
    ]  # fmt: skip
    assert sums(listed) == "on hand: 4 hides, 170.1 dm², 86.11 EUR, 172.22 USD"
    assert sums([]) == "on hand: 0 hides, 0.0 dm²"
    odd = entry(replace(side("O"), price=Price(6.254e-6, "USD", 0.06254, "dm2"), area=1e5), 1)
    assert odd.stock_hide.hide.cost == pytest.approx(0.6254)
    assert sums([odd] * 3).endswith("1.89 USD"), "as a column of three times 0.63 adds up; the cost itself is 1.876"
    inches = entry(replace(side("I"), units="in", price=None), 92_903.04)
    assert sums([inches, entry(replace(side("S"), price=None), 92_903.04)]) == "on hand: 2 hides, 2.00 sq ft"
    assert sums([entry(replace(side("S"), units="in", price=None), 929_030.4)]) == "on hand: 1 hide, 10.00 sq ft"


def test_everything_that_is_known_of_a_hide_is_told() -> None:
    hide = replace(
        side("S"), area=810_000.0, zones=(Zone("belly", box(0, 0, 100, 800)), Zone("neck", box(900, 0, 1000, 800))),
        holes=(box(300, 300, 310, 310),), parent="Q", estimate=True,
    )  # fmt: skip
    told = dict(details(entry(hide, 400_000, parent=3, reserved="Ada", note="soft")))
    assert told == {
        "where": "on the shelf", "cut": "side", "grade": "A", "thickness": "4-4.4 mm",
        "area left": "40.0 dm² (estimate)",
        "area measured": "80.0 dm²", "area marked": "81.0 dm²", "cost": "87.19 USD", "leather": "bridle", "lot": "L-3",
        "flaws": "3", "zones": "belly, neck", "from": "", "kept for": "Ada", "note": "soft", "parent": "Q (number 3)",
    }  # fmt: skip
    plain = dict(details(entry(Hide("P", box(0, 0, 10, 10)))))
    assert [plain[name] for name in ("area marked", "cost", "leather", "lot", "zones", "kept for", "note")] == ["–"] * 7
    assert "parent" not in plain


@pytest.mark.parametrize(
    ("given", "units", "text"),
    [
        (None, "mm", "–"),
        (Thickness(2.0, 2.0), "mm", "2 mm"),
        (Thickness(2.04, 2.07), "mm", "2-2.1 mm"),
        (Thickness(3.175, 3.96875), "in", "8-10 oz"),
        (Thickness(3.175, 3.175), "in", "8 oz"),
    ],
)
def test_thickness_is_told_in_the_hides_own_units(given: Thickness | None, units: str, text: str) -> None:
    """An ounce is 1/64 in: 8 oz are 3.175 mm (common practice)."""
    assert thickness_text(given, units) == text


def test_a_history_tells_kinds_names_and_what_was_undone() -> None:
    steps = tuple(HideStep(n, f"S-{n}", Status.GONE, Status.IN) for n in range(1, 6))
    added = Change(1, "2026-11-28T10:11:12+00:00", "add", "n" * 41, steps)
    undone = Change(2, "2026-11-28T10:11:13+00:00", "undo", "", steps[:4], 1, False)
    assert (change_text(added), change_text(undone)) == ("add", "undo of 1, undone")
    assert (hides_text(added), hides_text(undone)) == ("S-1, S-2, S-3, S-4 and 1 more", "S-1, S-2, S-3, S-4")
    parted = HideStep(1, "S-1", Status.IN, Status.CUT), *(replace(step, was=Status.GONE) for step in steps[1:])
    whole = HideStep(1, "S-1", Status.CUT, Status.IN), HideStep(2, "S-2", Status.IN, Status.GONE)
    assert hides_text(replace(added, kind="cut", steps=parted)) == "S-1 (4 offcuts)"
    assert hides_text(replace(undone, steps=whole)) == "S-1 (1 offcut)"
    lines = history_table([added, undone], [(1, LINES[1])]).splitlines()
    assert lines[1].startswith("1    2026-11-28 10:11:12  add")
    assert lines[1].endswith(f"  {'n' * 18}...{'n' * 19}")
    assert "S-4 and 1 more  6.00 USD charged  n" in lines[1]
    assert lines[2].split("  ")[-1] == "S-1, S-2, S-3, S-4"


def test_json_of_a_list_has_every_figure(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
        found, wrong = entries(stock, ALL)
        told = {each.stock_hide.hide.name: each.to_data() for each in found}
        assert one(stock, stock.find("S-1.1")).area_left == pytest.approx(60_000)
    assert wrong == []
    first, small = told["S-1"], told["S-1.2"]
    assert (first["number"], first["status"], first["area_mm2"], first["area_left_mm2"]) == (1, "cut", 800_000, 89_000)
    assert (small["area_mm2"], small["area_left_mm2"], small["parent"], first["parent"]) == (29_000, 29_000, 1, None)
    assert (first["thickness_mm"], first["cost"], first["currency"]) == ([4.0, 4.4], 86.11, "USD")
    bare = Entry(StockHide(0, Hide("P", box(0, 0, 10, 10.06), area=55.55)), 1.26).to_data()
    assert (bare["cost"], bare["currency"], bare["thickness_mm"]) == (None, None, None)
    assert (bare["area_mm2"], bare["area_left_mm2"], bare["marked_area_mm2"]) == (100.6, 1.3, 55.5)


def test_a_picture_is_drawn_to_the_tenth_of_a_pixel() -> None:
    """A board of 200 by 100 in a frame of 112 by 62: half a pixel to the millimetre, six all round."""
    hide = Hide("S", box(0, 0, 200, 100), backbone=((0, 50), (200, 50)), grade=Grade.B, holes=(box(20, 20, 40, 40),),
                flaws=(Flaw("scar", box(180, 0, 220, 20), Grade.A), Flaw("cut", box(300, 0, 320, 20), Grade.C),
                       Flaw("edge", box(200, 0, 220, 20), Grade.C)),
                zones=(Zone("belly", box(0, 80, 200, 100), Grade.D),))  # fmt: skip
    drawn = picture(hide, 112, 62)
    assert 'viewBox="0 0 112 62" width="112" height="62"' in drawn
    assert 'd="M6.0 56.0L106.0 56.0L106.0 6.0L6.0 6.0ZM16.0 46.0L26.0 46.0L26.0 36.0L16.0 36.0Z"' in drawn
    assert '<path d="M6.0 31.0L106.0 31.0"' in drawn
    assert '<circle cx="6.0" cy="31.0" r="2"' in drawn
    assert (drawn.count(SHADES[Grade.B]), drawn.count(SHADES[Grade.D]), drawn.count(SHADES[Grade.C])) == (2, 1, 0)
    assert "96.0 46.0" in drawn
    assert drawn.count('stroke-dasharray="3 2"') == 1
    far = replace(hide, outline=box(300, 400, 500, 500), holes=())
    assert 'd="M6.0 75.0L106.0 75.0L106.0 25.0L6.0 25.0Z"' in picture(far, 112, 100)
    assert 'd="M26.0 56.0L126.0 56.0L126.0 6.0L26.0 6.0Z"' in picture(far, 152, 62)


# --- the register


def test_a_text_is_one_line_whatever_its_bytes() -> None:
    assert printable("Bünd\n7\x00") == "Bünd\\x0a7\\x00"
    assert printable("a\udcffb") == "a\\xdcffb"


def test_a_hide_is_found_by_its_name_first_and_by_its_number(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "1", "S-3") as stock:
        assert [stock.find(name).id for name in ("S-1", "1", "#1", "3", "#2")] == [1, 2, 1, 3, 2]
        for name in ("4", "#9", "0" * 11 + "1", "-1", "S-4"):
            refused("unknown hide", stock.find, name)
        assert stock.find("0" * 10 + "1").id == 1
    with open_stock(tmp_path / "b.stock", create=True) as empty, pytest.raises(InputError, match="none"):
        empty.find("S")
    with stock_of(tmp_path / "a.stock") as stock:
        stock.take(["3"])
        assert [each.id for each in stock.hides()] == [1, 2]
        assert [each.id for each in stock.hides(available_only=False)] == [1, 2, 3]


def test_what_is_not_on_hand_is_refused_in_its_own_words(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2", "S-3", "S-4") as stock:
        for call in (stock.take, stock.put_back, stock.sell, stock.lose):
            refused("no hide is named", call, [])
        refused("there is nothing to commit", stock.commit_cuts, [])
        stock.sell(["S-1"])
        stock.lose(["S-2"])
        stock.commit_cuts([cut_of(stock, "S-3")])
        refused("“S-1” is sold", stock.take, ["S-1"])
        refused("“S-2” is written off", stock.sell, ["S-2"])
        refused("“S-3” is cut already", stock.lose, ["S-3"])
        refused("“S-4” is on the shelf", stock.put_back, ["S-4"])
        refused("“S-3” is cut already", stock.commit_cuts, [Cut(3, "{}")])
        refused("there is no hide number 99", stock.commit_cuts, [Cut(99, "{}")])
        refused("says nothing new of “S-4”", stock.correct, "S-4", side("S-4", 1003), "f")
        refused("“S-1” is sold", stock.remark, ["S-1"], "note", "x")
        assert [change.kind for change in stock.history()] == ["add", "sell", "lose", "cut"]
        assert stock.remark(["S-4"], "reserved", "Ada") == 5
        assert stock.history()[-1].kind == "reserve"


def test_a_hide_described_anew_is_kept_for_the_same_person_and_bears_the_same_note(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.remark(["S-1"], "reserved", "Ada")
        stock.remark(["S-1"], "note", "soft")
        stock.correct("S-1", side("S-1", 900), "f")
        assert [(own.reserved, own.note) for own in stock.hides()] == [("Ada", "soft")]
        stock.remark(["S-1"], "reserved", "")
        stock.undo()
        stock.undo()
        assert [(own.reserved, own.note, own.hide.measured_area) for own in stock.hides()] == [
            ("Ada", "soft", side("S-1").measured_area)
        ]


def test_a_list_says_whom_hides_are_kept_for_and_what_was_noted() -> None:
    plain, kept = entry(side("S")), entry(side("T"), reserved="Ada", note="soft")
    assert stock_table([plain, kept]).splitlines()[2].endswith("  kept for Ada; soft")
    assert "remark" not in stock_table([plain])


def test_offcuts_are_worth_no_more_than_their_hide(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        cut = cut_of(stock, "S-1")
        for values in ([8611, 1], [-1, 5]):
            refused("would be worth more than it is", stock.commit_cuts, [replace(cut, values=values)])
        stock.commit_cuts([replace(cut, values=[8611, 0])])
        assert [row.value for row in stock.rows()] == [Value(8611, "USD"), None]
        assert stock.books() == [Balance("USD", 8611, 0, 8611, 0, 0)]


def test_freight_is_shared_by_area_in_the_hides_currency(tmp_path: Path) -> None:
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        hides = [(side("S", 1000), ""), (replace(side("T", 3000), price=None), "")]
        refused("the freight is in EUR", lambda: stock.add(hides, freight=Value(400, "EUR")))
        stock.add(hides, freight=Value(400, "USD"))
        assert [row.value for row in stock.rows()] == [Value(8711, "USD"), Value(300, "USD")]
        assert stock.add(hides, freight=Value(400, "USD")).change == 0
        assert len(stock.history()) == 1


def test_undo_tells_what_stands_in_its_way(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1", "S-2") as stock:
        refused("there is nothing to redo", stock.redo)
        stock.take(["S-1", "S-2"])
        stock.remark(["S-2"], "note", "soft")
        refused("change 1 cannot be undone by itself: “S-1” has changed since", stock.undo, 1)
        with pytest.raises(InputError, match="undo change 2 first"):
            stock.undo(1)
        refused("there is no change 9", stock.undo, 9)
        assert [stock.undo(), stock.undo(), stock.undo()] == [4, 5, 6]
        refused("there is nothing to undo", stock.undo)
        refused("change 1 is undone already", stock.undo, 1)
        assert stock.redo() == 7
        assert [change.kind for change in stock.history()][3:] == ["undo"] * 3 + ["redo"]
        stock.remark(["S-1"], "note", "x")
        refused("there is nothing to redo", stock.redo)


def test_a_name_that_another_hide_took_keeps_a_change_from_being_undone(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.sell(["S-1"])
        stock.add([(side("S-1", 700), "")])
        with pytest.raises(InputError, match="another hide is called “S-1” by now; it is number 2"):
            stock.undo(2)
        stock.lose(["S-1"])
        stock.undo(2)


def test_a_change_under_way_is_known_to_the_process(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    before = len(changed())
    with stock_of(path, "S-1") as stock:
        assert changed()[before:] == [path, path]
        with stock._changing():
            assert is_changing()
        assert not is_changing()
        with pytest.raises(InputError):
            stock.take(["S-9"])
        assert not is_changing()
        assert len(changed()) == before + 3


def test_a_copy_gets_a_name_that_is_free(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    assert _free(path, "b").name == "b"
    (tmp_path / "b").touch()
    assert _free(path, "b").name == "b-2"
    (tmp_path / "b-2").touch()
    assert _free(path, "b").name == "b-3"


def test_what_cannot_be_a_register_is_told(tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.touch()
    refused("there is no such register", open_stock, tmp_path / "none")
    refused("is empty, no register yet", open_stock, empty)
    refused("is a folder, not a register", open_stock, tmp_path)
    refused("cannot be opened (embedded null byte)", open_stock, "\0")
    other = tmp_path / "other"
    with closing(sqlite3.connect(other)) as plain, plain:
        plain.execute("CREATE TABLE t (a)")
    refused("is not a register of hides", open_stock, other)
    with pytest.raises(InputError, match="is not a register of hides"):
        open_stock(other, create=True)
    (tmp_path / "text").write_text("hello, this is a text and no database at all")
    refused("is not a register of hides (it is no SQLite file)", open_stock, tmp_path / "text")


# --- the audit


def tampered(path: Path, *statements: str) -> list[str]:
    with closing(sqlite3.connect(path)) as plain, plain:
        for statement in statements:
            plain.execute(statement)
    with open_stock(path) as stock:
        return faults(stock)


@pytest.fixture
def cut_stock(tmp_path: Path) -> Path:
    path = tmp_path / "a.stock"
    with stock_of(path, "S-1", "S-2") as stock:
        stock.commit_cuts([cut_of(stock, "S-1")])
    return path


def test_an_audit_finds_nothing_in_a_sound_register(cut_stock: Path) -> None:
    assert tampered(cut_stock) == []


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("DELETE FROM layout", "“S-1” (number 1) is cut, but has no layout"),
        ("UPDATE hide SET content = 'x' WHERE id = 2", "its content in the register is damaged"),
        ("UPDATE step SET was = 'out' WHERE hide = 1 AND change = 2", "change 2 takes “S-1” for out, but it was in"),
        ("UPDATE hide SET parent = 2 WHERE id = 3", "“S-1.1” (number 3) is an offcut of “S-2”, which is not cut"),
        ("UPDATE hide SET parent = NULL WHERE id = 3", "change 2 puts back “S-1.1” (number 3), which is no offcut of"),
        ("INSERT INTO change (at, kind, note) VALUES ('', 'take', '')", "change 3 touches no hide"),
        (
            "UPDATE entry SET cents = cents - 150 WHERE account = 'charged'",
            "the books of change 2 are off by -1.50 USD",
        ),
        ("UPDATE entry SET account = 'shelf' WHERE account = 'charged'", "“S-1” (number 1) is cut, but worth "),
        ("UPDATE hide SET status = 'lost' WHERE id = 2", "“S-2” (number 2) is lost, but its history says in"),
        ("UPDATE entry SET cents = -cents WHERE hide = 2", "“S-2” (number 2) is in, but worth -86.20 USD in the books"),
    ],
)
def test_an_audit_finds_what_does_not_agree(cut_stock: Path, statement: str, said: str) -> None:
    assert any(said in fault for fault in tampered(cut_stock, statement)), tampered(cut_stock)


def test_an_audit_finds_what_came_back_after_it_had_left(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    with stock_of(path, "S-1") as stock:
        stock.lose(["S-1"])
    found = tampered(
        path,
        "INSERT INTO change (at, kind, note) VALUES ('', 'back', '')",
        "INSERT INTO step VALUES (3, 1, 'lost', 'in')",
        "UPDATE hide SET status = 'in' WHERE id = 1",
    )
    assert found == ["change 3 brings back “S-1” (number 1), which was lost"]


def test_a_replay_gives_the_status_that_the_history_leads_to() -> None:
    into, out = HideStep(1, "S", Status.GONE, Status.IN), HideStep(1, "S", Status.IN, Status.OUT)
    assert replay([Change(1, "", "add", "", (into,)), Change(2, "", "take", "", (out,))]) == ({1: Status.OUT}, [])
    assert replay([Change(1, "", "take", "", (out,))]) == (
        {1: Status.OUT}, ["change 1 takes “S” for in, but it was gone"]
    )  # fmt: skip


# --- folders


def test_a_folder_tells_what_it_passes_over_and_refuses_a_name_twice(tmp_path: Path) -> None:
    heard: list[str] = []
    refused("is neither there as a folder nor as a register", hides_from, tmp_path / "none")
    refused("holds no hide files", read_folder, tmp_path)
    write_hide(tmp_path / "b.JSON", side("S-1"))
    write_hide(tmp_path / "a.json", side("S-2"))
    (tmp_path / "c.txt").touch()
    (tmp_path / "d.json").mkdir()
    assert [(each.id, each.hide.name) for each in hides_from(tmp_path, heard.append)] == [(0, "S-2"), (0, "S-1")]
    assert heard == []
    for n in range(1, 5):
        (tmp_path / f"p{n}.json").write_text(json.dumps({"format": "hideplan-layout-1"}))
        read_folder(tmp_path, heard.append)
    assert [text.split(": ", 1)[1] for text in heard] == [
        "1 passed over, no hide files: p1.json",
        "2 passed over, no hide files: p1.json, p2.json",
        "3 passed over, no hide files: p1.json, p2.json, p3.json",
        "4 passed over, no hide files: p1.json, p2.json, p3.json, ...",
    ]
    assert len(read_files([tmp_path / "a.json", tmp_path])) == 3
    write_hide(tmp_path / "e.json", side("S-2"))
    refused("is called “S-2” as", hides_from, tmp_path)
    (tmp_path / "e.json").write_text("[]")
    with pytest.raises(InputError, match=r"e\.json"):
        read_folder(tmp_path)
    (tmp_path / "e.json").write_text('{"format": 3}')
    with pytest.raises(InputError, match=r"e\.json"):
        read_folder(tmp_path)


# --- parting


def test_a_parting_is_written_and_read_back(tmp_path: Path) -> None:
    table, flat = ValueTable((1.0, 0.9, 0.5, 0.2, 0.0), 0.1), Price(8 / 92_903.04, "USD", 8, "sq ft")
    for given in (table, flat, ValueTable()):
        path = tmp_path / "plan.json"
        path.write_text(json.dumps({"parting": parting_to_data(given)}))
        assert parting_of(path) == given
    path.write_text("{}")
    assert parting_of(path) == USUAL
    path.write_text("[]")
    assert parting_of(path) == USUAL
    assert noted("cut", USUAL) == "cut"
    assert noted("cut", flat) == "cut; parted at 8 USD a sq ft of offcut"
    assert noted("cut", table) == "cut; parted by area and grade (A 1, B 0.9, C 0.5, D 0.2); waste 0.1"


@pytest.mark.parametrize(
    ("given", "right"),
    [({"A": 0}, True), ({"A": 1000}, True), ({"A": -0.1}, False), ({"D": 1000.1}, False), ({"scrap": 1000}, True),
     ({"scrap": 1001}, False), ({"scrap": -1}, False), ({"scrap": 0}, True)],
)  # fmt: skip
def test_values_of_grades_lie_from_nought_to_a_thousand(given: dict[str, float], right: bool) -> None:
    fields = Fields.of(given, ("A", "B", "C", "D", "scrap"), "f", "parting")
    if right:
        assert table_in(fields).grades[4] == 0
        assert table_in(fields).scrap == given.get("scrap", 0)
    else:
        refused("f: parting", table_in, fields)


@pytest.mark.parametrize(("per", "right"), [(0, True), (1e6, True), (-1, False), (1e6 + 0.5, False)])
def test_a_flat_price_is_by_area(per: float, right: bool) -> None:
    fields = Fields.of({"per_area": per, "unit": "dm2", "currency": "USD"}, ("per_area", "unit", "currency"), "f", "p")
    if right:
        assert flat_price_in(fields) == Price(per / 10_000, "USD", per, "dm2")
    else:
        refused("f: p.per_area", flat_price_in, fields)


def layout_of(hide: Hide, *offcut: Any, number: int = 1, begun: bool = False) -> Layout:
    made = laid(hide, [PANEL], [lain(PANEL, 400, 100, number=number)], complete=0 if begun else 1)
    if begun:
        told = replace(made.counts[0], next=BegunProduct(1, 1, ()))
        made = replace(made, counts=(told,))
    return replace(made, hides=(replace(made.hides[0], offcuts=offcut),))


def test_a_hides_cost_is_parted_by_the_leather_that_lies_under_each_part() -> None:
    """A panel of 20,000 mm², half of it on grade B: 10,000 + 8000. An offcut of 10,000 on grade A."""
    hide = board(zones=(Zone("poor", rect(400, 200, 100, 100), Grade.B),))
    (on,) = layout_of(hide, rect(700, 100, 100, 100)).hides
    assert split(on, 2800, ValueTable()).products == {"goods": 1800}
    got = split(on, 2800, ValueTable())
    assert (got.offcuts, got.scrap, got.charged) == ((1000,), 0, 1800)
    assert charged_share(on, ValueTable()) == pytest.approx(1800 / 2800)
    assert charged_share(replace(on, placements=()), ValueTable()) == 1.0
    waste = split(on, 85_000, ValueTable(scrap=0.1))
    assert (waste.products["goods"], waste.offcuts, waste.scrap) == (18_000, (10_000,), 57_000)
    assert waste.charged == 75_000
    nothing = split(on, 3 * 10**7, ValueTable((0.0, 0.0, 0.0, 0.0, 0.0)))
    assert (nothing.products["goods"], nothing.offcuts, nothing.scrap) == (2 * 10**7, (10**7,), 0)
    (whole,) = layout_of(board(outline=rect(400, 100, 100, 200))).hides
    assert split(whole, 10**6, ValueTable(scrap=1.0)).scrap == 0
    (half,) = layout_of(board(outline=rect(400, 100, 200, 200))).hides
    assert split(half, 10**6, ValueTable(scrap=1.0)).scrap == 500_000
    flat = Price(0.05, "USD", 0.05, "mm2")
    assert kept_values(on, 10**6, flat) == [50_000]
    assert kept_values(on, 10_000, flat) == [10_000]
    assert kept_values(on, 2800, ValueTable()) == [1000]
    assert kept_values(replace(on, offcuts=()), 2800, flat) == []


def test_leather_is_graded_by_the_worst_mark_and_not_twice() -> None:
    marks = board(grade=Grade.B, flaws=(Flaw("cut", rect(0, 0, 100, 100), Grade.NONE),),
                  zones=(Zone("belly", rect(0, 0, 200, 100), Grade.C),
                         Zone("fine", rect(500, 0, 100, 100), Grade.A)))  # fmt: skip
    assert [(grade, round(part.area)) for grade, part in graded(marks)] == [
        (Grade.B, 580_000), (Grade.C, 10_000), (Grade.D, 0), (Grade.NONE, 10_000),
    ]  # fmt: skip


# --- cuts


def test_cuts_keep_leftovers_of_the_least_size_in_the_thickness_they_were_split_to(tmp_path: Path) -> None:
    hide = replace(side("S"), flaws=())
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        stock.add([(hide, "")])
        small, large = rect(600, 300, 100, 100), rect(600, 500, 200, 100)
        for least, many in ((0.0, 2), (10_000.0, 2), (10_000.1, 1), (30_000.0, 0)):
            (cut,) = cuts_of(stock, [layout_of(hide, small, large)], "f", least)
            assert len(cut.offcuts) == many
            assert cut.values is not None
            assert len(cut.values) == many
        thin = replace(hide, thickness=Thickness(2.0, 2.2))
        for own, high in (
            (thin, 2.2),
            (replace(hide, thickness=None), 4.4),
            (replace(hide, thickness=Thickness(5, 6)), 4.4),
        ):
            (cut,) = cuts_of(stock, [layout_of(own, large)], "f")
            assert cut.offcuts[0].thickness is not None
            assert cut.offcuts[0].thickness.high == high
        nick = ((0, 0), (1000, 0), (1000, 799), (999, 799), (999, 800), (0, 800))  # just a square millimetre
        for outline, right in ((box(0, 0, 1000.00124, 800), True), (nick, True), (box(0, 0, 1000.00126, 800), False)):
            other = replace(hide, outline=outline)
            if right:
                assert len(cuts_of(stock, [layout_of(other)], "f")) == 1
            else:
                refused("is not the one in", lambda other=other: cuts_of(stock, [layout_of(other)], "f"))


def test_pieces_of_a_product_only_begun_are_cut_only_where_it_is_said(tmp_path: Path) -> None:
    hide = side("S")
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        stock.add([(hide, "")])
        for begun in (False, True):
            (cut,) = cuts_of(stock, [layout_of(hide, begun=True)], "f", begun=begun)
            assert len(json.loads(cut.layout)["hides"][0]["placements"]) == int(begun)


def test_a_plan_holds_layouts_and_tells_which_is_wrong(tmp_path: Path) -> None:
    data = layout_to_data(layout_of(side("S")))
    path = tmp_path / "plan.json"
    path.write_text(json.dumps({"format": "hideplan-plan-1", "layouts": [data, data]}))
    assert [len(each.hides) for each in layouts_of(path)] == [1, 1]
    path.write_text(json.dumps(data))
    assert len(layouts_of(path)) == 1
    for listed in ([], "x", None):
        path.write_text(json.dumps({"format": "hideplan-plan-1", "layouts": listed}))
        refused("no list of layouts", layouts_of, path)
    path.write_text(json.dumps({"format": "hideplan-plan-1", "layouts": [data, {}]}))
    with pytest.raises(InputError, match=r"layouts\[1\]"):
        layouts_of(path)


def test_past_cuts_are_of_bought_hides_the_latest_first(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    assert past_cuts(tmp_path) == []
    with stock_of(path, "S-1", "S-2", "S-3", "S-4") as stock:
        for name, length in (("S-1", 1000), ("S-2", 1001)):
            made = layout_of(side(name, length))
            made = replace(made, counts=(replace(made.counts[0], complete=3),))
            text = json.dumps(layout_to_data(made))
            stock.commit_cuts([Cut(stock.find(name).id, text, offcuts(side(name, length), [box(600, 500, 900, 700)]))])
        stock.commit_cuts([Cut(stock.find("S-1.1").id, text), Cut(3, "{"), Cut(4, text)])
    got = past_cuts(path)
    assert [(each.hides[0].hide.name, each.counts[0].complete) for each in got] == [("S-2", 1), ("S-1", 1)]


def test_a_register_says_of_itself_what_it_is(tmp_path: Path) -> None:
    """The header of an SQLite file (“Database File Format”, sqlite.org): user version at byte 60, application at 68."""
    stock_of(tmp_path / "a.stock", "S-1").close()
    header = (tmp_path / "a.stock").read_bytes()[:100]
    assert (header[60:64], header[68:72]) == (b"\0\0\0\2", b"HIDE")


def test_a_picture_is_240_by_180_unless_told() -> None:
    assert 'viewBox="0 0 240 180" width="240" height="180"' in picture(side("S"))


def test_a_hide_is_kept_as_one_text_in_its_own_letters() -> None:
    text = text_of(Hide("Bünd", box(0, 0, 10, 10)))
    assert "Bünd" in text
    assert ": " not in text
    assert list(json.loads(text)) == sorted(json.loads(text))


def test_offcuts_of_a_hide_without_a_price_are_worth_nothing(tmp_path: Path) -> None:
    hide = replace(side("S"), price=None)
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        stock.add([(hide, "")])
        (cut,) = cuts_of(stock, [layout_of(hide, rect(600, 500, 200, 100))], "f")
        assert cut.values == [0]
        stock.commit_cuts([cut])
        assert stock.books() == []


def test_a_hide_cut_anew_after_an_undo_has_the_same_offcuts(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", "S") as stock:
        stock.commit_cuts([cut_of(stock, "S")])
        first = [(row.id, row.name) for row in stock.rows()]
        stock.undo()
        stock.commit_cuts([cut_of(stock, "S")])
        assert [(row.id, row.name) for row in stock.rows()] == first


def test_a_card_of_the_sheet_shows_what_is_known_and_no_more() -> None:
    page = contact_sheet(
        [entry(replace(side("S"), lot=""), 800_000, note="soft", reserved="Ada", source="s.json")], "T"
    )
    shown = re.findall("<dt>([^<]*)</dt><dd>([^<]*)</dd>", page)
    assert [name for name, _ in shown] == [
        "where", "cut", "grade", "thickness", "area left", "cost", "leather", "flaws", "from"
    ]  # fmt: skip
    assert dict(shown)["from"] == "s.json"
    assert "<h2>7 · S</h2>" in page


def test_what_is_not_said_is_as_usual(tmp_path: Path) -> None:
    """A hide was bought, a change is in force and reverses nothing; small leftovers are kept, nothing begun is cut."""
    bought, change = StockHide(0, side("S")), Change(1, "", "add", "", ())
    assert (bought.status, bought.parent, change.reverses, change.in_force) == (Status.IN, 0, 0, True)
    with open_stock(tmp_path / "a.stock", create=True) as stock:
        stock.add([(side("S"), "")])
        (cut,) = cuts_of(stock, [layout_of(side("S"), rect(600, 500, 0.9, 1), begun=True)], "f")
        assert len(cut.offcuts) == 1
        assert json.loads(cut.layout)["hides"][0]["placements"] == []
    assert Cut(1, "").work == 0


def test_json_of_a_list_says_whom_a_hide_is_kept_for_and_what_was_noted() -> None:
    kept = Entry(StockHide(1, side("S"), reserved="Ada", note="soft"), 1.0).to_data()
    assert (kept["reserved"], kept["note"]) == ("Ada", "soft")
    plain = Entry(StockHide(1, Hide("P", box(0, 0, 10, 10.016))), 1.0).to_data()
    assert (plain["reserved"], plain["note"], plain["area_mm2"]) == (None, None, 100.2)


def test_an_offcut_that_is_all_of_a_hide_keeps_all_it_is_worth() -> None:
    assert by_area(side("S"), [side("S")], 10**9) == [10**9]


def test_a_flaw_on_the_leather_is_drawn_with_all_its_corners() -> None:
    (ring,) = _on(side("S"), box(700, 600, 760, 610))
    assert set(ring) == set(box(700, 600, 760, 610))


def test_twenty_names_are_told_of_those_that_could_be_meant(tmp_path: Path) -> None:
    with stock_of(tmp_path / "a.stock", *(f"S-{n:02}" for n in range(30))) as stock:
        with pytest.raises(InputError) as told:
            stock.find("X")
        assert len(re.findall(r"S-\d\d", str(told.value))) == 20


def test_a_copy_holds_what_the_register_holds_and_may_be_read_as_it_may(tmp_path: Path) -> None:
    path, backup = tmp_path / "a.stock", tmp_path / "b.stock"
    stock_of(path, "S-1", "S-2").close()
    path.chmod(0o640)
    _copy(path, backup)
    assert backup.stat().st_mode & 0o777 == 0o640
    with open_stock(backup) as stock:
        assert [row.name for row in stock.rows()] == ["S-1", "S-2"]


def test_work_on_a_hide_adds_to_what_its_offcuts_share(tmp_path: Path) -> None:
    """86.11 for the hide and 20.00 for splitting it, parted by area."""
    with stock_of(tmp_path / "a.stock", "S-1") as stock:
        stock.commit_cuts([replace(cut_of(stock, "S-1"), work=2000)])
        worth = {row.name: row.value.cents for row in stock.rows() if row.value}
        (book,) = stock.books()
        assert faults(stock) == []
        assert worth["S-1.1"] == round(10_611 * 60_000 / side("S").measured_area)
        assert book.paid == 10_611
        assert book.balances


def test_offcuts_may_be_worth_nothing_and_the_audit_lets_them(tmp_path: Path) -> None:
    path = tmp_path / "a.stock"
    with stock_of(path, "S-1") as stock:
        stock.commit_cuts([replace(cut_of(stock, "S-1"), values=(0, 0))])
        assert faults(stock) == []


def test_splitting_costs_what_the_layouts_hide_is_dearer_by() -> None:
    """A hide of 86.11 that its layout has, thinner, at 93.11."""
    own = StockHide(1, side("S"), value=Value(8611, "USD"))
    thin = replace(priced(side("S"), Value(9311, "USD")), thickness=Thickness(1.2, 1.6))
    assert _split_cost(own, thin) == 700
    assert _split_cost(replace(own, value=Value(9400, "USD")), thin) == 0
    assert _split_cost(replace(own, value=None), thin) == 0
    assert _split_cost(own, replace(thin, price=None)) == 0
    assert _split_cost(own, replace(thin, thickness=own.hide.thickness)) == 0


def test_a_hide_counts_as_split_where_its_layout_has_it_thinner_by_more_than_a_rounding() -> None:
    own = side("S")
    assert _as_split(own, replace(own, thickness=Thickness(4.0, 4.4 - 5e-7))) is own
    assert _as_split(own, replace(own, thickness=Thickness(4.0, 5.0))) is own
    assert _as_split(own, replace(own, thickness=None)) is own
    thinner = _as_split(own, replace(own, thickness=Thickness(4.0, 4.4 - 1e-5)))
    assert thinner.thickness == Thickness(4.0, 4.4 - 1e-5)


def test_only_of_hides_that_were_split_it_is_told(tmp_path: Path) -> None:
    def told(thickness: Thickness) -> list[str]:
        return split_remarks(stock, [layout_of(replace(side("S"), thickness=thickness))])

    with stock_of(tmp_path / "a.stock", "S") as stock:
        assert told(Thickness(4.0, 4.4)) == []
        (said,) = told(Thickness(1.2, 1.6))
        assert said.startswith("S counts as split, from 4-4.4 mm to 1.2-1.6 mm")


def test_an_offcut_taken_back_is_not_revived_as_that_of_another_hide(tmp_path: Path) -> None:
    """The second hide of that name differs where no offcut lies."""
    with stock_of(tmp_path / "a.stock", "S") as stock:
        stock.commit_cuts([cut_of(stock, "S")])
        stock.undo()
        stock.sell(["S"])
        stock.add([(replace(side("S"), flaws=(*side("S").flaws, Flaw("scar", box(400, 300, 420, 320)))), "")])
        (second,) = (row.id for row in stock.rows((Status.IN,)))
        stock.commit_cuts([replace(cut_of(stock, "S"), hide_id=second)])
        assert {row.parent for row in stock.rows((Status.IN,))} == {second}
        assert faults(stock) == []
