"""One table of a file (TOML or JSON) read field by field; nothing in it is ever ignored silently."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from hides.errors import InputError
from hides.units import finite

LONGEST_TEXT = 200


@dataclass(frozen=True)
class Fields:
    """A table, the file it stands in (`where`) and its place there (`path`), both for messages.

    Every getter takes a default for an absent field; without one the field is required.
    """

    data: Mapping[str, Any]
    where: str = ""
    path: str = ""

    @classmethod
    def of(cls, value: object, known: Iterable[str], where: str = "", path: str = "") -> Fields:
        """The table `value`; InputError where it is none or holds a field that is not in `known`."""
        if not isinstance(value, Mapping):
            raise InputError(f"is {told(value)}, not a table of fields", where=where, field=path)
        names = tuple(known)
        for name in value:
            if name not in names:
                raise unknown(f"field “{name}”", str(name), names).within(where, path)
        return cls(value, where, path)

    @classmethod
    def of_format(cls, value: object, form: str, known: Iterable[str], where: str, remedy: str) -> Fields:
        """The table `value` of a file that says `form` of itself; a file of another kind is told as that."""
        if isinstance(value, Mapping) and isinstance(value.get("format"), str):
            fields = cls(value, where)
            if fields.text("format") != form:
                raise fields.wrong("format", f"is {told(fields.data['format'])}", remedy)
        fields = cls.of(value, known, where)
        fields.text("format")
        return fields

    def has(self, name: str) -> bool:
        """Whether the field is given (a JSON null counts as absent)."""
        return self.data.get(name) is not None

    def required(self, name: str) -> Any:
        """The field as it stands in the file."""
        if not self.has(name):
            raise self.wrong(name, "is missing", "add it")
        return self.data[name]

    def wrong(self, name: str, problem: str, remedy: str = "") -> InputError:
        """An error about one field of this table."""
        return InputError(problem, field=name, remedy=remedy).within(self.where, self.path)

    @contextmanager
    def reading(self, name: str) -> Iterator[Any]:
        """The required field; an InputError met while it is read is told with file and field.

        One that names this file already was met in another table on the way, and is told as it stands.
        """
        value = self.required(name)
        try:
            yield value
        except InputError as error:
            if self.where and error.where == self.where:
                raise
            raise error.within(field=name).within(self.where, self.path) from error

    def text(self, name: str, default: str | None = None) -> str:
        """A text of one line with something in it."""
        if default is not None and not self.has(name):
            return default
        value = self.required(name)
        if not isinstance(value, str) or not value.strip():
            raise self.wrong(name, f"is {told(value)}, not a text", "write a text in quotation marks")
        if len(value) > LONGEST_TEXT or not value.isprintable():
            raise self.wrong(name, "is too long or holds unprintable characters", f"at most {LONGEST_TEXT} on one line")
        return value.strip()

    def choice(self, name: str, options: Sequence[str], default: str | None = None) -> str:
        """A text that is one of several."""
        value = self.text(name, default)
        if value not in options:
            raise unknown(f"“{value}”", value, options).within(field=name).within(self.where, self.path)
        return value

    def flag(self, name: str, default: bool | None = None) -> bool:
        """true or false."""
        if default is not None and not self.has(name):
            return default
        value = self.required(name)
        if not isinstance(value, bool):
            raise self.wrong(name, f"is {told(value)}", "write true or false")
        return value

    def whole(self, name: str, default: int | None = None, *, low: int = 0, high: int = 10**6) -> int:
        """A whole number from `low` to `high`."""
        if default is not None and not self.has(name):
            return default
        value = self.required(name)
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise self.wrong(name, f"is {told(value)}", f"write a whole number from {low} to {high}")
        return value

    def number(self, name: str, default: float | None = None, *, low: float = -1e12, high: float = 1e12) -> float:
        """A finite number from `low` to `high`."""
        if default is not None and not self.has(name):
            return default
        with self.reading(name) as value:
            number = finite(value)
            if not low <= number <= high:
                raise InputError(f"is {told(value)}", remedy=f"write a number from {low:g} to {high:g}")
            return number

    def items(self, name: str, default: Sequence[Any] | None = None) -> Sequence[Any]:
        """A list."""
        if default is not None and not self.has(name):
            return default
        value = self.required(name)
        if not isinstance(value, (list, tuple)):
            raise self.wrong(name, f"is {told(value)}, not a list", "write it in square brackets")
        return value


def unknown(what: str, name: str, known: Sequence[str]) -> InputError:
    """The error for a name that is not one of `known`, with the nearest that is.

    >>> str(unknown("field “colour”", "colour", ("color", "count")))
    'unknown field “colour”; did you mean “color”?'
    """
    plain = {each.lower(): each for each in reversed(known) if len(each) > 1 or len(name) < 3}
    near = difflib.get_close_matches(name.lower(), plain, n=1, cutoff=0.5)
    remedy = f"did you mean “{plain[near[0]]}”?" if near else f"known: {', '.join(known) or 'none'}"
    return InputError(f"unknown {what[:80]}", remedy=remedy)


def told(value: object) -> str:
    """A value as a message tells it: short, on one line."""
    text = repr(value) if not isinstance(value, str) else f"“{value}”"
    return text if len(text) <= 60 else f"{text[:57]}..."


def whole_number(text: str) -> int | None:
    """The whole number, nought or above, that a text is: plain digits and not a thousand of them; else None.

    >>> whole_number(" 12 "), whole_number("²"), whole_number("9" * 5000), whole_number("-1")
    (12, None, None, None)
    """
    told = text.strip()
    return int(told) if told.isascii() and told.isdigit() and len(told) <= MOST_DIGITS else None


MOST_DIGITS = 20
"""A whole number of more digits counts nothing that a workshop has."""
