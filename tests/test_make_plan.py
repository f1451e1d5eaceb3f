"""From an order and hides to a plan: what is cut is what was ordered, every layout holds, every number balances."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest
from bars import bar, bar_limits, cut_bar, strip

from hides.errors import InputError
from hides.hide import Hide, Price, Thickness
from nesting.batch.answer import bound_text, buying_lines, claims
from nesting.batch.demand import demands
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan
from nesting.batch.plan_file import plan_text, plan_to_data
from nesting.check import faults
from nesting.model.product import Product
from nesting.model.settings import Settings, Watch
from nesting.result.layout_file import layout_from_data

LENGTHS = {"short": (150,), "long": (310, 120), "pair": (150, 150, 90)}


def read(project: str, t: float | None) -> Product:
    return strip(project, *LENGTHS[project])


TOOLS = Tools(read, cut_bar, bar_limits)


def planned(order: Order, hides: Sequence[Hide], **more: object) -> Plan:
    return make_plan(order, hides, TOOLS, Settings(effort="quick"), **more)  # type: ignore[arg-type]


def order(*lines: OrderLine, credit: Price | None = None) -> Order:
    return Order("an order", lines, credit, "order.toml")


def shelf(count: int, length: float = 700, price: float | None = 20.0) -> list[Hide]:
    return [bar(length, f"B-{n:02d}", price) for n in range(1, count + 1)]


def pieces(plan: Plan) -> Counter[tuple[str, str]]:
    return Counter((each.product, each.piece) for cut in plan.cuts for each in cut.on.placements)


MIXED = order(OrderLine("short", 5), OrderLine("long", 3), OrderLine("pair", 2))


def test_what_is_cut_is_what_was_ordered_and_its_spares() -> None:
    plan = planned(order(OrderLine("short", 5, spares=20), OrderLine("long", 3)), shelf(6))
    assert plan.full
    assert plan.filled == (6, 3)
    assert pieces(plan) == {("short", "short 150"): 6, ("long", "long 310"): 3, ("long", "long 120"): 3}


def test_every_layout_passes_the_check_and_its_areas_balance_to_one_mm2() -> None:
    for cut in planned(MIXED, shelf(9)).cuts:
        assert faults(cut.layout) == []
        areas = cut.on.areas
        parts = areas.pieces + areas.edge + areas.flaws + areas.offcuts + areas.scrap
        assert parts == pytest.approx(areas.hide, abs=1)


def test_every_layout_in_the_plan_file_reads_back_and_holds() -> None:
    data = json.loads(plan_text(planned(MIXED, shelf(9))))
    for each in data["layouts"]:
        layout = layout_from_data(each)
        assert faults(layout) == []
        for product in each["products"]:
            numbers = {p["number"] for p in each["hides"][0]["placements"] if p["product"] == product["name"]}
            assert numbers == set(range(1, product["complete"] + 1))


def test_like_hides_are_each_cut_once_under_their_own_name() -> None:
    plan = planned(order(OrderLine("short", 20)), shelf(6))
    names = [cut.hide.name for cut in plan.cuts]
    assert names == sorted(set(names))
    assert len(names) == 5


def test_the_plan_file_says_what_the_contract_says() -> None:
    data = plan_to_data(planned(MIXED, shelf(9)))
    assert data["format"] == "hideplan-plan-1"
    assert data["filled"] is True
    assert data["short"] == {"short": 0, "long": 0, "pair": 0}
    assert data["cost"] == pytest.approx(20.0 * len(data["layouts"]))
    assert data["at_least"]["hides"] <= len(data["layouts"])
    assert data["at_least"]["cost"] <= data["cost"]


def test_the_bound_of_a_product_on_a_hide_is_not_what_the_order_wanted() -> None:
    """`at_most` tells what the hide could give, though the order asked for fewer."""
    plan = planned(order(OrderLine("short", 1)), shelf(1))
    (count,) = plan.cuts[0].layout.counts
    assert (count.complete, count.at_most) == (1, 4)


def test_a_product_stays_on_one_hide_unless_the_order_says_otherwise() -> None:
    """430 mm of product on bars of 400: whole on none of them, spread over two on both."""
    hides = shelf(2, 400)
    whole = planned(order(OrderLine("long", 1)), hides)
    assert not whole.full
    assert whole.cuts == ()
    spread = planned(order(OrderLine("long", 1, one_hide=False)), hides)
    assert spread.full
    assert pieces(spread) == {("long", "long 310"): 1, ("long", "long 120"): 1}
    assert spread.spread(0) == 1


def test_spread_products_are_numbered_where_a_hide_holds_them_whole() -> None:
    plan = planned(order(OrderLine("long", 4, one_hide=False)), shelf(4, 640))
    assert plan.full
    assert pieces(plan) == {("long", "long 310"): 4, ("long", "long 120"): 4}
    for cut in plan.cuts:
        assert faults(cut.layout) == []
        complete = cut.complete("long")
        assert {p.number for p in cut.on.placements} - {0} == set(range(1, complete + 1))
    assert plan.spread(0) == 4 - sum(cut.complete("long") for cut in plan.cuts)


def test_what_is_over_is_not_cut() -> None:
    """The bar holds four; only three are wanted, so one place stays leather."""
    plan = planned(order(OrderLine("short", 3)), shelf(1))
    assert pieces(plan) == {("short", "short 150"): 3}
    assert plan.cuts[0].on.areas.offcuts > 100 * 200


def test_what_cannot_be_filled_is_told_and_proven() -> None:
    plan = planned(order(OrderLine("short", 9)), shelf(2))
    assert not plan.full
    assert (plan.filled, plan.short(0), plan.possible) == ((8,), 1, False)
    assert plan.least_cost <= plan.cost


def test_no_hides_that_suit_leave_the_order_unfilled() -> None:
    plan = planned(order(OrderLine("short", 1, leather="goat")), shelf(2))
    assert not plan.full
    assert not plan.possible
    assert "No hide suits short" in " ".join(plan.remarks)
    kept = planned(order(OrderLine("short", 1, closed=frozenset(hide.name for hide in shelf(2)))), shelf(2))
    assert "No hide that is not kept for somebody else suits short" in " ".join(kept.remarks)
    suiting = planned(order(OrderLine("short", 1)), shelf(2))
    assert "No hide suits" not in " ".join(suiting.remarks)


def test_hides_are_said_to_have_no_price_only_where_none_has_one() -> None:
    told = [" ".join(planned(order(OrderLine("short", 1)), shelf(1, price=price)).remarks) for price in (None, 20.0)]
    assert ["No hide has a price" in words for words in told] == [True, False]


def test_what_to_buy_is_said_to_be_unknown_only_where_all_was_tried() -> None:
    plan = planned(order(OrderLine("short", 9)), shelf(2))
    assert buying_lines(plan, "mm") == ["No estimate of what to buy: none of the hides tried gives what is short."]
    assert "none of the hides" not in buying_lines(replace(plan, stopped=True), "mm")[0]
    assert buying_lines(planned(order(OrderLine("short", 1)), shelf(2)), "mm") == []


def test_thickness_and_leather_choose_the_hides() -> None:
    thick = Thickness(4.0, 4.4)
    hides = [
        replace(bar(700, "thin", 1.0), thickness=Thickness(2.0, 2.4), leather="Bridle"),
        replace(bar(700, "other", 1.0), thickness=thick, leather="goat"),
        replace(bar(700, "unstated", 1.0), leather="bridle"),
        replace(bar(700, "right", 50.0), thickness=thick, leather="Bridle"),
    ]
    line = OrderLine("short", 1, thickness=Thickness(3.9, 4.5), leather="bridle")
    assert [cut.hide.name for cut in planned(order(line), hides).cuts] == ["right"]


def test_a_length_with_t_follows_the_thickness_of_each_hide() -> None:
    def by_thickness(project: str, t: float | None) -> Product:
        return strip(project, 100 + (t or 0))

    hides = [replace(bar(700, f"t{t}"), thickness=Thickness(t, t)) for t in (2.0, 4.0)]
    (demand,) = demands(order(OrderLine("loop", 1)), hides, by_thickness)
    assert [demand.product_on(hide).area / 100 for hide in hides] == pytest.approx([102, 104])  # type: ignore[union-attr]


def test_lines_of_one_product_are_filled_together_and_two_wishes_need_two_names() -> None:
    same = planned(order(OrderLine("short", 2, due=2), OrderLine("short", 1, due=1)), shelf(2))
    assert same.filled == (3,)
    assert len(same.cuts) == 1
    with pytest.raises(InputError, match=r"line\[2\].*name of its own"):
        planned(order(OrderLine("short", 2), OrderLine("short", 1, leather="goat")), shelf(2))
    named = planned(order(OrderLine("short", 2), OrderLine("short", 1, name="short, spread", one_hide=False)), shelf(2))
    assert pieces(named) == {("short", "short 150"): 2, ("short, spread", "short 150"): 1}


def test_credit_is_taken_off_for_the_offcuts_listed() -> None:
    credit = Price(0.0001, "USD", 0.0001, "mm2")
    plan = planned(order(OrderLine("short", 2), credit=credit), shelf(2))
    assert plan.cost == pytest.approx(20 - 0.0001 * plan.cuts[0].on.areas.offcuts)
    assert plan.cuts[0].on.areas.offcuts > 0
    assert plan.least_cost <= plan.cost


def test_an_offcut_worth_more_than_its_leather_is_refused() -> None:
    credit = Price(0.01, "USD", 0.01, "mm2")
    with pytest.raises(InputError, match=r"credit.per_area.*worth more"):
        planned(order(OrderLine("short", 2), credit=credit), shelf(2))


def test_prices_in_two_currencies_are_refused() -> None:
    euro = replace(bar(700, "E"), price=Price(0.1, "EUR", 0.1, "mm2"))
    with pytest.raises(InputError, match=r"USD and hide “E” in EUR"):
        planned(order(OrderLine("short", 2)), [*shelf(1), euro])


def test_without_prices_the_least_leather_is_cut() -> None:
    hides = [bar(900, "large"), bar(320, "small")]
    plan = planned(order(OrderLine("short", 2)), hides)
    assert [cut.hide.name for cut in plan.cuts] == ["small"]
    assert plan_to_data(plan)["cost"] == 0
    assert "no hide has a price" in " ".join(plan.remarks).lower()


def test_hides_are_cut_in_the_order_in_which_products_are_due() -> None:
    plan = planned(order(OrderLine("long", 1, due=2), OrderLine("pair", 1, due=1)), shelf(2, 500))
    assert [cut.layout.counts[0].name for cut in plan.cuts] == ["pair", "long"]


@pytest.mark.parametrize("pool", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_an_executor_carries_the_searches_and_changes_nothing(pool: type[ThreadPoolExecutor]) -> None:
    alone = plan_text(planned(MIXED, shelf(9)))
    kwargs = {}
    if pool is ProcessPoolExecutor:
        import multiprocessing

        kwargs["mp_context"] = multiprocessing.get_context("spawn")
    with pool(2, **kwargs) as executor:
        assert plan_text(planned(MIXED, shelf(9), watch=Watch(executor=executor))) == alone


def test_a_stop_keeps_the_best_so_far() -> None:
    asked = iter([False] * 6)
    plan = planned(MIXED, shelf(9), watch=Watch(stop=lambda: next(asked, True)))
    assert plan.stopped
    for cut in plan.cuts:
        assert faults(cut.layout) == []


def test_progress_is_told_and_never_beyond_the_whole() -> None:
    heard = []
    planned(MIXED, shelf(9), watch=Watch(report=lambda progress: heard.append(progress)))
    assert heard
    assert all(0 <= progress.fraction <= 1 for progress in heard)


def test_a_dask_cluster_of_two_workers_gives_the_same_plan(tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed", reason="Dask is an optional extra")
    alone = plan_text(planned(MIXED, shelf(9)))
    with (
        distributed.LocalCluster(2, threads_per_worker=1, dashboard_address=None, local_directory=tmp_path) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        executor = client.get_executor(pure=False)
        assert plan_text(planned(MIXED, shelf(9), watch=Watch(executor=executor))) == alone


@pytest.mark.parametrize("possible", [True, False])
def test_of_an_order_that_is_not_filled_the_page_claims_only_what_is_proven_of_it(possible: bool) -> None:
    """A plan that gives less does cost less; and that it cannot be filled is said only where a bound says so."""
    plan = replace(planned(order(OrderLine("short", 9)), shelf(1)), possible=possible)
    assert not plan.full
    assert ("cannot fill" in claims(plan)) == (not possible)
    assert "that gives as much" in claims(plan)
    full = planned(order(OrderLine("short", 2)), shelf(1))
    assert claims(replace(full, possible=possible)) == bound_text(full)


def test_that_hides_were_tried_for_buying_is_not_said_where_none_was() -> None:
    plan = planned(order(OrderLine("short", 9)), shelf(1))
    assert "none of the hides tried" in buying_lines(plan, "mm")[0]
    assert "not estimated" in buying_lines(replace(plan, stopped=True), "mm")[0]
