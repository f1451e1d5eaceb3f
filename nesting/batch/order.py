"""An order as immutable values: what is wanted, by when, from which leather."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hides.hide import Hide, Price, Thickness
from nesting.batch.supply import Supply
from nesting.model.straight import StraightRules
from nesting.model.value_table import USUAL, ValueTable

ANY = StraightRules()
"""Any width, and cuts that take nothing."""
HAIR = 1e-6
"""Thicknesses nearer than this (mm) are the same."""


@dataclass(frozen=True)
class OrderLine:
    """One line of an order.

    `project` is the path of the project file; `name` stands in place of the product's own where given. `due` is
    the line's place in time (1 is first; `due_text` as it was written). `spares` is in per cent of `quantity`; `choose`
    what is chosen of the project's choices; `same` names in what all hides of the line agree: leather, colour,
    thickness, lot, hide (all of it from one); `same_each` the same for all pieces of one product, where these may come
    from several hides. Hides are no thinner than `at_least` and no thicker than `at_most` mm.
    `whom` is whom it is for, and `closed` names hides that are kept for others. `split` is what splitting costs.
    `straight` asks for strips off one struck line. Of a product of several leathers there is a line for each, and
    `part` names it. `pieces` are so many of some pieces only, in place of the whole product.
    """

    project: str
    quantity: int
    name: str = ""
    due: int = 1
    due_text: str = ""
    one_hide: bool = True
    thickness: Thickness | None = None
    leather: str = ""
    spares: float = 0.0
    same: tuple[str, ...] = ("leather", "colour", "thickness")
    same_each: tuple[str, ...] = ()
    choose: tuple[tuple[str, bool | int | float | str], ...] = ()
    part: str = ""
    straight: bool = False
    pieces: tuple[tuple[str, int], ...] = ()
    colour: str = ""
    at_least: float | None = None
    at_most: float | None = None
    whom: str = ""
    closed: frozenset[str] = frozenset()
    split: Price | None = None

    @property
    def wanted(self) -> int:
        """Products to be cut: the quantity and its spares, rounded up to whole products."""
        return self.quantity + math.ceil(self.quantity * self.spares / 100 - 1e-9)

    def suits(self, hide: Hide) -> bool:
        """Whether the line's wishes allow this hide's leather."""
        if self.leather and self.leather.casefold() != hide.leather.casefold():
            return False
        if self.colour and self.colour.casefold() != hide.colour.casefold():
            return False
        if hide.name in self.closed or not self._between(hide.thickness):
            return False
        if self.thickness is None:
            return True
        return hide.thickness is not None and hide.thickness.inside(self.thickness)

    def _between(self, thick: Thickness | None) -> bool:
        """Whether leather is surely no thinner and no thicker than the line wants."""
        if self.at_least is None and self.at_most is None:
            return True
        if thick is None:
            return False
        low, high = self.at_least or 0.0, self.at_most if self.at_most is not None else thick.high
        return low <= thick.low + HAIR and thick.high <= high + HAIR


@dataclass(frozen=True)
class Order:
    """What is to be made.

    `credit` is what an offcut is worth by its area, or None; without it `values` part what a hide cost over what is cut
    from it. `whom` names who it is for: hides kept for somebody else are left alone. `supplies` is what can be bought,
    `catalogue` the project files by which offcuts are judged beside the order's own. `offcuts_first` cuts offcuts
    before whole hides, whatever they are worth in the books. `cuts` is how straight cuts
    are made for the lines that ask for them.
    """

    name: str
    lines: tuple[OrderLine, ...]
    credit: Price | None = None
    source: str = ""
    values: ValueTable = USUAL
    whom: str = ""
    supplies: tuple[Supply, ...] = ()
    catalogue: tuple[str, ...] = ()
    offcuts_first: bool = False
    cuts: StraightRules = ANY

    @property
    def parting(self) -> ValueTable | Price:
        """How what a hide cost is parted between the order and the offcuts."""
        return self.credit or self.values
