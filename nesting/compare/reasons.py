"""Why the cheapest leather is the cheapest, and at which price another would be: in plain sentences.

All is said of the layouts found on the sample hides. While some of them are still to be found, nothing is called the
only one, and what is the cheapest is so only by then.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.compare import ranges
from nesting.compare.comparison import ComparedLeather, Comparison
from nesting.compare.cost import PARTS
from nesting.making.joints import Use
from nesting.result.wording import money

LEAST = 0.005
"""Differences below half a cent are not told."""


def reasons(comparison: Comparison) -> list[str]:
    """The cheapest and why; leathers that give no product; what a batch changes."""
    ranked = comparison.by_cost
    lines = [_misfit(entry) for entry in misfits(comparison)]
    if not ranked:
        return lines
    first = ranked[0]
    assert first.cost is not None
    cheapest = f"{money(first.cost.total, comparison.currency)} a product"
    if len(ranked) == 1:
        return [f"{_alone(comparison, first)}: {cheapest}.", *lines]
    lines.insert(
        0, f"{'So far, h' if comparison.stopped else 'H'}ide for hide the cheapest is {first.name}, {cheapest}."
    )
    lines[1:1] = [_against(comparison, first, other) for other in ranked[1:]]
    return [*_batch_lines(comparison), *lines]


def _alone(comparison: Comparison, first: ComparedLeather) -> str:
    """That no other leather gave a product, of leathers that were all tried to the end."""
    if comparison.stopped:
        return f"So far products were laid on {first.name}"
    return f"Products were laid on {first.name} alone"


def _misfit(entry: ComparedLeather) -> str:
    why = f" ({entry.trial.why_not})" if entry.trial.why_not else ""
    return f"{entry.name}: not one complete product on its sample hides{why}."


def misfits(comparison: Comparison) -> list[ComparedLeather]:
    """Leathers whose sample hides give no product."""
    return [entry for entry in comparison.entries if entry.cost is None]


def break_evens(comparison: Comparison) -> list[str]:
    """For every dearer leather the price at which it would draw level, and how far the cheapest could rise."""
    ranked = comparison.by_cost
    if len(ranked) < 2:
        return []
    first, second = ranked[0], ranked[1]
    assert first.cost is not None
    assert second.cost is not None
    cheapest = not comparison.stopped and all(e.cost and e.cost.total >= first.cost.total for e in ranked)
    lines = [_level(entry, first, entry.break_even(first.cost.total)) for entry in ranked[1:]]
    if comparison.seeds > 1:
        lines = [_level_between(entry, first, line) for entry, line in zip(ranked[1:], lines, strict=True)]
    rise = first.break_even(second.cost.total)
    if rise is not None and cheapest:
        lines.append(f"{first.name} stays the cheapest up to {_price(first, rise)} (now {_now(first)}).")
    return lines


def _level(entry: ComparedLeather, first: ComparedLeather, price: float | None) -> str:
    if price is None:
        return f"{entry.name} would cost more than {first.name} even as a gift."
    return f"{entry.name} draws level with {first.name} at {_price(entry, price)} (now {_now(entry)})."


def _level_between(entry: ComparedLeather, first: ComparedLeather, line: str) -> str:
    """The break-even as a range, where every pair of seeds has one; else as the first seed has it."""
    prices = ranges.break_even(entry, first)
    if prices is None or f"{prices.low:.2f}" == f"{prices.high:.2f}":
        return line
    return (
        f"{entry.name} draws level with {first.name} between {prices.low:.2f} and {_price(entry, prices.high)}, by the "
        f"seed (now {_now(entry)})."
    )


def _price(entry: ComparedLeather, price: float) -> str:
    leather = entry.trial.leather
    per = "hide" if leather.per_hide is not None else leather.unit
    return f"{price:.2f} {leather.currency} a {per}"


def _now(entry: ComparedLeather) -> str:
    leather = entry.trial.leather
    return f"{leather.per_hide if leather.per_hide is not None else leather.per_area:.2f}"


def _against(comparison: Comparison, first: ComparedLeather, other: ComparedLeather) -> str:
    assert first.cost is not None
    assert other.cost is not None
    gap = other.cost.total - first.cost.total
    if gap <= -LEAST:
        less = money(-gap, comparison.currency)
        return f"{other.name} would cost {less} less, but only on a typical outline without flaws."
    if gap < LEAST:
        return f"{other.name} costs the same."
    parts = [(getattr(other.cost, part) - getattr(first.cost, part), part) for part in PARTS]
    parts = sorted((each for each in parts if abs(each[0]) >= LEAST), key=lambda each: -abs(each[0]))
    told = "; ".join(_part(amount, part, first, other) for amount, part in parts)
    return f"{other.name} costs {money(gap, comparison.currency)} more: {told}."


def _part(amount: float, part: str, first: ComparedLeather, other: ComparedLeather) -> str:
    words = f"{part} {'+' if amount > 0 else '−'}{abs(amount):.2f}"
    why = {"leather": _leather_why, "fasteners": _fastener_why}.get(part)
    told = why(first, other) if why else ""
    return f"{words} ({told})" if told else words


def _leather_why(first: ComparedLeather, other: ComparedLeather) -> str:
    a, b = first.trial, other.trial
    costs = sum(b.landed) / len(b.landed), sum(a.landed) / len(a.landed)
    return (
        f"{b.per_hide:.1f} products from a hide of {costs[0]:.0f} against {a.per_hide:.1f} from one of {costs[1]:.0f}"
    )


def _fastener_why(first: ComparedLeather, other: ComparedLeather) -> str:
    changes: dict[str, list[str]] = {}
    for mine, theirs in zip(other.trial.uses, first.trial.uses, strict=True):
        if mine.fastener and mine.size != theirs.size:
            changes.setdefault(f"{_size_name(mine)} for {_size_name(theirs)}", []).append(mine.joint.name)
    return ", ".join(f"{change} at {' and '.join(joints)}" for change, joints in changes.items())


def _size_name(use: Use) -> str:
    return use.size.name if use.size else "none"


def _batch_lines(comparison: Comparison) -> list[str]:
    """The cheapest for the batch that was asked for, every hide bought whole."""
    entry, number = comparison.for_batch[0], comparison.number
    one = entry.batch(number)
    assert one is not None
    hides = "1 hide" if one.hides == 1 else f"{one.hides} hides"
    likely = entry.chance(number)
    sure = "" if likely is None or len(entry.trial.hides) < 2 or likely > 0.995 else (
        f"; going by the samples so many are enough in {100 * likely:.0f} of 100 cases"
    )  # fmt: skip
    told = money(one.total, comparison.currency)
    when = "So far, for" if comparison.stopped else "For"
    line = f"{when} {number} the cheapest is {entry.name}: {told} a product from {hides} bought whole{sure}."
    return [line, *_close(comparison)]


def _close(comparison: Comparison) -> list[str]:
    """That the search alone could turn the order about, where it could."""
    if comparison.seeds < 2 or len(comparison.for_batch) < 2:
        return []
    if ranges.told_apart(comparison) and not comparison.stopped:
        return [f"Each of {comparison.seeds} seeds has it cheaper than every other one."]
    first, *others = [(e, ranges.batch_total(e, comparison.number)) for e in comparison.for_batch]
    near = [f"{e.name} {r.text}" for e, r in others if r and first[1] and first[1].meets(r)]
    if not near or not first[1]:
        return []
    return [f"Too close to call by {comparison.seeds} seeds: {first[0].name} {first[1].text}, {', '.join(near)}."]


def remarks(comparison: Comparison) -> list[str]:
    """What the joints need said: faults first, each with the leathers it holds for."""
    found: dict[tuple[bool, str, str], list[str]] = {}
    for entry in comparison.entries:
        for remark in entry.trial.remarks:
            found.setdefault((not remark.fault, remark.joint, remark.text), []).append(entry.name)
    order: Sequence[tuple[bool, str, str]] = sorted(found, key=lambda each: each[0])
    told = [_remark(joint, text, found[later, joint, text], comparison) for later, joint, text in order]
    return [*_left_out(comparison), *told]


def _left_out(comparison: Comparison) -> list[str]:
    """Of which of the product's leathers the cost and the weight know nothing."""
    trial = comparison.entries[0].trial
    of = {piece.leather for piece in trial.product.pieces}
    others = [leather.name for leather in trial.made.leathers if leather.name not in of]
    if not others or trial.made is trial.product:
        return []
    return [
        f"The leather for {', '.join(others)} is in no cost and no weight: only {', '.join(sorted(of))} is compared."
    ]


def _remark(joint: str, text: str, names: list[str], comparison: Comparison) -> str:
    where = f"Joint “{joint}”: " if joint else ""
    only = f" ({', '.join(names)})" if len(names) < len(comparison.entries) else ""
    line = f"{where}{text}{only}."
    return line[0].upper() + line[1:]
