"""A product only begun: told, left out, or taken with the rest."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from nesting.model.layout import HideLayout, Layout, Placement, ProductCount
from nesting.result.areas import account
from nesting.result.wording import count_text


def is_begun(layout: Layout, placement: Placement) -> bool:
    """Whether a piece is one of a product that is not complete."""
    return any(c.next and c.name == placement.product and placement.number == c.complete + 1 for c in layout.counts)


def begun_pieces(layout: Layout, on: HideLayout) -> tuple[Placement, ...]:
    """The pieces of products only begun on one hide."""
    return tuple(each for each in on.placements if is_begun(layout, each))


def without_begun(layout: Layout) -> Layout:
    """The layout as it is cut where nobody asks for products only begun; offcuts and areas are told so already."""
    counts = tuple(replace(count, next=None) for count in layout.counts)
    hides = tuple(
        replace(on, placements=tuple(p for p in on.placements if not is_begun(layout, p))) for on in layout.hides
    )
    return replace(layout, counts=counts, hides=hides)


def with_begun_cut(layout: Layout) -> Layout:
    """The layout as it is cut with products only begun: their pieces are single ones, areas and offcuts made anew."""
    counts = tuple(replace(count, next=None) for count in layout.counts)
    return replace(layout, counts=counts, hides=tuple(_cut(layout, on) for on in layout.hides))


def _cut(layout: Layout, on: HideLayout) -> HideLayout:
    if not begun_pieces(layout, on):
        return on
    laid = tuple(replace(p, number=0) if is_begun(layout, p) else p for p in on.placements)
    areas, offcuts = account(on.hide, [p.outline for p in laid], layout.gap)
    return replace(on, placements=laid, areas=areas, offcuts=offcuts)


def begun_words(count: ProductCount) -> str:
    """What of one more product is laid, as a sentence without its reasons; nothing where none of it is.

    >>> from nesting.model.layout import BegunProduct
    >>> begun_words(ProductCount("strap set", 2, 4, BegunProduct(17, 20, (("strap", 3),))))
    'Of one more strap set 17 of 20 pieces are laid; it lacks 3 strap.'
    """
    if count.next is None or not count.next.laid:
        return ""
    lacking = ", ".join(f"{many} {name}" for name, many in count.next.missing)
    laid = f"{count.next.laid} of {count_text(count.next.of, 'piece')}"
    return f"Of one more {count.name} {laid} are laid; it lacks {lacking}."


def next_data(count: ProductCount) -> dict[str, Any]:
    """What of one more product is laid, as JSON holds it; nothing where it may not be made."""
    more = count.next
    return {"next": {"laid": more.laid, "of": more.of, "missing": dict(more.missing)}} if more else {}
