"""What stands between a plan and its bound is told in two parts that add up to it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bars import bar, bar_limits, cut_bar, strip

from nesting.batch.answer import gap_text
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan
from nesting.batch.plan_file import plan_to_data
from nesting.model.settings import Settings


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Five strips of 300 from bars of 700 at 20 each, two on a bar: three bars are cut, two and a half would do."""
    hides = [bar(700, f"B-{n}", 20.0) for n in range(4)]
    tools = Tools(lambda *_, **__: strip("strap", 300), cut_bar, bar_limits)
    return make_plan(Order("o", (OrderLine("strap", 5),)), hides, tools, Settings(effort="quick"))


def test_cut_in_parts_the_same_layouts_would_cost_less(plan: Plan) -> None:
    assert (plan.cost, plan.least_cost) == (60.0, 60.0)
    assert plan.relaxed == pytest.approx(50.0)
    assert plan_to_data(plan)["relaxed"] == 50.0
    assert gap_text(plan) == []


def test_the_gap_is_parted_between_whole_hides_and_layouts_against_limits(plan: Plan) -> None:
    (told,) = gap_text(replace(plan, least_cost=40.0))
    assert "33.3 % of the cost" in told
    assert "10.00 USD since hides are cut whole" in told
    assert "10.00 USD since the layouts found give less than the limits" in told
    (only,) = gap_text(replace(plan, least_cost=50.0))
    assert "limits that are proven" not in only


def test_it_is_told_how_the_search_ended(plan: Plan) -> None:
    far = replace(plan, least_cost=40.0)
    assert "The search was stopped" in gap_text(replace(far, stopped=True))[0]
    assert "The search ended with its 9 searches" in gap_text(replace(far, searches=(9, 9)))[0]
    assert "The search found no more" in gap_text(replace(far, searches=(3, 9)))[0]
    assert gap_text(replace(far, relaxed=None)) == []


def test_the_layouts_found_are_said_to_leave_nothing_better_only_where_that_is_proven(plan: Plan) -> None:
    far = replace(plan, least_cost=50.0)
    assert far.cheapest_known  # CP-SAT settled the cost
    assert "none of the layouts found fits better" in gap_text(far)[0]
    (unsettled,) = gap_text(replace(far, cheapest_known=False))
    assert "none of the layouts" not in unsettled
    assert "could be chosen better" in unsettled
