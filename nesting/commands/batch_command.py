"""`hideplan batch`: which hides to cut for an order, how, and what to buy."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import replace
from pathlib import Path

from hides.errors import InputError
from hides.hide import Hide
from hides.stock import hides_from
from hides.units import area
from hides.whole_file import write_whole
from nesting.batch.answer import plan_answer
from nesting.batch.buying import flawed_outline, to_buy
from nesting.batch.committing import commit, refuse_folder
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.on_offer import on_offer
from nesting.batch.order import Order
from nesting.batch.order_file import OFFCUTS, read_order
from nesting.batch.plan import Plan
from nesting.batch.plan_file import plan_text, plan_to_data
from nesting.batch.workers import workers
from nesting.commands.loading import load_meanwhile
from nesting.commands.solving import add_solving_arguments, deadline_from, settings_from, watch_from
from nesting.commands.straight_options import add_cutter_arguments, cuts_from
from nesting.commands.swapped import refuse_swapped
from nesting.drawing.sheet_style import SheetStyle
from nesting.model.settings import Settings
from nesting.project.project_file import read_product
from nesting.stock.past_cuts import past_cuts


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The order, the hides, what to write."""
    parser.add_argument("order", metavar="ORDER", help="an order file (TOML)")
    parser.add_argument("--hides", required=True, metavar="FOLDER_OR_STOCK", help="hide files, or a register of hides")
    parser.add_argument(
        "--offcuts",
        choices=OFFCUTS,
        help="cut offcuts first, or where that is cheaper by their worth [as the order says: when cheaper]",
    )
    parser.add_argument("--out", metavar="PLAN.json", help="write the plan with the layout of every hide")
    parser.add_argument("--commit", action="store_true", help="mark the hides cut in the register, offcuts put back")
    parser.add_argument("--partly", action="store_true", help="with --commit: also where the order is not filled")
    parser.add_argument(
        "--least-offcut", metavar="AREA", help="with --commit: put back offcuts from this size on [all]"
    )
    parser.add_argument("--sheet", metavar="FILE.pdf", help="write a summary and a cut sheet for every hide")
    parser.add_argument("--csv", metavar="FILE.csv", help="write the piece lists of all hides")
    parser.add_argument("--totals", metavar="FILE.csv", help="write how many of each piece are cut in all")
    parser.add_argument("--pictures", metavar="FOLDER", help="write a picture (PNG) of every hide into a folder")
    parser.add_argument("--json", action="store_true", help="print the plan as JSON")
    add_cutter_arguments(parser.add_argument_group("straight cuts, where a line asks for them"))
    add_solving_arguments(parser)
    parser.add_argument(
        "--workers",
        metavar="WHERE",
        help="so many processes, or the address of a Dask scheduler [one process a core]",
    )


def run(options: argparse.Namespace) -> int:
    """Make the plan, write and tell it; 1 where the order is not filled."""
    settings = settings_from(options)
    refuse_swapped("batch {0} --hides {1}", options.order, ["order"], options.hides, ["folder", "register"])
    stock = Path(options.hides)
    least = _least(options.least_offcut)
    if options.commit:
        refuse_folder(stock)
    _refuse_unwritable(options)
    order = read_order(options.order)
    if options.offcuts:
        order = replace(order, offcuts_first=options.offcuts == "first")
    order = replace(order, cuts=cuts_from(options, order))
    order, hides, remarks = on_offer(hides_from(stock, _say), order)
    plan = _plan(order, hides, settings, options)
    plan = replace(plan, remarks=(*plan.remarks, *remarks))
    for path, content in _files(plan, options, _units(hides)).items():
        write_whole(path, content)
    if options.commit and not plan.full and not options.partly:
        _say(f"{stock}: the order is not filled, so no hide is marked cut; --partly marks them all the same")
    elif options.commit and plan.cuts:
        number = commit(plan, stock, least)
        _say(f"{stock}: change {number} marks {len(plan.cuts)} cut (“hideplan stock undo” takes it back)")
    told = (
        json.dumps(plan_to_data(plan), ensure_ascii=False) + "\n" if options.json else plan_answer(plan, _units(hides))
    )
    sys.stdout.write(told)
    return 0 if plan.full else 1


def _plan(order: Order, hides: list[Hide], settings: Settings, options: argparse.Namespace) -> Plan:
    tools = Tools(read_product)
    if options.sheet or options.pictures:
        load_meanwhile("nesting.batch.plan_sheet")
    deadline = deadline_from(options, draws=bool(options.sheet))
    with watch_from(options, deadline) as watch, workers(options.workers, watch.stop) as executor:
        carried = replace(watch, executor=executor)
        plan = make_plan(order, hides, tools, settings, carried, deadline)
        if plan.full or watch.stop():
            return plan
        return replace(
            plan, buy=to_buy(plan, hides, flawed_outline, tools, settings, carried, past_cuts(Path(options.hides)))
        )


def _refuse_unwritable(options: argparse.Namespace) -> None:
    """Say before the work, not after it, that a file could not be written."""
    for name in ("out", "sheet", "csv", "totals"):
        told = getattr(options, name)
        if told is not None and (not Path(told).parent.is_dir() or Path(told).is_dir()):
            raise InputError(
                "cannot be written", where=f"--{name} {told}", remedy="name a file in a folder that exists"
            )
    if options.pictures is not None and not Path(options.pictures).is_dir():
        raise InputError("is no folder", where=f"--pictures {options.pictures}", remedy="name a folder that exists")


def _files(plan: Plan, options: argparse.Namespace, units: str) -> dict[Path, bytes | str]:
    """What is to be written, all made before any of it is; the plan itself comes last."""
    files = _drawn(plan, options, units) if any((options.sheet, options.csv, options.totals, options.pictures)) else {}
    if options.out:
        files[Path(options.out)] = plan_text(plan)
    return files


def _drawn(plan: Plan, options: argparse.Namespace, units: str) -> dict[Path, bytes | str]:
    """The sheet, the tables and the pictures that are asked for."""
    from nesting.batch.plan_sheet import plan_csv, plan_pdf, plan_pictures, totals_csv  # heavy: only where needed

    files: dict[Path, bytes | str] = {}
    if options.sheet:
        files[Path(options.sheet)] = plan_pdf(plan, SheetStyle(units=units))
    if options.csv:
        files[Path(options.csv)] = plan_csv(plan, units)
    if options.totals:
        files[Path(options.totals)] = totals_csv(plan)
    if options.pictures:
        files |= {Path(options.pictures) / name: picture for name, picture in plan_pictures(plan, units).items()}
    return files


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
