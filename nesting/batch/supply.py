"""What can be bought, as an order states it: a cut of leather, its price, packs, minimum order, freight, days."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

from hides.hide import Hide, Price, Thickness


@dataclass(frozen=True)
class Supply:
    """Hides on offer: a cut of so much marked area (mm²), sold by so many (`pack`), no fewer than `least` at a time.

    `freight` is paid for every order, in the price's currency; `days` pass until they are there.
    """

    cut: str
    area: float
    leather: str = ""
    thickness: Thickness | None = None
    price: Price | None = None
    pack: int = 1
    least: int = 1
    freight: float = 0.0
    days: int = 0

    @property
    def kind(self) -> Hide:
        """One of them, without an outline."""
        return Hide(
            self.cut, (), self.cut, thickness=self.thickness, area=self.area, price=self.price, leather=self.leather
        )

    def ordered(self, needed: int) -> int:
        """How many must be ordered so that so many come.

        >>> Supply("side", 2e6, pack=5, least=10).ordered(11), Supply("side", 2e6, pack=5, least=10).ordered(3)
        (15, 10)
        """
        return self.pack * math.ceil(max(needed, self.least) / self.pack)

    def order_by(self, due: str) -> str:
        """The last day on which they may be ordered to be there when something is due; empty where no date is known.

        >>> Supply("side", 2e6, days=12).order_by("2027-03-12")
        '2027-02-28'
        """
        try:
            return str(datetime.date.fromisoformat(due) - datetime.timedelta(days=self.days)) if self.days else ""
        except ValueError:
            return ""
