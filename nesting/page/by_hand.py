"""Pieces that a person laid on the page: read, carried to where they lie, and judged by the check."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import shapely
from shapely.geometry import Polygon

from hides.hide import Flaw, Grade, Hide
from nesting.check import faults
from nesting.geometry.convex import convex_parts, polygons, ring_of
from nesting.laying.lay_out import carried
from nesting.model.layout import Areas, Growing, HideLayout, Layout, Placement, ProductCount
from nesting.model.product import Product
from nesting.page.errors import Refusal
from nesting.result.answer import bound_text
from nesting.result.areas import GONE
from nesting.search.arrays.arrays import Pose

MOST = 20_000
LARGEST = 1e6
HAIR = 0.02
"""How far (mm) a flaw is kept off a piece that is cut already: more than rounding takes."""
CRUMB = 1.0
"""Parts of a flaw below this area (mm²) are no flaw of their own."""


def placements_in(told: object, product: Product, keep: bool = True, strangers: bool = False) -> tuple[Placement, ...]:
    """The pieces of a request as they lie: piece, number, x, y, angle and mirrored of each, lengths in mm.

    All of them stay where `keep` says so, else those that say it of themselves. Pieces that the product has not are
    refused, or passed over where there may be `strangers`.
    """
    if told is None:
        return ()
    if not isinstance(told, list) or len(told) > MOST:
        raise Refusal(400, "a list of pieces as they lie is expected")
    pieces = {piece.name: piece for piece in product.pieces}
    found = []
    for each in told:
        if strangers and isinstance(each, dict) and isinstance(each.get("piece"), str) and each["piece"] not in pieces:
            continue
        try:
            piece, number = pieces[each["piece"]], int(each.get("number", 0))
            x, y, angle = (float(each[name]) for name in ("x", "y", "angle"))
        except (KeyError, TypeError, ValueError) as error:
            raise Refusal(400, "a piece as it lies has piece, number, x, y, angle and mirrored") from error
        if not all(math.isfinite(value) and abs(value) <= LARGEST for value in (x, y, angle)):
            raise Refusal(400, "a piece lies farther away than there is room")
        mirrored = each.get("mirrored") is True
        x, y, angle = round(x, 6), round(y, 6), round(angle, 9)
        outline = carried(piece.outline, Pose(0, 0, x, y, angle, mirrored))
        found.append(
            Placement(
                piece.name,
                product.name,
                max(number, 0),
                x,
                y,
                angle,
                mirrored,
                outline,
                keep or each.get("keep") is True,
            )
        )
    return tuple(found)


def without_leather(hide: Hide, cut: Sequence[Placement]) -> Hide:
    """The hide once these pieces are cut from it."""
    return replace(hide, flaws=(*hide.flaws, *(Flaw(GONE, each.outline, Grade.NONE) for each in cut)))


def spared(hide: Hide, cut: Sequence[Placement]) -> Hide:
    """The hide with its flaws kept off pieces that are cut already: a slip beside them asks nothing of them any more.

    A flaw that reaches one of them, its clearance counted, becomes the ground it still forbids.
    """
    if not cut:
        return hide
    pieces = shapely.union_all([Polygon(each.outline) for each in cut])
    flaws: list[Flaw] = []
    for flaw in hide.flaws:
        ground = Polygon(flaw.outline).buffer(flaw.clearance)
        if not ground.intersects(pieces):
            flaws.append(flaw)
            continue
        for part in polygons(ground.difference(pieces.buffer(HAIR))):
            rings = convex_parts(part) if part.interiors else [ring_of(part)]
            found = [tuple((float(x), float(y)) for x, y in ring) for ring in rings]
            flaws += [Flaw(flaw.kind, ring, flaw.grade) for ring in found if Polygon(ring).area > CRUMB]
    return replace(hide, flaws=tuple(flaws))


def wrong_with(hide: Hide, product: Product, laid: Sequence[Placement], gap: float) -> list[dict[str, Any]]:
    """What the check finds wrong with pieces as they lie, as data; counts and areas are not its matter here."""
    single = tuple(Placement(p.piece, p.product, 0, p.x, p.y, p.angle, p.mirrored, p.outline) for p in laid)
    one = HideLayout(hide, single, Areas(*(0.0,) * 7))
    layout = Layout((ProductCount(product.name, 0, 0),), (product,), gap, 1, "quick", (one,))
    return [fault.to_data() for fault in faults(layout) if fault.code not in ("areas", "count")]


def growing_data(growing: Growing) -> dict[str, Any]:
    """A layout while it grows, as the page draws it."""
    kept = any(p.keep for p in growing.placements)
    return {
        "products": [
            {"name": c.name, "complete": c.complete, "at_most": c.at_most, "claim": bound_text(c, kept)}
            for c in growing.counts
        ],
        "placements": [
            {
                "piece": p.piece,
                "product": p.product,
                "number": p.number,
                "angle": p.angle,
                "mirrored": p.mirrored,
                "outline": [[round(x, 2), round(y, 2)] for x, y in p.outline],
            }
            for p in growing.placements
        ],
    }
