"""Where each piece lies: the answer as an immutable value in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, field

from hides.hide import Hide, Ring
from nesting.model.product import Product
from nesting.model.straight import StraightPlan


@dataclass(frozen=True)
class Placement:
    """One piece on a hide.

    The piece's own shape is mirrored (x to −x) if `mirrored`, then turned by `angle` degrees, then shifted by
    (`x`, `y`); `outline` is where it then lies, in hide coordinates. `number` tells which product (1, 2, ...)
    it belongs to; 0 is a spare, and the number after the last complete one is that of a product only begun. `keep`:
    the piece was laid by the person, who wants it left where it is.
    """

    piece: str
    product: str
    number: int
    x: float
    y: float
    angle: float
    mirrored: bool
    outline: Ring
    keep: bool = False


@dataclass(frozen=True)
class Areas:
    """Where a hide's area goes, mm². pieces + edge + flaws + offcuts + scrap = hide.

    `usable` is what the edge strip and the unusable flaws leave. `edge` and `flaws` count only leather that no
    piece, no offcut and no earlier heading already holds.
    """

    hide: float
    usable: float
    pieces: float
    edge: float
    flaws: float
    offcuts: float
    scrap: float


@dataclass(frozen=True)
class HideLayout:
    """One hide with the pieces on it.

    `offcuts` are the leftovers big enough to keep (outer rings); `offcut_areas` what a file says of their areas, mm²,
    for the check: None where it says nothing. `straight` tells the strips and cross-cuts of a hide cut in strips.
    """

    hide: Hide
    placements: tuple[Placement, ...]
    areas: Areas
    offcuts: tuple[Ring, ...] = ()
    offcut_areas: tuple[float | None, ...] = field(default=(), compare=False)
    straight: StraightPlan | None = None


@dataclass(frozen=True)
class BegunProduct:
    """One more product that could not be completed: the pieces laid, of how many, and what is missing by name."""

    laid: int
    of: int
    missing: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class ProductCount:
    """How many complete products the layout holds, and the most that any layout of these hides could.

    `next` is the product after the last complete one, where it may be made: its pieces carry the number
    `complete` + 1. Offcuts, areas and money are told as if they were not laid. `told_by` says in plain words of what
    `at_most` follows.
    """

    name: str
    complete: int
    at_most: int
    next: BegunProduct | None = None
    told_by: str = ""


@dataclass(frozen=True)
class Growing:
    """A layout while the search goes on: what it holds so far, not checked yet."""

    counts: tuple[ProductCount, ...]
    placements: tuple[Placement, ...]


@dataclass(frozen=True)
class Layout:
    """A whole answer: products got, settings used, and one `HideLayout` a hide.

    `products` are the values the layout was made for, so that it can be checked and drawn by itself; their
    names agree with `counts`.

    Made by `best_layout` and `read_layout`, which have examples.
    """

    counts: tuple[ProductCount, ...]
    products: tuple[Product, ...]
    gap: float
    seed: int
    effort: str
    hides: tuple[HideLayout, ...]
    stopped: bool = False
