"""Where a piece can be taken hold of: places on it, and the fields of its table that say where they lie."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from hides.errors import InputError
from hides.hide import Point
from nesting.project.measures import Measures
from nesting.project.toml_sections import Path


@dataclass(frozen=True)
class Handle:
    """A place on a piece (mm, its own frame). `x` and `y` are the fields of the piece that hold its coordinates, None
    where it cannot be moved that way; a field is `scale` times the coordinate.
    """

    kind: str
    at: Point
    x: Path | None
    y: Path | None
    scale: float = 1.0
    corner: Path | None = None
    """Where it belongs to the outline: its item, of the polygon or of `corners`."""


def handles(table: Mapping[str, Any], measures: Measures) -> list[Handle]:
    """Every place of a piece that can be moved; what cannot be read has none."""
    found: list[Handle] = []
    shape = table.get("shape")
    if isinstance(shape, Mapping):
        for kind, make in _SHAPES.items():
            if kind in shape:
                with suppress(InputError, TypeError, ValueError, IndexError, KeyError):
                    found += make(shape[kind], measures)
    middle = max((handle.at[0] for handle in found), default=0.0) / 2
    return [*found, *_features(table, measures, middle)]


def _rectangle(value: Any, measures: Measures) -> Iterator[Handle]:
    w, h = (measures.length(each) for each in value)
    x, y = ("shape", "rectangle", 0), ("shape", "rectangle", 1)
    places = [((0.0, 0.0), None, None), ((w, 0.0), x, None), ((w, h), x, y), ((0.0, h), None, y)]
    for i, (at, across, up) in enumerate(places):
        yield Handle("corner", at, across, up, corner=("shape", "corners", i))


def _strap(value: Any, measures: Measures) -> Iterator[Handle]:
    w, h = (measures.length(each) for each in value)
    yield Handle("side", (w, h / 2), ("shape", "strap", 0), None)
    yield Handle("end", (w / 2, h), None, ("shape", "strap", 1))


def _circle(value: Any, measures: Measures) -> Iterator[Handle]:
    yield Handle("rim", (measures.length(value) / 2, 0.0), ("shape", "circle"), None, 2.0)


def _polygon(value: Any, measures: Measures) -> Iterator[Handle]:
    for i, item in enumerate(value):
        path: Path = ("shape", "polygon", i)
        for kind, at in _step_points(item, path):
            yield from _place(kind, item, at, path, measures, path)


def _step_points(item: Any, path: Path) -> Iterator[tuple[str, Path]]:
    """The points of one step of an outline with their paths, those it leads to before those that bend it."""
    if not isinstance(item, Mapping):
        yield "corner", path
        return
    for name in ("at", "arc", "curve"):
        if name in item:
            yield {"at": "corner", "arc": "arc", "curve": "point"}[name], (*path, name)
    if "smooth" in item:
        several = bool(item["smooth"]) and isinstance(item["smooth"][0], list)
        for j in range(len(item["smooth"]) if several else 1):
            yield "point", (*path, "smooth", j) if several else (*path, "smooth")
    if "through" in item:
        yield "bend", (*path, "through")
    for j in range(len(item.get("by", ()))):
        yield "bend", (*path, "by", j)


def _place(
    kind: str, item: Any, at: Path, base: Path, measures: Measures, corner: Path | None = None
) -> Iterator[Handle]:
    value = item
    for step in at[len(base) :]:
        value = value[step]
    with suppress(InputError, TypeError, ValueError):
        yield Handle(kind, measures.point(value), (*at, 0), (*at, 1), corner=corner)


def _features(table: Mapping[str, Any], measures: Measures, middle: float) -> Iterator[Handle]:
    for name, field in (
        ("holes", "at"),
        ("slots", "at"),
        ("lines", "points"),
        ("rows", "line"),
        ("covered", "outline"),
    ):
        for i, item in _items(table, name):
            if field not in item:
                continue
            base: Path = (name, i)
            with suppress(KeyError, IndexError, TypeError):
                for way in _ways(item[field], (*base, field)):
                    yield from _place(_KINDS[name], item, way, base, measures)
    for i, item in _items(table, "buckle_slots"):
        with suppress(InputError, KeyError, TypeError):
            yield Handle("slot", (middle, measures.length(item["at"])), None, ("buckle_slots", i, "at"))
    row = table.get("belt_holes")
    if isinstance(row, Mapping):
        with suppress(InputError, KeyError, TypeError):
            yield Handle("row", (middle, measures.length(row["middle"])), None, ("belt_holes", "middle"))


def _ways(value: Any, path: Path) -> Iterator[Path]:
    """The paths of the points that a feature holds: its own place, or those that its line leads through."""
    if path[-1] == "at":
        yield path
        return
    for j, item in enumerate(value if isinstance(value, list) else ()):
        yield from (way for _, way in _step_points(item, (*path, j)))


def _items(table: Mapping[str, Any], name: str) -> list[tuple[int, Mapping[str, Any]]]:
    value = table.get(name)
    return [(i, item) for i, item in enumerate(value) if isinstance(item, Mapping)] if isinstance(value, list) else []


_KINDS = {"holes": "hole", "slots": "slot", "lines": "line", "rows": "row", "covered": "cover"}
_SHAPES: dict[str, Callable[[Any, Measures], Iterator[Handle]]] = {
    "rectangle": _rectangle,
    "strap": _strap,
    "circle": _circle,
    "polygon": _polygon,
}
