"""A second measured distance, to find out whether the scale can be believed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hides.errors import InputError
from hides.photo.homography import Homography

MOST_OFF = 0.01


@dataclass(frozen=True)
class DistanceCheck:
    """A distance as the photo has it and as the tape has it, both mm."""

    photo: float
    tape: float

    @property
    def off(self) -> float:
        """By what part the photo's distance is too long (negative: too short)."""
        return self.photo / self.tape - 1

    @property
    def good(self) -> bool:
        """Whether the two agree to 1 %."""
        return abs(self.off) <= MOST_OFF

    @property
    def words(self) -> str:
        """One line for a person."""
        line = f"check distance: {self.tape:.0f} mm by tape, {self.photo:.0f} mm in the photo ({self.off:+.1%})"
        if self.good:
            return f"{line}: good"
        return (
            f"{line}: warning, scale off by more than 1 %, so areas by about {abs((1 + self.off) ** 2 - 1):.0%}; "
            "look at the marks and their size, or photograph from further away (lenses bend the picture's rim)"
        )


def check_distance(
    homography: Homography, first: Sequence[float], second: Sequence[float], length: float
) -> DistanceCheck:
    """Compare the distance between two places in the photo (photo pixels) with its measured `length` in mm."""
    if not (math.isfinite(length) and length > 0):
        raise InputError(f"{length:g} mm is no distance", field="check", remedy="give the length the tape shows")
    try:
        a, b = homography.to_mm([first, second])
    except InputError as error:
        raise error.within(field="check") from error
    if math.dist(a, b) < 0.02 * max(homography.size):
        raise InputError(
            "the two points lie too near each other to check a scale with",
            field="check",
            remedy="measure a distance as long as the hide",
        )
    return DistanceCheck(math.dist(a, b), length)
