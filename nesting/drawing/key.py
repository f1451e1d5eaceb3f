"""The scale bar, and the key that says what each kind of line and hatch means."""

from __future__ import annotations

from shapely.geometry import box

from nesting.drawing.hatch import hatch
from nesting.drawing.lettering import width_of
from nesting.drawing.scene import Area, Circle, Item, Line, Text
from nesting.result.wording import length_text

SIZE = 2.2
SWATCH = 5.0
KEY_ROW = 3.8


def scale_bar(x: float, y: float, k: float, units: str) -> list[Item]:
    """A bar of five parts, `k` mm of hide to the mm, with its figures and the scale in words."""
    unit, steps = (25.4, (1, 2, 4, 6, 12, 24)) if units == "in" else (1.0, (5, 10, 20, 50, 100, 200, 500))
    part = next((s * unit for s in reversed(steps) if s * unit <= 14 * k), steps[0] * unit)
    items: list[Item] = []
    for n in range(5):
        left, right = x + n * part / k, x + (n + 1) * part / k
        items.append(Area("bar gap" if n % 2 else "bar", (((left, y), (right, y), (right, y + 1.6), (left, y + 1.6)),)))
    for n in range(6):
        shown = length_text(n * part, units, 1) + (f" {units}" if n == 5 else "")
        items.append(Text("words", (x + n * part / k, y + 2.5), shown, SIZE, "middle" if n else "left"))
    items.append(Text("words", (x + 5 * part / k + 12, y), f"scale 1 : {k:g}", 2.6, bold=True))
    return items


def key(x: float, y: float, width: float) -> list[Item]:
    """Swatches with their words in a row `width` wide, or in two rows where one is too short."""
    rows = [
        (_edge, "edge strip"), (_unusable, "unusable flaw, its clearance"), (_lesser, "flaw of lesser grade"),
        (_zone, "zone"), (_offcut, "offcut to keep"), (_datum, "datum line, backbone"), (_marks, "marks 1 and 2"),
        (_grain, "grain line"), (_punch, "punch mark"),
    ]  # fmt: skip
    items: list[Item] = []
    at = x
    for draw, words in rows:
        wide = SWATCH + 1 + width_of(words, SIZE)
        if at + wide > x + width:
            at, y = x, y - KEY_ROW
        items += draw(at, y)
        items.append(Text("words", (at + SWATCH + 1, y + 0.4), words, SIZE))
        at += wide + 5.0
    return items


def _frame(layer: str, x: float, y: float) -> Line:
    return Line(layer, ((x, y), (x + SWATCH, y), (x + SWATCH, y + 2.4), (x, y + 2.4), (x, y)))


def _edge(x: float, y: float) -> list[Item]:
    return [*hatch("edge hatch", box(x, y, x + SWATCH, y + 2.4), 1.5, 45), _frame("edge", x, y)]


def _unusable(x: float, y: float) -> list[Item]:
    inner = box(x + 0.8, y + 0.6, x + SWATCH - 0.8, y + 1.8)
    lines = [*hatch("flaw hatch", inner, 0.9, 45), *hatch("flaw hatch", inner, 0.9, 135)]
    return [*lines, Line("flaw", tuple(inner.exterior.coords)), _frame("clearance", x, y)]


def _lesser(x: float, y: float) -> list[Item]:
    return [*hatch("flaw hatch", box(x, y, x + SWATCH, y + 2.4), 0.9, 45), _frame("flaw", x, y)]


def _zone(x: float, y: float) -> list[Item]:
    return [Line("zone", ((x, y + 1.2), (x + SWATCH, y + 1.2)))]


def _offcut(x: float, y: float) -> list[Item]:
    return [Area("offcut", (((x, y), (x + SWATCH, y), (x + SWATCH, y + 2.4), (x, y + 2.4)),))]


def _datum(x: float, y: float) -> list[Item]:
    return [Line("backbone", ((x, y + 1.2), (x + SWATCH, y + 1.2)))]


def _marks(x: float, y: float) -> list[Item]:
    return [Circle("mark", (x + 1.2, y + 1.2), 0.9), Circle("second mark", (x + 3.6, y + 1.2), 0.9)]


def _grain(x: float, y: float) -> list[Item]:
    tip = x + SWATCH, y + 1.2
    head = ((tip[0] - 1.5, y + 0.7), tip, (tip[0] - 1.5, y + 1.7))
    return [Line("grain", ((x, y + 1.2), tip)), Line("grain", head)]


def _punch(x: float, y: float) -> list[Item]:
    return [Circle("punch", (x + 2.5, y + 1.2), 1.2)]
