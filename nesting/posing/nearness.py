"""Wishes to lie near each other, as they are between the kinds of a problem."""

from __future__ import annotations

from collections.abc import Sequence

from hides.hide import Hide
from nesting.model.nearness import Nearness
from nesting.model.problem import Problem
from nesting.model.product import Piece
from nesting.posing.alike import level_of


def nearness(problem: Problem, pieces: Sequence[Piece], hide: Hide) -> tuple[Nearness, ...]:
    """What the pieces of the only product of a problem wish; `pieces` are those of its kinds, in their order.

    None where there are several products. Right pieces of mirrored pairs wish to lie near the mirror image of their
    left ones about the backbone of `hide`, which is in the frame of the problem.
    """
    if len(problem.wanted) != 1:
        return ()
    names = [piece.name for piece in pieces]
    wishes = [
        Nearness(kind, names.index(near.piece), near.within)
        for kind, piece in enumerate(pieces)
        for near in piece.near
        if near.piece in names
    ]
    return (*wishes, *_pairs(pieces, names, hide))


def _pairs(pieces: Sequence[Piece], names: Sequence[str], hide: Hide) -> list[Nearness]:
    if hide.backbone is None:
        return []
    level = level_of(hide.backbone)
    found = []
    for kind, piece in enumerate(pieces):
        left = piece.name.removesuffix(" right") + " left"
        if piece.hand == "right" and piece.pair_within is not None and left in names:
            found.append(Nearness(kind, names.index(left), piece.pair_within, level))
    return found
