"""All rules over a whole layout."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import Polygon

from hides.hide import Ring
from nesting.check.areas import misreckoned
from nesting.check.carried import misplaced
from nesting.check.fault import Fault, title
from nesting.check.leather import CheckedLeather
from nesting.check.neighbours import crowded
from nesting.check.places import apart, misplaced_by_wish, unknown_regions
from nesting.check.straight import wrongly_cut
from nesting.check.sums import miscounted, misused_offcuts
from nesting.check.turned import Directions
from nesting.model.layout import HideLayout, Layout, Placement
from nesting.model.product import Piece

Pieces = dict[tuple[str, str], Piece]
"""Descriptions of pieces by the names of product and piece."""


def faults(layout: Layout) -> list[Fault]:
    """Everything that is wrong with a layout; an empty list means that it is right.

    A layout is right when every piece lies inside the outline, at least the edge from it, on leather of its grade
    (covered parts on theirs) and thickness, at least each flaw's clearance from flaws it may not cover; no two
    pieces are nearer than the gap; every angle is allowed; each stated outline is the piece carried there; counts
    and areas are as stated; areas and offcuts leave out the pieces of a product only begun. Nothing may be off by
    more than 0.01 mm (areas: 1 mm²).

    >>> from dataclasses import replace
    >>> from hides import Hide
    >>> from nesting import Piece, Product, Settings, Want, best_layout
    >>> board = Hide("board", ((0, 0), (300, 0), (300, 200), (0, 200)))
    >>> coaster = Product("coaster", (Piece("square", ((0, 0), (100, 0), (100, 100), (0, 100))),))
    >>> layout = best_layout(board, [Want(coaster, limit=6)], Settings(effort="quick"))
    >>> faults(layout)
    []
    >>> [fault.code for fault in faults(replace(layout, counts=(replace(layout.counts[0], complete=5),)))]
    ['count']
    """
    pieces = {(product.name, piece.name): piece for product in layout.products for piece in product.pieces}
    found = list(miscounted(layout))
    for hide in layout.hides:
        found += _on_hide(hide, layout, pieces)
    return found


def unchecked(layout: Layout) -> list[str]:
    """What could not be checked because the layout does not describe it, in plain sentences."""
    pieces = {(product.name, piece.name) for product in layout.products for piece in product.pieces}
    placed = {(each.product, each.piece) for hide in layout.hides for each in hide.placements}
    named = {name for name, _ in placed - pieces} | {each.name for each in layout.counts} - {name for name, _ in pieces}
    rules = "counts, shapes, grades (only flaws of grade none), thickness and angles"
    found = [f"the pieces of “{name}” are not described, so their {rules} were not checked" for name in sorted(named)]
    described = {(product.name, piece.name): piece for product in layout.products for piece in product.pieces}
    return found + [text for each in layout.hides for text in unknown_regions(each.hide, described, each.placements)]


def _on_hide(layout: HideLayout, whole: Layout, pieces: Pieces) -> Iterator[Fault]:
    hide, gap = layout.hide, whole.gap
    broken = [ring for ring in (hide.outline, *layout.offcuts) if not _sound(ring)]
    if broken:
        yield Fault("ring", "the outline or an offcut crosses itself or encloses nothing", hide.name)
        return
    sound, places = [], []
    for place, placement in enumerate(layout.placements):
        if _sound(placement.outline) and _finite(placement):
            sound.append(placement)
            places.append(place)
        else:
            name = title(placement)
            yield Fault("ring", f"{name} crosses itself, encloses nothing or is not finite", hide.name, (name,))
    lie = [Polygon(each.outline) for each in sound]
    leather, directions = CheckedLeather(hide), Directions(hide)
    for placement, area in zip(sound, lie, strict=True):
        piece = pieces.get((placement.product, placement.piece))
        yield from leather.faults(placement, area, piece)
        if piece is not None:
            yield from directions.faults(placement, area, piece)
            yield from misplaced_by_wish(hide, placement, area, piece)
            yield from _unlike(hide.name, placement, piece)
    plan = layout.straight
    cut = {n for n, place in enumerate(places) if place in plan.pieces} if plan else set()
    yield from crowded(hide.name, sound, lie, gap, cut, plan.kerf if plan else 0.0)
    yield from wrongly_cut(layout)
    yield from apart(layout, pieces)
    begun = {(count.name, count.complete + 1) for count in whole.counts if count.next is not None}
    taken = [n for n, each in enumerate(sound) if (each.product, each.number) not in begun]
    lie, sound = [lie[n] for n in taken], [sound[n] for n in taken]
    yield from misreckoned(layout, lie, [pieces.get((each.product, each.piece)) for each in sound])
    yield from misused_offcuts(layout, lie)


def _unlike(hide: str, placement: Placement, piece: Piece) -> Iterator[Fault]:
    met = misplaced(piece.outline, placement)
    if met:
        text = f"{title(placement)} is drawn {met[0]:.3f} mm off its own outline carried there"
        yield Fault("shape", text, hide, (title(placement),), met[1], met[0])


def _sound(ring: Ring) -> bool:
    if len(ring) < 3 or not all(math.isfinite(value) for point in ring for value in point):
        return False
    polygon = Polygon(ring)
    return bool(polygon.is_valid and polygon.area > 0)


def _finite(placement: Placement) -> bool:
    return all(math.isfinite(value) for value in (placement.x, placement.y, placement.angle))
