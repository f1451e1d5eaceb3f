"""Plans over many unlike hides: what single items gave guides which hides are searched, for what."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from bars import bar, bar_limits, cut_bar, demand, long, strip

from hides.hide import Hide
from nesting.batch.hopes import HALF, UNKNOWN, Got, Hopes
from nesting.batch.limits import task_limits
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan
from nesting.batch.searching import Call
from nesting.batch.task import make_task
from nesting.laying.lay_out import Want
from nesting.model.layout import Layout
from nesting.model.product import Product
from nesting.model.settings import Settings, Watch

LENGTHS = {"short": (26,), "long": (62, 24), "pair": (34, 34, 12)}


def made(project: str) -> Product:
    return strip(project, *LENGTHS[project])


def half_of_a_shoulder(hide: Hide, wants: list[Want], settings: Settings, watch: Watch) -> Layout:
    """A search that on shoulders finds no use for half of the leather."""
    if hide.cut != "shoulder":
        return cut_bar(hide, wants, settings, watch)
    short = bar(hide.measured_area / 100 / 2, hide.name, cut="shoulder")
    return cut_bar(short, wants, settings, watch)


def planned(hides: list[Hide], wanted: dict[str, int], tools: Tools, effort: str = "quick") -> Plan:
    lines = tuple(OrderLine(name, many) for name, many in wanted.items())
    return make_plan(Order("o", lines), hides, tools, Settings(effort=effort))


def test_hides_that_look_cheap_by_their_limits_and_give_little_are_left_alone() -> None:
    """Shoulders cost 0.8 of a side by length and give half of it: none is worth cutting."""
    rng = random.Random(3)
    lengths = [rng.randrange(150, 200) for _ in range(7)]
    sides = [bar(n, f"S-{n}-{k}", n * 1.0) for k, n in enumerate(lengths)]
    shoulders = [bar(n, f"D-{n}-{k}", n * 0.8, cut="shoulder") for k, n in enumerate(lengths)]
    tools = Tools(lambda project, *_, **__: made(project), half_of_a_shoulder, bar_limits)
    plan = planned(shoulders + sides, {"short": 9, "long": 3}, tools)
    assert plan.full
    assert {each.hide.cut for each in plan.cuts} == {"side"}
    assert plan.cost <= 1.1 * (9 * long(made("short")) + 3 * long(made("long")))


def test_the_leather_of_a_line_is_chosen_by_what_searches_gave_and_not_by_limits_alone() -> None:
    """Shoulders at 0.8 of the price promise 7 of a bar of 200 and give 3; sides give 7."""
    sides = [replace(bar(200, f"S-{k}", 200.0), leather="stout") for k in range(2)]
    shoulders = [replace(bar(200, f"D-{k}", 160.0, cut="shoulder"), leather="light") for k in range(4)]
    tools = Tools(lambda project, *_, **__: made(project), half_of_a_shoulder, bar_limits)
    plan = planned(shoulders + sides, {"short": 12}, tools)
    assert (plan.full, plan.cost) == (True, 400.0)
    assert {each.hide.leather for each in plan.cuts} == {"stout"}


def test_quick_plans_over_many_hides_cost_at_most_five_per_cent_more_than_normal_ones() -> None:
    rng = random.Random(4)
    lengths = [rng.randrange(90, 220) for _ in range(14)]
    hides = [bar(n, f"B-{k}", round(n / 20 * rng.uniform(2, 4), 2)) for k, n in enumerate(lengths)]
    tools = Tools(lambda project, *_, **__: made(project), cut_bar, bar_limits)
    wanted = {"short": 6, "long": 3, "pair": 3}
    quick, normal = (planned(hides, wanted, tools, effort) for effort in ("quick", "normal"))
    assert quick.full
    assert normal.full
    assert quick.cost <= 1.05 * normal.cost


def test_what_an_item_alone_gave_is_hoped_for_on_like_hides() -> None:
    wanted = [demand("short", LENGTHS["short"], 50), demand("long", LENGTHS["long"], 50)]
    hides = [bar(200, "a"), bar(100, "b"), bar(200, "c", cut="shoulder")]
    task = make_task(wanted, hides)
    limits = task_limits([group.hide for group in task.groups], task.products, Settings(), bar_limits)
    place = {group.hide.name: g for g, group in enumerate(task.groups)}
    call = Call(place["a"], (0,), (1.0,), (None,), "quick")
    hopes = Hopes(task, limits, [Got(call, (3, 0))])
    assert hopes.alone(place["a"], 0) == 3 + HALF
    assert hopes.alone(place["b"], 0) == pytest.approx((3 + HALF) / 2)  # half as long
    assert hopes.alone(place["c"], 0) == pytest.approx(3 + HALF)  # of another kind: what the item gave anywhere
    share = (3 + HALF) / (200 / 26)
    assert hopes.alone(place["b"], 1) == pytest.approx(100 / 86 * share)  # another item: as such hides were filled
    assert Hopes(task, limits, []).alone(place["a"], 0) == pytest.approx(200 / 26 * UNKNOWN)
    assert hopes.of(place["b"]).allow((1, 0))
    assert not hopes.of(place["b"]).allow((2, 0))
