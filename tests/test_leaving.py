"""What a hide leaves is of use: the rest goes on one remnant, and offcuts are cut first where that is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from bars import bar, bar_limits, cut_bar, strip

from hides.errors import InputError
from hides.hide import Hide
from hides.hide_file import read_hide
from hides.offcut import offcuts
from nesting.batch.answer import plan_answer
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.order_file import read_order
from nesting.batch.plan import Plan
from nesting.batch.plan_file import plan_to_data
from nesting.check import faults
from nesting.laying.case import case_of
from nesting.laying.lay_out import Want, lay_out
from nesting.laying.remnant import Left, lay_some
from nesting.model.layout import Layout
from nesting.model.product import Product
from nesting.model.settings import Settings, Watch
from nesting.project.project_file import read_product
from nesting.result.thinned import sides

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
QUICK = Settings(effort="quick")


def remnants(plan: Plan) -> list[Hide]:
    return [part for cut in plan.cuts for part in offcuts(cut.hide, cut.on.offcuts)]


def gives(hide: Hide, product: Product) -> int:
    return lay_out(hide, [Want(product)], QUICK).counts[0].complete


def test_four_belts_on_a_bend_that_gives_seven_leave_a_remnant_that_gives_three_more() -> None:
    bend = read_hide(SCENARIO / "bend-2.json")
    belt = str(SCENARIO / "belt.toml")
    product = read_product(belt, bend.thickness.middle if bend.thickness else None)
    assert gives(bend, product) == 7
    plan = make_plan(Order("four", (OrderLine(belt, 4),)), [bend], Tools(read_product), QUICK)
    assert plan.filled == (4,)
    assert gives(max(remnants(plan), key=lambda hide: hide.measured_area), product) >= 3
    assert plan_to_data(plan)["hides"][0]["still"] == {"Belt": 3}
    assert "What is left of B-02 still gives 3 Belt." in plan_answer(plan)


def full_board() -> Layout:
    """Six coasters on a board 300 by 200 mm."""
    board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)), backbone=((0, 0), (100, 0)))
    coaster = strip("coaster", 100)
    return lay_out(board, [Want(coaster)], QUICK)


def test_what_is_kept_lies_at_one_side_whichever_is_asked() -> None:
    layout = full_board()
    assert layout.counts[0].complete == 6
    middles = []
    for kept in sides(layout, {"coaster": 2}):
        assert len(kept) == 2
        xs = [sum(x for x, _ in each.outline) / len(each.outline) for each in kept]
        ys = [sum(y for _, y in each.outline) / len(each.outline) for each in kept]
        middles.append((max(xs), max(ys), min(xs), min(ys)))
    west, south, east, north = middles
    assert west[0] < 100
    assert east[2] > 200
    assert south[1] < 100
    assert north[3] > 100


def read(project: str, t: float | None, **_: object) -> Product:
    return strip(project, 150)


@pytest.mark.parametrize(("first", "name", "cost"), [(False, "whole", 20.0), (True, "offcut", 30.0)])
def test_offcuts_are_cut_first_where_that_is_asked_whatever_they_are_worth(first: bool, name: str, cost: float) -> None:
    hides = [bar(700, "whole", 20.0), bar(700, "offcut", 30.0, cut="offcut")]
    order = Order("o", (OrderLine("short", 3),), offcuts_first=first)
    plan = make_plan(order, hides, Tools(read, cut_bar, bar_limits), QUICK)
    assert [cut.hide.name for cut in plan.cuts] == [name]
    assert plan.cost == cost
    assert plan.least_cost <= cost


def test_the_order_file_names_the_catalogue_and_how_offcuts_are_cut(tmp_path: Path) -> None:
    (tmp_path / "p.toml").write_text("")
    file = tmp_path / "order.toml"
    head = 'format = "hideplan-order-1"\noffcuts = "first"\ncatalogue = ["p.toml"]\n'
    file.write_text(head + '[[line]]\nproject = "p.toml"\nquantity = 1\n')
    order = read_order(file)
    assert (order.offcuts_first, order.catalogue) == (True, (str(tmp_path / "p.toml"),))
    file.write_text(file.read_text().replace('["p.toml"]', '["q.toml"]'))
    with pytest.raises(InputError, match=r"catalogue: there is no file “q.toml”"):
        read_order(file)


def test_a_product_of_the_catalogue_counts_for_what_is_left() -> None:
    """The order's own product is too long for what is left; the catalogue's short one goes three times."""
    hides = [bar(700, "B", 20.0)]

    def of(project: str, t: float | None, **_: object) -> Product:
        return strip(project, 400 if project == "long" else 90)

    order = Order("o", (OrderLine("long", 1),), catalogue=("small",))
    (cut,) = make_plan(order, hides, Tools(of, cut_bar, bar_limits), QUICK).cuts
    assert cut.still == {"small": 3}
    (cut,) = make_plan(
        replace(order, lines=(OrderLine("small", 2),)), hides, Tools(of, cut_bar, bar_limits), QUICK
    ).cuts
    assert cut.still == {"small": 5}


def test_an_offcut_that_cannot_be_asked_gives_nothing_and_the_plan_stands() -> None:
    def refusing(hide: Hide, wants: Sequence[Want], settings: Settings, watch: Watch) -> Layout:
        if hide.cut == "offcut":
            raise InputError("no line suits all straight pieces")
        return cut_bar(hide, wants, settings, watch)

    order = Order("o", (OrderLine("short", 1),))
    plan = make_plan(order, [bar(700, "B", 20.0)], Tools(read, refusing, bar_limits), QUICK)
    assert plan.full
    assert plan.cuts[0].still == {}


def some_of(hide: Hide, product: Product, most: int, *catalogue: Product) -> Left:
    return lay_some(case_of(hide, [Want(product, limit=most)], QUICK), catalogue)


def test_four_belts_laid_on_a_single_bend_leave_three_more_in_one_remnant() -> None:
    bend = read_hide(SCENARIO / "bend-2.json")
    product = read_product(str(SCENARIO / "belt.toml"), bend.thickness.middle if bend.thickness else None)
    left = some_of(bend, product, 4)
    assert left.still == {"Belt": 3}
    assert faults(left.layout) == []
    (count,) = left.layout.counts
    assert count.complete == 4
    assert count.at_most >= 7


def test_no_more_are_laid_than_asked_and_the_rest_stays_on_one_piece_of_leather() -> None:
    board = Hide("board", ((0, 0), (300, 0), (300, 204), (0, 204)), backbone=((0, 0), (100, 0)))
    left = some_of(board, strip("coaster", 98), 2)
    assert left.layout.counts[0].complete == 2
    assert left.layout.counts[0].at_most == 6
    assert len(left.layout.hides[0].offcuts) == 1
    assert left.still == {"coaster": 2}  # the corners of an offcut are round
    assert left.lines() == ["What is left still gives 2 coaster.\n"]


def test_more_than_the_hide_gives_is_all_that_it_gives() -> None:
    board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)))
    left = some_of(board, strip("coaster", 100), 9, strip("fob", 50))
    assert left.layout.counts[0].complete == 6
    assert left.lines() == []
    assert left.data() == {}
