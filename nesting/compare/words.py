"""Sentences that every form of the answer shows: what is meant by yield and cost, estimates, cautions."""

from __future__ import annotations

from collections.abc import Sequence

from hides.typical_flaws import REASON
from nesting.compare.comparison import ComparedLeather, Comparison
from nesting.compare.trial import Spread
from nesting.making.pick import rule_text

CAUTIONS = (
    "Nothing here is rated for a load. Test what hangs before use, inspect it often, fix it to the wall by local "
    "codes; never for people."
)
DUST = "Keep blades sharp and hands clear; leather dust is harmful: catch it. Ventilate dyes and solvents."
MOST_NAMES = 3
YIELD = (
    "Yield: leather in complete products over the whole measured hide; the rest is waste, edge strip and flaws "
    "included. No surcharge for waste is added to any cost."
)
LEATHER = (
    "Leather: price and freight of the sample hides, parted between products and offcuts by area and grade, so that "
    "products carry all waste and offcuts keep what they are worth. “Offcuts not counted” charges products with all "
    "of it, “in the pieces alone” with their own area only, “from whole hides” a batch with every hide opened."
)


def explanations(comparison: Comparison) -> list[str]:
    """What the figures mean."""
    return [YIELD, LEATHER, *fastener_rules(comparison)]


def fastener_rules(comparison: Comparison) -> list[str]:
    """The rule by which each fastener's size was picked."""
    making = comparison.entries[0].trial.product.making
    return [f"{f.name[0].upper()}{f.name[1:]}: {rule_text(f)}." for f in making.fasteners if f.kind != "thread"]


def cautions(comparison: Comparison) -> list[str]:
    """The usual cautions; those for hung things only where the product hangs or carries."""
    return [CAUTIONS, DUST] if comparison.hangs else [DUST]


def warnings(comparison: Comparison) -> list[str]:
    """Estimates and searches cut short, which every figure depends on."""
    lines = []
    guessed = [entry.name for entry in comparison.entries if entry.trial.leather.estimate]
    if guessed:
        lines.append(f"ESTIMATE for {_named(guessed)}: tried on a typical outline, not on a measured hide; {REASON}.")
    cut = [entry.name for entry in comparison.entries if entry.trial.stopped]
    if cut:
        lines.append(f"Stopped before the search was done: the figures of {_named(cut)} are the best so far.")
    if comparison.untried:
        lines.append(f"Stopped early; not tried: {_named(comparison.untried)}.")
    if comparison.entries[0].trial.product.making.labour is None:
        lines.append("The project file states no labour: the totals are material alone.")
    unfit = [entry.name for entry in comparison.entries if any(u.fastener and not u.size for u in entry.trial.uses)]
    if unfit:
        lines.append(
            f"The list holds no fitting fastener for some joints of {_named(unfit)}: its cost leaves them out."
        )
    single = [entry.name for entry in comparison.entries if len(entry.trial.hides) == 1]
    if single:
        lines.append(f"One sample hide only for {_named(single)}: no spread can be told.")
    flawless = [entry.name for entry in comparison.entries if entry.trial.leather.flawless]
    if flawless:
        lines.append(f"Without flaws, so never named the cheapest beside others: {_named(flawless)}.")
    lines.append(
        f"Ranges: every hide searched from {comparison.seeds} seeds. No search can pass “at most”."
        if comparison.seeds > 1
        else "One search a hide: another seed may give a product more or less, up to “at most”; cost and break-even "
        "shift with it."
    )
    return lines


def _named(names: Sequence[str]) -> str:
    """Leathers by name, as far as a person would read on."""
    if len(names) <= MOST_NAMES:
        return " and ".join(names) if len(names) < 3 else "; ".join(names)
    return f"{'; '.join(names[:MOST_NAMES])} and {len(names) - MOST_NAMES} more"


def spread_text(spread: Spread, places: int = 1, factor: float = 1.0) -> str:
    """A mean with its standard deviation, or the mean alone.

    >>> spread_text(Spread.of([5, 7])), spread_text(Spread.of([5]))
    ('6.0 ± 1.4', '5.0')
    """
    told = f"{spread.mean * factor:.{places}f}"
    return told if spread.deviation is None else f"{told} ± {spread.deviation * factor:.{places}f}"


def fastener_text(entry: ComparedLeather) -> str:
    """The fasteners of one product by size, as a list in words: "4 × 1/4 in, 2.5 m linen thread"."""
    counts: dict[tuple[str, bool], float] = {}
    for use in entry.trial.uses:
        if use.fastener:
            thread = use.fastener.kind == "thread"
            name = use.fastener.name if thread else use.size.name if use.size else "none fits"
            counts[name, thread] = counts.get((name, thread), 0) + use.amount
    return ", ".join(f"{n:.1f} m {name}" if thread else f"{n:g} × {name}" for (name, thread), n in counts.items())


def plural(unit: str, number: float) -> str:
    """The unit as it stands after a number."""
    return f"{unit}s" if unit in ("hide", "piece") and number != 1 else unit
