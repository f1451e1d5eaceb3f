"""Whether numbers of pieces and areas are what the layout says."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import Polygon

from nesting.check.depth import overstep, shortfall
from nesting.check.fault import Fault
from nesting.model.layout import HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Product

ROUNDED = 1.0
"""Square millimetres by which an area may be off; sums of rounded numbers are."""


def miscounted(layout: Layout) -> Iterator[Fault]:
    """Products that are not whole, numbers beyond them, and more of them than the bound."""
    placements = [each for hide in layout.hides for each in hide.placements]
    described = {product.name: product for product in layout.products}
    stated = {count.name for count in layout.counts}
    for name in sorted({each.product for each in placements} - stated):
        yield Fault("unknown piece", f"pieces of “{name}” are placed, and the layout does not count that product")
    for count in layout.counts:
        own = [each for each in placements if each.product == count.name]
        yield from _numbers(count, own)
        if count.name in described:
            yield from _incomplete(count, described[count.name], own)


def _numbers(count: ProductCount, placements: Sequence[Placement]) -> Iterator[Fault]:
    if not 0 <= count.complete <= count.at_most:
        text = (
            f"{count.complete} complete “{count.name}” are stated, and at most {count.at_most} are said to be possible"
        )
        yield Fault("bound", text)
    beyond = sorted({each.number for each in placements if not 0 <= each.number <= count.complete})
    if beyond:
        text = f"pieces carry the number {beyond[0]} of “{count.name}”, and {count.complete} complete are stated"
        yield Fault("count", text)


def _incomplete(count: ProductCount, product: Product, placements: Sequence[Placement]) -> Iterator[Fault]:
    found = Counter((each.number, each.piece) for each in placements)
    known = {piece.name for piece in product.pieces}
    for name in sorted({each.piece for each in placements} - known):
        yield Fault("unknown piece", f"“{name}” is placed, and “{product.name}” has no piece of that name")
    for number in range(1, min(count.complete, len(placements) + 1) + 1):
        for piece in product.pieces:
            got = found[number, piece.name]
            if got != piece.count:
                text = f"“{product.name}” no. {number} has {got} of “{piece.name}”, and takes {piece.count}"
                yield Fault("count", text, pieces=(piece.name,))


def misreckoned(layout: HideLayout, lie: Sequence[Polygon]) -> Iterator[Fault]:
    """Areas of one hide that do not add up or do not agree with the outlines."""
    areas, hide = layout.areas, layout.hide
    values = vars(areas)
    for name, value in values.items():
        if not math.isfinite(value) or value < -ROUNDED:
            yield Fault("areas", f"areas.{name} is {value:g} mm²", hide.name)
            return
    total = areas.pieces + areas.edge + areas.flaws + areas.offcuts + areas.scrap
    if abs(total - areas.hide) > ROUNDED:
        text = f"pieces, edge, flaws, offcuts and scrap make {total:.1f} mm², and the hide is {areas.hide:.1f} mm²"
        yield Fault("areas", text, hide.name)
    if areas.usable > areas.hide + ROUNDED:
        yield Fault("areas", f"{areas.usable:.1f} mm² usable are more than the hide's {areas.hide:.1f} mm²", hide.name)
    yield from _against_outlines(layout, lie)


def _against_outlines(layout: HideLayout, lie: Sequence[Polygon]) -> Iterator[Fault]:
    """A hide's area may be stated with or without its holes, the pieces' with or without their overlaps of a hair."""
    hide, areas = layout.hide, layout.areas
    spans = {
        "hide": (hide.measured_area, Polygon(hide.outline).area, areas.hide),
        "pieces": (shapely.union_all(lie).area, sum(each.area for each in lie), areas.pieces),
    }
    kept = sum(Polygon(ring).area for ring in layout.offcuts)
    spans["offcuts"] = (0.0 if layout.offcuts else kept, kept, areas.offcuts)
    for name, (low, high, stated) in spans.items():
        if not low - ROUNDED <= stated <= high + ROUNDED:
            text = f"areas.{name} is stated as {stated:.1f} mm², and the outlines make {high:.1f} mm²"
            yield Fault("areas", text, hide.name)


def misused_offcuts(layout: HideLayout, lie: Sequence[Polygon]) -> Iterator[Fault]:
    """Offcuts that are no free leather."""
    hide, rings = layout.hide, [Polygon(ring) for ring in layout.offcuts]
    outline = Polygon(hide.outline)
    tree = shapely.STRtree([*lie, *rings])
    for index, ring in enumerate(rings):
        met = overstep(ring, outline)
        if met:
            yield Fault(
                "offcut", f"offcut {index + 1} reaches {met[0]:.3f} mm over the outline", hide.name, (), met[1], met[0]
            )
        for other in sorted(int(each) for each in tree.query(ring, predicate="intersects")):
            if other < len(lie) + index:
                met = shortfall(ring, lie[other] if other < len(lie) else rings[other - len(lie)])
                what = "a piece" if other < len(lie) else f"offcut {other - len(lie) + 1}"
                if met:
                    text = f"offcut {index + 1} lies {met[0]:.3f} mm under {what}"
                    yield Fault("offcut", text, hide.name, (), met[1], met[0])
