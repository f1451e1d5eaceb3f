"""What is sold together is cut from one leather, unless the order says otherwise; and the plan says what it mixed."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from bars import bar, bar_limits, cut_bar, strip

from hides.errors import InputError
from hides.hide import Hide, Thickness
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.order_file import read_order
from nesting.batch.plan import Plan
from nesting.model.product import Product
from nesting.model.settings import Settings


def read(project: str, t: float | None) -> Product:
    return strip(project, 150)


def leather(name: str, of: str, low: float = 4.0, high: float = 4.4, price: float = 20.0) -> Hide:
    return replace(bar(700, name, price), leather=of, thickness=Thickness(low, high))


def plan(hides: list[Hide], *lines: OrderLine) -> Plan:
    tools = Tools(read, cut_bar, bar_limits)
    return make_plan(Order("an order", lines, None, "order.toml"), hides, tools, Settings(effort="quick"))


def leathers(made: Plan, product: str) -> set[str]:
    return {cut.hide.leather for cut in made.cuts if cut.pieces(product)}


def test_one_line_comes_from_one_leather_though_the_nearest_hides_differ() -> None:
    hides = [leather("R-1", "russet"), leather("N-1", "natural"), leather("N-2", "natural")]
    made = plan(hides, OrderLine("case", 6))
    assert made.full
    assert leathers(made, "case") == {"natural"}
    assert made.remarks[:1] != ("case is cut from several",)


def test_of_several_leathers_that_fill_a_line_the_cheapest_is_taken() -> None:
    hides = [leather("R-1", "russet", price=30), leather("N-1", "natural", price=20)]
    assert leathers(plan(hides, OrderLine("case", 3)), "case") == {"natural"}


def test_thicknesses_that_meet_are_one_and_others_are_not() -> None:
    near = [leather("A", "russet", 4.0, 4.4), leather("B", "russet", 4.3, 4.8)]
    far = [leather("A", "russet", 4.0, 4.4), leather("B", "russet", 2.0, 2.4)]
    assert plan(near, OrderLine("case", 8)).full
    assert plan(far, OrderLine("case", 8)).filled == (4,)


def test_a_line_that_wants_nothing_the_same_may_mix_and_the_plan_says_so() -> None:
    hides = [leather("R-1", "russet"), leather("N-1", "natural")]
    made = plan(hides, OrderLine("case", 8, same=()))
    assert made.full
    assert any("case is cut from several: russet, 4.0-4.4 mm (R-1); natural" in told for told in made.remarks)


def test_a_lot_keeps_together_where_the_line_wants_it() -> None:
    hides = [replace(leather(f"R-{n}", "russet"), lot=lot) for n, lot in enumerate(("1", "2", "2"))]
    made = plan(hides, OrderLine("case", 8, same=("leather", "lot")))
    assert {cut.hide.lot for cut in made.cuts} == {"2"}


def test_two_lines_may_each_have_a_leather_of_their_own() -> None:
    hides = [leather("R-1", "russet"), leather("N-1", "natural")]
    made = plan(hides, OrderLine("case", 4), OrderLine("pouch", 4))
    assert made.full
    assert [len(leathers(made, name)) for name in ("case", "pouch")] == [1, 1]


def test_what_is_proven_holds_for_plans_of_any_leather() -> None:
    """The cheaper leather gives too little, so the plan takes the dearer; a bound of that alone would be no bound."""
    hides = [leather("N-1", "natural", price=1), *(leather(f"R-{n}", "russet", price=30) for n in range(2))]
    made = plan(hides, OrderLine("case", 5))
    assert leathers(made, "case") == {"russet"}
    assert made.least_cost <= 31 < made.cost


def test_an_order_that_wants_the_same_of_what_nobody_knows_is_refused(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text('format = "hideplan-project-1"\n')
    order = tmp_path / "order.toml"
    order.write_text(
        'format = "hideplan-order-1"\n[[line]]\nproject = "case.toml"\nquantity = 1\nsame = ["smell"]\n', "utf-8"
    )
    with pytest.raises(InputError, match=r"same.*leather, colour, thickness, lot, hide"):
        read_order(order)


def test_where_one_leather_is_too_little_the_plan_says_how_to_mix() -> None:
    made = plan([leather("R-1", "russet"), leather("N-1", "natural")], OrderLine("case", 8))
    assert made.filled == (4,)
    assert made.possible
    assert "case is cut from one leather; same = [] in its line would let several be mixed." in made.remarks


def test_more_hides_on_the_shelf_never_make_a_plan_dearer() -> None:
    """Ten stocks of like bars, then the same with twenty unlike bars more; the search for one bar is exact here."""
    rng = random.Random(11)
    for _ in range(10):
        few = [bar(rng.randrange(500, 1500), f"F-{n}", rng.uniform(10, 40)) for n in range(6)]
        more = [bar(rng.randrange(300, 1500), f"M-{n}", rng.uniform(10, 40)) for n in range(20)]
        line = OrderLine("case", 15)
        small, large = plan(few, line), plan([*few, *more], line)
        assert large.filled >= small.filled
        assert large.cost <= small.cost + 1e-6 or large.filled > small.filled
