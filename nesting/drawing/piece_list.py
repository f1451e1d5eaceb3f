"""The piece list: what is cut of each kind, as rows for sheets; and where each piece lies, as CSV."""

from __future__ import annotations

import csv
import io
from collections import Counter

from hides.hide import Grade, Hide
from nesting.drawing.hide_scene import upright
from nesting.drawing.mark_points import is_circle, mark_points
from nesting.drawing.marks import Datum, datum_of, marks
from nesting.drawing.names import LaidName, codes, named
from nesting.model.layout import HideLayout, Layout
from nesting.model.product import Along, Piece
from nesting.result.wording import length_text

COLUMNS = (
    "hide", "name", "product", "number", "piece", "width", "length", "grade", "along", "turned_over", "angle",
    "mark_1_along", "mark_1_across", "mark_2_along", "mark_2_across", "units", "mark_3_along", "mark_3_across", "marks",
)  # fmt: skip


def kind_rows(layout: Layout, each: HideLayout, units: str, part: int) -> list[tuple[str, ...]]:
    """One row a kind: code, piece, product, size, laid of it, spare, grade, along, notes."""
    laid = Counter((p.product, p.piece, p.number > 0) for p in each.placements)
    code_of = codes(layout.products)
    rows: list[tuple[str, ...]] = []
    for product in layout.products:
        for piece in product.pieces:
            kind = product.name, piece.name
            full, spare = laid[*kind, True], laid[*kind, False]
            size, way = size_text(piece, units, part), along_text(piece)
            rows.append(
                (
                    code_of[kind],
                    piece.name,
                    product.name,
                    size,
                    str(full),
                    str(spare),
                    grade_text(piece),
                    way,
                    notes(piece),
                )
            )
    return rows


def size_text(piece: Piece, units: str, part: int = 16) -> str:
    """Width × length of the piece in its own frame, or a circle's diameter."""
    left, low, right, high = piece.polygon.bounds
    wide, long = (length_text(value, units, part=part) for value in (right - left, high - low))
    return f"⌀ {wide}" if is_circle(piece.outline) else f"{wide} × {long}"


def grade_text(piece: Piece) -> str:
    """The grade a piece asks for; a dash where the layout does not tell."""
    return "–" if piece.grade is Grade.NONE else piece.grade.label


def along_text(piece: Piece) -> str:
    """Which way the grain line runs, in a few words."""
    if piece.angles is not None:
        return "at " + ", ".join(f"{angle:g}°" for angle in piece.angles)
    if piece.along is Along.ANY:
        return "any way"
    off = f" ± {piece.tolerance:g}°" if piece.tolerance else ""
    return f"{'along' if piece.along is Along.BACKBONE else 'across'}{off}"


def notes(piece: Piece) -> str:
    """What else the maker must know of a kind, in a few words."""
    holes = Counter(round(hole.diameter, 2) for hole in piece.holes)
    found = [f"{number} × ⌀{diameter:g} mm punched" for diameter, number in sorted(holes.items())]
    found += [f"{len(piece.cutouts)} cut out"] if piece.cutouts else []
    found += ["may turn over"] if piece.mirror else []
    return ", ".join(found)


def csv_text(layout: Layout, units: str = "mm") -> str:
    """All pieces of all hides as comma-separated values, one line each, lengths as decimals in `units`."""
    per = 25.4 if units == "in" else 10.0 if units == "cm" else 1.0
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(COLUMNS)
    for each in layout.hides:
        whole = upright(each)
        datum = datum_of(whole.hide)
        for one in named(layout, whole):
            writer.writerow(_csv_row(one, whole.hide, datum, per, units))
    return stream.getvalue()


def _csv_row(one: LaidName, hide: Hide, datum: Datum, per: float, units: str) -> list[object]:
    left, low, right, high = one.piece.polygon.bounds
    p, places = one.placement, 3 if units == "in" else 2
    points = [datum.measured(point) for point in marks(one.piece, p)]
    where = [round(value / per, places) + 0.0 for point in points for value in point]
    size = [round((right - left) / per, places), round((high - low) / per, places)]
    turn = round((p.angle - (hide.direction or 0.0)) % 360, 3) % 360
    told = [p.number or "spare", _plain(p.piece), *size, grade_text(one.piece), along_text(one.piece)]
    over = "yes" if p.mirrored else "no"
    words = "; ".join(f"{number} {mark.words}" for number, mark in enumerate(mark_points(one.piece), 1))
    figures = [*where, *[""] * (6 - len(where))]
    return [
        _plain(hide.name), one.name, _plain(p.product), *told, over, turn, *figures[:4], units, *figures[4:], words
    ]  # fmt: skip


def _plain(words: str) -> str:
    """Words that no spreadsheet takes for a formula."""
    return f"'{words}" if words[:1] in ("=", "+", "-", "@") else words
