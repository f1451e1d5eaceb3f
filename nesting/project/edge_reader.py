"""The `[[edge]]` tables of a project file: what is done to the edges of which pieces."""

from __future__ import annotations

from collections.abc import Sequence

from hides.fields import Fields
from nesting.model.making import FACES, EdgeWork
from nesting.model.product import Piece
from nesting.project.measures import Measures
from nesting.project.named import refuse_unknown_piece


def read_edge_work(row: object, index: int, measures: Measures, pieces: Sequence[Piece], where: str) -> EdgeWork:
    """One operation; its pieces must be there. Without `pieces` it is done to all."""
    fields = Fields.of(row, ("name", "pieces", "faces", "inset", "speed"), where, f"edge {index}")
    name = fields.text("name")
    fields = Fields(fields.data, where, f"edge “{name}”")
    known = [piece.name for piece in pieces]
    chosen = fields.items("pieces") if fields.has("pieces") else known
    for each in chosen:
        refuse_unknown_piece(fields, each, known, "pieces")
    return EdgeWork(
        name=name,
        pieces=tuple(chosen),
        faces=fields.choice("faces", FACES, FACES[0]),
        inset=_size(fields, "inset", measures),
        speed=_size(fields, "speed", measures),
    )


def _size(fields: Fields, name: str, measures: Measures) -> float | None:
    if not fields.has(name):
        return None
    with fields.reading(name) as value:
        return measures.size(value)
