"""What belongs together: colour, lot, one hide for a line, thickness from and to, hides kept for a line, splitting."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from bars import WIDTH, bar, bar_limits, cut_bar, strip

from hides.errors import InputError
from hides.hide import Hide, Price, Thickness, Zone
from hides.hide_file import hide_from_data, hide_to_data
from hides.stock import StockHide, open_stock
from nesting.batch.committing import commit
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.on_offer import on_offer
from nesting.batch.order import Order, OrderLine
from nesting.batch.order_file import read_order
from nesting.batch.plan import Plan
from nesting.model.product import Product
from nesting.model.settings import Settings
from scripts.recount import book_differences

QUICK = Settings(effort="quick")
SPLIT = Price(1e-4, "USD", 100.0, "m2")
"""A bar of 700 by 100 mm costs 7 to split."""
LINE = """
format = "hideplan-order-1"
[[line]]
project = "p.toml"
quantity = 3
"""


def read(project: str, t: float | None, **_: object) -> Product:
    return strip(project, 150)


def planned(hides: list[Hide], *lines: OrderLine) -> Plan:
    return make_plan(Order("o", lines), hides, Tools(read, cut_bar, bar_limits), QUICK)


def names(plan: Plan, product: str = "strap") -> set[str]:
    return {cut.hide.name for cut in plan.cuts if cut.pieces(product)}


def bars(*lengths: float, **more: object) -> list[Hide]:
    return [replace(bar(n, f"B-{k}", 20.0 + k), **more) for k, n in enumerate(lengths)]  # type: ignore[arg-type]


def test_a_line_takes_one_colour_unless_it_says_otherwise() -> None:
    tan, black = (replace(each, colour=c) for each, c in zip(bars(500, 500), ("tan", "black"), strict=True))
    both = [tan, black, replace(black, name="B-2")]
    plan = planned(both, OrderLine("strap", 6))
    assert plan.full
    assert names(plan) == {"B-1", "B-2"}
    mixed = planned([tan, black], OrderLine("strap", 6, same=()))
    assert names(mixed) == {"B-0", "B-1"}
    assert "strap is cut from several: leather without a name, tan (B-0); leather without a name, black (B-1)." in (
        mixed.remarks
    )
    assert names(planned(both, OrderLine("strap", 3, colour="Tan"))) == {"B-0"}


def test_all_of_a_line_comes_from_one_hide_where_it_asks_for_that() -> None:
    hides = bars(320, 320, 700)
    two = planned([*hides[:2], replace(hides[2], price=Price(1, "USD", 1, "mm2"))], OrderLine("strap", 4))
    assert names(two) == {"B-0", "B-1"}
    one = planned(hides, OrderLine("strap", 4, same=("hide",)))
    assert one.full
    assert names(one) == {"B-2"}
    assert not planned(hides[:2], OrderLine("strap", 4, same=("hide",))).full


@pytest.mark.parametrize(
    ("line", "cut"),
    [
        (OrderLine("strap", 2, at_least=3.5), {"B-2"}),
        (OrderLine("strap", 2, at_most=1.8), {"B-0"}),
        (OrderLine("strap", 2, at_least=1.8, at_most=3.0), {"B-1"}),
    ],
)
def test_leather_is_surely_no_thinner_and_no_thicker_than_a_line_wants(line: OrderLine, cut: set[str]) -> None:
    ranges = (Thickness(1.4, 1.6), Thickness(2.0, 2.4), Thickness(3.6, 4.0))
    hides = [replace(each, thickness=r) for each, r in zip(bars(500, 500, 500), ranges, strict=True)]
    assert names(planned([*hides, bar(500, "unstated", 1.0)], line)) == cut


def test_a_hide_kept_for_a_line_is_cut_for_it_alone() -> None:
    stock = [StockHide(1, bar(320, "kept", 20.0), reserved="Fair"), StockHide(2, bar(320, "free", 90.0))]
    lines = (OrderLine("strap", 2, whom="fair"), OrderLine("other", 2))
    order, hides, remarks = on_offer(stock, Order("o", lines))
    assert remarks == ()
    plan = make_plan(order, hides, Tools(read, cut_bar, bar_limits), QUICK)
    assert (names(plan), names(plan, "other")) == ({"kept"}, {"free"})
    _, left, told = on_offer(stock, Order("o", lines[1:]))
    assert [hide.name for hide in left] == ["free"]
    assert told == ("Left alone, being kept for somebody else: kept for Fair.",)


def thick(low: float, high: float, **more: object) -> Hide:
    return replace(bar(700, "thick", 20.0), thickness=Thickness(low, high), **more)  # type: ignore[arg-type]


WANTS_THIN = OrderLine("strap", 2, thickness=Thickness(1.2, 1.6), split=SPLIT)


def test_a_thicker_hide_is_split_at_its_cost_and_the_plan_says_so() -> None:
    plan = planned([thick(3.0, 3.4)], WANTS_THIN)
    assert plan.full
    assert plan.cost == pytest.approx(27.0)
    assert plan.cuts[0].hide.thickness == Thickness(1.2, 1.6)
    assert "thick is split from 3.0-3.4 to 1.2-1.6 mm, which its cost holds." in plan.remarks
    assert not planned([thick(3.0, 3.4)], replace(WANTS_THIN, split=None)).full


def test_a_hide_that_is_thinner_somewhere_is_not_split_and_a_thin_zone_stays_thin() -> None:
    assert not planned([thick(1.0, 3.4)], WANTS_THIN).full
    belly = Zone("belly", ((0.0, 0.0), (100.0, 0.0), (100.0, WIDTH), (0.0, WIDTH)), thickness=Thickness(0.8, 1.0))
    plan = planned([thick(3.0, 3.4, zones=(belly,))], WANTS_THIN)
    assert plan.cuts[0].hide.zones[0].thickness == Thickness(0.8, 1.0)


def test_offcuts_of_a_split_hide_go_back_in_their_new_thickness(tmp_path: Path) -> None:
    path = tmp_path / "hides.stock"
    with open_stock(path, create=True) as stock:
        stock.add([(thick(3.0, 3.4), "file")])
        plan = planned([each.hide for each in stock.hides()], WANTS_THIN)
    commit(plan, path)
    with open_stock(path) as stock:
        assert {each.hide.thickness for each in stock.hides()} == {Thickness(1.2, 1.6)}
        (books,) = stock.books()
        assert (books.balances, books.paid) == (True, 2700)  # 20 for the hide, 7 for splitting it
        assert books.charged == round(plan.charged * 100)
        assert book_differences(path) == []
        stock.undo()
        assert (stock.books()[0].paid, stock.books()[0].on_shelf) == (2000, 2000)


def test_the_order_file_says_what_belongs_together(tmp_path: Path) -> None:
    (tmp_path / "p.toml").write_text("")
    file = tmp_path / "order.toml"
    more = 'colour = "tan"\nat_least = "3.5 mm"\nat_most = 4.4\nsame = ["lot", "hide"]\nfor = "Fair"\n'
    split = 'thickness = "4-5 oz"\nsplit = { per_area = 0.5, unit = "sq ft", currency = "USD" }\n'
    file.write_text(LINE + more + split)
    (line,) = read_order(file).lines
    assert (line.colour, line.at_least, line.at_most, line.same, line.whom) == (
        "tan",
        3.5,
        4.4,
        ("lot", "hide"),
        "Fair",
    )
    assert line.split is not None
    for text, told in ((LINE + split.split("\n", 1)[1], "split"), (LINE + "at_least = 4\nat_most = 3\n", "at_least")):
        file.write_text(text)
        with pytest.raises(InputError, match=told):
            read_order(file)


def test_a_hide_file_keeps_its_colour() -> None:
    hide = replace(bar(500, "B"), colour="tan")
    assert hide_from_data(hide_to_data(hide)).colour == "tan"
    assert "colour" not in hide_to_data(bar(500, "B"))
