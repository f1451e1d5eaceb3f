"""What the order tab asks for, as values; and what is kept of a plan."""

from __future__ import annotations

import json
import os
import re
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.hide import Hide
from hides.stock import StockHide, hides_from, open_stock
from hides.whole_file import write_whole
from nesting.batch.answer import claims
from nesting.batch.buying import flawed_outline, to_buy
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.on_offer import on_offer
from nesting.batch.order import Order
from nesting.batch.order_file import SAME, read_order
from nesting.batch.plan import Plan
from nesting.batch.plan_file import plan_text, plan_to_data
from nesting.batch.workers import workers
from nesting.model.offcut_rule import LEAST_AREA
from nesting.model.settings import Settings, Watch
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.planning import cuts, kept_answer, read_settings
from nesting.page.projects import refuse_outside
from nesting.page.stock_routes import register_path, shelf_key
from nesting.project.project_file import read_product
from nesting.project.settings_reader import straight_rules_in
from nesting.stock.done import cuts_of, layouts_of
from nesting.stock.parting import noted, parting_of
from nesting.stock.past_cuts import past_cuts

MOST_LINES = 60


@dataclass(frozen=True)
class OrderRun:
    """An order, the hides it may be cut from, and how to search: what `hideplan batch` is given."""

    order: Order
    hides: tuple[Hide, ...]
    settings: Settings
    stock: Path = Path()
    """Where the hides come from: the register, or a folder."""


def read_batch(folder: Folder, body: dict[str, Any]) -> OrderRun:
    """The batch in a request's body; Refusal or InputError where it cannot be planned."""
    order = _order(folder, order_text(folder, body))
    source = register_path(folder) if register_path(folder).is_file() else folder.path
    order, offered, _ = on_offer(_chosen(hides_from(source), body.get("hides")), order)
    hides = tuple(offered)
    if not hides:
        raise Refusal(422, "there is no hide on the shelf to cut from")
    return OrderRun(order, hides, read_settings({"edge": "", **body}), source)


def _chosen(stock: Sequence[StockHide], keys: object) -> list[StockHide]:
    """The hides that were picked for the order, by what the shelf asks for them by; all of them where none were."""
    if not keys:
        return list(stock)
    if not isinstance(keys, list):
        raise Refusal(400, "the hides to cut from are expected as a list")
    return [each for each in stock if shelf_key(each) in {str(key) for key in keys}]


def plan_batch(batch: OrderRun, watch: Watch) -> Plan:
    """Plan; runs in the solver's process, which hands searches to more processes."""
    tools = Tools(read_product)
    with workers(None, watch.stop) as executor:
        carried = replace(watch, executor=executor)
        plan = make_plan(batch.order, batch.hides, tools, batch.settings, carried)
        if plan.full or watch.stop():
            return plan
        before = past_cuts(batch.stock)
        return replace(plan, buy=to_buy(plan, batch.hides, flawed_outline, tools, batch.settings, carried, before))


def keep_plan(folder: Folder, identity: str, plan: Plan) -> None:
    """Keep a plan and what the page shows of it."""
    write_whole(plan_path(folder, identity), plan_text(plan))
    shown = {"id": identity, "state": "done", "plan": plan_to_data(plan), "claims": claims(plan), "committed": False}
    _keep_answer(folder, shown)


def plan_path(folder: Folder, identity: str) -> Path:
    """Where a run's plan file lies."""
    return folder.kept("plans", identity, ".json")


def commit_plan(folder: Folder, identity: str, partly: bool = False) -> int:
    """Mark the plan's hides cut in the register and shelve their offcuts; gives how many offcuts came of it.

    `partly`: also where the plan does not fill its order.
    """
    answer, register = kept_answer(folder, identity), register_path(folder)
    if answer is None or not register.is_file():
        raise Refusal(404, "there is no such plan, or no register, in the folder")
    if answer["committed"]:
        raise Refusal(409, "the hides of this plan are marked cut already")
    if not (partly or answer["plan"]["filled"]):
        raise Refusal(409, "the order is not filled, so no hide is marked cut")
    name = str(answer["plan"]["order"])
    path = plan_path(folder, identity)
    with open_stock(register) as stock:
        parting = parting_of(path)
        cuts = cuts_of(stock, layouts_of(path), name, LEAST_AREA, parting)
        stock.commit_cuts(cuts, note=noted(f"order {name}", parting))
    _keep_answer(folder, {**answer, "committed": True})
    return sum(len(cut.offcuts) for cut in cuts)


def order_text(folder: Folder, body: dict[str, Any]) -> str:
    """An order file from the page's form."""
    lines = body.get("lines")
    if not isinstance(lines, list) or not 1 <= len(lines) <= MOST_LINES:
        raise Refusal(422, f"an order has between 1 and {MOST_LINES} products")
    name = " ".join(str(body.get("name") or "Order").split())[:60]
    parts = ['format = "hideplan-order-1"', f"name = {json.dumps(name, ensure_ascii=False)}"]
    if whom := " ".join(str(body.get("for") or "").split())[:60]:
        parts.append(f"for = {json.dumps(whom, ensure_ascii=False)}")
    if any(isinstance(line, dict) and line.get("straight") is True for line in lines):
        parts += _cuts(body)
    for number, line in enumerate(lines, 1):
        parts += _line(folder, line, f"product {number}")
    return "\n".join(parts) + "\n"


def _cuts(body: dict[str, Any]) -> list[str]:
    """How straight cuts are made, read by the command line's rules before it is written."""
    cutter, kerf = cuts(body)
    straight_rules_in(cutter, kerf)
    told = [f"cutter = {json.dumps([_length(each) for each in cutter])}"] if cutter else []
    return [*told, f"kerf = {json.dumps(_length(kerf))}"] if kerf else told


def _length(told: str) -> str:
    """A length as an order file has it: with its unit, millimetres where it has none."""
    return f"{told} mm" if told.replace(".", "", 1).isdigit() else told


def _line(folder: Folder, line: object, where: str) -> list[str]:
    if not isinstance(line, dict):
        raise Refusal(400, f"{where} is not described")
    if not line.get("project"):
        raise Refusal(422, f"{where}: choose its project")
    project = folder.existing(str(line["project"]), ".toml")
    refuse_outside(project.read_bytes(), project.name)
    told = [
        "[[line]]",
        f"project = {json.dumps(project.name, ensure_ascii=False)}",
        f"quantity = {_value(line, 'quantity', where, int, 'a whole number')}",
        f"one_hide = {str(line.get('one_hide', True) is not False).lower()}",
    ]
    if line.get("spares"):
        told.append(f"spares = {_value(line, 'spares', where, float, 'a number of per cent')}")
    told += _wishes(line, where)
    if line.get("due"):
        told.append(f"due = {_value(line, 'due', where, date.fromisoformat, 'a date such as 2027-03-31')}")
    return told


def _wishes(line: dict[str, Any], where: str) -> list[str]:
    """What a line asks of its hides, as the order file says it: leather, thickness, and in what all of them agree."""
    told = []
    for name in ("name", "leather", "thickness"):
        if text := " ".join(str(line.get(name) or "").split())[:80]:
            told.append(f"{name} = {json.dumps(text, ensure_ascii=False)}")
    if isinstance(line.get("same"), list):
        told.append(f"same = {json.dumps(_named(line['same']))}")
    if isinstance(line.get("same_each"), list) and line.get("one_hide", True) is False:
        told.append(f"same_each = {json.dumps(_named(line['same_each']))}")
    if line.get("straight") is True:
        told.append("straight = true")
    return told


def _named(told: list[Any]) -> list[str]:
    """What of a leather is to agree; the colour is asked for with its name."""
    return [name for name in SAME if name in told or (name == "colour" and "leather" in told)]


def _value(line: dict[str, Any], name: str, where: str, read: Callable[[str], object], wanted: str) -> object:
    told = str(line.get(name, "")).strip()
    try:
        return read(told)
    except (ValueError, OverflowError) as error:
        raise Refusal(422, f"{where}: {name}: “{told[:20]}” must be {wanted}") from error


def _order(folder: Folder, text: str) -> Order:
    handle, path = tempfile.mkstemp(dir=folder.path, prefix=".order-", suffix=".toml")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(text)
        return replace(read_order(path), source="the order")
    except InputError as error:
        raise _as_asked(error, path) from error
    finally:
        os.unlink(path)


def _as_asked(error: InputError, path: str) -> InputError:
    """What is wrong with the form, told by the form's own words and not by the file that was made of it."""
    if error.where != path:
        return error
    line = re.fullmatch(r"line\[(\d+)\]\.?(.*)", error.field)
    where, field = (f"product {line[1]}", line[2]) if line else ("the order", error.field)
    return InputError(error.problem, where=where, field=field, remedy=error.remedy)


def _keep_answer(folder: Folder, answer: dict[str, Any]) -> None:
    write_whole(folder.kept("answers", str(answer["id"]), ".json"), json.dumps(answer))
