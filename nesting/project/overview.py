"""A project as far as it can be read: every piece by itself, so that a slip in one does not hide the others."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.fields import Fields
from hides.finding import Finding
from nesting.model.choice import Choice
from nesting.model.product import Piece, Product, ProductLeather
from nesting.project.choices import Chosen, read_choices
from nesting.project.contour import Contour
from nesting.project.handles import Handle, handles
from nesting.project.leather_reader import read_product_leathers
from nesting.project.piece_reader import read_piece
from nesting.project.project_file import (
    FORMAT,
    named_measures,
    own_measures,
    product_of,
    project_fields,
)


@dataclass(frozen=True)
class SeenPiece:
    """One `[[piece]]` table: what it says, the pieces it makes (none where `problem` tells why not, or where this
    variant has none), the edges of its finished outline by name, and where it can be taken hold of.
    """

    table: dict[str, Any]
    pieces: tuple[Piece, ...] = ()
    contour: Contour | None = None
    handles: tuple[Handle, ...] = ()
    problem: InputError | None = None

    @property
    def name(self) -> str:
        """Its name, as far as it has one."""
        return str(self.table.get("name", ""))


@dataclass(frozen=True)
class Overview:
    """A project as it stands: `product` where all of it can be used, else the first `problem`."""

    data: dict[str, Any]
    units: str
    pieces: tuple[SeenPiece, ...]
    product: Product | None
    problem: InputError | None
    choices: tuple[Choice, ...] = ()
    leathers: tuple[ProductLeather, ...] = ()
    findings: tuple[Finding, ...] = ()


def overview(
    data: dict[str, Any], path: Path, t: float | None = None, chosen: Chosen | None = None, leather: str = ""
) -> Overview:
    """What can be said of a project's content; drawings are sought beside `path`. Raises nothing a person can mend."""
    findings: list[Finding] = []
    contours: dict[str, Contour] = {}
    product, problem = None, None
    try:
        product = product_of(data, path, t, findings, chosen, leather, contours)
    except InputError as error:
        problem = error
    rows = data.get("piece", [])
    if rows == [] and data.get("format") == FORMAT:
        problem = None
    tables = [row if isinstance(row, dict) else {} for row in rows] if isinstance(rows, list) else []
    try:
        fields, units = project_fields(data, str(path))
        choices = read_choices(fields, units, chosen)
        leathers = read_product_leathers(fields, t, leather)
        pieces = _pieces(fields, units, tables, choices, leathers, t, product, contours) if tables else ()
    except InputError as error:
        return Overview(data, "mm", tuple(SeenPiece(table) for table in tables), product, problem or error)
    return Overview(data, units, pieces, product, problem, choices, leathers, tuple(findings))


def _pieces(
    fields: Fields,
    units: str,
    tables: Sequence[dict[str, Any]],
    choices: tuple[Choice, ...],
    leathers: Sequence[ProductLeather],
    t: float | None,
    product: Product | None,
    contours: dict[str, Contour],
) -> tuple[SeenPiece, ...]:
    own = own_measures(fields, named_measures(fields, units, t, choices, leathers), leathers)
    names = {str(table.get("name")) for table in tables}
    found = []
    for index, table in enumerate(tables, 1):
        name = str(table.get("name"))
        made: tuple[Piece, ...] = ()
        places: tuple[Handle, ...] = ()
        problem = None
        try:
            measures = own(table)
            places = tuple(handles(table, measures))
            if product:
                made = tuple(piece for piece in product.pieces if _table_of(piece.name, names) == name)
            else:
                made = read_piece(table, index, measures, fields.where, choices, None, contours)
        except InputError as error:
            problem = error
        found.append(SeenPiece(table, made, contours.get(name), places, problem))
    return tuple(found)


def _table_of(piece: str, names: Collection[str]) -> str:
    """The table a piece was made of: its own, or that of which it is one hand or one length."""
    return piece if piece in names else piece.rpartition(" ")[0]
