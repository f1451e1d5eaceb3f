"""What two versions of a project file say differently, field by field."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Difference:
    """A field that differs: where (in words), and its value before and after; None where it was not there."""

    place: str
    field: str
    before: Any
    after: Any


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Difference]:
    """The fields that differ; tables of a list are matched by their names, so that order alone is no difference.

    >>> old = {"piece": [{"name": "tab", "shape": {"circle": 20}}]}
    >>> differences(old, {"piece": [{"name": "tab", "shape": {"circle": 22}}]})
    [Difference(place='piece “tab”', field='shape.circle', before=20, after=22)]
    """
    found: list[Difference] = []
    for key in _keys(before, after):
        one, other = before.get(key), after.get(key)
        if _named(one) or _named(other):
            found += _by_name(key, one or [], other or [])
        else:
            found += _compared("", key, one, other)
    return found


def _by_name(key: str, before: list[Any], after: list[Any]) -> Iterator[Difference]:
    olds, news = ({str(row.get("name")): row for row in rows} for rows in (before, after))
    for name in _keys(olds, news):
        place = f"{key} “{name}”"
        if name in olds and name in news:
            for field in _keys(olds[name], news[name]):
                yield from _compared(place, field, olds[name].get(field), news[name].get(field))
        else:
            yield Difference(place, "", olds.get(name), news.get(name))


def _compared(place: str, field: str, before: Any, after: Any) -> Iterator[Difference]:
    if before == after:
        return
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for key in _keys(before, after):
            yield from _compared(place, f"{field}.{key}", before.get(key), after.get(key))
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for i, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from _compared(place, f"{field}[{i}]", one, other)
    else:
        yield Difference(place, field, before, after)


def _named(rows: Any) -> bool:
    return isinstance(rows, list) and bool(rows) and all(isinstance(row, Mapping) and "name" in row for row in rows)


def _keys(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    return list(dict.fromkeys([*before, *after]))
