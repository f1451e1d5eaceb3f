"""The order file (TOML), field by field; described in nesting/FORMATS.md."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from hides.fields import Fields, told
from hides.hide import Price, Thickness
from hides.units import thickness
from nesting.batch.cuts_file import cuts_in
from nesting.batch.order import Order, OrderLine
from nesting.batch.supply_file import supplies_in
from nesting.model.value_table import ValueTable
from nesting.project.part import pieces_in
from nesting.project.toml_file import read_toml
from nesting.stock.parting import FLAT_FIELDS, TABLE_FIELDS, flat_price_in, table_in

FORMAT = "hideplan-order-1"
FIELDS = ("format", "name", "for", "credit", "values", "cutter", "kerf", "line", "supply", "catalogue", "offcuts")
LINE_FIELDS = (
    "project",
    "quantity",
    "name",
    "due",
    "one_hide",
    "thickness",
    "leather",
    "spares",
    "choose",
    "same",
    "same_each",
    "straight",
    "pieces",
    "colour",
    "at_least",
    "at_most",
    "for",
    "split",
)
OFFCUTS = ("when cheaper", "first")
MOST_LINES = 200
SAME = ("leather", "colour", "thickness", "lot", "hide")
USUAL_SAME = SAME[:3]
MOST_WANTED = 100_000
LARGEST_FILE = 1_000_000

Due = datetime.date | int | None


def read_order(path: Path | str) -> Order:
    """The order that a file describes; InputError where it cannot be used.

    >>> from importlib.resources import files
    >>> order = read_order(str(files("nesting") / "scenario" / "order.toml"))
    >>> order.name, [line.quantity for line in order.lines]
    ('March order', [6, 9])
    """
    path = Path(path)
    data = read_toml(path, "an order file", LARGEST_FILE)
    fields = Fields.of_format(data, FORMAT, FIELDS, str(path), f'an order file says "{FORMAT}"')
    tables = fields.items("line")
    if not 0 < len(tables) <= MOST_LINES:
        raise fields.wrong("line", f"there are {len(tables)} lines", f"give from 1 to {MOST_LINES}")
    rows = [Fields.of(table, LINE_FIELDS, str(path), f"line[{n}]") for n, table in enumerate(tables, 1)]
    ranks = _ranks([_due(row) for row in rows], rows)
    lines = tuple(_line(row, rank, path.parent) for row, rank in zip(rows, ranks, strict=True))
    credit = _credit(fields)
    if credit and fields.has("values"):
        raise fields.wrong("values", "stands beside a credit", "give one of the two: both part what a hide cost")
    name, whom = fields.text("name", path.stem), fields.text("for", "")
    cuts = cuts_in(fields, any(line.straight for line in lines))
    return Order(
        name,
        lines,
        credit,
        str(path),
        _values(fields),
        whom,
        supplies_in(fields),
        _catalogue(fields, path.parent),
        fields.choice("offcuts", OFFCUTS, OFFCUTS[0]) == "first",
        cuts,
    )


def _catalogue(fields: Fields, folder: Path) -> tuple[str, ...]:
    """Project files by which offcuts are judged, seen from the order file."""
    found = []
    for name in fields.items("catalogue", ()):
        file = folder / name if isinstance(name, str) else None
        if file is None or not file.is_file():
            raise fields.wrong("catalogue", f"there is no file {told(name)}", "name project files, seen from the order")
        found.append(str(file))
    return tuple(found)


def _line(row: Fields, rank: int, folder: Path) -> OrderLine:
    project = folder / row.text("project")
    if not project.is_file():
        raise row.wrong("project", f"there is no file {project}", "name a project file, seen from the order file")
    stack = None
    if row.has("thickness"):
        with row.reading("thickness") as value:
            stack = thickness(value)
    due = _due(row)
    line = OrderLine(
        project=str(project),
        quantity=row.whole("quantity", low=1, high=MOST_WANTED),
        name=row.text("name", ""),
        due=rank,
        due_text="" if due is None else str(due),
        one_hide=row.flag("one_hide", True),
        thickness=stack,
        leather=row.text("leather", ""),
        spares=row.number("spares", 0.0, low=0, high=1000),
        same=_same(row, "same", USUAL_SAME),
        same_each=_same_each(row),
        choose=_choose(row),
        straight=row.flag("straight", False),
        pieces=_pieces(row),
        colour=row.text("colour", ""),
        at_least=_thick(row, "at_least"),
        at_most=_thick(row, "at_most"),
        whom=row.text("for", ""),
        split=_split(row, stack),
    )
    if line.at_least and line.at_most and line.at_least > line.at_most:
        raise row.wrong("at_least", "is more than at_most", "turn the two about")
    if line.wanted > MOST_WANTED:
        raise row.wrong("spares", f"brings the line to {line.wanted} products", f"stay below {MOST_WANTED}")
    return line


def _thick(row: Fields, name: str) -> float | None:
    """One thickness, in mm."""
    if not row.has(name):
        return None
    with row.reading(name) as value:
        return thickness(value).middle


def _split(row: Fields, stack: Thickness | None) -> Price | None:
    """What it costs to split thicker leather to the line's thickness."""
    if not row.has("split"):
        return None
    if stack is None:
        raise row.wrong("split", "stands without a thickness to split to", 'give one: thickness = "4-5 oz"')
    with row.reading("split") as value:
        return flat_price_in(Fields.of(value, FLAT_FIELDS))


def _choose(row: Fields) -> tuple[tuple[str, bool | int | float | str], ...]:
    """What is chosen; whether the project has such choices is found when it is read."""
    table = row.data.get("choose", {})
    if not isinstance(table, dict) or not all(isinstance(value, (bool, int, float, str)) for value in table.values()):
        raise row.wrong("choose", f"is {told(table)}", "name choices of the project: choose = { places = 6 }")
    return tuple(table.items())


def _pieces(row: Fields) -> tuple[tuple[str, int], ...]:
    """The pieces of a part of a product; whether the project has such is found when it is read."""
    if not row.has("pieces"):
        return ()
    with row.reading("pieces") as value:
        return tuple(pieces_in(value).items())


def _same_each(row: Fields) -> tuple[str, ...]:
    """In what the pieces of one product agree; of one hide they agree anyhow."""
    found = _same(row, "same_each", ())
    if "hide" in found:
        raise row.wrong("same_each", "names the hide", "write one_hide = true for products of one hide each")
    if found and row.flag("one_hide", True):
        remedy = "leave it out, or write one_hide = false"
        raise row.wrong("same_each", "is for products whose pieces come from several hides", remedy)
    return found


def _same(row: Fields, name: str, usual: tuple[str, ...]) -> tuple[str, ...]:
    """A list of what is to agree."""
    given = row.data.get(name, list(usual))
    if not isinstance(given, list) or any(each not in SAME for each in given):
        raise row.wrong(name, f"is {given!r}", f"give a list of any of: {', '.join(SAME)}; [] where nothing matters")
    return tuple(each for each in SAME if each in given)


def _due(row: Fields) -> Due:
    value = row.data.get("due")
    if value is None:
        return None
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 10_000:
        return value
    remedy = "write a date without quotation marks (2027-03-31) or a rank from 1, first due first"
    raise row.wrong("due", f"is {told(value)}", remedy)


def _ranks(dues: Sequence[Due], rows: Sequence[Fields]) -> list[int]:
    """Each line's place in time, from 1; lines without a date or rank come last."""
    dates = [due for due in dues if isinstance(due, datetime.date)]
    numbers = [due for due in dues if isinstance(due, int)]
    if dates and numbers:
        row = rows[next(n for n, due in enumerate(dues) if isinstance(due, int))]
        raise row.wrong("due", "is a rank where other lines give dates", "use dates for all lines, or ranks for all")
    known: list[Any] = sorted(set(dates)) if dates else sorted(set(numbers))
    return [known.index(due) + 1 if due is not None else len(known) + 1 for due in dues]


def _values(fields: Fields) -> ValueTable:
    if not fields.has("values"):
        return ValueTable()
    with fields.reading("values") as value:
        return table_in(Fields.of(value, TABLE_FIELDS))


def _credit(fields: Fields) -> Price | None:
    if not fields.has("credit"):
        return None
    with fields.reading("credit") as value:
        return flat_price_in(Fields.of(value, FLAT_FIELDS))
