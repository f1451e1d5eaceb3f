"""The project file (TOML): one product, its pieces, and what its making takes."""

from __future__ import annotations

from pathlib import Path

from hides.errors import NeedsThickness
from hides.fields import Fields
from hides.finding import Finding
from hides.units import FILE_UNITS
from nesting.model.product import Piece, Product
from nesting.project.making_reader import TABLES as MAKING_TABLES
from nesting.project.making_reader import read_making
from nesting.project.measures import Measures
from nesting.project.piece_reader import MOST_PIECES, read_piece, refuse_doubles
from nesting.project.toml_file import read_toml

FORMAT = "hideplan-project-1"
FIELDS = ("format", "name", "units", "lengths", "piece", *MAKING_TABLES)
MOST_KINDS = 200


def read_product(path: Path | str, t: float | None = None, findings: list[Finding] | None = None) -> Product:
    """The product that a project file describes, in leather `t` mm thick.

    `findings` takes what had to be mended in drawings of pieces.

    Raises InputError for a file that cannot be used, and its kind NeedsThickness where a length uses `t` and none
    is given.
    """
    path = Path(path)
    data = read_toml(path, "a project file")
    fields = Fields.of_format(data, FORMAT, FIELDS, str(path), f'write format = "{FORMAT}"')
    measures = _measures(fields, t)
    pieces = _pieces(fields, measures, findings)
    tables = {name: fields.data[name] for name in MAKING_TABLES if fields.has(name)}
    making = read_making(tables, measures, pieces, str(path))
    return Product(fields.text("name", path.stem), pieces, str(path), making)


def product_needs_t(path: Path | str) -> bool:
    """Whether any length of the project uses the leather's thickness."""
    try:
        read_product(path, None)
    except NeedsThickness:
        return True
    return False


def project_measures(path: Path | str, t: float | None = None) -> Measures:
    """The project's units and named lengths, for the tables of its making."""
    return _measures(Fields.of(read_toml(Path(path), "a project file"), FIELDS, str(path)), t)


def _measures(fields: Fields, t: float | None) -> Measures:
    named = Fields.of(fields.data.get("lengths", {}), fields.data.get("lengths", {}), fields.where, "lengths").data
    measures = Measures(fields.choice("units", FILE_UNITS, "mm"), t, named)
    measures.check_names(fields.where)
    return measures


def _pieces(fields: Fields, measures: Measures, findings: list[Finding] | None) -> tuple[Piece, ...]:
    tables = fields.items("piece")
    if not 0 < len(tables) <= MOST_KINDS:
        raise fields.wrong("piece", f"there are {len(tables)} kinds of pieces", f"give from 1 to {MOST_KINDS}")
    pieces = tuple(read_piece(table, index, measures, fields.where, findings) for index, table in enumerate(tables, 1))
    refuse_doubles(pieces, fields.where)
    if sum(piece.count for piece in pieces) > MOST_PIECES:
        raise fields.wrong("piece", f"one product takes more than {MOST_PIECES} pieces", "look at the counts")
    return pieces
