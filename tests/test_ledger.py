"""The leather ledger: what was paid is all accounted for, to the cent, whatever is done to the register."""

from __future__ import annotations

import json
import random
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from old_register import version_1

from hides.errors import InputError
from hides.hide import Flaw, Grade, Hide, Price, Zone
from hides.offcut import offcuts
from hides.stock import Cut, Status, Stock, Value, open_stock
from hides.stock.audit import faults
from hides.stock.money import price_of, share
from hides.stock.register import ALL
from nesting.model.layout import Areas, HideLayout, Placement
from nesting.model.value_table import ValueTable
from nesting.stock.split import graded, kept_values, split

SQUARE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0))


def hide(name: str, amount: float = 100.0, currency: str = "USD", **more: object) -> Hide:
    """A square metre that costs so much."""
    return replace(Hide(name, SQUARE, price=Price(amount / 1e6, currency, amount, "m2")), **more)  # type: ignore[arg-type]


def strip(x0: float, x1: float) -> tuple[tuple[float, float], ...]:
    return ((x0, 0.0), (x1, 0.0), (x1, 1000.0), (x0, 1000.0))


def laid(on: Hide, pieces: list[tuple[float, float]], left: list[tuple[float, float]]) -> HideLayout:
    """Full-height strips as pieces of one product and as offcuts."""
    placements = tuple(Placement("part", "Case", 1, 0.0, 0.0, 0.0, False, strip(*each)) for each in pieces)
    none = Areas(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    return HideLayout(on, placements, none, tuple(strip(*each) for each in left))


def whole(stock: Stock) -> None:
    assert faults(stock) == []
    for books in stock.books():
        assert books.balances, books
        assert min(books.charged, books.on_shelf, books.sold, books.written_off) >= 0


@given(st.integers(0, 10**9), st.lists(st.floats(0, 1e9), min_size=1, max_size=30))
def test_no_cent_is_lost_when_an_amount_is_parted(cents: int, weights: list[float]) -> None:
    parts = share(cents, weights)
    assert sum(parts) == cents
    assert min(parts) >= 0
    if whole_weight := sum(weights):
        for part, weight in zip(parts, weights, strict=True):
            assert abs(part - cents * weight / whole_weight) < 1 + 1e-6 * cents


def test_joint_costs_by_sales_value_at_splitoff_as_the_textbook_has_them(tmp_path: Path) -> None:
    """Horngren, Datar, Rajan: Cost Accounting, joint products: raw milk for 400,000 gives 25,000 gallons of cream at 8
    and 75,000 of skim at 4; by sales value at splitoff cream bears 160,000 and skim 240,000 (from memory).

    Here the cream is a piece on the butt, the skim an offcut of the belly, worth half as much a square millimetre.
    """
    belly = Zone("belly", strip(250, 1000), Grade.C)
    on = laid(hide("S", 400_000.0, zones=(belly,)), [(0, 250)], [(250, 1000)])
    kept = kept_values(on, 40_000_000, ValueTable((8.0, 6.0, 4.0, 2.0, 0.0)))
    assert kept == [24_000_000]
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        stock.add([(on.hide, "S.json")])
        stock.commit_cuts([Cut(stock.find("S").id, "{}", offcuts(on.hide, on.offcuts), kept)])
        (books,) = stock.books()
        assert (books.paid, books.charged, books.on_shelf) == (40_000_000, 16_000_000, 24_000_000)
        (back,) = stock.hides()
        assert price_of(back.hide) == Value(24_000_000, "USD")
        whole(stock)


def test_the_leather_of_each_grade_adds_up_and_the_worst_mark_holds() -> None:
    spoilt = hide(
        "S",
        grade=Grade.B,
        zones=(Zone("neck", strip(0, 400), Grade.C), Zone("fine", strip(400, 600), Grade.A)),
        flaws=(Flaw("hole", strip(300, 500)),),
    )
    areas = {grade: round(region.area) for grade, region in graded(spoilt)}
    assert areas == {Grade.B: 500_000, Grade.C: 300_000, Grade.D: 0, Grade.NONE: 200_000}


def test_better_leather_bears_more_and_waste_bears_nothing() -> None:
    on = laid(hide("S", zones=(Zone("belly", strip(500, 1000), Grade.C),)), [(0, 100)], [(500, 600)])
    parted = split(on, 3000, ValueTable())
    assert (parted.products["Case"], parted.offcuts, parted.scrap) == (2000, (1000,), 0)
    assert parted.charged == 2000


def test_where_nothing_is_worth_anything_by_the_table_area_counts() -> None:
    on = laid(hide("S", grade=Grade.NONE), [(0, 100)], [(500, 600)])
    assert split(on, 3001, ValueTable()).offcuts == (1500,)


def test_an_offcut_goes_on_the_shelf_at_what_the_order_did_not_bear(tmp_path: Path) -> None:
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        stock.add([(hide("S"), "S.json")])
        on = laid(stock.hides()[0].hide, [(0, 400)], [(400, 1000)])
        stock.commit_cuts([Cut(1, "{}", offcuts(on.hide, on.offcuts), kept_values(on, 10_000, ValueTable()))])
        assert stock.hides()[0].hide.cost == pytest.approx(60.0)
        stock.undo()
        assert stock.hides()[0].hide.cost == pytest.approx(100.0)
        stock.redo()
        whole(stock)
        (books,) = stock.books()
        assert (books.charged, books.on_shelf) == (4000, 6000)


def test_freight_is_shared_by_area_and_stays_with_the_hide(tmp_path: Path) -> None:
    half = replace(hide("H"), outline=strip(0, 500))
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        stock.add([(hide("S"), "S.json"), (half, "H.json")], freight=Value(3000, "USD"))
        assert [each.value for each in stock.hides()] == [Value(12_000, "USD"), Value(6000, "USD")]
        assert [round(each.hide.cost or 0, 6) for each in stock.hides()] == [120.0, 60.0]
        with pytest.raises(InputError, match="the freight is in EUR"):
            stock.add([(hide("T"), "T.json")], freight=Value(1, "EUR"))
        assert len(stock.hides()) == 2


def test_a_corrected_hide_keeps_its_worth_and_its_history(tmp_path: Path) -> None:
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        stock.add([(hide("S"), "S.json")])
        flawed = hide("S", flaws=(Flaw("cut", ((10.0, 10.0), (20.0, 10.0), (20.0, 20.0))),))
        stock.correct("S", flawed, "new.json")
        (now,) = stock.hides()
        assert len(now.hide.flaws) == 1
        assert now.value == Value(10_000, "USD")
        with pytest.raises(InputError, match="nothing new"):
            stock.correct("S", flawed, "new.json")
        stock.undo()
        assert not stock.hides()[0].hide.flaws
        whole(stock)


def test_what_is_sold_or_written_off_is_no_longer_on_the_shelf(tmp_path: Path) -> None:
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        stock.add([(hide("S"), "S"), (hide("T", 50.0), "T"), (hide("U", 7.0, "EUR"), "U")])
        stock.sell(["S"])
        stock.lose(["T"])
        told = {each.currency: each.to_data() for each in stock.books()}
        assert told["USD"] == {
            "currency": "USD", "paid": 150.0, "charged": 0.0, "on_shelf": 0.0, "sold": 100.0, "written_off": 50.0
        }  # fmt: skip
        assert told["EUR"]["on_shelf"] == 7.0
        with pytest.raises(InputError, match="“S” is sold"):
            stock.sell(["S"])
        whole(stock)


def test_remarks_hold_until_they_are_taken_off_or_undone(tmp_path: Path) -> None:
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        stock.add([(hide("S"), "S")])
        stock.remark(["S"], "reserved", "Winter fair")
        stock.remark(["S"], "note", "on the top shelf")
        (now,) = stock.hides()
        assert (now.reserved, now.note) == ("Winter fair", "on the top shelf")
        stock.undo()
        stock.remark(["S"], "reserved", "")
        (now,) = stock.hides()
        assert (now.reserved, now.note) == ("", "")
        whole(stock)


@pytest.mark.parametrize("seed", range(25))
def test_the_books_balance_after_every_change_of_a_random_sequence(tmp_path: Path, seed: int) -> None:
    rng = random.Random(seed)
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        for step in range(25):
            _some_change(stock, rng, step)
            whole(stock)


def _some_change(stock: Stock, rng: random.Random, step: int) -> None:
    on_hand = [each for each in stock.hides() if each.hide.polygon.area > 1e4]
    kind = rng.choice(["add", "add", "cut", "cut", "cut", "undo", "redo", "sell", "lose", "correct", "reserve"])
    try:
        if kind == "add" or not on_hand:
            money = rng.choice(["USD", "USD", "EUR"])
            freight = Value(rng.randrange(1, 999), money) if rng.random() < 0.5 else None
            stock.add([(hide(f"S-{step}", rng.randrange(1, 90_000) / 100, money), "file")], freight=freight)
        elif kind == "cut":
            own = rng.choice(on_hand)
            x0, _, x1, _ = own.hide.polygon.bounds
            edge = [x0 + (x1 - x0) * part for part in (0.0, rng.uniform(0.1, 0.5), rng.uniform(0.6, 0.9), 1.0)]
            on = laid(own.hide, [(edge[0], edge[1])], [(edge[1], edge[2]), (edge[2], edge[3])])
            cents = own.value.cents if own.value else 0
            stock.commit_cuts([Cut(own.id, "{}", offcuts(own.hide, on.offcuts), kept_values(on, cents, ValueTable()))])
        elif kind == "undo":
            stock.undo()
        elif kind == "redo":
            stock.redo()
        elif kind == "correct":
            own = rng.choice(on_hand)
            stock.correct(own.hide.name, replace(own.hide, lot=str(step)), "file")
        elif kind == "reserve":
            stock.remark([rng.choice(on_hand).hide.name], "reserved", rng.choice(["", "fair"]))
        else:
            getattr(stock, kind)([rng.choice(on_hand).hide.name])
    except InputError:
        pass  # nothing to undo, a name taken meanwhile: the register is as it was, which `whole` then looks at


def test_a_register_of_version_1_gets_books_that_balance(tmp_path: Path) -> None:
    path, heard = tmp_path / "hides.stock", list[str]()
    version_1(path)
    with open_stock(path, remark=heard.append) as stock:
        assert "version 1 to 2" in heard[0]
        whole(stock)
        told = {row.name: (row.status, row.value and row.value.cents) for row in stock.rows(ALL)}
        assert told == {
            "S": (Status.CUT, None), "S.1": (Status.IN, 6000), "T": (Status.IN, 5000), "U": (Status.CUT, None)
        }  # fmt: skip
        (books,) = stock.books()
        assert (books.paid, books.charged, books.on_shelf) == (15_000, 4000, 11_000)
        stock.undo()
        whole(stock)
    before = sqlite3.connect(f"{path}.version-1")
    assert before.execute("PRAGMA user_version").fetchone()[0] == 1
    before.close()


def test_books_that_do_not_add_up_are_found(tmp_path: Path) -> None:
    path = tmp_path / "hides.stock"
    with open_stock(path, create=True) as stock:
        stock.add([(hide("S"), "S")])
    tampered = sqlite3.connect(path)
    tampered.execute("UPDATE entry SET cents = cents + 1 WHERE account = 'shelf'")
    tampered.commit()
    tampered.close()
    with open_stock(path) as stock:
        assert faults(stock) == ["the books of change 1 are off by 0.01 USD"]
        assert not stock.books()[0].balances
        json.dumps([each.to_data() for each in stock.books()])
