"""How much leather of one grade is worth beside another, for parting what a hide cost."""

from __future__ import annotations

from dataclasses import dataclass

from hides.hide import Grade

GRADES = (1.0, 0.8, 0.5, 0.25, 0.0)
"""What a mm² of each grade is worth beside one of grade A, where nobody says otherwise (ours; settable)."""


@dataclass(frozen=True)
class ValueTable:
    """Relative values of grades A, B, C, D and none, and of scrap (edge, flaws, what lies between pieces).

    >>> ValueTable().reason
    'by area and grade (A 1, B 0.8, C 0.5, D 0.25); waste bears nothing'
    """

    grades: tuple[float, ...] = GRADES
    scrap: float = 0.0

    def of(self, grade: Grade) -> float:
        """The value of a grade."""
        return self.grades[grade]

    @property
    def reason(self) -> str:
        """The table in words."""
        told = ", ".join(f"{grade.label} {self.of(grade):g}" for grade in Grade if grade is not Grade.NONE)
        waste = f"waste {self.scrap:g}" if self.scrap else "waste bears nothing"
        return f"by area and grade ({told}); {waste}"


USUAL = ValueTable()
"""The table where nobody gives another."""
