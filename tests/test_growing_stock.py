"""More hides on the shelf never make a dearer plan: what the best of the smaller stock gave is still there."""

from __future__ import annotations

import random

import pytest
from bars import bar, bar_limits, cut_bar, strip

from hides.hide import Hide
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan
from nesting.model.product import Product
from nesting.model.settings import Settings

LENGTHS = {"short": (26,), "long": (62, 24), "pair": (34, 34, 12)}
TOOLS = Tools(lambda project, *_, **__: made(project), cut_bar, bar_limits)


def made(project: str) -> Product:
    return strip(project, *LENGTHS[project])


def shelf(rng: random.Random, many: int, first: int) -> list[Hide]:
    """Bars of unlike lengths; long ones cost less a metre, as often as not."""
    found = []
    for number in range(first, first + many):
        length = rng.randrange(90, 220)
        found.append(bar(length, f"B-{number:02d}", round(length / 20 * rng.uniform(2, 4), 2)))
    return found


def planned(hides: list[Hide], wanted: dict[str, int]) -> Plan:
    lines = tuple(OrderLine(name, many) for name, many in wanted.items())
    return make_plan(Order("o", lines), hides, TOOLS, Settings(effort="quick"))


@pytest.mark.parametrize("seed", range(10))
def test_hides_added_to_a_stock_never_make_a_plan_dearer(seed: int) -> None:
    rng = random.Random(seed)
    stock = shelf(rng, 8, 0)
    wanted = {name: rng.randrange(2, 4) for name in LENGTHS}
    plan = planned(stock, wanted)
    after = planned(rng.sample([*stock, *shelf(rng, 8, 8)], 16), wanted)
    assert after.full >= plan.full
    assert not plan.full or after.cost <= plan.cost + 1e-6
    assert after.least_cost <= after.cost + 1e-6
