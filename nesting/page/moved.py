"""A layout whose pieces a person has moved becomes an answer of its own: sheets, table and projector show that."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from hides.errors import LayoutFault
from nesting.check import faults
from nesting.model.layout import HideLayout, Layout, Placement
from nesting.model.product import Product
from nesting.page.by_hand import placements_in
from nesting.page.cutting import keep_ticks, ticks
from nesting.page.errors import Refusal
from nesting.page.folder import IDENTITY, Folder, new_identity
from nesting.page.planning import YieldRequest, keep_answer, kept_answer, layout_path, shown_answer
from nesting.result.answer import answer_data
from nesting.result.areas import account
from nesting.result.layout_file import read_layout, write_layout
from nesting.result.matched import has_wishes, matched


def keep_moved(folder: Folder, identity: str, told: object) -> dict[str, Any]:
    """Keep a run's layout with its pieces as they are told to lie, under a name of its own; what the page shows of it.

    `told` has every piece of the layout, in its order, as `placements_in` reads them, each with `keep` where it stays.
    Raises Refusal where pieces are lacking or are others, and LayoutFault where the check refuses the layout.
    """
    path, before = layout_path(folder, identity), kept_answer(folder, identity)
    if before is None or not path.is_file():
        raise Refusal(404, "this layout is not in the folder any more")
    layout = read_layout(path)
    made = moved(layout, placements_in(told, layout.products[0], keep=False))
    wrong = faults(made)
    if wrong:
        raise LayoutFault(f"the layout fails its check: {wrong[0].text}")
    name = new_identity()
    write_layout(layout_path(folder, name), made)
    answer = {**answer_data(made), "limits": before["answer"].get("limits", [])}
    shown = shown_answer(name, made, answer)
    keep_answer(folder, name, shown)
    keep_ticks(folder, name, ticks(folder, identity))
    return shown


def former(folder: Folder, told: object, order: YieldRequest) -> Layout | None:
    """The layout that lies on the hide as the rest of it is to be filled, where it is right for the order; else None.

    `told` names its `run` and has all its pieces as they lie (`laid`), those that stay with `keep`.
    """
    if not isinstance(told, dict) or not IDENTITY.fullmatch(str(told.get("run", ""))):
        return None
    path = layout_path(folder, str(told["run"]))
    if not path.is_file():
        return None
    layout, settings = read_layout(path), order.settings
    alike = [_told(product) for product in layout.products] == [_told(order.product)]
    if not alike or layout.gap != settings.gap or settings.straight is not None:
        return None
    hide = order.hide if settings.edge is None else order.hide.with_edge(settings.edge)
    on = replace(layout, products=(order.product,), hides=(replace(layout.hides[0], hide=hide),))
    made = moved(on, placements_in(told.get("laid"), order.product, keep=False))
    return None if faults(made) else made


def the_fuller(found: Layout, before: Layout | None) -> Layout:
    """What was found, or the layout that lay there before where it holds more; the bound is that of what was found."""
    if before is None or before.counts[0].complete <= found.counts[0].complete:
        return found
    told = found.counts[0]
    count = replace(before.counts[0], at_most=told.at_most, told_by=told.told_by)
    return replace(before, counts=(count,), stopped=found.stopped, seed=found.seed, effort=found.effort)


def moved(layout: Layout, laid: tuple[Placement, ...]) -> Layout:
    """A layout of one hide and one product with its pieces laid otherwise; Refusal where they are not the same pieces.

    A table of strips holds for pieces where the strips put them: it goes where any of them was moved.
    """
    (one,) = layout.hides
    if _pieces(laid) != _pieces(one.placements):
        raise Refusal(409, "these are not the pieces of the layout")
    (product,), (count,) = layout.products, layout.counts
    areas, offcuts = account(one.hide, [p.outline for p in laid if p.number <= count.complete], layout.gap)
    straight = one.straight if _places(laid) == _places(one.placements) else None
    new = HideLayout(one.hide, laid, areas, offcuts, straight=straight)
    if has_wishes(product):
        again, count = matched(new, product, count)
        new = replace(new, placements=again)
    return replace(layout, counts=(count,), hides=(new,))


def _told(product: Product) -> list[tuple[object, ...]]:
    """What of a product a layout's file keeps as it is: its pieces, outlines to a micrometre."""
    return [(p.name, p.count, [(round(x, 3), round(y, 3)) for x, y in p.outline]) for p in product.pieces]


def _pieces(laid: Iterable[Placement]) -> Counter[tuple[str, int]]:
    return Counter((p.piece, p.number) for p in laid)


def _places(laid: Iterable[Placement]) -> list[tuple[float, float, float, bool]]:
    return [(p.x, p.y, p.angle, p.mirrored) for p in laid]
