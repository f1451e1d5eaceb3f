"""Pieces that a project names in other tables, looked up by name."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from hides.errors import InputError
from hides.fields import Fields, told, unknown
from nesting.model.product import Piece


def piece_named(fields: Fields, name: str, pieces: Sequence[Piece]) -> Piece:
    """The piece of that name, in the field `piece`. Raises InputError where there is none."""
    refuse_unknown_piece(fields, name, [piece.name for piece in pieces])
    return next(piece for piece in pieces if piece.name == name)


def refuse_unknown_piece(fields: Fields, name: object, known: Collection[str], field: str = "piece") -> None:
    """Raises InputError where a field names a piece that is not among the known."""
    if name not in known:
        raise unknown_piece(fields, name, known, field)


def unknown_line(what: str, name: str, known: Collection[str]) -> InputError:
    """The error for a line of a piece that is not there, with the nearest name that is, or that none has a name."""
    return unknown(what, name, list(known) or ["none: give a line in lines its name"])


def unknown_piece(fields: Fields, name: object, known: Collection[str], field: str = "piece") -> InputError:
    """The error for a piece that is not there, with the nearest name that is."""
    return unknown(f"piece {told(name)}", str(name), list(known)).within(fields.where, f"{fields.path}.{field}")
