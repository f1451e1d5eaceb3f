"""What the actions of `hideplan stock` share: opening the register, telling what was done, common arguments."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any

from hides.stock import Stock, open_stock
from nesting.stock.table import hides_text

Argument = tuple[tuple[str, ...], dict[str, Any]]


def opened(options: argparse.Namespace, create: bool = False) -> Stock:
    """The register that --stock names."""
    return open_stock(options.stock, create=create, remark=say)


def report(stock: Stock, change: int, what: str) -> int:
    """Tell what a change did to which hides; the exit status."""
    (made,) = [each for each in stock.history() if each.id == change]
    print(f"{stock.where}: {hides_text(made)} {what}{as_change(change)}")
    return 0


def as_change(number: int, back: str = "undo") -> str:
    """A change's number and how to take it back."""
    return f" (change {number}; “hideplan stock {back}” takes it back)" if number else ""


def print_json(data: object) -> None:
    """Data for programs, on standard output."""
    print(json.dumps(data, ensure_ascii=False, indent=1))


def say(text: str) -> None:
    """A remark for people, beside the answer."""
    print(text, file=sys.stderr)


def note(text: str) -> str:
    """A remark for the history, as argparse reads it."""
    if len(text) > 200 or not text.isprintable():
        raise argparse.ArgumentTypeError("a note is one line of at most 200 signs")
    return text


NOTE: Argument = (("--note",), {"type": note, "default": "", "metavar": "TEXT", "help": "a remark for the history"})
JSON: Argument = (("--json",), {"action": "store_true", "help": "print JSON"})
HIDES: Argument = (
    ("hides",),
    {"nargs": "+", "metavar": "HIDE", "help": "a hide's name, or its number in the register"},
)
