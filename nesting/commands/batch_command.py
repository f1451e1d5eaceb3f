"""`hideplan batch`: which hides to cut for an order, how, and what to buy."""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from dataclasses import replace
from pathlib import Path

from hides.errors import InputError
from hides.hide import Hide
from hides.stock import hides_from
from hides.units import area
from nesting.batch.answer import plan_answer
from nesting.batch.buying import to_buy
from nesting.batch.committing import commit, refuse_folder
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order
from nesting.batch.order_file import read_order
from nesting.batch.plan import Plan
from nesting.batch.plan_file import plan_to_data, write_plan
from nesting.batch.workers import workers
from nesting.commands.solving import add_solving_arguments, settings_from, watch_from
from nesting.project_file import read_product
from nesting.settings import Deadline, Settings, Watch


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The order, the hides, what to write."""
    parser.add_argument("order", metavar="ORDER", help="an order file (TOML)")
    parser.add_argument("--hides", required=True, metavar="FOLDER_OR_STOCK", help="hide files, or a register of hides")
    parser.add_argument("--out", metavar="PLAN.json", help="write the plan with the layout of every hide")
    parser.add_argument("--commit", action="store_true", help="mark the hides cut in the register, offcuts put back")
    parser.add_argument(
        "--least-offcut", metavar="AREA", help="with --commit: put back offcuts from this size on [all]"
    )
    parser.add_argument("--json", action="store_true", help="print the plan as JSON")
    add_solving_arguments(parser)
    parser.add_argument(
        "--workers",
        metavar="WHERE",
        help="so many processes, or the address of a Dask scheduler [one process a core]",
    )


def run(options: argparse.Namespace) -> int:
    """Make the plan, write and tell it; 1 where the order is not filled."""
    settings = settings_from(options)
    stock = Path(options.hides)
    least = _least(options.least_offcut)
    if options.commit:
        refuse_folder(stock)
    order = read_order(options.order)
    hides = [each.hide for each in hides_from(stock, _say)]
    plan = _plan(order, hides, settings, options)
    if options.out:
        write_plan(options.out, plan)
    if options.commit and plan.cuts:
        number = commit(plan, stock, least)
        _say(f"{stock}: change {number} marks {len(plan.cuts)} cut (“hideplan stock undo” takes it back)")
    told = (
        json.dumps(plan_to_data(plan), ensure_ascii=False) + "\n" if options.json else plan_answer(plan, _units(hides))
    )
    sys.stdout.write(told)
    return 0 if plan.full else 1


def _plan(order: Order, hides: list[Hide], settings: Settings, options: argparse.Namespace) -> Plan:
    tools = Tools(read_product)
    with watch_from(options) as watch, workers(options.workers, watch.stop) as executor:
        carried = replace(watch, executor=executor)
        deadline = None if options.time is None else Deadline(float(options.time))
        plan = make_plan(order, hides, tools, settings, carried, deadline)
        if plan.full or watch.stop():
            return plan
        typical = importlib.import_module("hides.typical").typical_hide
        return replace(plan, buy=to_buy(plan, hides, typical, tools, settings, carried))


def _least(told: str | None) -> float:
    if told is None:
        return 0.0
    try:
        return area(told)
    except InputError as error:
        raise error.within(where="--least-offcut") from error


def _units(hides: list[Hide]) -> str:
    return "in" if hides and all(hide.units == "in" for hide in hides) else "mm"


def _say(text: str) -> None:
    print(text, file=sys.stderr)
