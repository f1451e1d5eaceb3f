"""A layout whose pieces a person has moved becomes an answer of its own: sheets, table and projector show that."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from hides.errors import LayoutFault
from nesting.check import faults
from nesting.model.layout import HideLayout, Layout, Placement
from nesting.page.by_hand import placements_in
from nesting.page.cutting import keep_ticks, ticks
from nesting.page.errors import Refusal
from nesting.page.folder import Folder, new_identity
from nesting.page.planning import keep_answer, kept_answer, layout_path, shown_answer
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


def _pieces(laid: Iterable[Placement]) -> Counter[tuple[str, int]]:
    return Counter((p.piece, p.number) for p in laid)


def _places(laid: Iterable[Placement]) -> list[tuple[float, float, float, bool]]:
    return [(p.x, p.y, p.angle, p.mirrored) for p in laid]
