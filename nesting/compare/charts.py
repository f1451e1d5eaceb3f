"""The charts of the comparison as scenes, in millimetres on paper with y upwards.

Terms. *Frame*: the box a chart's marks lie in; its words stand outside. *Scale*: from figures to places in the frame.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from nesting.compare.comparison import ComparedLeather
from nesting.compare.cost import PARTS
from nesting.compare.trial import Spread
from nesting.drawing.lettering import shortened, width_of
from nesting.drawing.scene import Area, Box, Circle, Item, Line, Text

SMALL = 2.3
CURVES = ("curve 1", "curve 2", "curve 3", "curve 4")
PART_TINTS = dict(zip(PARTS, (0, 3, 4, 1, 2), strict=True))
"""Tints of the parts of a cost, told apart in grey by the words in them too."""


@dataclass(frozen=True)
class Scale:
    """Places figures from `least` to `most` between two places on paper."""

    least: float
    most: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where a figure stands."""
        return self.start + (value - self.least) / (self.most - self.least) * (self.end - self.start)


def ticks(most: float, about: int = 5) -> list[float]:
    """Round figures from nought to at least `most`.

    >>> ticks(117), ticks(6.2), ticks(0)
    ([0.0, 25.0, 50.0, 75.0, 100.0, 125.0], [0.0, 2.0, 4.0, 6.0, 8.0], [0.0, 0.5, 1.0])
    """
    if most <= 0:
        return [0.0, 0.5, 1.0]
    raw = most / about
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(each * size for each in (1, 2, 2.5, 5, 10) if each * size >= raw * (1 - 1e-9))
    return [step * k for k in range(math.ceil(most / step - 1e-9) + 1)]


def span(least: float, most: float) -> list[float]:
    """Round figures from below `least` to above `most`, for lines that need not start from nought.

    >>> span(87, 150)
    [80.0, 100.0, 120.0, 140.0, 160.0]
    """
    step = ticks(max(most - least, most * 0.1), 4)[1]
    first, last = math.floor(least / step), math.ceil(most / step)
    return [step * k for k in range(first, last + 1)]


def cost_bars(entries: Sequence[ComparedLeather], frame: Box, row: float) -> list[Item]:
    """One bar a leather, from the top down: its total cost split by part, the total at its end."""
    totals = [entry.cost.total for entry in entries if entry.cost]
    scale, items = _grid(frame, max(totals, default=1.0) * 1.12)
    for number, entry in enumerate(entries):
        items += _bar(entry, scale, frame[3] - row * (number + 0.5), row)
    return items


def part_key(x: float, y: float) -> list[Item]:
    """What the tints of the bars mean, in one line."""
    items: list[Item] = []
    for part in PARTS:
        items += [
            _box("part", x, y, x + 3.4, y + 2.4, PART_TINTS[part]),
            Text("words", (x + 4.4, y + 0.3), part, SMALL),
        ]
        x += 8.5 + width_of(part, SMALL)
    return items


def whiskers(spreads: Sequence[Spread], frame: Box, row: float, tell: Callable[[float], str]) -> list[Item]:
    """One mean a leather with a line from its least to its most over the sample hides."""
    scale, items = _grid(frame, max((spread.high for spread in spreads), default=1.0) * 1.2, tell, about=3)
    for number, spread in enumerate(spreads):
        y = frame[3] - row * (number + 0.5)
        low, high = scale.at(spread.low), scale.at(spread.high)
        if spread.high > spread.low:
            items += [Line("strong rule", ((low, y), (high, y)))]
            items += [Line("strong rule", ((x, y - 0.9), (x, y + 0.9))) for x in (low, high)]
        items.append(Circle("mark", (scale.at(spread.mean), y), 1.8))
        items.append(Text("words", (high + 1.5, y - 0.8), tell(spread.mean), SMALL))
    return items


def step_chart(entries: Sequence[ComparedLeather], number: int, frame: Box) -> list[Item]:
    """The cost of one product against the size of the batch, hides bought whole; the batch asked for is marked."""
    shown = [entry for entry in entries if entry.steps][: len(CURVES)]
    if not shown:
        return []
    last = len(shown[0].steps)
    totals = [each.total for entry in shown for each in entry.steps]
    marks = span(min(totals), min(max(totals), 1.8 * min(totals)))
    left, low, right, high = frame
    across, up = Scale(0.5, last + 0.5, left, right), Scale(marks[0], marks[-1], low, high)
    items: list[Item] = []
    for mark in marks:
        items.append(Line("rule", ((left, up.at(mark)), (right, up.at(mark)))))
        items.append(Text("quiet words", (left - 1.2, up.at(mark) - 0.8), f"{mark:g}", SMALL, "right"))
    for n in range(1, last + 1):
        if n == 1 or n % max(1, round(last / 10)) == 0:
            items.append(Text("quiet words", (across.at(n), low - 3.2), str(n), SMALL, "middle"))
    items.append(Text("quiet words", (right, low - 6.4), "products in a batch", SMALL, "right"))
    if number <= last:
        items.append(Line("datum", ((across.at(number), low), (across.at(number), high))))
    for layer, entry in zip(CURVES, shown, strict=False):
        items += _steps(entry, layer, across, up, marks[-1])
    return items


def curve_key(entries: Sequence[ComparedLeather], x: float, top: float, width: float) -> list[Item]:
    """Which line of the step chart is which leather, one below the other."""
    items: list[Item] = []
    for number, (layer, entry) in enumerate(zip(CURVES, [e for e in entries if e.steps], strict=False)):
        y = top - 3.6 * (number + 1)
        items.append(Line(layer, ((x, y + 0.8), (x + 8, y + 0.8))))
        items.append(Text("words", (x + 9.5, y), shortened(entry.name, SMALL, width - 9.5), SMALL))
    words = "dot: one more hide is opened"
    items += [Circle("mark", (x + width - width_of(words, SMALL) - 2, top - 2.8), 1.0)]
    items += [Text("quiet words", (x + width, top - 3.6), words, SMALL, "right")]
    return items


def _steps(entry: ComparedLeather, layer: str, across: Scale, up: Scale, most: float) -> list[Item]:
    """A line through the batches the chart can show, with a dot where one more hide is opened than before."""
    runs: list[list[tuple[float, float]]] = [[]]
    dots: list[Item] = []
    hides = 0
    for each in entry.steps:
        if each.total > most:
            runs.append([])
        else:
            point = across.at(each.number), up.at(each.total)
            runs[-1].append(point)
            dots += [Circle("mark", point, 1.0)] if each.hides > hides else []
        hides = each.hides
    return [*(Line(layer, tuple(run)) for run in runs if len(run) > 1), *dots]


def _grid(
    frame: Box, most: float, tell: Callable[[float], str] = "{:g}".format, about: int = 5
) -> tuple[Scale, list[Item]]:
    left, low, right, high = frame
    marks = ticks(most, about)
    scale = Scale(0, marks[-1], left, right)
    items: list[Item] = []
    for mark in marks:
        x = scale.at(mark)
        items.append(Line("rule", ((x, low), (x, high))))
        items.append(Text("quiet words", (x, low - 3.0), tell(mark), SMALL, "middle"))
    items.append(Line("strong rule", ((left, low), (left, high))))
    return scale, items


def _bar(entry: ComparedLeather, scale: Scale, y: float, row: float) -> list[Item]:
    if entry.cost is None:
        return [Text("alert words", (scale.start + 1.5, y - 0.8), "gives no complete product", SMALL)]
    half = min(row * 0.33, 3.0)
    items: list[Item] = []
    so_far = 0.0
    for part in PARTS:
        amount = getattr(entry.cost, part)
        if amount <= 0:
            continue
        left, right = scale.at(so_far), scale.at(so_far + amount)
        items.append(_box("part", left, y - half, right, y + half, PART_TINTS[part]))
        words = f"{amount:.2f}"
        if width_of(words, SMALL) + 1 < right - left:
            items.append(Text("words", ((left + right) / 2, y - 0.8), words, SMALL, "middle"))
        so_far += amount
    return items + _on_blank((scale.at(so_far) + 1.5, y - 0.9), f"{so_far:.2f}")


def _on_blank(at: tuple[float, float], words: str) -> list[Item]:
    """Bold words that a line behind them does not cross."""
    (x, y), wide = at, width_of(words, 2.6, bold=True)
    ring = ((x - 0.5, y - 0.8), (x + wide + 0.5, y - 0.8), (x + wide + 0.5, y + 2.4), (x - 0.5, y + 2.4))
    return [Area("blank", (ring,)), Text("words", at, words, 2.6, bold=True)]


def _box(layer: str, left: float, low: float, right: float, high: float, tint: int) -> Area:
    return Area(layer, (((left, low), (right, low), (right, high), (left, high)),), tint)
