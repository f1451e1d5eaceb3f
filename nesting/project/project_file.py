"""The project file (TOML): one product, its pieces, and what its making takes."""

from __future__ import annotations

from pathlib import Path

from hides.errors import NeedsThickness
from hides.fields import Fields
from hides.finding import Finding
from hides.units import FILE_UNITS
from nesting.model.choice import Choice, variant
from nesting.model.product import Piece, Product
from nesting.project.choices import Chosen, read_choices
from nesting.project.making_reader import TABLES as MAKING_TABLES
from nesting.project.making_reader import read_making
from nesting.project.measures import Measures
from nesting.project.piece_reader import MOST_PIECES, read_piece, refuse_doubles
from nesting.project.toml_file import read_toml

FORMAT = "hideplan-project-1"
FIELDS = ("format", "name", "units", "choices", "lengths", "piece", *MAKING_TABLES)
MOST_KINDS = 200


def read_product(
    path: Path | str, t: float | None = None, findings: list[Finding] | None = None, chosen: Chosen | None = None
) -> Product:
    """The product that a project file describes, in leather `t` mm thick, as `chosen` of its choices.

    `findings` takes what had to be mended in drawings of pieces.

    Raises InputError for a file that cannot be used, and its kind NeedsThickness where a length uses `t` and none
    is given.
    """
    path = Path(path)
    data = read_toml(path, "a project file")
    fields = Fields.of_format(data, FORMAT, FIELDS, str(path), f'write format = "{FORMAT}"')
    choices = read_choices(fields, _units(fields), chosen)
    measures = _measures(fields, t, choices)
    pieces = _pieces(fields, measures, choices, findings)
    tables = {name: fields.data[name] for name in MAKING_TABLES if fields.has(name)}
    making = read_making(tables, measures, pieces, str(path), choices)
    return Product(variant(fields.text("name", path.stem), choices), pieces, str(path), making, choices)


def product_needs_t(path: Path | str, chosen: Chosen | None = None) -> bool:
    """Whether any length of the project uses the leather's thickness."""
    try:
        read_product(path, None, chosen=chosen)
    except NeedsThickness:
        return True
    return False


def _units(fields: Fields) -> str:
    return fields.choice("units", FILE_UNITS, "mm")


def _measures(fields: Fields, t: float | None, choices: tuple[Choice, ...]) -> Measures:
    named = Fields.of(fields.data.get("lengths", {}), fields.data.get("lengths", {}), fields.where, "lengths").data
    measures = Measures(_units(fields), t, named, {choice.name: choice.number for choice in choices})
    measures.check_names(fields.where)
    return measures


def _pieces(
    fields: Fields, measures: Measures, choices: tuple[Choice, ...], findings: list[Finding] | None
) -> tuple[Piece, ...]:
    tables = fields.items("piece")
    if not 0 < len(tables) <= MOST_KINDS:
        raise fields.wrong("piece", f"there are {len(tables)} kinds of pieces", f"give from 1 to {MOST_KINDS}")
    read = [
        read_piece(table, index, measures, fields.where, choices, findings) for index, table in enumerate(tables, 1)
    ]
    pieces = tuple(piece for made in read for piece in made)
    refuse_doubles(pieces, fields.where)
    if not pieces:
        raise fields.wrong("piece", "this variant has no piece at all", "look at the counts and at when")
    if sum(piece.count for piece in pieces) > MOST_PIECES:
        raise fields.wrong("piece", f"one product takes more than {MOST_PIECES} pieces", "look at the counts")
    return pieces
