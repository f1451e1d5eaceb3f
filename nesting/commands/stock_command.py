"""`hideplan stock`: the register of hides and offcuts."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.hide_file import hide_text
from hides.stock import Change, Status, Stock, read_files
from hides.stock.audit import faults
from hides.stock.listing import Entry, entries, one
from hides.stock.picture import picture
from hides.stock.register import ALL
from hides.units import area
from hides.whole_file import write_whole
from nesting.commands.stock_books import BOOKS, money_from
from nesting.commands.stock_opening import HIDES, JSON, NOTE, as_change, opened, print_json, report, say
from nesting.result.wording import count_text
from nesting.stock.books import books_of
from nesting.stock.done import cuts_of, layouts_of, split_remarks
from nesting.stock.parting import noted, parting_of
from nesting.stock.sheet import contact_sheet
from nesting.stock.table import details, hides_text, history_table, stock_table

DEFAULT = "hides.stock"
LONGEST_STEM = 60
"""A file's name may hold 255 bytes on most systems, and a letter may take four."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """One action a word; every action takes --stock."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    for name, (run_it, told, arguments) in ACTIONS.items():
        action = actions.add_parser(name, help=told, description=told[0].upper() + told[1:] + ".")
        action.add_argument("--stock", metavar="FILE", default=DEFAULT, help=f"the register [{DEFAULT}]")
        action.set_defaults(run_it=run_it)
        for words, options in arguments:
            action.add_argument(*words, **options)


def run(options: argparse.Namespace) -> int:
    """Carry out one action."""
    return int(options.run_it(options))


def _list(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        found, damaged = entries(stock, ALL if options.all else (Status.IN, Status.OUT))
    if options.out is not None:
        write_whole(_page(options.out), contact_sheet(found, f"Stock: {Path(options.stock).name}"))
        say(f"{options.out}: {count_text(len(found), 'hide')} of {options.stock}")
    if options.json:
        print_json([entry.to_data() for entry in found])
    elif options.out is None:
        print(stock_table(found) if found else f"{options.stock}: no hides on hand")
    for error in damaged:
        say(f"hideplan: {error}")
    return 2 if damaged else 0


def _add(options: argparse.Namespace) -> int:
    hides = read_files(options.files, say)
    with opened(options, create=True) as stock:
        done = stock.add(hides, options.note, money_from("--freight", options.freight))
        for row in done.known:
            what = "mended" if row in done.mended else "already there"
            print(f"{what}: {row.name} (number {row.id}, {row.source})")
        for row in done.added:
            print(f"added: {row.name} (number {row.id})")
        print(f"{count_text(len(done.added), 'hide')} added to {options.stock}" + as_change(done.change))
    return 0


def _show(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        entry = one(stock, stock.find(options.hide))
        past = [c for c in stock.history() if any(step.hide_id == entry.stock_hide.id for step in c.steps)]
    hide = entry.stock_hide.hide
    if options.out is not None:
        write_whole(options.out, picture(hide, 800, 600) + "\n")
        say(f"{options.out}: {hide.name} of {options.stock}")
    if options.json:
        print_json({**entry.to_data(), "history": [_change_data(change) for change in past]})
    elif options.out is None:
        print(_told_in_full(entry, past))
    return 0


def _take(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        return report(stock, stock.take(options.hides, options.note), "taken out")


def _back(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        return report(stock, stock.put_back(options.hides, options.note), "back on the shelf")


def _undo(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        return _reversed(stock, stock.undo(options.change))


def _redo(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        return _reversed(stock, stock.redo())


def _history(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        changes, posted = stock.history(), stock.posted()
    if options.json:
        print_json([{**_change_data(change), "books": books_of(posted, change.id)} for change in changes])
    else:
        print(history_table(changes, posted) if changes else f"{options.stock}: no changes yet")
    return 0


def _done(options: argparse.Namespace) -> int:
    path = Path(options.layout)
    layouts, parting = layouts_of(path), parting_of(path)
    note = noted(options.note or path.name, parting)
    with opened(options) as stock:
        cuts = cuts_of(stock, layouts, str(path), options.least_offcut, parting, options.begun)
        for remark in split_remarks(stock, layouts):
            print(f"hideplan: {remark}", file=sys.stderr)
        kept = "; offcuts put on the shelf" if any(cut.offcuts for cut in cuts) else ""
        return report(stock, stock.commit_cuts(cuts, note), f"cut{kept}")


def _export(options: argparse.Namespace) -> int:
    folder = Path(options.out)
    with opened(options) as stock:
        rows = [stock.find(name) for name in options.hides] if options.hides else stock.rows()
        hides = [row.read(stock.where).hide for row in rows]
    files = [folder / f"{_file_stem(hide.name)}.json" for hide in hides]
    _refuse_clashes(files, options.replace)
    _make_folder(folder)
    for file, hide in zip(files, hides, strict=True):
        write_whole(file, hide_text(hide))
    print(f"{folder}: {count_text(len(files), 'hide file')} written from {options.stock}")
    return 0


def _check(options: argparse.Namespace) -> int:
    with opened(options) as stock:
        found = faults(stock)
        told = count_text(len(stock.rows(ALL)), "hide"), count_text(len(stock.history()), "change")
    for fault in found:
        print(fault)
    print(f"{options.stock}: {' and '.join(told)}, {count_text(len(found), 'fault') if found else 'sound'}")
    return 1 if found else 0


def _reversed(stock: Stock, number: int) -> int:
    """Tell what an undo or a redo did, by the change that it is about in the end."""
    changes = {change.id: change for change in stock.history()}
    what = changes[changes[number].reverses]
    while what.reverses:
        what = changes[what.reverses]
    told, back = ("holds again", "undo") if what.in_force else ("is undone", "redo")
    print(f"{stock.where}: change {what.id} {told}: {what.kind} {hides_text(what)}{as_change(number, back)}")
    return 0


def _told_in_full(entry: Entry, past: Sequence[Change]) -> str:
    lines = [f"{entry.stock_hide.hide.name} (number {entry.stock_hide.id})"]
    lines += [f"  {name:<14} {text}" for name, text in details(entry)]
    return "\n".join([*lines, "", history_table(past)])


def _change_data(change: Change) -> dict[str, Any]:
    steps = [{"number": s.hide_id, "name": s.name, "was": s.was.value, "became": s.became.value} for s in change.steps]
    return {
        "change": change.id,
        "at": change.at,
        "kind": change.kind,
        "note": change.note,
        "reverses": change.reverses or None,
        "in_force": change.in_force,
        "steps": steps,
    }


def _file_stem(name: str) -> str:
    """A hide's name as a file's: signs that some systems do not allow become "_"."""
    return "".join("_" if sign in '/\\:*?"<>|' else sign for sign in name)[:LONGEST_STEM].strip(". ") or "hide"


def _refuse_clashes(files: Sequence[Path], replace: bool) -> None:
    for number, file in enumerate(files):
        if file in files[:number]:
            raise InputError(
                "two hides would get this file", where=str(file), remedy="export them to different folders"
            )
        if file.exists() and not replace:
            raise InputError("is there already", where=str(file), remedy="name another folder, or say --replace")


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            f"cannot be made ({error.strerror})", where=str(folder), remedy="name another folder"
        ) from error


def _page(path: str) -> Path:
    if Path(path).suffix.lower() not in (".html", ".htm"):
        raise InputError(
            "a contact sheet is a page", where=path, field="--out", remedy="name a file that ends in .html"
        )
    return Path(path)


def _area(text: str) -> float:
    try:
        return area(text)
    except InputError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


ACTIONS: dict[str, tuple[Any, str, list[tuple[tuple[str, ...], dict[str, Any]]]]] = {
    "list": (
        _list,
        "the hides on hand",
        [
            (("--all",), {"action": "store_true", "help": "those cut, too"}),
            (("--out",), {"metavar": "FILE.html", "help": "a contact sheet with a small picture of each"}),
            JSON,
        ],
    ),
    "add": (
        _add,
        "put hides from hide files, or folders of them, on the shelf",
        [
            (("files",), {"nargs": "+", "metavar": "FILE_OR_FOLDER", "help": "what to add"}),
            (("--freight",), {"metavar": "MONEY", "help": 'what bringing them cost, shared by area, as "35 USD"'}),
            NOTE,
        ],
    ),
    "show": (
        _show,
        "everything about one hide",
        [
            (("hide",), {"metavar": "HIDE", "help": "its name, or its number in the register"}),
            (("--out",), {"metavar": "FILE.svg", "help": "its picture"}),
            JSON,
        ],
    ),
    "take": (_take, "take hides off the shelf", [HIDES, NOTE]),
    "back": (_back, "put hides back that were taken out", [HIDES, NOTE]),
    "done": (
        _done,
        "after cutting: mark the hides of a layout or plan cut, put their offcuts on the shelf",
        [
            (("layout",), {"metavar": "LAYOUT_OR_PLAN.json", "help": "what was cut"}),
            (("--begun",), {"action": "store_true", "help": "the pieces of a product only begun were cut too"}),
            (
                ("--least-offcut",),
                {
                    "type": _area,
                    "default": 0.0,
                    "metavar": "AREA",
                    "help": 'keep only leftovers of at least this size, as "600 cm2" [all that the layout lists]',
                },
            ),
            NOTE,
        ],
    ),
    "undo": (
        _undo,
        "take the latest change back",
        [(("--change",), {"type": int, "default": 0, "metavar": "NUMBER", "help": "another change, by its number"})],
    ),
    "redo": (_redo, "take the latest undo back", []),
    "history": (_history, "every change, oldest first", [JSON]),
    "export": (
        _export,
        "write hides as hide files into a folder",
        [
            (("hides",), {"nargs": "*", "metavar": "HIDE", "help": "names or numbers [all on the shelf]"}),
            (("--out",), {"required": True, "metavar": "FOLDER", "help": "where to"}),
            (("--replace",), {"action": "store_true", "help": "replace files that are there"}),
        ],
    ),
    **BOOKS,
    "check": (_check, "whether the register agrees with its own history and books", []),
}
