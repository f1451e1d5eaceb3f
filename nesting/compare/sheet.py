"""The comparison on paper (A4, lying): the figures, charts and reasons on one page; layouts, joints and what to buy on
the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.compare import ranges
from nesting.compare.batches import Batch
from nesting.compare.charts import cost_bars, curve_key, part_key, step_chart, whiskers
from nesting.compare.comparison import ComparedLeather, Comparison
from nesting.compare.cost import PARTS
from nesting.compare.reasons import break_evens, reasons, remarks
from nesting.compare.small_layouts import piece_key, small_layouts
from nesting.compare.trial import Spread
from nesting.compare.words import LEATHER, YIELD, cautions, fastener_rules, plural, spread_text, warnings
from nesting.drawing.canvas import pdf_bytes
from nesting.drawing.lettering import shortened
from nesting.drawing.paper import MARGIN, Paper
from nesting.drawing.scene import Item, Line, Page, Text
from nesting.drawing.table import ROW, Column, paragraph, table
from nesting.making.joints import Use

PAPER = Paper("A4", lying=True)
WIDTH = PAPER.inner[0]
TOP = PAPER.height - MARGIN
MOST = 12
"""Leathers that one page shows: the cheapest."""
FOOT = 8.0
LEAST_BELOW = 75.0
"""Room that reasons and the chart of batches take at least, mm."""
SMALL = 2.3


def comparison_pdf(comparison: Comparison) -> bytes:
    """The comparison's pages as a PDF; the same comparison gives the same bytes."""
    return pdf_bytes(comparison_pages(comparison), f"{comparison.product}: leathers compared")


def comparison_pages(comparison: Comparison) -> list[Page]:
    """The pages."""
    shown = _shown(comparison)
    pages = [*_figures_pages(comparison, shown), _making_page(comparison, shown)]
    return [_numbered(page, number, len(pages)) for number, page in enumerate(pages, 1)]


def _shown(comparison: Comparison) -> list[ComparedLeather]:
    """In the file's order; the cheapest where there are too many."""
    ranked = [*comparison.by_cost, *(entry for entry in comparison.entries if entry.cost is None)]
    kept = ranked[:MOST]
    return [entry for entry in comparison.entries if entry in kept]


def _figures_pages(comparison: Comparison, shown: Sequence[ComparedLeather]) -> list[Page]:
    """Figures, charts and reasons on one page; the reasons on one of their own where there is too little room."""
    items, top = _head(comparison, shown, f"{comparison.product}: which leather, which thickness, what it costs")
    columns, rows = _figures(comparison, shown)
    items += table(columns, rows, MARGIN, top)
    top -= ROW * (len(rows) + 1) + 5
    row = max(6.0, min(10.0, 60 / len(shown)))
    cheapest = comparison.by_cost[0].name if comparison.by_cost else ""
    part, top = _charts(shown, cheapest, top, row)
    items += part
    if top - MARGIN - FOOT >= LEAST_BELOW:
        return [_page([*items, *_below(comparison, top - 5)], comparison)]
    more, top = _head(comparison, shown, f"{comparison.product}: why, and for which batch")
    return [_page(items, comparison), _page([*more, *_below(comparison, top - 3)], comparison)]


def _page(items: Sequence[Item], comparison: Comparison) -> Page:
    return Page(PAPER.width, PAPER.height, (*items, *_cautions(comparison)))


def _head(comparison: Comparison, shown: Sequence[ComparedLeather], title: str) -> tuple[list[Item], float]:
    top = TOP - 4.6
    items: list[Item] = [Text("words", (MARGIN, top), shortened(title, 5.0, WIDTH, bold=True), 5.0, bold=True)]
    told = (
        f"Costs in {comparison.currency} of one product made in batches of {comparison.number}. Search: effort "
        f"{comparison.settings.effort}, seed {comparison.settings.seed}.{_multiples(comparison)}"
    )
    if len(shown) < len(comparison.entries):
        told += f" The {len(shown)} cheapest of {len(comparison.entries)} leathers."
    for layer, line in [("quiet words", told), *(("alert words", each) for each in warnings(comparison))]:
        top -= 4.0
        items.append(Text(layer, (MARGIN, top), shortened(line, 2.6, WIDTH), 2.6))
    return items, top - 2.5


def _multiples(comparison: Comparison) -> str:
    pricing = comparison.entries[0].trial.made.making.pricing
    named = [("Wholesale", pricing.wholesale), ("retail", pricing.retail)]
    told = [f"{name} is {multiple:g} × the total" for name, multiple in named if multiple is not None]
    return f" {', '.join(told)}.".replace("retail is", "retail") if told else ""


def _figures(comparison: Comparison, shown: Sequence[ComparedLeather]) -> tuple[list[Column], list[list[str]]]:
    money = [Column(part, 15.5, "right") for part in PARTS]
    sums = [Column(name, 17, "right") for name in ("total", "wholesale", "retail")]
    fixed = [
        Column("mm", 14, "right"), Column("price", 29, "right"), Column("products", 18, "right"),
        Column("yield, %", 19, "right"), *money, *sums, Column("weight, g", 17, "right"),
    ]  # fmt: skip
    columns = [Column("leather", WIDTH - sum(column.width for column in fixed)), *fixed]
    return columns, [_figure_row(entry) for entry in shown]


def _figure_row(entry: ComparedLeather) -> list[str]:
    thick, cost = entry.trial.leather.thickness, entry.cost
    money = [getattr(cost, name) if cost else None for name in (*PARTS, "total", "wholesale", "retail")]
    return [
        entry.name,
        f"{thick.low:.1f}-{thick.high:.1f}",
        entry.trial.leather.price_text(),
        spread_text(Spread.of(entry.trial.products)),
        spread_text(Spread.of(entry.trial.yields), 1, 100),
        *("–" if amount is None else f"{amount:.2f}" for amount in money),
        "–" if entry.weight is None else f"{entry.weight:.0f}",
    ]


def _charts(shown: Sequence[ComparedLeather], cheapest: str, top: float, row: float) -> tuple[list[Item], float]:
    """Three charts side by side that share their rows, one a leather."""
    names, wide, narrow, between = 42.0, 119.0, 48.0, 10.0
    high = top - 5.5
    low = high - row * len(shown)
    x = MARGIN + names
    items: list[Item] = [*part_key(x, top - 3)]
    for number, entry in enumerate(shown):
        y = high - row * (number + 0.5) - 0.9
        best = len(shown) > 1 and entry.name == cheapest
        items.append(Text("words", (x - 2, y), shortened(entry.name, 2.6, names - 2, best), 2.6, "right", bold=best))
    items += cost_bars(shown, (x, low, x + wide, high), row)
    x += wide + between
    items.append(Text("words", (x, top - 2.8), "products a hide, least to most", SMALL))
    items += whiskers([Spread.of(e.trial.products) for e in shown], (x, low, x + narrow, high), row, "{:.3g}".format)
    x += narrow + between
    items.append(Text("words", (x, top - 2.8), "yield, % of the whole hide", SMALL))
    spreads = [Spread.of([100 * each for each in e.trial.yields]) for e in shown]
    items += whiskers(spreads, (x, low, x + narrow, high), row, "{:.3g}".format)
    return items, low - 4


def _below(comparison: Comparison, top: float) -> list[Item]:
    """Reasons on the left, cost against batch size on the right."""
    half = WIDTH * 0.52
    items: list[Item] = [Text("words", (MARGIN, top - 3), "Why, and at which price it would turn", 3.0, bold=True)]
    y = top - 5
    low = MARGIN + FOOT + 2
    for line in [*reasons(comparison), *break_evens(comparison), YIELD, LEATHER]:
        layer = "quiet words" if line in (YIELD, LEATHER) else "words"
        part, after = paragraph(line, MARGIN, y - 0.8, half, SMALL, layer)
        if after < low:
            break
        items, y = items + part, after
    items += _batch_table(comparison, y - 3, low, half)
    x = MARGIN + half + 18
    items.append(Text("words", (x - 8, top - 3), "Cost of one against the batch, hides bought whole", 3.0, bold=True))
    items += curve_key(comparison.by_cost, x, top - 3.5, PAPER.width - MARGIN - x)
    kept = min(len(comparison.by_cost), 4)
    frame = (x, low + 6.5, PAPER.width - MARGIN, top - 7 - 3.6 * kept)
    return items + step_chart(comparison.by_cost, comparison.number, frame)


def _batch_table(comparison: Comparison, top: float, low: float, wide: float) -> list[Item]:
    """Hides and cost for the batch, as far as there is room."""
    columns = [
        Column(f"for a batch of {comparison.number}", wide - 106), Column("hides, whole", 23, "right"),
        Column("pro rata", 16, "right"), Column("leather, each", 22, "right"),
        Column("total, each (seeds)", 45, "right"),
    ]  # fmt: skip
    rows = []
    for entry in comparison.by_cost[: max(0, int((top - low) / ROW) - 1)]:
        whole = entry.batch(comparison.number)
        assert whole is not None
        figures = [f"{whole.hides}", f"{whole.hides_pro_rata:.2f}", f"{whole.leather:.2f}", _by_seeds(entry, whole)]
        rows.append([entry.name, *figures])
    return table(columns, rows, MARGIN, top) if rows else []


def _by_seeds(entry: ComparedLeather, whole: Batch) -> str:
    told = ranges.batch_total(entry, whole.number) if entry.others else None
    return f"{whole.total:.2f}" + (f" ({told.text})" if told else "")


def _making_page(comparison: Comparison, shown: Sequence[ComparedLeather]) -> Page:
    items, top = _head(comparison, shown, f"{comparison.product}: layouts, joints and what to buy")
    joints, low = _joints(comparison, shown)
    bought, low_too = _bought(comparison)
    floor = max(low, low_too) + 3
    items += small_layouts(shown, (MARGIN, floor + 6, PAPER.width - MARGIN, top))
    items += piece_key(shown[0].trial.product, MARGIN, floor + 1, WIDTH)
    return _page([*items, *joints, *bought], comparison)


def _joints(comparison: Comparison, shown: Sequence[ComparedLeather]) -> tuple[list[Item], float]:
    """Stack and fastener of every joint in each leather, at the lower left; and what the joints need said."""
    wide = WIDTH * 0.58
    kept = shown[:4]
    each = (wide - 34) / len(kept)
    columns = [Column("joint (stack → size)", 34), *(Column(entry.name, each, "right") for entry in kept)]
    rows = _joint_rows(kept)[:8]
    lines = [*remarks(comparison)[:4], *fastener_rules(comparison)[:2]]
    low = MARGIN + FOOT + 2
    texts: list[Item] = []
    for line in reversed(lines):
        part, after = paragraph(line, MARGIN, 0, wide, SMALL, "quiet words")
        texts += [_raised(item, low - after) for item in part]
        low += -after + 0.6
    if not rows:
        return texts, low
    high = low + ROW * (len(rows) + 1) + 1.5
    return [*table(columns, rows, MARGIN, high), *texts], high


def _raised(item: Item, by: float) -> Item:
    assert isinstance(item, Text)
    return replace(item, at=(item.at[0], item.at[1] + by))


def _joint_rows(shown: Sequence[ComparedLeather]) -> list[list[str]]:
    rows = []
    for uses in zip(*(entry.trial.uses for entry in shown), strict=True):
        if uses[0].fastener is None:
            continue
        amount = f"{uses[0].number:g} × " if uses[0].fastener.kind != "thread" else ""
        told = [f"{use.stack:.1f} mm → {_holder(use)}" for use in uses]
        rows.append([f"{amount}{uses[0].joint.name}", *told])
    return rows


def _holder(use: Use) -> str:
    if use.fastener and use.fastener.kind == "thread":
        return f"{use.amount:.2f} m thread"
    return use.size.name if use.size else "none fits"


def _bought(comparison: Comparison) -> tuple[list[Item], float]:
    """The bill of materials of the cheapest, at the lower right."""
    if not comparison.by_cost:
        return [], MARGIN + FOOT
    entry = comparison.by_cost[0]
    x, wide = MARGIN + WIDTH * 0.62, WIDTH * 0.38
    columns = [
        Column("what", wide - 62), Column("needed", 16, "right"), Column("buy", 26, "right"),
        Column(comparison.currency, 20, "right"),
    ]  # fmt: skip
    rows = [
        [each.what, f"{each.needed:.4g}", f"{each.buy:g} {plural(each.unit, each.buy)}", f"{each.cost:.2f}"]
        for each in entry.bill[:14]
    ]
    rows.append(["all", "", "", f"{sum(each.cost for each in entry.bill):.2f}"])
    low = MARGIN + FOOT + 2
    high = low + ROW * (len(rows) + 1)
    title = shortened(f"To buy for {comparison.number} in {entry.name}, spares included", 3.0, wide, bold=True)
    return [*table(columns, rows, x, high), Text("words", (x, high + 1.5), title, 3.0, bold=True)], high + 5


def _cautions(comparison: Comparison) -> list[Item]:
    items: list[Item] = [Line("rule", ((MARGIN, MARGIN + FOOT - 1.4), (MARGIN + WIDTH, MARGIN + FOOT - 1.4)))]
    for number, line in enumerate(cautions(comparison)):
        words = shortened(line, 2.1, WIDTH - 20)
        items.append(Text("words", (MARGIN, MARGIN + 3.6 - 2.9 * number), words, 2.1))
    return items


def _numbered(page: Page, number: int, of: int) -> Page:
    words = Text("quiet words", (page.width - MARGIN, MARGIN + 0.7), f"page {number} of {of}", SMALL, "right")
    return replace(page, items=(*page.items, words))
