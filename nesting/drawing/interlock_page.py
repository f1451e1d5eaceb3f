"""How pieces interlock, as a picture: a field of each, and the parallelogram that holds what lies between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely import affinity
from shapely.geometry import Polygon, box

from hides.hide import Point
from nesting.drawing.lettering import shortened
from nesting.drawing.scene import Area, Item, Line, Page, Text, mapped
from nesting.lattice.interlock import Interlock
from nesting.lattice.lattice import Lattice, Shift, turned

WIDE, HIGH = 90.0, 62.0
"""One piece's field on the page, mm."""

GUTTER, WORDS = 6.0, 11.0
ACROSS = 2
TURNED = 1


def interlock_page(name: str, found: Sequence[Interlock]) -> Page:
    """A page with one field a piece, two side by side."""
    down = math.ceil(len(found) / ACROSS)
    across = min(len(found), ACROSS)
    width = across * WIDE + (across + 1) * GUTTER
    height = down * (HIGH + WORDS + GUTTER) + GUTTER + 10.0
    items: list[Item] = [Area("blank", (((0, 0), (width, 0), (width, height), (0, height)),))]
    items.append(Text("words", (GUTTER, height - GUTTER - 4.0), shortened(f"Interlock: {name}", 4.5, width), 4.5))
    for number, each in enumerate(found):
        x = GUTTER + (number % ACROSS) * (WIDE + GUTTER)
        y = height - 10.0 - GUTTER - (number // ACROSS + 1) * (HIGH + WORDS + GUTTER) + WORDS + GUTTER
        items += _panel(each, x, y)
    return Page(width, height, tuple(items))


def _panel(each: Interlock, x: float, y: float) -> Iterator[Item]:
    pieces, cell = _field(each)
    yield from _told(each, x, y)
    yield from mapped(pieces, 1.0, (x, y))
    yield from mapped(cell, 1.0, (x, y))
    yield Line("frame", ((x, y), (x + WIDE, y), (x + WIDE, y + HIGH), (x, y + HIGH), (x, y)))


def _told(each: Interlock, x: float, y: float) -> Iterator[Item]:
    title = shortened(each.piece.name, 3.2, WIDE, True)
    lies = "head to tail" if each.lattice.partner is not None else "facing one way"
    words = f"{100 * each.density:.1f} % becomes pieces, {100 * each.waste:.1f} % lies between them, {lies}"
    yield Text("words", (x, y - 4.2), title, 3.2, bold=True)
    yield Text("quiet words", (x, y - 8.4), shortened(words, 2.8, WIDE), 2.8)


def _field(each: Interlock) -> tuple[list[Item], list[Item]]:
    """Pieces that fill the field, cut off at its border, and the parallelogram in its midst; millimetres on paper."""
    lattice, outline = each.lattice, each.piece.polygon
    size = max(outline.bounds[2] - outline.bounds[0], outline.bounds[3] - outline.bounds[1])
    ring = _cell(lattice, outline)
    wide, high = (max(p[k] for p in ring) - min(p[k] for p in ring) for k in (0, 1))
    scale = min(WIDE / (3.4 * size), HIGH / (2.2 * size), WIDE / (1.2 * wide), HIGH / (1.2 * high))
    x, y = (sum(p[k] for p in ring) / 4 for k in (0, 1))
    reach_x, reach_y = WIDE / 2 / scale, HIGH / 2 / scale
    window = box(x - reach_x, y - reach_y, x + reach_x, y + reach_y)
    pieces = [item for shift in _shifts(lattice, window, size) for item in _members(each, shift, window)]
    middle = (WIDE / 2 - scale * x, HIGH / 2 - scale * y)
    return list(mapped(pieces, scale, middle)), list(mapped([Line("backbone", (*ring, ring[0]))], scale, middle))


def _shifts(lattice: Lattice, window: Polygon, size: float) -> Iterator[Shift]:
    (ux, uy), (vx, vy) = lattice.u, lattice.v
    reach = (
        max(map(math.dist, [(0, 0)] * 4, window.exterior.coords))
        + 3 * size
        + math.hypot(*(lattice.partner or (0.0, 0.0)))
    )
    many = [math.ceil(reach * math.hypot(*side) / lattice.cell) for side in (lattice.v, lattice.u)]
    for i in range(-many[0], many[0] + 1):
        for j in range(-many[1], many[1] + 1):
            yield i * ux + j * vx, i * uy + j * vy


def _members(each: Interlock, shift: Shift, window: Polygon) -> Iterator[Item]:
    lattice, outline = each.lattice, each.piece.polygon
    members = [(outline, shift, 0)]
    if lattice.partner is not None:
        moved = shift[0] + lattice.partner[0], shift[1] + lattice.partner[1]
        members.append((turned(outline), moved, TURNED))
    for shape, (dx, dy), shade in members:
        seen = affinity.translate(shape, dx, dy).intersection(window)
        for part in getattr(seen, "geoms", [seen]):
            if isinstance(part, Polygon) and not part.is_empty:
                yield Area("piece", (tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1]),), shade)


def _cell(lattice: Lattice, outline: Polygon) -> tuple[Point, ...]:
    """The parallelogram between like points of four pieces that face one way, round the middle."""
    x, y = outline.centroid.x, outline.centroid.y
    (ux, uy), (vx, vy) = lattice.u, lattice.v
    return (x, y), (x + ux, y + uy), (x + ux + vx, y + uy + vy), (x + vx, y + vy)
