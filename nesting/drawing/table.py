"""Tables and paragraphs on a page, from a left and an upper edge downwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.drawing.lettering import shortened, wrapped
from nesting.drawing.scene import Item, Line, Text

SIZE = 2.6
ROW = 4.0
"""Body of the letters and height of a row, mm."""
PAD = 0.8


@dataclass(frozen=True)
class Column:
    """A column: its heading, its width in mm, and the side its words stand on."""

    heading: str
    width: float
    side: str = "left"


def table(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], x: float, top: float, high: float = ROW
) -> list[Item]:
    """A table with a ruled heading; its height is `high` times one more than its rows."""
    items = _row(columns, [column.heading for column in columns], x, top, high, bold=True)
    wide = sum(column.width for column in columns)
    items.append(Line("strong rule", ((x, top - high), (x + wide, top - high))))
    for number, row in enumerate(rows, 1):
        items += _row(columns, row, x, top - high * number, high)
        low = top - high * (number + 1)
        items.append(Line("rule", ((x, low), (x + wide, low))))
    return items


def unfolded(row: Sequence[str], columns: Sequence[Column]) -> list[tuple[str, ...]]:
    """A row, and further ones for words that do not fit into one line of their column."""
    cells = [
        wrapped(text, SIZE, column.width - 2 * PAD) if column.side == "left" and text else [text]
        for text, column in zip(row, columns, strict=True)
    ]
    high = max(map(len, cells))
    return [tuple(lines[k] if k < len(lines) else "" for lines in cells) for k in range(high)]


def paragraph(
    words: str, x: float, top: float, width: float, size: float = SIZE, layer: str = "words"
) -> tuple[list[Item], float]:
    """Words broken into lines, and the height they stand below."""
    items: list[Item] = []
    for line in wrapped(words, size, width):
        top -= 1.35 * size
        items.append(Text(layer, (x, top + 0.35 * size), line, size))
    return items, top


def _row(
    columns: Sequence[Column], words: Sequence[str], x: float, top: float, high: float, bold: bool = False
) -> list[Item]:
    items: list[Item] = []
    for column, text in zip(columns, words, strict=True):
        fitting = shortened(text, SIZE, column.width - 2 * PAD, bold)
        at = {"left": x + PAD, "right": x + column.width - PAD, "middle": x + column.width / 2}[column.side]
        items.append(Text("words", (at, top - high + 1.15 * high / ROW), fitting, SIZE, column.side, bold=bold))
        x += column.width
    return items
