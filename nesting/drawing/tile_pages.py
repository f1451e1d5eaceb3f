"""Tiles as pages, and the first page of a full-size print: test square, how to print, assembly plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from nesting.drawing.lettering import shortened, width_of
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.scene import Area, Box, Item, Line, Page, Scene, Text, mapped
from nesting.drawing.table import paragraph
from nesting.drawing.tiling import Tiling
from nesting.result.wording import count_text

STRIP = 7.0
"""Height of the strip at the top of a page that names it, mm."""


def shown_size(paper: Paper) -> tuple[float, float]:
    """What a page shows of the drawing at full size."""
    return paper.inner[0], paper.inner[1] - STRIP


def tile_pages(tiling: Tiling, paper: Paper, title: str, named: Callable[[Box], str] = lambda box: "") -> list[Page]:
    """A page for every tile with a piece on it; `named` gives the names of the pieces in a box of the drawing."""
    crosses = tiling.crosses()
    pages = []
    for tile in tiling.filled:
        shift = MARGIN - tile.box[0], MARGIN - tile.box[1]
        window = (MARGIN, MARGIN, MARGIN + shown_size(paper)[0], MARGIN + shown_size(paper)[1])
        seen = list(mapped(tile.items, 1.0, shift))
        for x, y in crosses:
            seen += _cross(x + shift[0], y + shift[1])
        place = f"row {tile.row} of {tiling.rows}, column {tile.column} of {tiling.columns}"
        names = named(tile.box)
        pages.append(full_size_page(paper, tuple(seen), window, f"{title}: {names}" if names else title, place))
    return pages


def full_size_page(paper: Paper, seen: Scene, window: Box, title: str, place: str) -> Page:
    """A page that shows part of a drawing at full size under a strip with its name and place."""
    y = window[3] + 2.2
    right = f"{place} · print at 100 %"
    room = paper.inner[0] - 6 - width_of(right, 3.0, bold=True)
    size = 3.0 if width_of(title, 3.0) <= room else 2.2
    items: list[Item] = [
        Text("words", (MARGIN, y), shortened(title, size, room), size),
        Text("words", (paper.width - MARGIN, y), right, 3.0, "right", bold=True),
    ]
    left, low, far, high = window
    items.append(Line("frame", ((left, low), (far, low), (far, high), (left, high), (left, low))))
    return Page(paper.width, paper.height, tuple(items), seen, window, hollow=True)


def first_page(paper: Paper, title: str, notes: Sequence[str], units: str, plan: Page | None = None) -> Page:
    """The test square with the way to print, and a plan of the pages below."""
    top = paper.height - MARGIN
    side, name = (101.6, "4 in") if units == "in" else (100.0, "100 mm")
    heading = shortened(title, 4.6, paper.inner[0], bold=True)
    items: list[Item] = [Text("words", (MARGIN, top - 5), heading, 4.6, bold=True)]
    x, y = MARGIN, top - 10 - side
    items.append(Line("strong rule", ((x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y))))
    middle = x + side / 2, y + side / 2
    items.append(Text("words", (middle[0], middle[1] + 2), f"Test square: {name} each way", 3.4, "middle", bold=True))
    items.append(Text("words", (middle[0], middle[1] - 4), "Measure both ways before cutting.", 3.0, "middle"))
    low, at = top - 10, x + side + 6
    for note in notes:
        part, low = paragraph(note, at, low, paper.width - MARGIN - at, 3.0)
        items += part
        low -= 2
    return replace(plan, items=(*items, *plan.items)) if plan else Page(paper.width, paper.height, tuple(items))


def assembly_plan(tiling: Tiling, outlines: Scene, paper: Paper, square: float) -> Page:
    """A page with the drawing small and every page's place on it; pages that are not printed are crossed out."""
    boxes = [tile.box for tile in tiling.tiles]
    left, low = min(b[0] for b in boxes), min(b[1] for b in boxes)
    wide, tall = max(b[2] for b in boxes) - left, max(b[3] for b in boxes) - low
    room = paper.inner[0], paper.inner[1] - square - 22
    scale = min(room[0] / wide, room[1] / tall)
    shift = MARGIN + (room[0] - wide * scale) / 2 - left * scale, MARGIN + (room[1] - tall * scale) / 2 - low * scale
    cells: list[Item] = []
    for tile in tiling.tiles:
        x0, y0, x1, y1 = (v - tiling.overlap / 2 * s for v, s in zip(tile.box, (-1, -1, 1, 1), strict=True))
        cells.append(Area("cell", (((x0, y0), (x1, y0), (x1, y1), (x0, y1)),)))
        if not tile.shows_piece:
            cells += [Line("frame", ((x0, y0), (x1, y1))), Line("frame", ((x0, y1), (x1, y0)))]
        else:
            size = min((x1 - x0) / 5, (y1 - y0) / 3, 4 / scale)
            at = (x0 + x1) / 2, (y0 + y1) / 2 - size / 3
            cells.append(Text("datum name", at, tile.name, size, "middle", bold=True))
    heading = Text("words", (MARGIN, MARGIN + room[1] + 2), "Assembly plan (row.column)", 3.2, bold=True)
    whole = (0.0, 0.0, paper.width, paper.height)
    items = (*mapped(cells, scale, shift), heading)
    return Page(paper.width, paper.height, items, mapped(outlines, scale, shift), whole, hollow=True)


def printing_notes(tiling: Tiling, units: str) -> list[str]:
    """How to print and join the pages, and how many there are."""
    overlap = f"{tiling.overlap / 25.4:.2f} in" if units == "in" else f"{tiling.overlap:g} mm"
    printed, skipped = len(tiling.filled), len(tiling.tiles) - len(tiling.filled)
    them = "it" if skipped == 1 else "them"
    empty = f"; {count_text(skipped, 'page')} without a piece on {them} left out" if skipped else ""
    return [
        "Print at 100 % (“actual size”, no fitting to the page).",
        f"{count_text(printed, 'page')} of {tiling.rows} rows × {tiling.columns} columns{empty}.",
        f"Neighbours overlap by {overlap}: lay one over the other so that the crosses meet, then tape. A strip cut off "
        "along a row of crosses helps.",
        "Check a long distance over the joined pages with a tape before you cut.",
    ]


def _cross(x: float, y: float) -> list[Item]:
    return [Line("cross", ((x - 4, y), (x + 4, y))), Line("cross", ((x, y - 4), (x, y + 4)))]
