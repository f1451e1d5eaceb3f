"""Layouts laid by hand, for tests of what is drawn and said about a layout."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

from shapely import affinity
from shapely.geometry import Polygon
from shapely.prepared import prep

from hides.hide import Flaw, Grade, Hide, Price, Ring, Zone
from nesting.check import faults
from nesting.model.layout import HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Along, Piece, Product, PunchHole
from nesting.result.areas import account, inside_edge, unusable

SIDE = (
    (0, 60), (120, 20), (300, 8), (500, 0), (700, 4), (900, 0), (1100, 6), (1300, 0), (1500, 10), (1640, 22),
    (1760, 60),
    (1840, 140), (1870, 240), (1850, 330), (1790, 390), (1810, 480), (1880, 560), (1900, 640), (1850, 700), (1760, 690),
    (1660, 640), (1560, 650), (1460, 700), (1360, 760), (1240, 800), (1100, 830), (960, 840), (820, 850), (700, 860),
    (600, 880), (500, 930), (420, 1000), (330, 1040), (260, 1010), (250, 930), (270, 840), (240, 740), (160, 640),
    (90, 540), (40, 420), (10, 300), (-10, 180),
)  # fmt: skip
"""A side as a maker would trace it: backbone below, tail to the left, shanks above."""


def assert_layout_valid(layout: Layout) -> None:
    """Fails with every fault named, if the layout has any."""
    found = faults(layout)
    told = "\n".join(f"  {fault}" for fault in found[:20])
    assert not found, f"the layout has {len(found)} faults:\n{told}"


def side(**changes: object) -> Hide:
    hide = Hide(
        name="S-07",
        outline=SIDE,
        cut="side",
        backbone=((20, 30), (1780, 30)),
        edge=10,
        area=1_486_448.64,
        price=Price(9.5 / 92903.04, "USD", 9.5, "sq ft"),
        flaws=(
            Flaw("hole", oval(620, 330, 14, 10), Grade.NONE, 5),
            Flaw("brand", oval(980, 610, 60, 40), Grade.C, 0),
            Flaw("scar", ((1180, 300), (1320, 350), (1316, 362), (1176, 314)), Grade.C),
            Flaw("warble", oval(400, 420, 6, 6), Grade.NONE, 4),
            Flaw("warble", oval(430, 470, 6, 6), Grade.NONE, 4),
            Flaw("flay cut", ((1500, 420), (1580, 400), (1583, 408), (1504, 430)), Grade.NONE, 3),
        ),
        zones=(Zone("belly", ((0, 690), (1900, 690), (1900, 1100), (0, 1100)), Grade.C),),
    )
    return replace(hide, **changes)  # type: ignore[arg-type]


def oval(x: float, y: float, a: float, b: float, points: int = 16) -> Ring:
    turns = [2 * math.pi * k / points for k in range(points)]
    return tuple((x + a * math.cos(t), y + b * math.sin(t)) for t in turns)


def rectangle(width: float, length: float) -> Ring:
    return ((0, 0), (width, 0), (width, length), (0, length))


PANEL = Piece(
    "panel", rectangle(140, 300), 2, along=Along.BACKBONE, tolerance=10,
    holes=tuple(PunchHole((x, y), 5) for x in (26, 114) for y in (38, 262)), cutouts=(oval(70, 150, 20, 35),),
)  # fmt: skip
STRAP = Piece("strap", rectangle(32, 560), 2, along=Along.BACKBONE, tolerance=5, holes=(PunchHole((16, 18), 5),))
TIE = Piece("tie", rectangle(12, 130), 2, Grade.B)
SPACER = Piece("spacer", oval(0, 0, 14, 14, 32), 4, Grade.C)
RACK = Product("Map rack", (PANEL, STRAP, TIE, SPACER))


@cache
def laid_by_hand(hide: Hide | None = None, product: Product = RACK, complete: int = 3, gap: float = 0.0) -> Layout:
    """A layout found by trying a grid of places, largest pieces first: plain, but right."""
    hide = side() if hide is None else hide
    free = inside_edge(hide).difference(unusable(hide))
    placements = []
    for piece in sorted(product.pieces, key=lambda each: -each.area):
        spots = [n for n in range(1, complete + 1) for _ in range(piece.count)] + [0] * (2 if piece.spare else 0)
        for number in spots:
            found = _first_place(piece, free, hide)
            if found is None:
                if number:
                    raise AssertionError(f"no place by hand for {piece.name} {number}")
                continue
            placements.append(replace(found, product=product.name, number=number))
            free = free.difference(Polygon(found.outline).buffer(gap if gap else 0.005))
    areas, offcuts = account(hide, [p.outline for p in placements], gap)
    count = ProductCount(product.name, complete, complete + 1)
    return Layout((count,), (product,), gap, 1, "normal", (HideLayout(hide, tuple(placements), areas, offcuts),))


def _first_place(piece: Piece, free: object, hide: Hide) -> Placement | None:
    angle = (hide.direction or 0) - 90
    shape = affinity.rotate(Polygon(piece.outline), angle, origin=(0, 0))
    left, low, right, high = Polygon(hide.outline).bounds
    bad = [Polygon(flaw.outline) for flaw in hide.flaws if flaw.grade > piece.grade]
    bad += [Polygon(zone.outline) for zone in hide.zones if zone.grade > piece.grade]
    open_ground = free
    for each in bad:
        open_ground = open_ground.difference(each)  # type: ignore[attr-defined]
    test = prep(open_ground)
    x0, y0, _, _ = shape.bounds
    for k in range(int((right - left) / 7)):
        for j in range(int((high - low) / 7)):
            dx, dy = left + 7 * k - x0, low + 7 * j - y0
            if test.contains_properly(affinity.translate(shape, dx, dy)):
                ring = tuple(affinity.translate(shape, dx, dy).exterior.coords[:-1])
                return Placement(piece.name, "", 0, dx, dy, angle, False, ring)
    return None
