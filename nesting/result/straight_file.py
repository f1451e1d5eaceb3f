"""The straight plan of a hide as the layout file holds it, and read back."""

from __future__ import annotations

from typing import Any

from hides.errors import InputError
from hides.fields import Fields, told
from hides.hide import Point
from hides.units import finite
from nesting.model.straight import CrossCut, StraightPlan, Strip

PLAN = ("line", "angle", "kerf", "at_most", "strips", "beside")
STRIP = ("width", "offset", "pieces", "cuts")
CUT = ("part", "from", "to")
MOST_PIECES = 10**6


def straight_to_data(plan: StraightPlan) -> dict[str, Any]:
    """A plan as JSON holds it; lengths in mm, to a millionth."""
    return {
        "line": [[_mm(x), _mm(y)] for x, y in plan.line],
        "angle": _plain(round(plan.angle, 9)),
        "kerf": _mm(plan.kerf),
        **({} if plan.at_most is None else {"at_most": plan.at_most}),
        "strips": [_strip(strip) for strip in plan.strips],
        **({"beside": [straight_to_data(each) for each in plan.beside]} if plan.beside else {}),
    }


def _strip(strip: Strip) -> dict[str, Any]:
    return {
        "width": _mm(strip.width),
        "offset": _mm(strip.offset),
        "pieces": list(strip.pieces),
        "cuts": [{"part": cut.part, "from": _mm(cut.start), "to": _mm(cut.end)} for cut in strip.cuts],
    }


def straight_from_data(data: object, factor: float, where: str, path: str, further: bool = False) -> StraightPlan:
    """The plan that a file's content describes; whether it is right the check says. `factor`: mm in a unit."""
    fields = Fields.of(data, PLAN, where, path)
    if further and fields.has("beside"):
        raise fields.wrong("beside", "a line beside has none beside it", "put all further lines beside the first")
    beside = enumerate(fields.items("beside", ()))
    return StraightPlan(
        line=_line(fields, factor),
        angle=fields.number("angle", low=-36000, high=36000),
        strips=tuple(
            _read_strip(each, factor, where, f"{path}.strips[{n}]") for n, each in enumerate(fields.items("strips"))
        ),
        kerf=fields.number("kerf", 0.0, low=0) * factor,
        at_most=fields.whole("at_most", high=10**9) if fields.has("at_most") else None,
        beside=tuple(straight_from_data(each, factor, where, f"{path}.beside[{n}]", True) for n, each in beside),
    )


def _line(fields: Fields, factor: float) -> tuple[Point, Point]:
    with fields.reading("line") as value:
        if (
            not isinstance(value, list)
            or len(value) != 2
            or not all(isinstance(p, list) and len(p) == 2 for p in value)
        ):
            raise InputError(f"is {told(value)}, not two points", remedy="write [[x, y], [x, y]]")
        (a, b), (c, d) = value
        return (finite(a) * factor, finite(b) * factor), (finite(c) * factor, finite(d) * factor)


def _read_strip(data: object, factor: float, where: str, path: str) -> Strip:
    fields = Fields.of(data, STRIP, where, path)
    with fields.reading("pieces") as value:
        if not isinstance(value, list) or not all(type(n) is int and 0 <= n < MOST_PIECES for n in value):
            raise InputError(f"is {told(value)}", remedy="list the places of its pieces in placements, from 0")
        pieces = tuple(value)
    cuts = []
    for n, each in enumerate(fields.items("cuts", ())):
        row = Fields.of(each, CUT, where, f"{path}.cuts[{n}]")
        cuts.append(CrossCut(row.whole("part", 1, low=1), row.number("from") * factor, row.number("to") * factor))
    return Strip(fields.number("width") * factor, fields.number("offset") * factor, pieces, tuple(cuts))


def _mm(value: float) -> float:
    return _plain(round(value, 6))


def _plain(value: float) -> float:
    return int(value) if value == int(value) else value
