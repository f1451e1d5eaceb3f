"""Products whose pieces come from several hides, and yet from one leather, colour, thickness or lot each."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from bars import bar, bar_limits, cut_bar, strip

from hides.errors import InputError
from hides.hide import Hide
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.order_file import read_order
from nesting.batch.plan import Plan
from nesting.model.settings import Settings

WHOLE = ["case 60", "case 40"]
LOTS = {"old": (120, 10.0), "new": (80, 10.0), "third": (200, 30.0)}


def shelf(*lots: str) -> list[Hide]:
    """Two bars of 60 fit the old lot, two of 40 the new one, and both kinds, twice, the third, which is dear."""
    return [replace(bar(LOTS[lot][0], f"B-{lot}", LOTS[lot][1]), lot=lot) for lot in lots]


def planned(hides: list[Hide], quantity: int = 2, **more: object) -> Plan:
    line = OrderLine("case", quantity, one_hide=False, **more)  # type: ignore[arg-type]
    tools = Tools(lambda *_, **__: strip("case", 60, 40), cut_bar, bar_limits)
    return make_plan(Order("o", (line,)), hides, tools, Settings(effort="quick"))


def by_lot(plan: Plan) -> dict[str, Counter[str]]:
    found: dict[str, Counter[str]] = {}
    for cut in plan.cuts:
        found.setdefault(cut.hide.lot, Counter()).update(each.piece for each in cut.on.placements)
    return found


def test_the_pieces_of_one_product_come_from_one_lot_where_the_line_says_so() -> None:
    free, alike = planned(shelf(*LOTS)), planned(shelf(*LOTS), same_each=("lot",))
    assert (free.full, free.cost, set(by_lot(free))) == (True, 20.0, {"old", "new"})
    assert (alike.full, alike.cost, set(by_lot(alike))) == (True, 30.0, {"third"})


def test_other_products_of_the_line_may_be_of_another_lot() -> None:
    hides = [*shelf("third"), replace(bar(60, "C-0", 5.0), lot="new"), replace(bar(40, "C-1", 5.0), lot="new")]
    plan = planned(hides, 3, same_each=("lot",))
    assert plan.full
    assert by_lot(plan) == {"third": Counter(WHOLE * 2), "new": Counter(WHOLE)}
    assert not planned(hides, 3, same=("lot",)).full
    two = planned([*shelf("old"), *hides[1:]], 2, same_each=("lot",))
    assert two.full
    assert by_lot(two) == {"old": Counter(WHOLE), "new": Counter(WHOLE)}
    assert "case is cut from several, each of one lot: " in " ".join(two.remarks)
    assert planned([*shelf("old"), *hides[1:2]], 2, same_each=("lot",)).filled == (1,)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ('same_each = ["lot"]', "several hides"),
        ('one_hide = false\nsame_each = ["hide"]', "one_hide = true"),
        ('one_hide = false\nsame_each = ["smell"]', "list of any of"),
    ],
)
def test_an_order_file_says_in_what_each_product_is_alike(tmp_path: Path, more: str, told: str) -> None:
    (tmp_path / "p.toml").write_text("")
    file = tmp_path / "order.toml"
    line = 'format = "hideplan-order-1"\n[[line]]\nproject = "p.toml"\nquantity = 3\n'
    file.write_text(line + 'one_hide = false\nsame_each = ["lot", "leather"]\n')
    assert read_order(file).lines[0].same_each == ("leather", "lot")
    file.write_text(line + more)
    with pytest.raises(InputError, match=told):
        read_order(file)
