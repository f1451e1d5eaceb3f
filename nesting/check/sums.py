"""Whether numbers of pieces are what the layout says, and offcuts free leather."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import Polygon

from hides.hide import Grade, Hide
from nesting.check.areas import ROUNDED
from nesting.check.depth import Measured, overstep, shortfall
from nesting.check.fault import Fault
from nesting.model.layout import BegunProduct, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Product


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
        else:
            yield from _absent(count, own)


def _numbers(count: ProductCount, placements: Sequence[Placement]) -> Iterator[Fault]:
    if not 0 <= count.complete <= count.at_most:
        text = (
            f"{count.complete} complete “{count.name}” are stated, and at most {count.at_most} are said to be possible"
        )
        yield Fault("bound", text)
    last = count.complete + (count.next is not None)
    beyond = sorted({each.number for each in placements if not 0 <= each.number <= last})
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
    if count.next is not None:
        yield from _begun(count, count.next, product, found)


def _begun(
    count: ProductCount, told: BegunProduct, product: Product, found: Counter[tuple[int, str]]
) -> Iterator[Fault]:
    """The product after the last complete one: its pieces and what it lacks are as stated."""
    number, name = count.complete + 1, product.name
    laid = {piece.name: found[number, piece.name] for piece in product.pieces}
    missing = {piece.name: piece.count - laid[piece.name] for piece in product.pieces}
    for piece in product.pieces:
        if missing[piece.name] < 0:
            text = f"“{name}” no. {number} has {laid[piece.name]} of “{piece.name}”, and takes {piece.count}"
            yield Fault("count", text, pieces=(piece.name,))
    if (told.laid, told.of) != (sum(laid.values()), sum(piece.count for piece in product.pieces)):
        text = f"{told.laid} of {told.of} pieces of “{name}” no. {number} are stated, and {sum(laid.values())} of "
        yield Fault("count", f"{text}{sum(piece.count for piece in product.pieces)} are placed")
    if dict(told.missing) != {piece: many for piece, many in missing.items() if many > 0}:
        yield Fault("count", f"what “{name}” no. {number} is said to lack is not what it lacks")


def _absent(count: ProductCount, placements: Sequence[Placement]) -> Iterator[Fault]:
    """Of a product that is not described: a number that no piece carries is not a complete product."""
    carried = {each.number for each in placements if 0 < each.number <= count.complete}
    if len(carried) < count.complete:
        text = f"{count.complete} complete “{count.name}” are stated, and pieces of {len(carried)} are placed"
        yield Fault("count", text)


def misused_offcuts(layout: HideLayout, lie: Sequence[Polygon]) -> Iterator[Fault]:
    """Offcuts that are no free, usable leather, or not as large as is said."""
    hide, rings = layout.hide, [Polygon(ring) for ring in layout.offcuts]
    outline, spoilt = Polygon(hide.outline), list(_useless(hide))
    tree = shapely.STRtree([*lie, *rings])
    for index, ring in enumerate(rings):
        met = overstep(ring, outline)
        if met:
            yield _misused(hide, index, met, "reaches {by} over the outline")
        elif hide.edge > 0 and (met := shortfall(ring.exterior, outline.exterior, hide.edge)):
            yield _misused(hide, index, met, "reaches {by} into the strip kept clear along the edge")
        for other in sorted(int(each) for each in tree.query(ring, predicate="intersects")):
            if other < len(lie) + index:
                met = shortfall(ring, lie[other] if other < len(lie) else rings[other - len(lie)])
                what = "a piece" if other < len(lie) else f"offcut {other - len(lie) + 1}"
                if met:
                    yield _misused(hide, index, met, f"lies {{by}} under {what}")
        for what, area, clearance in spoilt:
            if met := shortfall(ring, area, clearance):
                yield _misused(hide, index, met, f"reaches {{by}} into {what}")
    for index, (ring, stated) in enumerate(zip(rings, layout.offcut_areas, strict=False)):
        if stated is not None and not abs(ring.area - stated) <= ROUNDED:
            text = f"offcut {index + 1} is stated as {stated:.1f} mm², and its outline makes {ring.area:.1f} mm²"
            yield Fault("offcut", text, hide.name)


def _useless(hide: Hide) -> Iterator[tuple[str, Polygon, float]]:
    """What of a hide no offcut may hold: its name, its area, the distance to be kept from it."""
    for hole in hide.holes:
        yield "a hole in the hide", Polygon(hole), 0.0
    for flaw in hide.flaws:
        if flaw.grade is Grade.NONE:
            yield f"a flaw ({flaw.kind}) that cannot be used", Polygon(flaw.outline), flaw.clearance
    for zone in hide.zones:
        if zone.grade is Grade.NONE:
            yield f"the zone “{zone.name}”, which cannot be used", Polygon(zone.outline), 0.0
    if hide.grade is Grade.NONE:
        yield "a hide that cannot be used", Polygon(hide.outline), 0.0


def _misused(hide: Hide, index: int, met: Measured, words: str) -> Fault:
    text = f"offcut {index + 1} {words.replace('{by}', f'{met[0]:.3f} mm')}"
    return Fault("offcut", text, hide.name, (), met[1], met[0])
