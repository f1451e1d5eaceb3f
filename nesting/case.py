"""A case: a hide, what is wanted from it, how to search, and all that is worked out of these once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from hides.hide import Hide
from nesting.bound.limits import Bound
from nesting.model.layout import Layout
from nesting.model.problem import Problem
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.posing.frame import Frame, frame_of
from nesting.posing.pose_problem import pose_problem
from nesting.search.groundwork import Groundwork


@dataclass(frozen=True)
class Case:
    """What search, bound and the account of what is short share: nothing of it is kept outside this value.

    `hide` has its edge strip as the settings want it; `problem` lies in `frame`.

    Made by `case_of`, which has an example.
    """

    hide: Hide
    wants: tuple[Want, ...]
    settings: Settings
    frame: Frame
    ground: Groundwork

    @property
    def problem(self) -> Problem:
        """The nesting problem, in the hide's own frame."""
        return self.ground.problem

    @cached_property
    def bound(self) -> Bound:
        """What is proven: as sharp as it was let become."""
        return Bound(self.problem)

    @cached_property
    def at_most(self) -> tuple[int, ...]:
        """For each want, the most complete products of it alone that any layout can hold."""
        return tuple(self.bound.at_most(product) for product in range(len(self.wants)))


def case_of(hide: Hide, wants: Sequence[Want], settings: Settings | None = None) -> Case:
    """The case of cutting what is wanted from a hide.

    Raises InputError where product and hide do not go together (an `along` without a backbone).

    >>> from nesting import Piece, Product
    >>> board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)))
    >>> coaster = Product("coaster", (Piece("square", ((0, 0), (100, 0), (100, 100), (0, 100))),))
    >>> case_of(board, [Want(coaster)]).at_most
    (6,)
    """
    settings = settings or Settings()
    if settings.edge is not None:
        hide = hide.with_edge(settings.edge)
    frame = frame_of(hide, keep_bearing=any(p.angles is not None for w in wants for p in w.product.pieces))
    problem = pose_problem(frame.hide(hide), wants, settings.gap)
    return Case(hide, tuple(wants), settings, frame, Groundwork(problem))


def case_of_layout(layout: Layout) -> Case:
    """The case that a one-hide layout answers, where only the layout is to hand (read from a file, say)."""
    wants = [Want(product) for product in layout.products]
    return case_of(layout.hides[0].hide, wants, Settings(layout.gap, None, layout.seed, layout.effort))
