"""What may be chosen about a product: places on a rack, a waist size, left or right."""

from __future__ import annotations

from dataclasses import dataclass

Value = bool | int | float | str
"""Yes or no, how many, a length in mm, or one of several words."""


@dataclass(frozen=True)
class Choice:
    """One thing that may be chosen: its kind, what is chosen now, what is usual, and between what.

    `kind` is `flag`, `number` (whole), `length` (mm) or `word`. `low` and `high` bound numbers and lengths, `words`
    are those to choose from. `told` is the value as it was written.
    """

    name: str
    kind: str
    value: Value
    default: Value
    low: float = 0.0
    high: float = 0.0
    words: tuple[str, ...] = ()
    told: str = ""

    @property
    def changed(self) -> bool:
        """Whether something else than usual is chosen."""
        return self.value != self.default

    @property
    def number(self) -> float:
        """What the choice counts for in a sum: a flag 1 or 0, a word its place in the list, from 0."""
        return float(self.words.index(str(self.value)) if self.kind == "word" else self.value)
