"""Changes to the text of a project file that leave all else as it is written: comments, order, what no form knows.

Every change is made twice, in the text and in the plain value; where the new text does not say the new value, the
change is refused.
"""

from __future__ import annotations

import copy
import math
import re
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array, InlineTable, Item

from hides.errors import InputError
from nesting.project.toml_sections import Path, Section, sections_of, text_of

FIRST = ("", "choices", "lengths", "leather")
"""The tables that stand before the pieces."""
WIDE = 96
"""Lists that are longer than this are written an item a line."""
_BARE = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True)
class Put:
    """Give a field, or an item of a list, this value; a field may be new."""

    path: Path
    value: Any


@dataclass(frozen=True)
class Add:
    """Put an item at the end of a list, which may be new."""

    path: Path
    value: Any


@dataclass(frozen=True)
class Take:
    """Take a field or an item of a list away; a list that is left empty goes too."""

    path: Path


Edit = Put | Add | Take


def edited(text: str, edits: Sequence[Edit]) -> str:
    """The text after the changes. Raises InputError where it is no TOML, or a change cannot be made in it."""
    ending = "\r\n" if "\r\n" in text else "\n"
    mark, plain = ("\ufeff", text[1:]) if text.startswith("\ufeff") else ("", text)
    plain = plain.replace("\r\n", "\n")
    value = read_text(plain)
    for edit in edits:
        plain, value = _step(plain, value, edit)
    return mark + plain.replace("\n", ending)


def read_text(text: str) -> dict[str, Any]:
    """The plain value of a TOML text. Raises InputError that names line and column."""
    try:
        return tomllib.loads(text.removeprefix("\ufeff").replace("\r\n", "\n"))
    except (ValueError, RecursionError) as error:
        raise InputError(f"is no TOML: {str(error)[:160]}", remedy="look at the text there") from error


def value_at(value: Any, path: Path) -> Any:
    """What stands at a path. Raises InputError where there is nothing."""
    for step in path:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError) as error:
            raise _absent(path) from error
    return value


def _absent(path: Path) -> InputError:
    return InputError("is not there", field=path_words(path), remedy="it may have gone meanwhile")


def path_words(path: Path) -> str:
    """A path as messages write it: piece[0].shape."""
    words = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return words.removeprefix(".")


def _step(text: str, value: dict[str, Any], edit: Edit) -> tuple[str, dict[str, Any]]:
    wanted = _applied(copy.deepcopy(value), edit)
    try:
        made = _written(text, value, edit)
        right = tomllib.loads(made) == wanted
    except (TOMLKitError, ValueError, KeyError, IndexError, TypeError):
        right = False
    if not right:
        problem = "is written in a way that cannot be changed from here"
        raise InputError(problem, field=path_words(edit.path), remedy="change it in the text")
    return made, wanted


def _applied(value: dict[str, Any], edit: Edit) -> dict[str, Any]:
    """The plain value after a change."""
    if isinstance(edit, Add):
        holder = _holder(value, edit.path, make=True)
        items = holder.setdefault(edit.path[-1], []) if isinstance(holder, dict) else holder[edit.path[-1]]
        items.append(copy.deepcopy(edit.value))
    elif isinstance(edit, Put):
        _holder(value, edit.path, make=True)[edit.path[-1]] = copy.deepcopy(edit.value)
    else:
        value_at(value, edit.path)
        holder = _holder(value, edit.path)
        del holder[edit.path[-1]]
        if holder == [] and len(edit.path) > 1:
            return _applied(value, Take(edit.path[:-1]))
    return value


def _holder(value: Any, path: Path, *, make: bool = False) -> Any:
    for n, step in enumerate(path[:-1]):
        if make and isinstance(value, dict) and isinstance(step, str) and step not in value:
            value[step] = {}
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError) as error:
            raise _absent(path[: n + 1]) from error
    last = path[-1]
    fits = isinstance(value, list) and isinstance(last, int) and 0 <= last < len(value)
    if not fits and not (isinstance(value, dict) and isinstance(last, str)):
        raise _absent(path)
    return value


def _written(text: str, value: dict[str, Any], edit: Edit) -> str:
    sections = sections_of(text)
    path = edit.path
    if isinstance(edit, Take):
        if _last_of(value, path):
            return _written(text, value, Take(path[:-1]))
        gone = [section for section in sections if section.within(path)]
        if gone:
            return text_of(_without(sections, path))
    many = [section for section in sections if section.path[:-1] == path and isinstance(section.path[-1], int)]
    if isinstance(edit, Add) and isinstance(edit.value, dict) and (many or (len(path) == 1 and path[0] not in value)):
        return text_of(_with_table(sections, path, edit.value))
    if isinstance(edit, Put) and len(path) == 2 and path[0] not in value:
        return text_of(_with_named(sections, path, edit.value))
    if isinstance(edit, Put) and any(section.within(path) for section in sections):
        sections = _cleared(sections, path)
    return text_of(_in_section(sections, edit))


def _last_of(value: dict[str, Any], path: Path) -> bool:
    holder = value_at(value, path[:-1])
    return isinstance(holder, list) and len(holder) == 1 and len(path) > 1


def _in_section(sections: list[Section], edit: Edit) -> list[Section]:
    """The change made in the one section that holds the place."""
    holding = max((s for s in sections if edit.path[: len(s.path)] == s.path), key=lambda s: len(s.path))
    i = sections.index(holding)
    rest = edit.path[len(holding.path) :]
    sections[i] = replace(holding, body=_body(holding.body, rest, edit))
    return sections


def _body(body: str, path: Path, edit: Edit) -> str:
    if body and not body.endswith("\n"):
        body += "\n"
    document = tomlkit.parse(body)
    if isinstance(edit, Add):
        _add(document, path, edit.value)
    elif isinstance(edit, Put):
        _put(document, path, edit.value)
    else:
        _take(document, path)
    return tomlkit.dumps(document)


def _add(document: Any, path: Path, value: Any) -> None:
    holder = _reach(document, path)
    if path[-1] not in holder if isinstance(path[-1], str) else False:
        _set(holder, path[-1], [value])
        return
    items = holder[path[-1]]
    assert isinstance(items, Array)
    items.append(_item(value))


def _put(document: Any, path: Path, value: Any) -> None:
    _set(_reach(document, path), path[-1], value)


def _take(document: Any, path: Path) -> None:
    holder = _reach(document, path)
    comments = _comments(holder.as_string()) if isinstance(holder, Array) else []
    del holder[path[-1]]
    if isinstance(holder, InlineTable):
        _close_up(holder)
    if isinstance(holder, Array) and len(_comments(holder.as_string())) + 1 < len(comments):
        raise ValueError("more than the item's own comment would go")


def _reach(document: Any, path: Path) -> Any:
    for n, step in enumerate(path[:-1]):
        if isinstance(step, str) and step not in document:
            _set(document, step, _nested(path[n + 1 : -1]))
        document = document[step]
    return document


def _nested(path: Path) -> dict[str, Any]:
    return {str(path[0]): _nested(path[1:])} if path else {}


def _set(holder: Any, key: str | int, value: Any) -> None:
    item = _item(value)
    if isinstance(holder, InlineTable) and key not in holder:
        _set_inline(holder, str(key), value)
    else:
        holder[key] = item


def _set_inline(table: InlineTable, key: str, value: Any) -> None:
    """A further field of a table in braces, written as the others are."""
    text = table.as_string().rstrip()
    inner = text[1:-1].rstrip()
    more = f"{_key(key)} = {value_text(value)}"
    made = tomlkit.value(f"{{ {more} }}" if not inner.strip() else f"{{{inner}, {more} }}")
    assert isinstance(made, InlineTable)
    table.value.clear()
    table._value = made.value


def _close_up(table: InlineTable) -> None:
    """A table in braces on one line without the blanks that a field left behind; all else in it as it is written."""
    if "\n" in table.as_string():
        return
    items = [(str(key), table.value.item(key)) for key in table]
    fields = [f"{_key(key)} = {item.as_string().strip()}" for key, item in items if isinstance(item, Item)]
    text = f"{{ {', '.join(fields)} }}" if fields else "{}"
    made = tomlkit.value(text)
    assert isinstance(made, InlineTable)
    if made.unwrap() == table.unwrap():
        table.value.clear()
        table._value = made.value


def _item(value: Any) -> Item:
    return tomlkit.value(value_text(value))


def _comments(text: str) -> list[str]:
    return [line for line in text.splitlines() if "#" in line]


def _without(sections: Sequence[Section], path: Path) -> list[Section]:
    """The sections without those at a path; comments above the first of them stay, but for those that touch it."""
    first = next(i for i, section in enumerate(sections) if section.within(path))
    lines = sections[first].lead.splitlines(keepends=True)
    while lines and lines[-1].lstrip().startswith("#"):
        lines.pop()
    kept = [section for section in sections if not section.within(path)]
    following = next((i for i, section in enumerate(sections) if i > first and not section.within(path)), None)
    told = "".join(lines)
    if not told.strip():
        return kept
    if following is None:
        kept[-1] = replace(kept[-1], tail=kept[-1].tail + told)
    else:
        at = kept.index(sections[following])
        kept[at] = replace(kept[at], lead=told.rstrip("\n") + "\n" + kept[at].lead)
    return kept


def _cleared(sections: list[Section], path: Path) -> list[Section]:
    return _without(sections, path)


def _with_table(sections: list[Section], path: Path, value: dict[str, Any]) -> list[Section]:
    """One more `[[table]]`, after the last of its kind, or where its kind belongs."""
    own = [i for i, section in enumerate(sections) if section.within(path)]
    if own:
        at = own[-1] + 1
    elif path == ("piece",):
        later = (i for i, section in enumerate(sections) if (section.path or ("",))[0] not in FIRST)
        at = next(later, len(sections))
    else:
        at = len(sections)
    number = len({section.path[len(path)] for section in sections if section.within(path)})
    name = ".".join(_key(str(step)) for step in path if isinstance(step, str))
    made = Section((*path, number), f"[[{name}]]\n", _fields(value))
    return _placed(sections, at, made)


def _with_named(sections: list[Section], path: Path, value: Any) -> list[Section]:
    """A `[table]` that is new, with one field."""
    made = Section(path[:1], f"[{_key(str(path[0]))}]\n", _fields({str(path[1]): value}))
    first = path[0] in FIRST
    return _placed(sections, 1 if first else len(sections), made)


def _placed(sections: list[Section], at: int, made: Section) -> list[Section]:
    before = sections[at - 1]
    if before.text and not before.text.endswith("\n"):
        sections[at - 1] = before = replace(before, body=before.body + ("" if before.tail else "\n"))
        if before.tail:
            sections[at - 1] = before = replace(before, tail=before.tail + "\n")
    gap = "" if not before.text or before.text.endswith("\n\n") else "\n"
    made = replace(made, lead=gap)
    if at < len(sections) and not sections[at].lead.startswith("\n"):
        sections[at] = replace(sections[at], lead="\n" + sections[at].lead)
    return [*sections[:at], made, *sections[at:]]


def _fields(table: dict[str, Any]) -> str:
    return "".join(f"{_key(key)} = {value_text(value)}\n" for key, value in table.items())


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _quoted(name)


def value_text(value: Any) -> str:
    """A value as a person would write it in TOML; long lists with an item a line.

    >>> value_text({"at": [16, 14.0], "group": "loop"})
    '{ at = [16, 14], group = "loop" }'
    """
    plain = _plain(value)
    if isinstance(value, list) and len(plain) > WIDE:
        return "[\n" + "".join(f"  {_plain(item)},\n" for item in value) + "]"
    if isinstance(value, dict) and len(plain) > WIDE:
        return "{ " + ", ".join(f"{_key(key)} = {value_text(item)}" for key, item in value.items()) + " }"
    return plain


def _plain(value: Any) -> str:
    for kind, write in _WRITERS:
        if isinstance(value, kind):
            return write(value)
    raise InputError(f"{type(value).__name__} is no value of a project file")


def _float(value: float) -> str:
    if not math.isfinite(value):
        raise InputError(f"{value} is no number", remedy="give a number")
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)


def _quoted(text: str) -> str:
    return tomlkit.string(text).as_string()


_WRITERS: tuple[tuple[type, Callable[[Any], str]], ...] = (
    (bool, lambda value: "true" if value else "false"),
    (int, str),
    (float, _float),
    (str, _quoted),
    (list, lambda value: "[" + ", ".join(map(_plain, value)) + "]"),
    (dict, lambda value: "{ " + ", ".join(f"{_key(k)} = {_plain(v)}" for k, v in value.items()) + " }"),
)
