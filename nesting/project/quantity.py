"""Numbers that know what they measure: a length times a length is an area, and a ratio of lengths a plain number.

A plain number in a sum counts or stands for millimetres (or for their square under a root), whatever fits: it has
several powers of length, and a sum of two quantities those that both have. So `sqrt(t * t + 400)` is a length, as it
always was, and `4 mm * 4 mm` is none (dimensional homogeneity: Bridgman, Dimensional Analysis, 1922).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from hides.errors import InputError

_WORDS = {0.0: "a plain number", 1.0: "a length", 2.0: "an area", 3.0: "a volume"}


@dataclass(frozen=True)
class Quantity:
    """A value in millimetres to some power, and the powers of length that it may have."""

    value: float
    powers: frozenset[float]

    @property
    def word(self) -> str:
        """What it is: "a length", "an area"."""
        return next((_WORDS[power] for power in sorted(self.powers) if power in _WORDS), "no length")

    def may_be(self, power: float) -> bool:
        """Whether it may be of this power of length: 0 a plain number, 1 a length."""
        return power in self.powers

    def __neg__(self) -> Quantity:
        return Quantity(-self.value, self.powers)

    def __add__(self, other: Quantity) -> Quantity:
        return Quantity(self.value + other.value, alike(self, other))

    def __sub__(self, other: Quantity) -> Quantity:
        return Quantity(self.value - other.value, alike(self, other))

    def __mul__(self, other: Quantity) -> Quantity:
        return Quantity(self.value * other.value, frozenset(a + b for a in self.powers for b in other.powers))

    def __truediv__(self, other: Quantity) -> Quantity:
        return Quantity(self.value / other.value, frozenset(a - b for a in self.powers for b in other.powers))


def alike(*quantities: Quantity) -> frozenset[float]:
    """The powers that all of them may have, as a sum or the least of them has too.

    InputError where there are none: a length and an area are not added.
    """
    first = quantities[0]
    powers = first.powers
    for each in quantities[1:]:
        powers = powers & each.powers
        if not powers:
            raise InputError(f"{first.word} and {each.word} stand in one sum", remedy="add what is alike")
    return powers


def a_length(mm: float) -> Quantity:
    """A length, in mm."""
    return Quantity(mm, frozenset((1.0,)))


def plain(value: float) -> Quantity:
    """A number as it is written: a count, a length or an area in millimetres."""
    return Quantity(value, frozenset((0.0, 1.0, 2.0)))


Rule = Callable[..., frozenset[float]]
"""What powers a function's result may have, by the quantities it is given; InputError where it takes none such."""


def halved(given: Quantity) -> frozenset[float]:
    """Of a square root."""
    return frozenset(power / 2 for power in given.powers)


def of_ratio(*given: Quantity) -> frozenset[float]:
    """Of a function of an angle or of a ratio; two are a ratio written with a comma."""
    if len(given) == 2:
        alike(*given)
    elif not given[0].may_be(0.0):
        raise InputError(f"is given {given[0].word}", remedy="it takes degrees, or a ratio of two lengths")
    return frozenset((0.0,))


def of_lengths(*given: Quantity) -> frozenset[float]:
    """Of a fit: lengths make a length; a number of holes passes for one where it is plain."""
    wrong = next((each for each in given if not (each.may_be(1.0) or each.may_be(0.0))), None)
    if wrong is not None:
        raise InputError(f"is given {wrong.word}", remedy="it takes lengths")
    return frozenset((1.0,))
