"""Leather folded over on its backbone, so that one place in it is two mirrored places on the hide."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.problem import Problem


@dataclass(frozen=True)
class FoldedLeather:
    """The problem of laying the left pieces of a product on leather folded over on its backbone.

    `lefts` and `rights` are the kinds of the whole problem that its kinds stand for; `widths` the sums of the least and
    the greatest x of their outlines, in which a right piece is its left one mirrored; `level` is the backbone's y, in
    the frame of the problem, whose +x runs along the backbone.
    """

    problem: Problem
    lefts: tuple[int, ...]
    rights: tuple[int, ...]
    widths: tuple[float, ...]
    level: float
