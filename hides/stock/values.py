"""What the register holds and hands out, as immutable values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from hides.hide import Hide
from hides.stock.money import Value


class Status(StrEnum):
    """Where a hide is."""

    IN = "in"
    """On the shelf."""
    OUT = "out"
    """Taken out, and not cut yet (or sold, lent, spoilt)."""
    CUT = "cut"
    SOLD = "sold"
    """Sold whole."""
    LOST = "lost"
    """Spoilt, given away or lost: its value is written off."""
    GONE = "gone"
    """Not in the register: what added it has been undone, or a corrected version stands for it."""


@dataclass(frozen=True)
class StockHide:
    """One hide on offer: its number in the register (0: it lies in a folder), the hide, and where it came from.

    `value` is what it is worth in the books (cents of `currency`); the hide's price agrees with it. `reserved` names
    whom it is kept for, `note` is a remark.
    """

    id: int
    hide: Hide
    status: Status = Status.IN
    source: str = ""
    parent: int = 0
    value: Value | None = None
    reserved: str = ""
    note: str = ""


@dataclass(frozen=True)
class Cut:
    """One hide that has been cut: the text of its layout file, and the leftovers that go back on the shelf.

    `hides.offcut.offcuts` makes the leftovers from a layout's rings. An offcut whose name another hide on the
    shelf bears gets a number after it. `values` are the cents of the hide's value that each leftover keeps, the rest is
    charged; without them the value is parted by area. `work` is what was paid for work on the hide before it was cut
    (splitting), in cents of its currency; it adds to the hide's value.
    """

    hide_id: int
    layout: str
    offcuts: Sequence[Hide] = field(default=())
    values: Sequence[int] | None = None
    work: int = 0


@dataclass(frozen=True)
class HideStep:
    """What one change did to one hide."""

    hide_id: int
    name: str
    was: Status
    became: Status


@dataclass(frozen=True)
class Change:
    """One entry of the history. `reverses` is the number of the change that an undo or a redo reverses.

    `in_force` is False once a later change, itself in force, reverses it.
    """

    id: int
    at: str
    kind: str
    note: str
    steps: tuple[HideStep, ...]
    reverses: int = 0
    in_force: bool = True
