"""A case: a hide, what is wanted from it, how to search, and all that is worked out of these once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from hides.errors import InputError
from hides.hide import Hide
from nesting.bound.limits import Bound
from nesting.bound.remaining import BoundBesideGiven
from nesting.model.layout import Placement
from nesting.model.problem import Fixed, Problem
from nesting.model.product import Piece
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.posing.frame import Frame, frame_of
from nesting.posing.in_one_order import in_one_order, kept_in_one_order
from nesting.posing.pose_problem import pose_problem
from nesting.result.kept import as_flaws, refuse_faulty
from nesting.search.groundwork import Groundwork


@dataclass(frozen=True)
class Case:
    """What search, bound and the account of what is short share: nothing of it is kept outside this value.

    `hide` has its edge strip as the settings want it; `problem` lies in `frame`. `wants` stand in the order of whoever
    asks; the problem is posed of `posed`, the same in an order of its own, so that an answer does not depend on the
    order of a file: `places` says for each want which of the posed it is. `former` is all that lay on the hide before,
    `kept` among it: what of it may still lie is the least that is given.

    Made by `case_of`, which has an example.
    """

    hide: Hide
    wants: tuple[Want, ...]
    posed: tuple[Want, ...]
    places: tuple[int, ...]
    settings: Settings
    frame: Frame
    ground: Groundwork
    kept: tuple[Placement, ...] = ()
    former: tuple[Placement, ...] = ()

    @property
    def problem(self) -> Problem:
        """The nesting problem, in the hide's own frame."""
        return self.ground.problem

    @cached_property
    def bound(self) -> Bound:
        """What is proven: as sharp as it was let become; beside pieces that stay, of every layout with these."""
        return BoundBesideGiven(self.problem) if self.kept else Bound(self.problem)

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces of the problem's kinds, in the problem's order."""
        return tuple(piece for want in self.posed for piece in want.product.pieces)

    @property
    def at_most(self) -> tuple[int, ...]:
        """For each want, the most complete products of it alone that any layout can hold."""
        return tuple(self.posed_at_most[place] for place in self.places)

    @cached_property
    def posed_at_most(self) -> tuple[int, ...]:
        """The same in the problem's order."""
        return tuple(self.bound.at_most(product) for product in range(len(self.posed)))


def case_of(
    hide: Hide,
    wants: Sequence[Want],
    settings: Settings | None = None,
    kept: Sequence[Placement] = (),
    former: Sequence[Placement] = (),
) -> Case:
    """The case of cutting what is wanted from a hide, with pieces that are `kept` where they lie.

    `former` is all that lay there before, those that stay among it; pieces that are not wanted any more are left out.
    Raises InputError where product and hide do not go together (an `along` without a backbone), and where kept pieces
    are not right as they lie.

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
    if kept and settings.straight is not None:
        raise InputError("is given beside --straight", where="--keep", remedy="leave one of the two out")
    if kept:
        refuse_faulty(hide, [want.product for want in wants], kept, settings)
    posed, places = in_one_order(wants)
    kept = kept_in_one_order(kept)
    if kept:
        problem = _beside_kept(hide, posed, settings.gap, frame, kept)
    else:
        problem = pose_problem(frame.hide(hide), posed, settings.gap)
    lay = _former(wants, kept, former)
    return Case(hide, tuple(wants), posed, places, settings, frame, Groundwork(problem), kept, lay)


def _former(wants: Sequence[Want], kept: Sequence[Placement], former: Sequence[Placement]) -> tuple[Placement, ...]:
    """The pieces still wanted of what lay there; none where a piece that stays did not lie among them."""
    known = {(want.product.name, piece.name) for want in wants for piece in want.product.pieces}
    stays = {_place(each) for each in kept}
    lay = tuple(replace(p, keep=_place(p) in stays) for p in former if (p.product, p.piece) in known)
    return lay if stays <= {_place(each) for each in lay} else ()


def _place(each: Placement) -> tuple[object, ...]:
    return each.product, each.piece, each.x, each.y, each.angle, each.mirrored


def _beside_kept(hide: Hide, posed: Sequence[Want], gap: float, frame: Frame, kept: Sequence[Placement]) -> Problem:
    """The problem of what goes in beside pieces that stay."""
    problem = pose_problem(frame.hide(as_flaws(hide, kept, gap)), posed, gap, frame.hide(hide))
    names = [(want.product.name, piece.name) for want in posed for piece in want.product.pieces]
    place = {name: kind for kind, name in enumerate(names)}
    fixed = tuple(
        Fixed(
            place[each.product, each.piece], each.mirrored, each.angle - frame.bearing, *frame.inward((each.x, each.y))
        )
        for each in kept
    )
    laid = Counter(each.kind for each in fixed)
    given = tuple(replace(kind, given=laid[k]) for k, kind in enumerate(problem.kinds))
    return replace(problem, kinds=given, fixed=fixed)
