"""A second reckoning, which shares no code with the first, comes to the same figures of plans and books."""

from __future__ import annotations

import copy
import json
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from bars import WIDTH, bar, bar_limits, cut_bar, rectangle, strip

from hides.hide import Grade, Hide, Price, Zone
from hides.stock import Value, open_stock
from hides.units import AREA_UNITS
from nesting.batch.committing import commit
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan
from nesting.batch.plan_file import plan_to_data
from nesting.model.product import Product
from nesting.model.settings import Settings
from nesting.model.value_table import ValueTable
from scripts.recount import book_differences, plan_differences

LENGTHS = {"short": (150,), "long": (310, 120), "pair": (150, 150, 90)}


def read(project: str, t: float | None, **_: object) -> Product:
    made = strip(project, *LENGTHS[project])
    return replace(made, pieces=tuple(replace(piece, grade=Grade.D) for piece in made.pieces))


def shelf(rng: random.Random) -> list[Hide]:
    """Bars with a belly of a lesser grade at one end, priced by the square foot of what is marked on them."""
    found = []
    for number in range(rng.randrange(3, 8)):
        length = rng.randrange(500, 1200)
        start = rng.randrange(200, length)
        per_foot = rng.randrange(300, 2500) / 100
        price = Price(per_foot / AREA_UNITS["sq ft"], "USD", per_foot, "sq ft")
        belly = Zone("belly", rectangle(start, length - start), rng.choice([Grade.B, Grade.C, Grade.D]))
        area = rng.choice([None, length * WIDTH * rng.uniform(0.95, 1.05)])
        found.append(replace(bar(length, f"B-{number}"), price=price, zones=(belly,), area=area))
    return found


def order(rng: random.Random) -> Order:
    lines = tuple(
        OrderLine(name, rng.randrange(1, 5), spares=rng.choice([0, 10, 40]), one_hide=rng.random() < 0.7)
        for name in rng.sample(sorted(LENGTHS), rng.randrange(1, 4))
    )
    credit = Price(2 / AREA_UNITS["sq ft"], "USD", 2, "sq ft") if rng.random() < 0.3 else None
    values = ValueTable((1.0, 0.7, 0.4, 0.2, 0.0), 0.1) if rng.random() < 0.5 else ValueTable()
    return Order("generated", lines, credit, values=values)


def planned(seed: int, hides: list[Hide] | None = None) -> Plan:
    rng = random.Random(seed)
    given = shelf(rng)
    return make_plan(order(rng), hides or given, Tools(read, cut_bar, bar_limits), Settings(effort="quick"))


def told(plan: Plan) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(json.dumps(plan_to_data(plan)))
    return data


def order_data(plan: Plan) -> dict[str, Any]:
    return {"line": [{"quantity": line.quantity, "spares": line.spares} for line in plan.order.lines]}


@pytest.mark.parametrize("seed", range(12))
def test_every_figure_of_a_plan_and_of_the_books_it_is_committed_to_is_found_again(tmp_path: Path, seed: int) -> None:
    path, rng = tmp_path / "hides.stock", random.Random(seed)
    with open_stock(path, create=True) as stock:
        stock.add([(hide, "file") for hide in shelf(rng)], freight=Value(rng.randrange(1, 5000), "USD"))
        plan = planned(seed, [each.hide for each in stock.hides()])
    data = told(plan)
    assert plan_differences(data, order_data(plan)) == []
    commit(plan, path)
    with open_stock(path) as stock:
        stock.undo()
        stock.redo()
        left = [each.hide for each in stock.hides() if not each.parent]  # bars are cut from their left end only
    again = planned(seed + 100, left or [bar(700)])
    if left and again.cuts:
        commit(again, path)
    assert plan_differences(told(again)) == []
    assert book_differences(path) == []


def test_a_figure_that_is_off_is_found_wherever_it_stands() -> None:
    plan = planned(5)
    data = told(plan)
    places = [(data, name) for name in ("cost", "charged")]
    places += [(row, name) for row in data["hides"] for name in ("cost", "charged", "pieces", "yield", "offcut_area")]
    places += [(row, name) for row in data["products"] for name in ("planned", "ordered", "cost_each")]
    places += [
        (each["hides"][0]["areas"], name)
        for each in data["layouts"]
        for name in ("pieces", "hide", "usable", "offcuts")
    ]
    assert plan.cuts
    for holder, name in places:
        held = holder[name]
        holder[name] = held * 1.02 + (0.02 if held < 1e3 else 1e3)
        assert plan_differences(data, order_data(plan)), name
        holder[name] = held
    assert plan_differences(copy.deepcopy(data), order_data(plan)) == []


def test_a_cent_moved_within_a_change_is_found(tmp_path: Path) -> None:
    path, rng = tmp_path / "hides.stock", random.Random(3)
    with open_stock(path, create=True) as stock:
        stock.add([(hide, "file") for hide in shelf(rng)])
        plan = planned(3, [each.hide for each in stock.hides()])
        number = commit(plan, path)
        assert book_differences(path) == []
        database = stock._database
        shelf_line = "SELECT rowid FROM entry WHERE change = ? AND account = 'shelf' AND cents > 0 LIMIT 1"
        charged = "SELECT rowid FROM entry WHERE change = ? AND account = 'charged' LIMIT 1"
        for lines, cents in ((shelf_line, 1), (charged, -1)):
            (row,) = database.execute(lines, (number,)).fetchone()
            database.execute("UPDATE entry SET cents = cents + ? WHERE rowid = ?", (cents, row))
    assert book_differences(path)
