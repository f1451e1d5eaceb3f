"""One linear limit on the numbers of products."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Limit:
    """Σ uses[p] · products[p] ≤ room, for every layout. `why` says of what, in plain words."""

    uses: tuple[float, ...]
    room: float
    why: str

    def at_most(self, product: int) -> int | None:
        """The most complete products of one kind that this limit alone allows; None: it does not say."""
        use = self.uses[product]
        return max(0, math.floor(self.room / use + 1e-9)) if use > 0 else None
