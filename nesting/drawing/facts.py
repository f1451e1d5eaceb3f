"""What a cut sheet says of its hide: title lines, products, where the leather goes, how to mark, cautions."""

from __future__ import annotations

from collections.abc import Iterable

from shapely.geometry import LineString, Polygon

from hides.hide import Hide, Thickness
from hides.units import LENGTH_UNITS, OUNCE
from nesting.drawing.mark_points import MOST_HARM, SLIP, mark_points
from nesting.drawing.marks import datum_of
from nesting.drawing.table import Column
from nesting.model.layout import Areas, HideLayout, Layout
from nesting.model.offcut_rule import LEAST_AREA, LEAST_WIDTH
from nesting.model.product import Product
from nesting.result.answer import ESTIMATE, bound_text
from nesting.result.areas import gone, headings
from nesting.result.begun import begun_words
from nesting.result.wording import (
    area_number,
    area_text,
    area_unit_name,
    count_text,
    length_text,
    place_text,
    share_text,
)

CAUTION = (
    "Blades are sharp: cut away from yourself, keep hands clear of a press; keep dust, solvent and laser fumes "
    "out of your lungs."
)
TRY = "Try every pattern on the hide before the first cut."
HANGS = "Nothing here rates a load: test what hangs, fix it by local codes."

AS_TRACED = "The hide lies as it was traced, usually grain side up."
AXIS = "Draw the datum line along the backbone."
MARKING = (
    "0 is where a square set on it just touches the hide's end. Measure along, then square across: plus is above the "
    "line as drawn, minus below. Prick mark 1 (filled dot) and mark 2 (open dot) of a piece, lay its pattern face up "
    "with these points on them, and trace. Which points they are is shown in the piece list for every kind."
)
SURE = "While marks are within {} of their places, no point of a piece is off by more than {}."
THREE = 3
"""Marks of a kind for which two would not do."""
LEVEL = "The hide states no backbone: the datum line is level through its lowest point as drawn."


def cautions(products: Iterable[Product]) -> tuple[str, str]:
    """The usual cautions; those for hung things only where one of the products hangs or carries."""
    hangs = any(product.making.care.hangs for product in products)
    return CAUTION, f"{TRY} {HANGS}" if hangs else TRY


def title_lines(hide: Hide, units: str, ounces: bool = False) -> list[str]:
    """The hide in a line; a second one where it is an estimate."""
    about = [hide.cut, hide.leather, f"lot {hide.lot}" if hide.lot else "", f"grade {hide.grade.label}"]
    if hide.thickness:
        about.append(f"{thickness_text(hide.thickness, ounces)} thick")
    about.append(f"{area_text(hide.measured_area, units)} measured")
    about += [f"marked {area_text(hide.area, units)}"] if hide.area is not None else []
    line = ", ".join(part for part in about if part)
    return [line, ESTIMATE] if hide.estimate else [line]


def thickness_text(range_: Thickness, ounces: bool = False) -> str:
    """A range of thickness in mm, or in ounces where the project speaks of them."""
    if ounces:
        low, high = (f"{value / OUNCE:.1f}".removesuffix(".0") for value in (range_.low, range_.high))
        return f"{low}–{high} oz" if low != high else f"{low} oz"
    return f"{range_.low:.1f}–{range_.high:.1f} mm"


def product_lines(layout: Layout, each: HideLayout) -> list[tuple[str, str]]:
    """For each product what is complete (on this hide), and what is proven of it."""
    lines, kept = [], any(placement.keep for one in layout.hides for placement in one.placements)
    for count in layout.counts:
        here = len({p.number for p in each.placements if p.product == count.name and 0 < p.number <= count.complete})
        several = f" of {count.complete} in all" if len(layout.hides) > 1 else ""
        lines.append((f"{here} × {count.name}{several}", bound_text(count, kept)))
    return lines


def spare_line(each: HideLayout) -> str:
    """How many spares lie on the hide, or nothing."""
    spare = sum(p.number == 0 for p in each.placements)
    return f"{count_text(spare, 'spare piece lies', 'spare pieces lie')} beside them." if spare else ""


def begun_line(layout: Layout) -> str:
    """What of products only begun is laid, or nothing."""
    told = [f"{words} They carry number {c.complete + 1}." for c in layout.counts if (words := begun_words(c))]
    return " ".join([*told, "Areas and offcuts leave them out."]) if told else ""


def area_columns(width: float, units: str) -> list[Column]:
    """Columns of the table of areas in `width` mm."""
    return [
        Column("leather", width - 30),
        Column(area_unit_name(units), 14, "right"),
        Column("of hide", 16, "right"),
    ]


def area_rows(each: HideLayout, units: str) -> list[tuple[str, str, str]]:
    """The headings of the balance with their share of the whole hide."""
    rows = [*headings(each.areas, gone(each)), ("whole hide", each.areas.hide)]
    plain = {"offcuts": "offcuts worth keeping"}
    return [(plain.get(n, n), area_number(value, units), share_text(value, each.areas.hide)) for n, value in rows]


def yield_line(areas: Areas, units: str) -> str:
    """Which yield is meant, both ways."""
    whole, usable = share_text(areas.pieces, areas.hide), share_text(areas.pieces, areas.usable)
    return f"Yield: {whole} of the whole hide, {usable} of its usable part ({area_text(areas.usable, units)})."


def offcut_line(units: str) -> str:
    """The rule for offcuts."""
    wide = f"{length_text(LEAST_WIDTH, units)} {units}"
    return f"Offcuts: at least {area_text(LEAST_AREA, units)} and everywhere {wide} wide; smaller leftovers are scrap."


def kept_apart(layout: Layout, hide: Hide, units: str) -> str:
    """Gap and edge strip the layout keeps."""
    gap, edge = (f"{length_text(value, units)} {units}" for value in (layout.gap, hide.edge))
    return f"Gap between pieces {gap}; strip kept clear along the edge {edge}."


def datum_words(hide: Hide, units: str) -> str:
    """How far the datum line lies from the hide's edge beside it near both ends, so that it can be drawn again."""
    datum = datum_of(hide)
    flat = Polygon([datum.measured(point) for point in hide.outline])
    start, end = flat.bounds[0], flat.bounds[2]
    step = 2 * LENGTH_UNITS["in"] if units == "in" else 50.0
    places = [round((start + share * (end - start)) / step) * step for share in (0.15, 0.85)]
    below, above = ([_edge_at(flat, along, side) for along in places] for side in (-1, 1))
    side, off = ("below", below) if max(below) <= max(above) else ("above", above)
    told = [
        f"{place_text(mm, units)} {units} from it at {place_text(along, units)}"
        for mm, along in zip(off, places, strict=True)
    ]
    return f"The hide's edge {side} is {told[0]} along, and {told[1]}." if min(off) > 0 else ""


def _edge_at(flat: Polygon, along: float, side: int) -> float:
    """How far the leather reaches from the line to one side, at a place along it."""
    low, high = flat.bounds[1], flat.bounds[3]
    ray = LineString([(along, 0.0), (along, min(low, 0.0) - 1 if side < 0 else max(high, 0.0) + 1)])
    met = ray.intersection(flat)
    return 0.0 if met.is_empty else float(max(abs(met.bounds[1]), abs(met.bounds[3])))


def marking_text(layout: Layout, each: HideLayout, units: str) -> str:
    """The rule by which the sheet's distances are measured, and what a slip of the marks does where that is known."""
    rule = f"{AS_TRACED} {AXIS if each.hide.backbone else LEVEL} {MARKING}"
    here = {(p.product, p.piece) for p in each.placements}
    kinds = [piece for p in layout.products for piece in p.pieces if (p.name, piece.name) in here]
    sure = kinds and all(len(mark_points(piece)) < THREE for piece in kinds)
    slips = [f"{mm / 25.4:.2f} in" if units == "in" else f"{mm:g} mm" for mm in (SLIP, MOST_HARM)]
    told = f"{rule} {datum_words(each.hide, units)}"
    return f"{told} {SURE.format(*slips)}" if sure else told
