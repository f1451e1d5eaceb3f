"""What the plan tab asks for, as values; and what it shows of an answer."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.hide import Hide
from hides.units import length
from hides.whole_file import write_whole
from nesting.answer import answer_data
from nesting.lay_out import lay_out
from nesting.layout import Layout
from nesting.layout_file import layout_to_data, write_layout
from nesting.page.bench_hide import hide_of
from nesting.page.errors import Refusal
from nesting.page.folder import Folder
from nesting.page.projects import form_text, product_from_text, product_in
from nesting.product import Piece, Product
from nesting.settings import EFFORTS, Settings, Watch
from nesting.want import Want


@dataclass(frozen=True)
class Order:
    """One hide, one product, and how to search: what `hideplan yield` is given on the command line."""

    hide: Hide
    product: Product
    settings: Settings


def read_order(folder: Folder, body: dict[str, Any]) -> Order:
    """The order in a request's body; Refusal or InputError where it cannot be carried out."""
    hide = hide_of(body.get("hide"))
    t = hide.thickness.middle if hide.thickness else None
    if "form" in body:
        product = product_from_text(folder, form_text(body["form"]), "the product", t)
    else:
        product = product_in(folder, str(body.get("project", "")), t)
    return Order(hide, product, _settings(body.get("settings") or {}))


def carry_out(order: Order, watch: Watch) -> Layout:
    """Search; runs in the solver's process."""
    return lay_out(order.hide, [Want(order.product)], order.settings, watch)


def keep_layout(folder: Folder, identity: str, layout: Layout) -> None:
    """Keep a layout and what the page shows of it."""
    write_layout(layout_path(folder, identity), layout)
    shown = {
        "id": identity,
        "state": "done",
        "answer": answer_data(layout),
        "pieces": _piece_lines(layout),
        "layout": layout_to_data(layout),
    }
    write_whole(folder.kept("answers", identity, ".json"), json.dumps(shown))


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
        {"name": piece.name, "count": piece.count, "size": _size(piece), "along": _along(piece)}
        for piece in product.pieces
    ]
    return {"name": product.name, "pieces": lines}


def _settings(told: object) -> Settings:
    if not isinstance(told, dict):
        raise Refusal(400, "the search's settings are expected as a JSON object")
    effort = str(told.get("effort") or "quick")
    if effort not in EFFORTS:
        raise Refusal(422, f"effort “{effort[:20]}”: choose one of {', '.join(EFFORTS)}")
    gap, edge = _length(told, "gap"), _length(told, "edge")
    return Settings(gap or 0.0, edge, _seed(told.get("seed", 1)), effort)


def _length(told: dict[str, Any], name: str) -> float | None:
    text = str(told.get(name) or "").strip()
    if not text:
        return None
    try:
        mm = length(float(text)) if text.replace(".", "", 1).isdecimal() else length(text)
    except InputError as error:
        raise error.within("the plan", name) from error
    if not 0 <= mm <= 1000:
        raise Refusal(422, f"the plan: {name}: “{text[:20]}” must lie between 0 and 1000 mm")
    return mm


def _seed(value: object) -> int:
    text = str(value).strip() or "1"
    if not text.isdecimal() or int(text) > 2**31 - 1:
        raise Refusal(422, f"the plan: seed: “{text[:20]}” must be a whole number, nought or more")
    return int(text)


def _piece_lines(layout: Layout) -> list[dict[str, Any]]:
    placed = Counter((p.product, p.piece) for hide in layout.hides for p in hide.placements)
    return [
        {"name": piece.name, "count": piece.count, "placed": placed[product.name, piece.name]}
        for product in layout.products
        for piece in product.pieces
    ]


def _size(piece: Piece) -> str:
    x0, y0, x1, y1 = piece.polygon.bounds
    return f"{x1 - x0:.0f} × {y1 - y0:.0f}"


def _along(piece: Piece) -> str:
    if piece.angles is not None:
        return ", ".join(f"{angle:g}°" for angle in piece.angles)
    give = f" ±{piece.tolerance:g}°" if piece.tolerance and piece.along.value != "any" else ""
    return {"any": "any way", "backbone": "along the backbone", "across": "across it"}[piece.along.value] + give
