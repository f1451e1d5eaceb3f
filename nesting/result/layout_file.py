"""The layout file (JSON): written so that it can be checked and drawn by itself, read back to the same value.

Besides the fields that every layout file has it holds `pieces` (what the placements are carried from and what
they ask for), the rest of each hide's own file, and `offcuts`.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from hides.hide import Ring
from hides.hide_file import hide_to_data
from hides.json_text import json_text
from hides.whole_file import write_whole
from nesting.model.layout import HideLayout, Layout, Placement, ProductCount
from nesting.model.product import InnerLine, Piece, PunchHole
from nesting.result.begun import next_data
from nesting.result.layout_reader import FORMAT, layout_from_data, read_layout
from nesting.result.making_data import making_to_data
from nesting.result.straight_file import straight_to_data
from nesting.result.tidiness import tidiness

__all__ = ["FORMAT", "layout_from_data", "layout_text", "layout_to_data", "read_layout", "write_layout"]


def write_layout(path: Path | str, layout: Layout) -> None:
    """Write a layout file, whole or not at all. The same layout gives the same bytes.

    No example: it writes a file.
    """
    write_whole(path, layout_text(layout))


def layout_text(layout: Layout) -> str:
    """The content of a layout file."""
    return json_text(layout_to_data(layout))


def layout_to_data(layout: Layout) -> dict[str, Any]:
    """A layout as JSON holds it; lengths in mm, to a millionth."""
    return {
        "format": FORMAT,
        "units": "mm",
        "products": [_count(count) for count in layout.counts],
        "gap": _mm(layout.gap),
        "seed": layout.seed,
        "effort": layout.effort,
        "stopped": layout.stopped,
        "pieces": [_piece(product.name, piece) for product in layout.products for piece in product.pieces],
        **({"making": making} if (making := _making(layout)) else {}),
        "hides": [_hide(hide, layout.gap) for hide in layout.hides],
    }


def _making(layout: Layout) -> list[dict[str, Any]]:
    return [data for product in layout.products if (data := making_to_data(product))]


def _count(count: ProductCount) -> dict[str, Any]:
    told = {"name": count.name, "complete": count.complete, "at_most": count.at_most}
    return {**told, **({"told_by": count.told_by} if count.told_by else {}), **next_data(count)}


def _piece(product: str, piece: Piece) -> dict[str, Any]:
    way: dict[str, Any] = {"angles": [_angle(angle) for angle in piece.angles or ()]}
    if piece.angles is None:
        way = {"along": piece.along.value, "tolerance": _angle(piece.tolerance), "turn": piece.turn}
    thickness = piece.thickness and [_mm(piece.thickness.low), _mm(piece.thickness.high)]
    return {
        "product": product,
        "name": piece.name,
        "count": piece.count,
        "grade": piece.grade.label,
        **way,
        "mirror": piece.mirror,
        "spare": piece.spare,
        **({"thickness": thickness} if thickness else {}),
        "outline": _ring(piece.outline),
        "cutouts": [_ring(ring) for ring in piece.cutouts],
        "holes": [_hole(hole) for hole in piece.holes],
        "covered": [{"outline": _ring(cover.outline), "grade": cover.grade.label} for cover in piece.covered],
        **({"lines": [_line(line) for line in piece.lines]} if piece.lines else {}),
        **({"finished": _ring(piece.finished)} if piece.finished else {}),
        **({"hand": piece.hand} if piece.hand else {}),
        **({"leather": piece.leather} if piece.leather else {}),
        **_places(piece),
    }


def _places(piece: Piece) -> dict[str, Any]:
    """Where the piece may lie by its own wish, as far as it has one."""
    near = [{"piece": each.piece, "within": _mm(each.within)} for each in piece.near]
    pair = {} if piece.pair_within is None else {"pair": "mirrored", "pair_within": _mm(piece.pair_within)}
    return {
        **({"off_backbone": _mm(piece.off_backbone)} if piece.off_backbone else {}),
        **({"from": list(piece.regions)} if piece.regions else {}),
        **({"near": near} if near else {}),
        **pair,
    }


def _line(line: InnerLine) -> dict[str, Any]:
    sizes = {name: _mm(size) for name, size in (("width", line.width), ("left", line.left)) if size is not None}
    name = {"name": line.name} if line.name else {}
    return {"kind": line.kind, "points": [[_mm(x), _mm(y)] for x, y in line.points], **sizes, **name}


def _hole(hole: PunchHole) -> dict[str, Any]:
    told = {name: text for name, text in (("group", hole.group), ("purpose", hole.purpose)) if text}
    return {"at": [_mm(hole.at[0]), _mm(hole.at[1])], "diameter": _mm(hole.diameter), **told}


def _hide(layout: HideLayout, gap: float) -> dict[str, Any]:
    own = hide_to_data(replace(layout.hide, units="mm"))
    return {
        **{name: value for name, value in own.items() if name not in ("format", "units")},
        "placements": [_placement(each) for each in layout.placements],
        "areas": {name: _mm(value) for name, value in vars(layout.areas).items()},
        "offcuts": [_ring_with_area(ring) for ring in layout.offcuts],
        **tidiness([layout], gap),
        **({} if layout.straight is None else {"straight": straight_to_data(layout.straight)}),
    }


def _placement(placement: Placement) -> dict[str, Any]:
    return {
        "piece": placement.piece,
        "product": placement.product,
        "number": placement.number,
        "x": _mm(placement.x),
        "y": _mm(placement.y),
        "angle": _angle(placement.angle),
        "mirrored": placement.mirrored,
        "outline": _ring(placement.outline),
        **({"keep": True} if placement.keep else {}),
    }


def _ring_with_area(ring: Ring) -> dict[str, Any]:
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
    return {"outline": _ring(ring), "area": _mm(abs(twice) / 2)}


def _ring(ring: Ring) -> list[list[float]]:
    return [[_mm(x), _mm(y)] for x, y in ring]


def _mm(value: float) -> float:
    """To a millionth; whole numbers without a point."""
    return _plain(round(value, 6))


def _angle(degrees: float) -> float:
    """To a thousand-millionth of a degree, which is a millionth of a millimetre at 57 m."""
    return _plain(round(degrees, 9))


def _plain(value: float) -> float:
    return int(value) if value == int(value) else value
