"""The list of places on a page: short lines in several narrow columns, read downwards."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.drawing.lettering import shortened, width_of
from nesting.drawing.place_list import FIGURES, Chunk, PlaceLine
from nesting.drawing.scene import Item, Line, Text

SIZE = 2.2
ROW = 2.95
"""Body of the letters and height of a line, mm."""
LEAST_COLUMN = 59.0
BETWEEN = 3.5
NAME, CIRCLE_NAME, APART = 9.6, 6.3, 2.0
TITLES = ("name", "1 along", "1 across", "2 along", "2 across")


def columns_on(width: float) -> tuple[int, float]:
    """How many columns go side by side, and how wide each is."""
    number = max(1, int((width + BETWEEN) / (LEAST_COLUMN + BETWEEN)))
    return number, (width - BETWEEN * (number - 1)) / number


def filled(chunks: Sequence[Chunk], lines: int, columns: int) -> tuple[list[list[Chunk]], list[Chunk]]:
    """The chunks that fit into so many columns of so many lines, as even as can be, and the rest."""
    for high in range(1, lines + 1):
        taken, rest = _poured(chunks, high, columns)
        if not rest:
            return taken, []
    return _poured(chunks, lines, columns)


def drawn(columns: Sequence[Sequence[Chunk]], width: float, x: float, top: float) -> tuple[list[Item], float]:
    """The columns from an upper left corner, and the height they end at."""
    items: list[Item] = []
    low = top
    for number, chunks in enumerate(columns):
        left, at = x + number * (width + BETWEEN), top
        items += [*_cells(TITLES, left, at, width, "bold"), _rule(left, at - ROW, width, "strong rule")]
        for line in (line for chunk in chunks for line in chunk):
            at -= ROW
            items += _line(line, left, at, width)
        low = min(low, at - ROW)
    return items, low


def _poured(chunks: Sequence[Chunk], high: int, columns: int) -> tuple[list[list[Chunk]], list[Chunk]]:
    rest, taken = list(chunks), []
    for _ in range(columns):
        column: list[Chunk] = []
        room = high
        while rest and (len(rest[0]) <= room or (not column and room == high and len(rest[0]) > high > 20)):
            room -= len(rest[0])
            column.append(rest.pop(0))
        taken.append(column)
    return [column for column in taken if column], rest


def _line(line: PlaceLine, x: float, top: float, width: float) -> list[Item]:
    rule = _rule(x, top - ROW, width, "rule")
    if line.cells:
        return [*_cells(line.cells, x, top, width, "words"), rule]
    words = shortened(line.words, SIZE, width, line.bold)
    layer = "words" if line.bold else "quiet words"
    return [Text(layer, (x + (0.3 if line.bold else 2), top - ROW + 0.85), words, SIZE, bold=line.bold), rule]


def _cells(cells: Sequence[str], x: float, top: float, width: float, kind: str) -> list[Item]:
    bold = kind == "bold"
    y = top - ROW + 0.85
    items: list[Item] = []
    for at, text, names in _places(cells, x, width):
        size = SIZE if bold is False or width_of(text, SIZE, True) <= 12 else SIZE * 0.9
        items.append(Text("words", (at, y), text, size, "left" if names else "right", bold=bold or names))
    return items


def _places(cells: Sequence[str], x: float, width: float) -> list[tuple[float, str, bool]]:
    """Where each cell's words stand, and whether they are a name."""
    if len(cells) == FIGURES + 1:
        step = (width - NAME) / FIGURES
        ends = [x + NAME + step * (n + 1) - 0.3 for n in range(FIGURES)]
        return [(x + 0.3, cells[0], True), *((at, text, False) for at, text in zip(ends, cells[1:], strict=True))]
    found: list[tuple[float, str, bool]] = []
    half = (width - APART) / 2
    for n in range(0, len(cells), 3):
        left = x + (n // 3) * (half + APART)
        found.append((left + 0.3, cells[n], True))
        found.append((left + CIRCLE_NAME + (half - CIRCLE_NAME) / 2 - 0.3, cells[n + 1], False))
        found.append((left + half - 0.3, cells[n + 2], False))
    return found


def _rule(x: float, y: float, width: float, layer: str) -> Line:
    return Line(layer, ((x, y), (x + width, y)))
