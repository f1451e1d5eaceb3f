"""What a layout means, in plain words and one small table; and the same as data.

Terms. *Yield of the hide*: leather in pieces over the whole hide. *Yield of its usable part*: the same over what
the edge strip, the unusable flaws and what is gone already leave. Both are printed, because either alone misleads.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from textwrap import wrap
from typing import Any

from hides.hide import Hide
from nesting.model.layout import Areas, Layout, ProductCount
from nesting.model.offcut_rule import LEAST_AREA, LEAST_WIDTH
from nesting.result.areas import gone, headings
from nesting.result.begun import begun_words, next_data
from nesting.result.claims import best_count
from nesting.result.cutting_order import cutting_order
from nesting.result.knife_travel import knife_travel, metres
from nesting.result.straight_words import straight_data, straight_lines
from nesting.result.tidiness import tidiness
from nesting.result.wording import area_number, area_text, area_unit_name, count_text, length_text, money, share_text

ESTIMATE = "ESTIMATE: the outline was not measured, so every figure here is a guess at a typical hide."


@dataclass(frozen=True)
class Shortage:
    """A piece that keeps a product from being made once more, and why, as a clause ("no leather of grade A ...")."""

    product: str
    piece: str
    why: str = ""


@dataclass(frozen=True)
class LeatherShares:
    """What the leather in one product costs, of the leather bought."""

    product: str
    each: float
    currency: str


def answer_text(layout: Layout, shortages: Sequence[Shortage] = (), units: str = "mm", width: int = 78) -> str:
    """The answer of `hideplan yield`: lines of at most `width` characters, ending in a newline."""
    areas = total_areas(layout)
    kept = _kept(layout)
    blocks = [
        [line for each in layout.hides for line in _hide_lines(each.hide, units)],
        [line for count in layout.counts for line in _verdict(count, kept)] + _stopped(layout),
        straight_lines(layout, units),
        _product_table(layout),
        _area_table(areas, layout, units),
        [_yield_line(areas, units), *_knife_lines(layout), *_shortage_lines(shortages), *_material_lines(layout)],
    ]
    fitted = [[part for line in block for part in _fitted(line, width)] for block in blocks]
    return "\n\n".join("\n".join(block) for block in fitted if block) + "\n"


def answer_data(layout: Layout, shortages: Sequence[Shortage] = ()) -> dict[str, Any]:
    """The same answer as plain data for `--json`: areas in mm², yields as fractions."""
    areas = total_areas(layout)
    return {
        "format": "hideplan-answer-1",
        "hides": [each.hide.name for each in layout.hides],
        "estimate": any(each.hide.estimate for each in layout.hides),
        "stopped": layout.stopped,
        "products": [_count_data(layout, count) for count in layout.counts],
        "areas": asdict(areas),
        **({"gone": lost} if (lost := sum(map(gone, layout.hides))) else {}),
        "yield": {"hide": _ratio(areas.pieces, areas.hide), "usable": _ratio(areas.pieces, areas.usable)},
        "offcuts": sum(len(each.offcuts) for each in layout.hides),
        "cutting": _cutting(layout),
        **({"straight": told} if (told := straight_data(layout)) else {}),
        "limits": [asdict(shortage) for shortage in shortages],
        "material": [asdict(each) for each in materials(layout)],
    }


def _cutting(layout: Layout) -> dict[str, Any]:
    """Knife travel in mm, shared lines once, shares of the outlines, how tidy the layout is, the order of cutting."""
    told = knife_travel(layout)
    return {
        "travel": round(told.travel, 1),
        "apart": round(told.apart, 1),
        "shared": round(told.shared, 4),
        "along": round(told.along, 4),
        **tidiness(layout.hides, layout.gap),
        "order": [asdict(cutting_order(each)) for each in layout.hides],
    }


def total_areas(layout: Layout) -> Areas:
    """The areas of all hides of a layout together."""
    names = Areas.__dataclass_fields__
    return Areas(**{name: sum(getattr(each.areas, name) for each in layout.hides) for name in names})


def bound_text(count: ProductCount, kept: bool = False) -> str:
    """What is proven about a count, as a sentence; with `kept` of layouts that leave the kept pieces where they are."""
    return best_count(count.complete, count.at_most, " beside the pieces that stay" if kept else "")


def follows_text(count: ProductCount) -> str:
    """Of what a bound follows, as a further sentence."""
    return f" That follows from {count.told_by}." if count.told_by else ""


def materials(layout: Layout) -> list[LeatherShares]:
    """What each product's leather costs: what the hides cost, shared by leather area, over the products cut.

    Empty where a hide has no price, where currencies differ, or where nothing complete was cut.
    """
    costs = [each.hide.cost for each in layout.hides]
    currencies = {each.hide.price.currency for each in layout.hides if each.hide.price}
    if None in costs or len(currencies) != 1:
        return []
    bought = sum(cost for cost in costs if cost is not None)
    area_of = {product.name: product.area for product in layout.products}
    made = sum(area_of[count.name] * count.complete for count in layout.counts)
    return [
        LeatherShares(count.name, bought * area_of[count.name] / made, currencies.copy().pop())
        for count in layout.counts
        if count.complete
    ]


def _hide_lines(hide: Hide, units: str) -> list[str]:
    marked = f", marked {area_text(hide.area, units)}" if hide.area is not None else ""
    lines = [f"{hide.name}: {hide.cut}, {area_text(hide.measured_area, units)} measured{marked}."]
    return [*lines, ESTIMATE] if hide.estimate else lines


def _kept(layout: Layout) -> int:
    return sum(placement.keep for each in layout.hides for placement in each.placements)


def _verdict(count: ProductCount, kept: int) -> list[str]:
    beside = f"{count_text(kept, 'piece')} stayed where {'it lies' if kept == 1 else 'they lie'}. " if kept else ""
    told = f"{beside}{bound_text(count, kept > 0)}{follows_text(count)}"
    begun = [words] if (words := begun_words(count)) else []
    if not count.complete:
        return [f"Not one complete “{count.name}” was laid. {told}", *begun]
    return [f"{count_text(count.complete, 'complete product')} of {count.name}. {told}", *begun]


def _stopped(layout: Layout) -> list[str]:
    return ["Stopped before the search was done: this is the best so far."] if layout.stopped else []


def _product_table(layout: Layout) -> list[str]:
    rows = [("product", "complete", "at most", "pieces", "spare")]
    pieces, spare = _tally(layout)
    for count in layout.counts:
        own = pieces[count.name], spare[count.name]
        rows.append((count.name, str(count.complete), str(count.at_most), str(own[0]), str(own[1])))
    return _table(rows)


def _tally(layout: Layout) -> tuple[Counter[str], Counter[str]]:
    """Pieces in complete products and spare pieces, by product."""
    laid = [placement for each in layout.hides for placement in each.placements]
    most = {count.name: count.complete for count in layout.counts}
    whole = Counter(p.product for p in laid if 0 < p.number <= most.get(p.product, 0))
    return whole, Counter(p.product for p in laid if not p.number)


def _area_table(areas: Areas, layout: Layout, units: str) -> list[str]:
    rows = [("where the leather goes", area_unit_name(units), "of the hide")]
    for name, part in headings(areas, sum(map(gone, layout.hides))):
        rows.append((_heading(name, layout, units), area_number(part, units), share_text(part, areas.hide)))
    rows.append(("hide", area_number(areas.hide, units), share_text(areas.hide, areas.hide)))
    return _table(rows)


def _heading(name: str, layout: Layout, units: str) -> str:
    number = sum(len(each.offcuts) for each in layout.hides) if name == "offcuts" else 0
    return f"offcuts ({number} of {area_text(LEAST_AREA, units)} or more, {_width(units)} wide)" if number else name


def _width(units: str) -> str:
    return f"{length_text(LEAST_WIDTH, units)} {units}"


def _yield_line(areas: Areas, units: str) -> str:
    whole, usable = share_text(areas.pieces, areas.hide), share_text(areas.pieces, areas.usable)
    return f"Yield: {whole} of the whole hide, {usable} of its usable part ({area_text(areas.usable, units)})."


def _shortage_lines(shortages: Sequence[Shortage]) -> list[str]:
    return [f"Limited by {s.piece} ({s.product})" + (f": {s.why}." if s.why else ".") for s in shortages]


def _knife_lines(layout: Layout) -> list[str]:
    told = knife_travel(layout)
    if told.travel <= 0:
        return []
    apart = f" ({metres(told.apart)} piece by piece)" if told.apart - told.travel >= 100 else ""
    return [f"Cutting: {metres(told.travel)} of knife travel, shared lines once{apart}."]


def _material_lines(layout: Layout) -> list[str]:
    found = materials(layout)
    bought = sum(each.hide.cost or 0 for each in layout.hides)
    shared = ", shared by leather area" if len(found) > 1 else ""
    too = ", with what is gone already" if any(map(gone, layout.hides)) else ""
    return [
        f"Material: {money(m.each, m.currency)} of leather a {m.product}, counted on the leather bought "
        f"({money(bought, m.currency)}{shared}){too}."
        for m in found
    ]


def _count_data(layout: Layout, count: ProductCount) -> dict[str, Any]:
    pieces, spare = _tally(layout)
    return {
        "name": count.name,
        "complete": count.complete,
        "at_most": count.at_most,
        "proven_best": count.complete == count.at_most,
        "claim": bound_text(count, _kept(layout) > 0),
        **({"told_by": count.told_by} if count.told_by else {}),
        "pieces": pieces[count.name],
        "spare": spare[count.name],
        **next_data(count),
    }


def _ratio(part: float, whole: float) -> float:
    return round(part / whole, 6) if whole > 0 else 0.0


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Rows with the first column flush left, the others flush right, a rule under the head."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    lines = ["  ".join([row[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(row[1:], widths[1:], strict=True))])
             for row in rows]  # fmt: skip
    return [lines[0], "-" * len(lines[0]), *lines[1:]]


def _fitted(line: str, width: int) -> list[str]:
    return [line] if len(line) <= width else wrap(line, width, subsequent_indent="  ")
