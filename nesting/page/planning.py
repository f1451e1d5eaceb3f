"""What the plan tab asks for, as values; and what it shows of an answer."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hides.hide import Hide
from hides.whole_file import write_whole
from nesting.laying.case import case_of
from nesting.laying.lay_out import solve
from nesting.laying.shortage import shortages
from nesting.model.layout import Growing, Layout, Placement
from nesting.model.product import Piece, Product
from nesting.model.settings import EFFORTS, Progress, Settings, Watch
from nesting.model.want import Want
from nesting.page.bench_hide import hide_of
from nesting.page.by_hand import growing_data, placements_in, spared, without_leather, wrong_with
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.projects import form_text, part_for, product_from_text
from nesting.project.settings_reader import settings_in, straight_rules_in
from nesting.result.answer import Shortage, answer_data
from nesting.result.begun import without_begun
from nesting.result.layout_file import layout_to_data, write_layout


@dataclass(frozen=True)
class YieldRequest:
    """One hide, one product, and how to search: what `hideplan yield` is given on the command line.

    `kept` are the pieces that stay, and `cut` those among them that are cut already; `former` is all that lay there
    before, these among it.
    """

    hide: Hide
    product: Product
    settings: Settings
    kept: tuple[Placement, ...] = ()
    cut: tuple[Placement, ...] = ()
    former: tuple[Placement, ...] = ()


def read_order(folder: Folder, body: dict[str, Any]) -> YieldRequest:
    """The order in a request's body; Refusal or InputError where it cannot be carried out."""
    hide = hide_of(body.get("hide"))
    t = hide.thickness.middle if hide.thickness else None
    if "form" in body:
        product = product_from_text(folder, form_text(body["form"]), "the product", t)
    else:
        product = part_for(folder, str(body.get("project", "")), hide)
    gone = placements_in(body.get("gone"), product)
    kept = placements_in(body.get("keep"), product)
    cut = placements_in(body.get("cut"), product)
    former = placements_in(body.get("former"), product, strangers=True)
    hide = spared(without_leather(hide, gone), cut)
    return YieldRequest(hide, product, read_settings(body.get("settings") or {}), (*kept, *cut), cut, former)


def judged(folder: Folder, body: dict[str, Any]) -> list[dict[str, Any]]:
    """What the check says of pieces that a person laid (`laid`), with the settings' edge strip and gap."""
    order = read_order(folder, {**body, "keep": body.get("laid")})
    hide = order.hide if order.settings.edge is None else order.hide.with_edge(order.settings.edge)
    return wrong_with(hide, order.product, order.kept, order.settings.gap)


def carry_out(order: YieldRequest, watch: Watch) -> tuple[Layout, list[Shortage]]:
    """Search, and say what keeps the hide from giving one more; runs in the solver's process.

    Whoever stopped the search wants its layout now, so then the reasons are left out.
    """
    case = case_of(order.hide, [Want(order.product)], order.settings, order.kept, order.former)

    def grown(growing: Growing) -> None:
        best = ", ".join(f"{count.complete} × {count.name}" for count in growing.counts)
        watch.report(Progress("laying pieces", 0.05, best, growing_data(growing)))

    layout = solve(case, watch, grown)
    if watch.stop():
        return layout, []
    watch.report(Progress("seeing what limits the product", 1.0))
    return layout, shortages(case, layout)


def keep_layout(folder: Folder, identity: str, result: tuple[Layout, list[Shortage]]) -> None:
    """Keep a layout and what the page shows of it."""
    layout, short = result
    write_layout(layout_path(folder, identity), layout)
    keep_answer(folder, identity, shown_answer(identity, layout, answer_data(layout, short)))


def shown_answer(identity: str, layout: Layout, answer: dict[str, Any]) -> dict[str, Any]:
    """What the page shows of a layout and its answer."""
    lines, data = _piece_lines(layout), layout_to_data(layout)
    return {"id": identity, "state": "done", "answer": answer, "pieces": lines, "layout": data}


def keep_answer(folder: Folder, identity: str, answer: dict[str, Any]) -> None:
    """Keep what the page shows of a run."""
    write_whole(folder.kept("answers", identity, ".json"), json.dumps(answer))


def layout_path(folder: Folder, identity: str) -> Path:
    """Where a run's layout file lies."""
    return folder.kept("layouts", identity, ".json")


def kept_answer(folder: Folder, identity: str) -> dict[str, Any] | None:
    """What the page shows of a run that is done, or None."""
    try:
        answer: dict[str, Any] = json.loads(folder.kept("answers", identity, ".json").read_bytes())
    except FileNotFoundError:
        return None
    return answer


def product_lines(product: Product) -> dict[str, Any]:
    """A product's pieces as the page lists them."""
    lines = [
        {"name": piece.name, "count": piece.count, "box": _box(piece), "along": _along(piece)}
        for piece in product.pieces
    ]
    return {"name": product.name, "pieces": lines}


def read_settings(told: object) -> Settings:
    """The settings, by the very rules of the command line."""
    if not isinstance(told, dict):
        raise Refusal(400, "the search's settings are expected as a JSON object")
    effort = str(told.get("effort") or "normal")
    if effort not in EFFORTS:
        raise Refusal(422, f"effort “{effort[:20]}”: choose one of {', '.join(EFFORTS)}")
    gap, edge, seed = (str(told.get(name) or "").strip() for name in ("gap", "edge", "seed"))
    straight = straight_rules_in(*cuts(told)) if told.get("straight") is True else None
    return replace(settings_in(gap or "0", edge or None, seed or "1", effort), straight=straight)


WIDEST = "10 m"
"""What a cutter opens to where nothing is said: wider than any hide."""


def cuts(told: dict[str, Any]) -> tuple[tuple[str, str] | None, str | None]:
    """What the strap cutter opens to and what a cut takes, as the page's boxes say it; None where they are empty."""
    least, most, kerf = (str(told.get(name) or "").strip() for name in ("cutter_least", "cutter_most", "kerf"))
    return (least or "0", most or WIDEST) if least or most else None, kerf or None


def _piece_lines(layout: Layout) -> list[dict[str, Any]]:
    placed = Counter((p.product, p.piece) for hide in without_begun(layout).hides for p in hide.placements)
    return [
        {"name": piece.name, "count": piece.count, "placed": placed[product.name, piece.name]}
        for product in layout.products
        for piece in product.pieces
    ]


def _box(piece: Piece) -> list[float]:
    """Width and length of the piece as it is drawn, mm."""
    x0, y0, x1, y1 = piece.polygon.bounds
    return [round(x1 - x0, 3), round(y1 - y0, 3)]


def _along(piece: Piece) -> str:
    if piece.angles is not None:
        return ", ".join(f"{angle:g}°" for angle in piece.angles)
    give = f" ±{piece.tolerance:g}°" if piece.tolerance and piece.along.value != "any" else ""
    return {"any": "any way", "backbone": "along the backbone", "across": "across it"}[piece.along.value] + give
