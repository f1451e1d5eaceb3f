"""The lengths of one project file: its units, the leather's thickness `t`, and lengths it names itself."""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from hides.errors import InputError, NeedsThickness
from hides.fields import Fields, told, unknown
from hides.units import LENGTH_UNITS, length
from nesting.project.expression import FUNCTIONS, RESERVED, evaluate, is_measure
from nesting.project.quantity import Quantity, a_length, plain

MOST_NAMES = 100
AS_SEAM = re.compile(r"\bas seam ([^()+*/]+)")
T_OF = re.compile(r"\bt of +")
_MAKE_LENGTH = 'a length times a plain number is one, and so is an area over a length: "4 * 4 mm"'
SeamLength = Callable[[str], float]
"""How long a seam is on the piece that it is sewn to, by the seam's name."""


class Measures:
    """Turns the lengths of a project file into millimetres.

    A number is in the file's `units`. A text is a length with its own unit, or a sum (see `expression`) that
    holds a unit or a name. `named` are the file's own lengths, each of which may use others and `t` (one may be a
    number that is no length, for a sum to use); `chosen` what the file's choices count for in a sum.
    """

    def __init__(
        self,
        units: str = "mm",
        t: float | None = None,
        named: Mapping[str, Any] | None = None,
        chosen: Mapping[str, Quantity] | None = None,
    ) -> None:
        self.units, self.t = units, t
        self._named = dict(named or {})
        self._chosen = dict(chosen or {})
        self._known: dict[str, Quantity] = dict(self._chosen)
        self._open: list[str] = []
        self.seam_length: SeamLength | None = None
        self.leather_t: Mapping[str, float | None] = {}
        """How thick each leather of the product is, by its name, for `t of NAME`."""
        if t is not None and not 0 < t <= 50:
            raise InputError(f"the thickness t is {t:g} mm", remedy="give one above nought and below 50 mm")

    @property
    def unit(self) -> float:
        """How many mm one of the file's units is."""
        return LENGTH_UNITS[self.units]

    def length(self, value: object) -> float:
        """A length in mm, of either sign. Raises NeedsThickness where it uses a `t` that is not given."""
        found = self._quantity(value)
        if not found.may_be(1.0):
            raise InputError(f"{told(value)} comes to {found.word}, not to a length", remedy=_MAKE_LENGTH)
        return found.value

    def _quantity(self, value: object) -> Quantity:
        """What a number or a text comes to: a length in almost every case, or a number that a sum may use."""
        if not isinstance(value, str):
            mm = length(value, self.units)
            return plain(mm) if self.units == "mm" else a_length(mm)  # in a file in mm it may well count something
        value = self._with_leathers(self._with_seams(value))
        if is_measure(value):
            return a_length(length(value, self.units))
        found = evaluate(value, self._value_of)
        return Quantity(length(found.value, "mm"), found.powers)

    def of_thickness(self, t: float | None) -> Measures:
        """The same lengths in leather of another thickness."""
        made = Measures(self.units, t, self._named, self._chosen)
        made.seam_length, made.leather_t = self.seam_length, self.leather_t
        return made

    def whole(self, fields: Fields, name: str, default: int, low: int, high: int) -> int:
        """A whole number: as it stands, or as the sum that a text holds (`"2 * places"`)."""
        value = fields.data.get(name)
        if not isinstance(value, str):
            return fields.whole(name, default, low=low, high=high)
        with fields.reading(name):
            if _is_length(value):
                raise InputError(f"is {told(value)}, a length", remedy="write how many there are")
            try:
                found = evaluate(value, self._value_of)
            except NeedsThickness:
                raise
            except InputError as error:
                word = value.strip().isalpha() and not error.remedy.startswith("did you")
                remedy = "write how many in figures" if word else error.remedy
                raise InputError(f"is no whole number and no sum: {error.problem}", remedy=remedy) from error
            number = found.value
            if not found.may_be(0.0):
                raise InputError(f"“{value}” comes to {found.word}", remedy="write how many there are")
            if abs(number - round(number)) > 1e-9 or not low <= round(number) <= high:
                remedy = f"it must come out whole, from {low} to {high}"
                raise InputError(f"“{value}” comes to {number:g}", remedy=remedy)
        return round(number)

    def amount(self, fields: Fields, name: str, low: float, high: float) -> float:
        """A number: as it stands, or as the sum that a text holds."""
        value = fields.data.get(name)
        if not isinstance(value, str):
            return fields.number(name, low=low, high=high)
        with fields.reading(name):
            number = evaluate(value, self._value_of).value
            if not low <= number <= high:
                raise InputError(f"“{value}” comes to {number:g}", remedy=f"it must lie from {low:g} to {high:g}")
        return number

    def _with_seams(self, text: str) -> str:
        """A sum with the length of a seam put in for `as seam NAME`, whose name ends with the text or at a bracket."""
        found = AS_SEAM.search(text)
        if not found:
            return text
        if self.seam_length is None:
            raise InputError(f"{told(text)} stands where no seam is measured", remedy="use it in the shape of a piece")
        return f"{text[: found.start()]}({self.seam_length(found[1].strip())!r} mm){text[found.end() :]}"

    def _with_leathers(self, text: str) -> str:
        """A sum with the thickness of another leather put in for `t of NAME`: the longest name that stands there."""
        while found := T_OF.search(text):
            rest = text[found.end() :]
            names = [name for name in self.leather_t if rest.startswith(name) and not rest[len(name) :][:1].isalnum()]
            if not names:
                word = re.split(r"[()+*/,]", rest)[0].strip()
                raise unknown(f"leather “{word}”", word, [*self.leather_t] or ["none: write [[leather]] tables"])
            name = max(names, key=len)
            t = self.leather_t[name]
            if t is None:
                problem = f"uses the thickness of the leather “{name}”, and none is given"
                raise NeedsThickness(problem, remedy="write it in its [[leather]] table")
            text = f"{text[: found.start()]}({t!r} mm){rest[len(name) :]}"
        return text

    def size(self, value: object, least: float = 0.1) -> float:
        """A length that something is long, wide or thick: at least a tenth of a millimetre."""
        mm = self.length(value)
        if mm < least:
            came = f", {mm:.4g} mm" if isinstance(value, str) else ""
            raise InputError(f"{told(value)}{came} is too small", remedy=f"give at least {least:g} mm")
        return mm

    def point(self, value: object) -> tuple[float, float]:
        """A pair of lengths."""
        x, y = self.pair(value, "a point [x, y]")
        return self.length(x), self.length(y)

    def points(self, value: object) -> list[tuple[float, float]]:
        """A list of pairs of lengths."""
        if not isinstance(value, (list, tuple)):
            raise InputError(f"is {told(value)}, not a list of points", remedy="write [[x, y], [x, y], ...]")
        found = []
        for index, each in enumerate(value):
            try:
                found.append(self.point(each))
            except InputError as error:
                raise error.within(field=f"[{index}]") from error
        return found

    @staticmethod
    def pair(value: object, what: str) -> tuple[object, object]:
        """Two things in square brackets."""
        if not isinstance(value, (list, tuple)) or len(value) != 2:
            raise InputError(f"is {told(value)}, not {what}", remedy="write two lengths in square brackets")
        return value[0], value[1]

    def check_names(self, where: str = "") -> None:
        """Reads every named length once, so that a fault in an unused one is found too."""
        for name in self._named:
            try:
                self._check_name(name)
            except InputError as error:
                raise error.within(where, f"lengths.{name}") from error

    def _check_name(self, name: str) -> None:
        if len(self._named) > MOST_NAMES:
            raise InputError(f"more than {MOST_NAMES} named lengths")
        if name in self._chosen:
            raise InputError(f"“{name}” names a choice too", remedy="give one of the two another name")
        if not name.isidentifier() or not name.isascii() or name in RESERVED:
            raise InputError(f"“{name}” cannot name a length", remedy="use letters, digits and _; not a unit, t or pi")
        with contextlib.suppress(NeedsThickness):
            self._value_of(name)

    def _value_of(self, name: str) -> Quantity:
        if name == "pi":
            return plain(math.pi)
        if name == "t":
            return a_length(self._thickness())
        if name not in self._known:
            self._known[name] = self._read_named(name)
        return self._known[name]

    def _thickness(self) -> float:
        if self.t is None:
            raise NeedsThickness(
                "uses the leather's thickness t, and none is given", remedy="say how thick the leather is"
            )
        return self.t

    def _read_named(self, name: str) -> Quantity:
        if name not in self._named:
            raise unknown(f"name “{name}” in a length", name, ("t", "pi", *FUNCTIONS, *self._chosen, *self._named))
        if name in self._open:
            circle = " → ".join([*self._open[self._open.index(name) :], name])
            raise InputError(f"goes round in a circle: {circle}", remedy="give one of them a plain length")
        self._open.append(name)
        try:
            return self._quantity(self._named[name])
        finally:
            self._open.pop()


def _is_length(value: str) -> bool:
    """Whether a text is one length with its unit."""
    with contextlib.suppress(InputError):
        length(value, "mm")
        return not value.strip()[-1:].isdigit()
    return False
