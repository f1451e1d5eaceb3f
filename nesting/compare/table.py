"""The comparison for the terminal: one column a leather, one row a figure, then the reasons in sentences."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import wrap

from hides.units import area_unit
from nesting.compare import ranges
from nesting.compare.comparison import ComparedLeather, Comparison
from nesting.compare.cost import PARTS
from nesting.compare.ranges import Range
from nesting.compare.reasons import break_evens, reasons, remarks
from nesting.compare.trial import Spread
from nesting.compare.words import cautions, explanations, fastener_text, plural, spread_text, warnings
from nesting.result.wording import money

DASH = "–"
Row = tuple[str, Callable[[ComparedLeather], str]]


def comparison_text(comparison: Comparison, width: int = 100) -> str:
    """The answer of `hideplan compare`: lines of at most `width` characters where the leathers' names allow."""
    many = len(comparison.entries)
    told = "1 leather" if many == 1 else f"{many} leathers"
    blocks = [
        [f"{comparison.product} in {told}, costs in {comparison.currency} a product."],
        warnings(comparison),
        grid(comparison, rows(comparison), width),
        [*reasons(comparison), *break_evens(comparison)],
        remarks(comparison),
        _bill(comparison),
        explanations(comparison),
        cautions(comparison),
    ]
    fitted = [[part for line in block for part in _fitted(line, width)] for block in blocks]
    return "\n\n".join("\n".join(block) for block in fitted if block) + "\n"


def rows(comparison: Comparison) -> list[Row]:
    """Every figure of the table: its name, and how it is told of one leather."""
    n = comparison.number
    return [
        ("thickness, mm", lambda e: f"{e.trial.leather.thickness.low:.1f}-{e.trial.leather.thickness.high:.1f}"),
        ("price", lambda e: e.trial.leather.price_text()),
        ("sample hides", lambda e: str(len(e.trial.hides))),
        ("products a hide", lambda e: spread_text(Spread.of(e.trial.products))),
        ("  from each", lambda e: ", ".join(map(str, e.trial.products))),
        *_over_seeds(comparison, ranges.products),
        ("  at most, proven", lambda e: ", ".join(map(str, e.trial.at_most))),
        ("yield, % of the hide", lambda e: spread_text(Spread.of(e.trial.yields), 1, 100)),
        *((f"{part}", _part(part)) for part in PARTS),
        *([("  with", lambda e: e.trial.leather.lines_text() or DASH)] if _has_lines(comparison) else []),
        ("total", lambda e: _money(e.cost.total if e.cost else None)),
        *_over_seeds(comparison, ranges.total),
        ("  from hide to hide", _hide_to_hide),
        ("leather, offcuts not counted", lambda e: _money(e.trial.leather_cost if e.trial.fits else None)),
        ("leather in the pieces alone", lambda e: _money(e.trial.leather_used)),
        ("price of what ends up in products", _net_price),
        *_priced(comparison),
        (f"hides for {n}, whole", lambda e: str(b.hides) if (b := e.batch(n)) else DASH),
        ("  chance that they do", lambda e: _chance(e, n)),
        ("  no fewer, proven", lambda e: str(b.hides) if (b := e.least_batch(n)) else DASH),
        (f"hides for {n}, pro rata", lambda e: f"{b.hides_pro_rata:.2f}" if (b := e.batch(n)) else DASH),
        (f"total, {n} from whole hides", lambda e: _money(b.total if (b := e.batch(n)) else None)),
        *_over_seeds(comparison, lambda e: ranges.batch_total(e, n)),
        ("  no less, proven", lambda e: _money(b.total if (b := e.least_batch(n)) else None)),
        ("minutes of work", lambda e: f"{e.work.total:.0f}"),
        ("weight, g", lambda e: DASH if e.weight is None else f"{e.weight:.0f}"),
        ("fasteners", lambda e: fastener_text(e) or DASH),
    ]


def _over_seeds(comparison: Comparison, tell: Callable[[ComparedLeather], Range | None]) -> list[Row]:
    """A figure's range, where there were several seeds."""
    if comparison.seeds < 2:
        return []
    return [(f"  over {comparison.seeds} seeds", lambda e: told.text if (told := tell(e)) else DASH)]


def _has_lines(comparison: Comparison) -> bool:
    return any(entry.trial.leather.lines_text() for entry in comparison.entries)


def grid(comparison: Comparison, shown: Sequence[Row], width: int) -> list[str]:
    """The rows as lines; long cells are broken into several lines."""
    head = max(len(name) for name, _ in shown)
    room = max(12, min(26, (width - head) // len(comparison.entries) - 2))
    lines = _cells("", [entry.name for entry in comparison.entries], head, room)
    lines.append("-" * (head + len(comparison.entries) * (room + 2)))
    for name, tell in shown:
        lines += _cells(name, [tell(entry) for entry in comparison.entries], head, room)
    return lines


def _cells(name: str, cells: Sequence[str], head: int, room: int) -> list[str]:
    broken = [wrap(cell, room) or [""] for cell in cells]
    lines = []
    for k in range(max(map(len, broken))):
        row = [(part[k] if k < len(part) else "").rjust(room) for part in broken]
        lines.append("  ".join([(name if k == 0 else "").ljust(head), *row]).rstrip())
    return lines


def _part(part: str) -> Callable[[ComparedLeather], str]:
    return lambda entry: _money(getattr(entry.cost, part) if entry.cost else None)


def _priced(comparison: Comparison) -> list[Row]:
    pricing = comparison.entries[0].trial.product.making.pricing
    found: list[Row] = []
    if pricing.wholesale is not None:
        found.append((f"wholesale, × {pricing.wholesale:g}", lambda e: _money(e.cost.wholesale if e.cost else None)))
    if pricing.retail is not None:
        found.append((f"retail, × {pricing.retail:g}", lambda e: _money(e.cost.retail if e.cost else None)))
    return found


def _hide_to_hide(entry: ComparedLeather) -> str:
    spread = entry.cost_spread
    return DASH if spread is None or spread.deviation is None else f"{spread.low:.2f}-{spread.high:.2f}"


def _chance(entry: ComparedLeather, number: int) -> str:
    """By the samples; one sample tells no chance."""
    many = entry.chance(number)
    return DASH if many is None or len(entry.trial.hides) < 2 else f"{100 * many:.0f} %"


def _net_price(entry: ComparedLeather) -> str:
    unit = entry.trial.leather.unit
    return f"{entry.trial.net_price * area_unit(unit):.2f} a {unit}" if entry.trial.fits else DASH


def _money(amount: float | None) -> str:
    return DASH if amount is None else f"{amount:.2f}"


def _bill(comparison: Comparison) -> list[str]:
    """The bill of materials of the cheapest."""
    if not comparison.by_cost:
        return []
    entry = comparison.by_cost[0]
    lines = [f"Bill of materials for {comparison.number} in {entry.name}, spares included:"]
    for line in entry.bill:
        needed = f"{line.needed:.2f}".rstrip("0").rstrip(".")
        lines.append(
            f"  {line.buy:g} {plural(line.unit, line.buy)} {line.what} (needed {needed}), "
            f"{money(line.cost, comparison.currency)}"
        )
    return lines


def _fitted(line: str, width: int) -> list[str]:
    return [line] if len(line) <= width or line.startswith("  ") else wrap(line, width, subsequent_indent="  ")
