"""The `[choices]` of a project file, and which of them are taken: one file serves a family of products."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from hides.errors import InputError
from hides.fields import Fields, told, unknown
from hides.units import length
from nesting.model.choice import Choice, Value
from nesting.project.expression import RESERVED
from nesting.project.quantity import Quantity, a_length, plain

FIELDS = ("default", "from", "to", "of")
MOST_CHOICES = 50
Chosen = Mapping[str, object]
"""What is asked for, by the choice's name: a value as TOML has it, or a text as it is typed."""


def read_choices(fields: Fields, units: str, chosen: Chosen | None = None) -> tuple[Choice, ...]:
    """The choices of a project with what is taken of each: what is asked for in `chosen`, else the default.

    Raises InputError for a choice that is not there, and for a value outside its range.
    """
    table = fields.data.get("choices", {})
    rows = Fields.of(table, table if isinstance(table, Mapping) else (), fields.where, "choices").data
    if len(rows) > MOST_CHOICES:
        raise fields.wrong("choices", f"holds {len(rows)} choices", f"at most {MOST_CHOICES}")
    asked = dict(chosen or {})
    for name in asked:
        if name not in rows:
            known = tuple(rows) or ("none: write a [choices] table",)
            raise unknown(f"choice “{name}”", name, known).within(fields.where, "choices")
    return tuple(_choice(name, row, fields.where, units, asked.get(name)) for name, row in rows.items())


def taken(choices: Sequence[Choice], fields: Fields) -> bool:
    """Whether a table is there in this variant: each choice its `when` names has one of the values given."""
    if not fields.has("when"):
        return True
    by_name = {choice.name: choice for choice in choices}
    wished = Fields.of(fields.required("when"), by_name, fields.where, f"{fields.path}.when")
    return all(_meets(by_name[name], value, wished) for name, value in wished.data.items())


def variant(name: str, choices: Sequence[Choice]) -> str:
    """The name of a product made otherwise than usual: the choices that differ stand behind it.

    >>> variant("Rack", (Choice("places", "number", 6, 4, told="6"), Choice("lined", "flag", True, True)))
    'Rack, places 6'
    """
    return ", ".join([name, *(f"{choice.name} {choice.told}" for choice in choices if choice.changed)])


def counted(choice: Choice) -> Quantity:
    """What a choice counts for in a sum."""
    return a_length(choice.number) if choice.kind == "length" else plain(choice.number)


def typed(text: str) -> object:
    """A value as it was typed at the command line: true, false, a whole number, or a text."""
    plain = text.strip()
    if plain in ("true", "false"):
        return plain == "true"
    return int(plain) if plain.removeprefix("-").isdecimal() and len(plain) < 12 else plain


def _choice(name: str, row: object, where: str, units: str, asked: object) -> Choice:
    fields = Fields.of(row, FIELDS, where, f"choices.{name}")
    if not name.isidentifier() or not name.isascii() or name in RESERVED:
        problem = f"“{name}” cannot name a choice"
        raise InputError(problem, where=where, field="choices", remedy="use letters, digits and _; not a unit, t or pi")
    usual = fields.required("default")
    kind = _kind(fields, usual)
    for name_of in FIELDS[1:]:
        if fields.has(name_of) and name_of not in _RANGES[kind]:
            raise fields.wrong(name_of, f"does not go with a {kind}", "leave it out")
    plain = Choice(name, kind, False, False, words=_words(fields) if kind == "word" else ())
    if kind in ("number", "length"):
        low, high = (_value(fields, plain, end, fields.required(end), units) for end in ("from", "to"))
        plain = Choice(name, kind, False, False, float(low), float(high))
    default = _value(fields, plain, "default", usual, units, inside=True)
    value = default if asked is None else _asked(fields, plain, asked, units)
    written = usual if asked is None else asked
    shown = ("yes" if written else "no") if isinstance(written, bool) else str(written)
    return Choice(name, kind, value, default, plain.low, plain.high, plain.words, shown)


_RANGES: dict[str, tuple[str, ...]] = {"flag": (), "number": ("from", "to"), "length": ("from", "to"), "word": ("of",)}


def _kind(fields: Fields, usual: Any) -> str:
    if isinstance(usual, bool):
        return "flag"
    if isinstance(usual, int):
        return "number"
    if isinstance(usual, str):
        return "word" if fields.has("of") else "length"
    remedy = 'write true or false, a whole number, a length with its unit ("34 in"), or a word beside of = ["left", …]'
    raise fields.wrong("default", f"is {told(usual)}", remedy)


def _words(fields: Fields) -> tuple[str, ...]:
    words = fields.items("of")
    if not 1 < len(words) <= MOST_CHOICES or not all(isinstance(word, str) and word.strip() for word in words):
        raise fields.wrong("of", f"is {told(words)}", 'list the words to choose from: ["left", "right"]')
    return tuple(words)


def _asked(fields: Fields, choice: Choice, asked: object, units: str) -> Value:
    try:
        return _value(fields, choice, "", asked, units, inside=True)
    except InputError as error:
        line = InputError(f"{told(asked)} is asked for: {error.problem}", remedy=error.remedy)
        raise line.within(fields.where, fields.path) from error


def _value(fields: Fields, choice: Choice, field: str, value: object, units: str, *, inside: bool = False) -> Value:
    """A value of the choice's kind, and in its range where it must be."""
    try:
        found = _READERS[choice.kind](value, choice, units)
        if inside and choice.kind in ("number", "length") and not choice.low <= float(found) <= choice.high:
            remedy = f"choose from {fields.data['from']} to {fields.data['to']}"
            raise InputError(f"is {told(value)}", remedy=remedy)
        return found
    except InputError as error:
        raise error.within(field=field).within(fields.where, fields.path) from error


def _flag(value: object, choice: Choice, units: str) -> Value:
    if not isinstance(value, bool):
        raise InputError(f"is {told(value)}", remedy="choose true or false")
    return value


def _number(value: object, choice: Choice, units: str) -> Value:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > 10**6:
        raise InputError(f"is {told(value)}", remedy="choose a whole number")
    return value


def _length(value: object, choice: Choice, units: str) -> Value:
    return length(value, units)


def _word(value: object, choice: Choice, units: str) -> Value:
    if value not in choice.words:
        raise unknown(told(value), str(value), choice.words)
    return str(value)


_READERS = {"flag": _flag, "number": _number, "length": _length, "word": _word}


def _meets(choice: Choice, value: object, fields: Fields) -> bool:
    options = value if isinstance(value, list) else [value]
    with fields.reading(choice.name):
        return choice.value in [_READERS[choice.kind](option, choice, "mm") for option in options]
