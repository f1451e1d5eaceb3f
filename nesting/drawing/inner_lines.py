"""The lines on a piece that are not cut through, and the words a paper pattern has at them."""

from __future__ import annotations

import math
from collections.abc import Callable

from shapely.geometry import LineString

from hides.hide import Point
from hides.units import OUNCE
from nesting.drawing.lettering import width_of
from nesting.drawing.scene import Item, Line, Text
from nesting.model.product import InnerLine, Piece
from nesting.result.wording import length_text

Carry = Callable[[Point], Point]
SIZE = 2.2
"""Lettering at lines, mm."""


def inner_lines(piece: Piece, carry: Carry) -> list[Item]:
    """All lines of a piece, each on the layer of its kind; and where its finished edge lies inside the cut one."""
    items: list[Item] = [Line(f"{line.kind} line", tuple(map(carry, line.points))) for line in piece.lines]
    if piece.finished:
        items.append(Line("finished", tuple(map(carry, (*piece.finished, piece.finished[0])))))
    return items


def line_words(piece: Piece, carry: Carry, units: str = "mm", ounces: bool = False) -> list[Item]:
    """What is written along lines: fold here, how wide and how thin to skive, and a line's own name.

    Widths are told in inches where `units` are, what is left of the thickness in `ounces` if the project speaks them.
    """
    said = [(words, line) for line in piece.lines if (words := _words(line, units, ounces))]
    return [text for words, line in said if (text := _along(words, tuple(map(carry, line.points))))]


def bare_end_words(piece: Piece, carry: Carry) -> list[Item]:
    """“No hole at this end”, on a strap (three times as long as wide) whose holes leave one of its ends free."""
    west, south, east, north = piece.polygon.bounds
    if not piece.holes or north - south < 3 * (east - west):
        return []
    near = (north - south) / 4
    low = any(hole.at[1] < south + near for hole in piece.holes)
    high = any(hole.at[1] > north - near for hole in piece.holes)
    if low == high:
        return []
    y = north - near / 2 if low else south + near / 2
    middle = (west + east) / 2
    text = _along("no hole at this end", (carry((middle, y - near / 3)), carry((middle, y + near / 3))), 0.0)
    return [text] if text else []


def _words(line: InnerLine, units: str, ounces: bool) -> str:
    own = f" {line.name}" if line.name else ""
    if line.kind == "fold":
        return f"fold here{own}"
    if line.kind == "skive":
        wide = f" {_width(line.width, units)}" if line.width is not None else ""
        left = f" to {_thickness(line.left, ounces)}" if line.left is not None else ""
        return f"skive{wide}{left}{own}"
    return line.name


def _width(mm: float, units: str) -> str:
    return f"{length_text(mm, 'in', part=32)} in" if units == "in" else f"{mm:.4g} mm"


def _thickness(mm: float, ounces: bool) -> str:
    return f"{round(2 * mm / OUNCE) / 2:g} oz" if ounces else f"{mm:.3g} mm"


def _along(words: str, points: tuple[Point, ...], off: float = 0.6) -> Text | None:
    """Words over the middle of a line, read from below or from the right; None where it is too short for them."""
    whole = LineString(points)
    long = width_of(words, SIZE, False)
    if whole.length < long:
        return None
    a, b = whole.interpolate(whole.length / 2 - 0.5), whole.interpolate(whole.length / 2 + 0.5)
    angle = (math.degrees(math.atan2(b.y - a.y, b.x - a.x)) + 89.999) % 180 - 89.999
    turn = math.radians(angle)
    at = (a.x + b.x) / 2 - off * math.sin(turn), (a.y + b.y) / 2 + off * math.cos(turn)
    return Text("words", at, words, SIZE, "middle", angle)
