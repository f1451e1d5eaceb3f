"""Each sample hide with its pieces, small and without words, side by side at one scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.compare.comparison import ComparedLeather
from nesting.drawing.hide_scene import upright
from nesting.drawing.lettering import shortened, width_of
from nesting.drawing.scene import Area, Box, Item, Line, Scene, Text, box_of, mapped
from nesting.model.layout import HideLayout, Layout
from nesting.model.product import Product
from nesting.result.claims import no_more_than

SIZE = 2.3
TITLE = 4.5
BETWEEN = 4.0
MOST = 12


@dataclass(frozen=True)
class Small:
    """One hide to be shown: its title and its scene in hide coordinates."""

    title: str
    scene: Scene
    box: Box


def small_layouts(entries: Sequence[ComparedLeather], frame: Box) -> list[Item]:
    """The sample hides of the leathers in a grid, as large as they go; at most twelve, some of each leather."""
    smalls = _chosen(entries)
    wide, tall = frame[2] - frame[0], frame[3] - frame[1]
    columns = max(range(1, len(smalls) + 1), key=lambda n: _scale(smalls, n, wide, tall))
    scale = _scale(smalls, columns, wide, tall)
    cell = wide / columns, tall / math.ceil(len(smalls) / columns)
    items: list[Item] = []
    for number, small in enumerate(smalls):
        x = frame[0] + cell[0] * (number % columns)
        top = frame[3] - cell[1] * (number // columns)
        title = shortened(small.title, SIZE, cell[0] - 2)
        items.append(Text("words", (x, top - 2.8), title, SIZE))
        left, _, _, high = small.box
        shift = x - left * scale, top - TITLE - high * scale
        items += mapped(small.scene, scale, shift)
    return items


def piece_key(product: Product, x: float, y: float, width: float) -> list[Item]:
    """Which tint is which piece, in one line as far as it goes."""
    items: list[Item] = []
    start = x
    for number, piece in enumerate(product.pieces):
        step = 8.5 + width_of(piece.name, SIZE)
        if x + step > start + width:
            break
        ring = ((x, y), (x + 3.4, y), (x + 3.4, y + 2.4), (x, y + 2.4))
        items += [Area("part", (ring,), number), Text("words", (x + 4.4, y + 0.3), piece.name, SIZE)]
        x += step
    return items


def _chosen(entries: Sequence[ComparedLeather]) -> list[Small]:
    each = max(1, MOST // len(entries))
    return [_small(entry, layout) for entry in entries for layout in entry.trial.layouts[:each]][:MOST]


def _small(entry: ComparedLeather, layout: Layout) -> Small:
    shown = upright(layout.hides[0])
    count = layout.counts[0]
    title = f"{count.complete} ({no_more_than(count.at_most)}) from {shown.hide.name}, {entry.name}"
    return Small(title, _scene(shown, entry.trial.product), box_of(shown.hide.outline))


def _scene(shown: HideLayout, product: Product) -> Scene:
    order = {piece.name: number for number, piece in enumerate(product.pieces)}
    hide = shown.hide
    items: list[Item] = [Area("small hide", (hide.outline, *hide.holes))]
    items += [Area("small piece", (each.outline,), order[each.piece]) for each in shown.placements]
    items += [Line("small flaw", (*flaw.outline, flaw.outline[0])) for flaw in hide.flaws]
    return tuple(items)


def _scale(smalls: Sequence[Small], columns: int, wide: float, tall: float) -> float:
    rows = math.ceil(len(smalls) / columns)
    room = wide / columns - BETWEEN, tall / rows - TITLE - 2
    widest = max(small.box[2] - small.box[0] for small in smalls)
    tallest = max(small.box[3] - small.box[1] for small in smalls)
    return min(room[0] / widest, max(room[1], 1.0) / tallest)
