"""Pieces that are to stay where they lie, and leather that is cut already: taken from layouts that were made before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.hide import Flaw, Grade, Hide
from nesting.check import faults
from nesting.geometry.convex import polygons
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Product
from nesting.model.settings import Settings
from nesting.result.areas import GONE

SAME_AREA = 1.0
"""A layout is of the hide if their outlines differ by at most this, mm²."""


def lain_on(layout: Layout, hide: Hide, where: str = "") -> tuple[Placement, ...]:
    """The pieces of a layout on a hide, with `keep` on those that are to stay: those marked, or all where none is."""
    laid = _on(layout, hide, where).placements
    unmarked = not any(each.keep for each in laid)
    return tuple(replace(each, keep=each.keep or unmarked) for each in laid)


def without_cut(hide: Hide, layout: Layout, where: str = "") -> Hide:
    """The hide once the pieces of a layout are cut from it: where they lay is a flaw of grade `none`."""
    laid = _on(layout, hide, where).placements
    gone = [Flaw(GONE, each.outline, Grade.NONE) for each in laid]
    if not all(Polygon(flaw.outline).is_valid for flaw in gone):
        raise InputError("an outline in it crosses itself", where=where, remedy="look it over with `hideplan check`")
    return replace(hide, flaws=(*hide.flaws, *gone))


def as_flaws(hide: Hide, kept: Sequence[Placement], gap: float) -> Hide:
    """The hide as the search may use it: nothing on pieces that stay, nor nearer to them than the gap.

    Pieces that touch are one flaw, so that bounds see no chink between them; not where they enclose leather.
    """
    lain = [Polygon(each.outline) for each in kept]
    joined = polygons(shapely.union_all(lain))
    plain = [shape for shape in joined if not shape.interiors]
    rings = [shape for shape in joined if shape.interiors]
    single = [shape for shape in lain if any(ring.intersects(shape) for ring in rings)]
    lie = tuple(Flaw("kept", tuple(shape.exterior.coords[:-1]), Grade.NONE, gap) for shape in (*plain, *single))
    return replace(hide, flaws=(*hide.flaws, *lie))


def refuse_faulty(hide: Hide, products: Sequence[Product], kept: Sequence[Placement], settings: Settings) -> None:
    """InputError names the first thing that is wrong with pieces that are to stay."""
    known = {(product.name, piece.name) for product in products for piece in product.pieces}
    for each in kept:
        if (each.product, each.piece) not in known:
            made = ", ".join(product.name for product in products)
            raise InputError(
                f"“{each.piece}” of “{each.product}” is to stay, and only {made} is laid out",
                where="--keep",
                remedy="keep pieces of this product only; say with --gone that others are cut",
            )
    areas = Areas(*(0.0,) * 7)
    free = tuple(replace(each, number=0) for each in kept)
    counts = tuple(ProductCount(product.name, 0, 0) for product in products)
    one = HideLayout(hide, free, areas)
    layout = Layout(counts, tuple(products), settings.gap, settings.seed, settings.effort, (one,))
    wrong = [fault for fault in faults(layout) if fault.code not in ("areas", "count")]
    if wrong:
        remedy = "move it, or do not keep it; of a flaw found after cutting say with --gone what is cut"
        raise InputError(f"pieces cannot stay as they lie: {wrong[0]}", where="--keep", remedy=remedy)


def _on(layout: Layout, hide: Hide, where: str) -> HideLayout:
    """The part of a layout that lies on the hide."""
    named = [each for each in layout.hides if each.hide.name == hide.name]
    found = named or list(layout.hides)
    if len(found) == 1 and _is_same(found[0].hide, hide):
        return found[0]
    raise InputError(
        f"the layout is not one of the hide “{hide.name}”: their outlines differ",
        where=where,
        remedy="give a layout made for this hide",
    )


def _is_same(one: Hide, other: Hide) -> bool:
    return float(Polygon(one.outline).symmetric_difference(Polygon(other.outline)).area) <= SAME_AREA
