"""A table of offsets (CSV; described in hides/FORMATS.md): a hide measured with a tape along its backbone.

Terms. *Station*: a distance along the backbone from where the tape starts. *Offset*: the distance from the backbone to
the edge at a station, square to the backbone, to the left or right as one looks along it. The backbone lies along +x
with station 0 at x = 0; left is +y. Between stations the edge is taken as straight, so that the area is that of the
trapezoidal rule.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hides import units
from hides.bounded_file import read_bounded, refuse_larger
from hides.errors import InputError
from hides.fields import told, unknown
from hides.finding import Finding
from hides.hide import CUTS, Hide, Point
from hides.hide_file import FORMAT, hide_from_data

MOST_BYTES = 2_000_000
LARGER = "give a table of offsets"
MOST_ROWS = 5000
ABOUT = ("name", "cut", "units", "grade", "thickness", "edge", "area", "price", "leather", "lot", "parent")
"""What may be said of the hide before the first table; `price` takes three cells: amount, unit of area, currency."""
TABLES = {
    "station": ("station", "left", "right"),
    "flaw": ("flaw", "station", "side", "offset", "length", "width", "turn", "grade", "clearance"),
    "zone": ("zone", "from", "to", "side", "inner", "outer", "grade", "thickness"),
}
"""The columns of each table, by the first cell of its heading."""
SIDES = {"left": 1.0, "right": -1.0, "": 0.0}
CORNERS = 16


def read_offsets(path: Path | str, findings: list[Finding] | None = None) -> Hide:
    """The hide that a table of offsets describes. Raises InputError that names the file, the row and the column."""
    content = read_bounded(path, MOST_BYTES, LARGER)
    return offsets_from_bytes(content, str(path), findings)


def offsets_from_bytes(content: bytes, where: str = "", findings: list[Finding] | None = None) -> Hide:
    """As `read_offsets`, from the content of a file."""
    refuse_larger(content, MOST_BYTES, where, LARGER)
    try:
        data = _Table(_rows(content)).hide()
    except InputError as error:
        raise error.within(where) from error
    return hide_from_data(data, where, findings)


@dataclass(frozen=True)
class _Row:
    """One row of the file: its number (from 1) and its cells, by column once the heading is known."""

    number: int
    cells: tuple[str, ...]

    @property
    def first(self) -> str:
        return self.cells[0].lower()

    def wrong(self, problem: str, remedy: str = "", column: str = "") -> InputError:
        place = f"row {self.number}, {column}" if column else f"row {self.number}"
        return InputError(problem, field=place, remedy=remedy)


def _rows(content: bytes) -> list[_Row]:
    """The rows that say something; cells stripped, decimal commas made points where ; or tabs part the cells."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"is not UTF-8 text (byte {error.start + 1})", remedy="save it as UTF-8 CSV") from error
    if "\0" in text:
        raise InputError("is no text", remedy="save it as UTF-8 CSV")
    heading = next((line for line in text.splitlines() if line.strip().lower().startswith("station")), text)
    mark = next((mark for mark in (";", "\t") if mark in heading), ",")
    try:
        raw = list(csv.reader(text.splitlines(), delimiter=mark, skipinitialspace=True))
    except csv.Error as error:
        raise InputError(f"is no CSV ({error})", remedy="save it as UTF-8 CSV") from error
    if len(raw) > MOST_ROWS:
        raise InputError(f"has {len(raw)} rows", remedy=f"at most {MOST_ROWS} make sense")
    rows = [_Row(number, _cells(cells, mark)) for number, cells in enumerate(raw, 1)]
    return [row for row in rows if row.cells and not row.cells[0].startswith("#")]


def _cells(cells: Sequence[str], mark: str) -> tuple[str, ...]:
    stripped = [" ".join(cell.split()) for cell in cells]
    while stripped and not stripped[-1]:
        stripped.pop()
    if mark == ",":
        return tuple(stripped)
    return tuple(cell.replace(",", ".", 1) if cell.replace(",", "", 1).isdecimal() else cell for cell in stripped)


class _Table:
    """Sorts the rows into what is said of the hide and its three tables."""

    def __init__(self, rows: Sequence[_Row]) -> None:
        self.units = "mm"
        self.about: dict[str, Any] = {}
        self.tables: dict[str, list[tuple[_Row, dict[str, str]]]] = {name: [] for name in TABLES}
        for row, table, columns in _sorted(rows):
            if table:
                self.tables[table].append((row, _by_column(row, columns)))
            else:
                self._say(row)

    def hide(self) -> dict[str, Any]:
        """The content of a hide file, in mm."""
        stations = self._stations()
        length = max(x for x, _, _ in stations)
        data = {"format": FORMAT, "cut": "hide", **self.about, "units": "mm"}
        data["outline"] = _outline(stations)
        data["backbone"] = [[0, 0], [length, 0]]
        data["flaws"] = [self._flaw(row, cells) for row, cells in self.tables["flaw"]]
        data["zones"] = [self._zone(row, cells) for row, cells in self.tables["zone"]]
        return data

    def _say(self, row: _Row) -> None:
        name, values = row.first, row.cells[1:]
        if name not in ABOUT:
            known = (*ABOUT, *TABLES)
            raise unknown(f"row “{row.cells[0]}”", name, known).within(field=f"row {row.number}")
        if name in self.about or (name == "units" and self.about.get("units")):
            raise row.wrong(f"“{name}” is said twice", "leave one of them out")
        if len(values) != (3 if name == "price" else 1):
            raise row.wrong(f"“{name}” has {len(values)} cells", _say_remedy(name))
        if name == "units":
            self.units = self._choice(row, values[0], units.FILE_UNITS)
        if name == "cut":
            self._choice(row, values[0], CUTS)
        self.about[name] = self._value(row, name, values)

    def _value(self, row: _Row, name: str, values: Sequence[str]) -> Any:
        if name == "price":
            return {"per_area": _number(row, values[0], "price"), "unit": values[1], "currency": values[2]}
        if name == "edge":
            return f"{self._length(row, values[0], 'edge')!r} mm"
        return values[0]

    def _choice(self, row: _Row, value: str, options: Sequence[str]) -> str:
        if value not in options:
            raise unknown(f"“{value}”", value, options).within(field=f"row {row.number}")
        return value

    def _stations(self) -> list[tuple[float, float | None, float | None]]:
        """Station, left, right in mm; None where a cell is empty or the column is not there."""
        found: list[tuple[float, float | None, float | None]] = []
        for row, cells in self.tables["station"]:
            x = self._length(row, cells["station"], "station")
            if found and x <= found[-1][0]:
                raise row.wrong(f"station {told(cells['station'])} does not lie beyond the one before", "sort the rows")
            found.append((x, self._offset(row, cells, "left"), self._offset(row, cells, "right")))
        if len(found) < 2:
            raise InputError(
                "has fewer than two stations", remedy='give a table headed "station, left, right", a row a station'
            )
        if not any(left or right for _, left, right in found):
            raise InputError("has no offset above nought", remedy="give the distances from the backbone to the edge")
        return found

    def _offset(self, row: _Row, cells: dict[str, str], side: str) -> float | None:
        if not cells.get(side):
            return None
        return self._length(row, cells[side], side, least=0)

    def _flaw(self, row: _Row, cells: dict[str, str]) -> dict[str, Any]:
        long = self._length(row, cells.get("length", ""), "length", least=0.1)
        wide = self._length(row, cells["width"], "width", least=0.1) if cells.get("width") else long
        centre = (
            self._length(row, cells.get("station", ""), "station"),
            self._side(row, cells) * self._length(row, cells.get("offset") or "0", "offset"),
        )
        turn = math.radians(_number(row, cells.get("turn") or "0", "turn"))
        flaw: dict[str, Any] = {"kind": cells["flaw"], "outline": _oval(centre, long, wide, turn)}
        if cells.get("grade"):
            flaw["grade"] = cells["grade"]
        if cells.get("clearance"):
            flaw["clearance"] = self._length(row, cells["clearance"], "clearance", least=0)
        return flaw

    def _zone(self, row: _Row, cells: dict[str, str]) -> dict[str, Any]:
        names = ("from", "to", "inner", "outer")
        first, last, inner, outer = (self._length(row, cells.get(name, ""), name) for name in names)
        if last <= first or outer <= inner:
            raise row.wrong("a zone has no size", "give from below to, inner below outer")
        side = self._side(row, cells)
        corners = [(first, inner), (last, inner), (last, outer), (first, outer)]
        zone: dict[str, Any] = {"name": cells["zone"], "outline": [[x, side * y] for x, y in corners]}
        return zone | {name: cells[name] for name in ("grade", "thickness") if cells.get(name)}

    def _side(self, row: _Row, cells: dict[str, str]) -> float:
        """+1 left, -1 right; a table with one column of offsets has no other side."""
        side = cells.get("side", "").lower()
        if side not in SIDES:
            raise row.wrong(f"side {told(side)}", "write left or right", "side")
        if side:
            return SIDES[side]
        used = [name for name in ("left", "right") if any(cells.get(name) for _, cells in self.tables["station"])]
        if len(used) != 1:
            raise row.wrong("does not say its side", "write left or right", "side")
        return SIDES[used[0]]

    def _length(self, row: _Row, cell: str, column: str, least: float = -units.LARGEST) -> float:
        try:
            value: object = float(cell)
        except ValueError:
            value = cell
        try:
            mm = round(units.length(value, self.units), 6)
        except InputError as error:
            problem = error.problem if cell else "is empty"
            raise row.wrong(problem, error.remedy or "write a length", column) from error
        if mm < least:
            raise row.wrong(f"is {told(cell)}", f"give at least {least:g} mm", column)
        return mm


def _say_remedy(name: str) -> str:
    return "write: price, 9.50, sq ft, USD" if name == "price" else f"write: {name}, and what it is"


def _sorted(rows: Sequence[_Row]) -> Iterator[tuple[_Row, str, tuple[str, ...]]]:
    """Every row that is no heading, with the table it belongs to ("" before the first) and that table's columns."""
    table = ""
    columns: tuple[str, ...] = ()
    for row in rows:
        if row.first in TABLES and (row.first != table or row.cells == columns) and _is_heading(row):
            table, columns = row.first, tuple(cell.lower() for cell in row.cells)
            _refuse_unknown_columns(row, table, columns)
        else:
            yield row, table, columns


def _is_heading(row: _Row) -> bool:
    return all(not cell or not cell[0].isdigit() for cell in row.cells)


def _refuse_unknown_columns(row: _Row, table: str, columns: Sequence[str]) -> None:
    for column in columns:
        if column not in TABLES[table]:
            raise unknown(f"column “{column}”", column, TABLES[table]).within(field=f"row {row.number}")
    if len(set(columns)) < len(columns):
        raise row.wrong("a column is given twice", "leave one of them out")


def _by_column(row: _Row, columns: Sequence[str]) -> dict[str, str]:
    if len(row.cells) > len(columns):
        raise row.wrong(f"has {len(row.cells)} cells under {len(columns)} columns", "see to its commas")
    return {column: row.cells[i] if i < len(row.cells) else "" for i, column in enumerate(columns)}


def _number(row: _Row, cell: str, column: str) -> float:
    try:
        return units.finite(float(cell))
    except (ValueError, InputError) as error:
        raise row.wrong(f"{told(cell)} is no number", "write a number", column) from error


def _outline(stations: Sequence[tuple[float, float | None, float | None]]) -> list[list[float]]:
    """The ring: out along the right edge (or the backbone, where the hide has no right side), back along the left."""
    right = _edge(stations, lambda row: row[2], -1.0)
    left = _edge(stations, lambda row: row[1], 1.0)
    return right + left[::-1]


def _edge(
    stations: Sequence[tuple[float, float | None, float | None]],
    pick: Callable[[tuple[float, float | None, float | None]], float | None],
    sign: float,
) -> list[list[float]]:
    edge = [[row[0], sign * offset] for row in stations if (offset := pick(row)) is not None]
    return edge or [[stations[0][0], 0.0], [stations[-1][0], 0.0]]


def _oval(centre: Point, length: float, width: float, turn: float) -> list[list[float]]:
    """An oval of that length and width, drawn round the true ellipse so that no part of the flaw lies outside."""
    grow = 1 / math.cos(math.pi / CORNERS)
    ring = []
    for i in range(CORNERS):
        angle = 2 * math.pi * i / CORNERS
        u, v = grow * length / 2 * math.cos(angle), grow * width / 2 * math.sin(angle)
        x, y = u * math.cos(turn) - v * math.sin(turn), u * math.sin(turn) + v * math.cos(turn)
        ring.append([centre[0] + x, centre[1] + y])
    return ring
