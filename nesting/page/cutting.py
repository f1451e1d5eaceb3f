"""At the cutting table: what of a layout is cut so far, and the hide marked cut in the register at the end."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.stock import Stock, open_stock
from hides.whole_file import write_whole
from nesting.model.layout import Layout, Placement
from nesting.model.offcut_rule import LEAST_AREA
from nesting.page.cut_steps import cut_steps
from nesting.page.downloads import style_in
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.planning import keep_answer, kept_answer, layout_path
from nesting.page.stock_routes import register_path
from nesting.result.layout_file import read_layout
from nesting.stock.done import cuts_of


def ticks(folder: Folder, identity: str) -> list[int]:
    """The pieces of a layout that are cut, by their place in it, in the order they were ticked off."""
    try:
        told = json.loads(_path(folder, identity).read_bytes())["cut"]
    except (OSError, ValueError, KeyError, TypeError):
        return []
    return [place for place in told if isinstance(place, int)]


def keep_ticks(folder: Folder, identity: str, told: object) -> None:
    """Keep which pieces are cut; Refusal where that names pieces the layout has not."""
    many = len(_layout(folder, identity).hides[0].placements)
    whole = isinstance(told, list) and all(type(place) is int and 0 <= place < many for place in told)
    if not isinstance(told, list) or not whole or len(set(told)) != len(told):
        raise Refusal(400, f"places of pieces are expected, each once, from 0 to {many - 1}")
    write_whole(_path(folder, identity), json.dumps({"cut": told}))


def tick_again(folder: Folder, identity: str, cut: Sequence[Placement]) -> None:
    """Tick off, in a layout that was just made, what was cut before: the pieces that lie where they were cut."""
    places = Counter(_where(each) for each in cut)
    found = []
    for n, each in enumerate(_layout(folder, identity).hides[0].placements):
        if places[_where(each)]:
            places[_where(each)] -= 1
            found.append(n)
    keep_ticks(folder, identity, found)


def mark_cut(folder: Folder, identity: str, *, add: bool = False, begun: bool = False) -> dict[str, Any]:
    """Mark the layout's hide cut in the register and shelve its offcuts.

    `add` puts a hide that is not in the register there first (and begins a register where there is none); `begun` says
    that the pieces of a product only begun are cut as well. The answer tells how many offcuts came of it.
    """
    answer, layout, register = kept_answer(folder, identity), _layout(folder, identity), register_path(folder)
    if answer is None:
        raise Refusal(404, "this layout is not in the folder any more")
    if not add and not register.is_file():
        raise Refusal(409, "there is no register in the folder yet: the hide is put on it first")
    name = f"layout of {', '.join(count.name for count in layout.counts)}"
    with open_stock(register, create=add) as stock:
        if _in_force(stock, answer):
            raise Refusal(409, "this hide is marked cut already")
        if add and not _has(stock, layout):
            stock.add([(layout.hides[0].hide, "the page")])
        cuts = cuts_of(stock, [layout], name, LEAST_AREA, begun=begun)
        change = stock.commit_cuts(cuts, note=name)
    keep_answer(folder, identity, {**answer, "cut_change": change})
    return {"offcuts": sum(len(cut.offcuts) for cut in cuts)}


def standing(folder: Folder, identity: str) -> dict[str, Any]:
    """What is cut, whether the hide stands in the register, and whether it is marked cut there by this layout."""
    cut, answer, layout = ticks(folder, identity), kept_answer(folder, identity), _layout(folder, identity)
    if not register_path(folder).is_file():
        return {"cut": cut, "in_register": False, "marked": False}
    with open_stock(register_path(folder)) as stock:
        return {"cut": cut, "in_register": _has(stock, layout), "marked": _in_force(stock, answer or {})}


def steps(folder: Folder, identity: str, told: Mapping[str, str]) -> dict[str, Any]:
    """The layout in steps for the cutting table, words in the chosen units."""
    return cut_steps(_layout(folder, identity), style_in(told))


def _where(placement: Placement) -> tuple[str, float, float, float, bool]:
    x, y, angle = (round(value, 4) for value in (placement.x, placement.y, placement.angle % 360.0))
    return placement.piece, x, y, angle % 360.0, placement.mirrored


def _in_force(stock: Stock, answer: dict[str, Any]) -> bool:
    """Whether this layout was committed, and nobody has taken that back."""
    done = answer.get("cut_change")
    return done is not None and any(change.id == done and change.in_force for change in stock.history())


def _has(stock: Stock, layout: Layout) -> bool:
    try:
        return stock.find(layout.hides[0].hide.name).name == layout.hides[0].hide.name
    except InputError:
        return False


def _layout(folder: Folder, identity: str) -> Layout:
    path = layout_path(folder, identity)
    if not path.is_file():
        raise Refusal(404, "this layout is not in the folder any more")
    return read_layout(path)


def _path(folder: Folder, identity: str) -> Path:
    return folder.kept("cutting", identity, ".json")
