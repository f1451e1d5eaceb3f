"""The actions of `hideplan stock` about the books, and about hides that change, go or are kept for somebody."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.hide_file import read_hide
from hides.stock import Stock, Value
from hides.whole_file import write_whole
from nesting.commands.stock_opening import HIDES, JSON, NOTE, opened, print_json, report, say
from nesting.commands.swapped import kind_of
from nesting.stock.books import books_text

Arguments = list[tuple[tuple[str, ...], dict[str, Any]]]


def money_from(option: str, text: str | None) -> Value | None:
    """An amount as people write it, “35 USD” or “12.50 EUR”; InputError names the option."""
    if text is None:
        return None
    amount, _, currency = text.strip().partition(" ")
    try:
        cents = round(float(amount) * 100)
    except (ValueError, OverflowError):
        cents = -1
    if not 0 <= cents < 10**12 or not currency.strip().isalpha():
        raise InputError(
            f"“{text}” is no amount of money", where=option, remedy='give a number and a currency: "35 USD"'
        )
    return Value(cents, currency.strip())


def _value(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        books = stock.books()
    if options.json:
        print_json([balance.to_data() for balance in books])
    else:
        print(
            books_text(books) if books else f"{options.stock}: no hide has a price, so there is nothing to account for"
        )
    return 0


def _sell(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        return report(stock, stock.sell(options.hides, options.note), "sold; what was paid left the shelf")


def _lose(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        return report(stock, stock.lose(options.hides, options.note), "written off")


def _correct(options: argparse.Namespace) -> int:
    if kind_of(options.hide) == "hide" and not Path(options.file).exists():
        raise InputError(
            f"the two are the wrong way round: {options.hide} is a hide file",
            where="stock correct",
            remedy=f"give the hide's name first, then its file: {options.file} {options.hide}",
        )
    hide = read_hide(options.file, [])
    with opened(options) as stock:
        return report(stock, stock.correct(options.hide, hide, options.file, options.note), "described anew")


def _reserve(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        told = f"kept for {options.whom}" if options.whom else "kept for nobody in particular"
        return report(stock, stock.remark(options.hides, "reserved", options.whom), told)


def _note(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        return report(stock, stock.remark(options.hides, "note", options.text), "noted")


def _layout(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        text = _kept_layout(stock, options.hide)
    write_whole(Path(options.out), text)
    say(f"{options.out}: the layout that {options.hide} was cut by")
    return 0


def _kept_layout(stock: Stock, name: str) -> str:
    text = stock.layout(stock.find(name).id)
    if text is None:
        raise InputError(
            f"“{name}” has not been cut by a layout", where=stock.where, remedy="“stock history” tells of cuts"
        )
    return text


_FOR = {"nargs": "?", "default": "", "metavar": "WHOM", "help": "a customer or an order [nobody: free again]"}

BOOKS: dict[str, tuple[Any, str, Arguments]] = {
    "value": (_value, "what was paid for hides, and where that money stands", [JSON]),
    "sell": (_sell, "hides that were sold whole", [HIDES, NOTE]),
    "lose": (_lose, "hides that are spoilt or gone: their value is written off", [HIDES, NOTE]),
    "correct": (
        _correct,
        "describe a hide on hand anew (a flaw found, a thickness measured)",
        [
            (("hide",), {"metavar": "HIDE", "help": "its name, or its number in the register"}),
            (("file",), {"metavar": "FILE.json", "help": "the corrected hide file"}),
            NOTE,
        ],
    ),
    "reserve": (
        _reserve,
        "keep hides for somebody; orders for others leave them alone",
        [HIDES, (("--for",), {**_FOR, "dest": "whom"})],
    ),
    "note": (_note, "a note on hides, shown in lists", [HIDES, (("--text",), {"required": True, "metavar": "TEXT"})]),
    "layout": (
        _layout,
        "write the layout that a hide was cut by out again",
        [
            (("hide",), {"metavar": "HIDE", "help": "its name, or its number in the register"}),
            (("--out",), {"required": True, "metavar": "LAYOUT.json", "help": "where to"}),
        ],
    ),
}
