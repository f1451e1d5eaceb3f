"""Wishes to lie near each other, as they are between the kinds of a problem."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.nearness import Nearness
from nesting.model.problem import Problem
from nesting.model.product import Piece


def nearness(problem: Problem, pieces: Sequence[Piece]) -> tuple[Nearness, ...]:
    """What the pieces of the only product of a problem wish; `pieces` are those of its kinds, in their order.

    None where there are several products, and where some pieces are mirrored pairs, which are laid otherwise.
    """
    if len(problem.wanted) != 1 or any(piece.pair_within is not None for piece in pieces):
        return ()
    names = [piece.name for piece in pieces]
    return tuple(
        Nearness(kind, names.index(near.piece), near.within)
        for kind, piece in enumerate(pieces)
        for near in piece.near
        if near.piece in names
    )
