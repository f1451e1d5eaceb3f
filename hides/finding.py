"""What a reader noticed and dealt with: told to the maker, never silent, never fatal."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Finding:
    """One remark of a reader. `code` is stable and for programs, `message` one sentence for people.

    `field` names what it is about as messages do: `outline`, `flaws[3].outline`, a layer or id of a drawing.

    >>> print(Finding("closed", "the ring was closed", "outline"))
    outline: the ring was closed
    """

    code: str
    message: str
    field: str = ""

    def __str__(self) -> str:
        return f"{self.field}: {self.message}" if self.field else self.message

    def within(self, field: str) -> Finding:
        """The same finding about a field further out."""
        return replace(self, field=f"{field}.{self.field}" if self.field else field)
