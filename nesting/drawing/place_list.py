"""Where each piece lies, as short lines: kind by kind, rows of like pieces told by their first and last."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from nesting.drawing.hide_scene import upright
from nesting.drawing.lettering import wrapped
from nesting.drawing.mark_points import mark_points
from nesting.drawing.mark_rows import Stretch, stretches
from nesting.drawing.marks import Datum, datum_of
from nesting.drawing.names import LaidName, named
from nesting.drawing.sheet_style import SheetStyle
from nesting.model.layout import HideLayout, Layout
from nesting.result.wording import length_text, place_text

FIGURES = 4
"""Figures on a line: along and across of two marks."""


@dataclass(frozen=True)
class PlaceLine:
    """One line of the list: words over the whole width, or names and figures in their columns.

    `cells` are a name and four figures; two circles share a line as name, two figures, name, two figures.
    """

    words: str = ""
    cells: tuple[str, ...] = ()
    bold: bool = False


Chunk = list[PlaceLine]
"""Lines that stay together."""


def place_chunks(layout: Layout, each: HideLayout, style: SheetStyle, width: float, size: float) -> list[Chunk]:
    """All pieces of a hide; `width` and `size` (mm) are those of a column and of its letters."""
    whole = upright(each)
    teller = _Teller(datum_of(whole.hide), style, width, size)
    chunks: list[Chunk] = []
    for (_, over), group in groupby(_by_kind(named(layout, whole)), key=_kind_and_side):
        chunks += teller.kind(list(group), over)
    return chunks


def _by_kind(laid: Iterable[LaidName]) -> list[LaidName]:
    return sorted(laid, key=_kind_and_side)


def _kind_and_side(one: LaidName) -> tuple[int, bool]:
    return one.index, one.placement.mirrored


@dataclass(frozen=True)
class _Teller:
    """Writes pieces in a sheet's units."""

    datum: Datum
    style: SheetStyle
    width: float
    size: float

    def kind(self, laid: Sequence[LaidName], over: bool) -> list[Chunk]:
        """The pieces of one kind that lie the same side up, its heading held to the first of them."""
        first = laid[0]
        turned = ", turned over" if over else ""
        marks = len(mark_points(first.piece))
        alone = " (centre: along, across)" if marks == 1 else ""
        heading = PlaceLine(f"{first.code}  {first.piece.name}{turned}: {len(laid)}{alone}", bold=True)
        found = stretches(laid)
        rows = [self.row(stretch) for stretch in found if len(stretch.pieces) > 1]
        singles = [stretch for stretch in found if len(stretch.pieces) == 1]
        chunks = rows + (self.pairs(singles) if marks == 1 else [self.piece(each, 0) for each in singles])
        return [[heading, *chunks[0]], *chunks[1:]]

    def row(self, stretch: Stretch) -> Chunk:
        """The first of a row, those between in their order, and the last."""
        pitch = length_text(stretch.pitch, self.style.units, part=64)
        between = " ".join(one.name for one in stretch.pieces[1:-1])
        words = f"then in even steps of {pitch}, both marks: {between}; the last of {len(stretch.pieces)}:"
        lines = [PlaceLine(line) for line in wrapped(words, self.size, self.width - 2)]
        return [*self.piece(stretch, 0), *lines, *self.piece(stretch, -1)]

    def piece(self, stretch: Stretch, at: int) -> Chunk:
        """A piece with its marks; a third one stands on a line of its own."""
        name, figures = stretch.pieces[at].name, self.figures(stretch, at)
        lines = [PlaceLine(cells=(name, *figures[:FIGURES], *[""] * (FIGURES - len(figures))))]
        if len(figures) > FIGURES:
            lines.append(PlaceLine(cells=("mark 3", *figures[FIGURES:], "", "")))
        return lines

    def pairs(self, singles: Sequence[Stretch]) -> list[Chunk]:
        """Circles, two on a line."""
        cells = [(each.pieces[0].name, *self.figures(each, 0)) for each in singles]
        twos = [cells[k : k + 2] for k in range(0, len(cells), 2)]
        return [[PlaceLine(cells=tuple(cell for part in two for cell in part))] for two in twos]

    def figures(self, stretch: Stretch, at: int) -> tuple[str, ...]:
        """Along and across of every mark."""
        points = [self.datum.measured(point) for point in stretch.marks[at]]
        return tuple(place_text(value, self.style.units, self.style.mark_part) for p in points for value in p)


def rounding_words(style: SheetStyle) -> str:
    """How finely the figures of the list are written."""
    unit = {"in": f"1/{style.mark_part} in", "cm": "0.05 cm"}.get(style.units, "0.5 mm")
    return f"figures to the nearest {unit}"
