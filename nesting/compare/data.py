"""The comparison as plain data (format hideplan-comparison-1) and as a table of comma-separated values."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import asdict
from typing import Any

from nesting.compare import ranges
from nesting.compare.batches import Batch
from nesting.compare.comparison import ComparedLeather, Comparison
from nesting.compare.cost import PARTS, Cost
from nesting.compare.reasons import break_evens, reasons, remarks
from nesting.compare.words import cautions, explanations, fastener_text, warnings
from nesting.making.joints import Use

FORMAT = "hideplan-comparison-1"
CENT = 4
"""Decimals of money in data."""


def comparison_data(comparison: Comparison) -> dict[str, Any]:
    """Everything the comparison says; money in `currency`, mm, g and minutes; null where a figure cannot be told."""
    cheapest = comparison.by_cost[0].name if comparison.by_cost else None
    return {
        "format": FORMAT,
        "product": comparison.product,
        "currency": comparison.currency,
        "batch": comparison.number,
        "seed": comparison.settings.seed,
        "seeds": comparison.seeds,
        "told_apart": ranges.told_apart(comparison) if comparison.seeds > 1 else None,
        "effort": comparison.settings.effort,
        "stopped": comparison.stopped,
        "untried": list(comparison.untried),
        "cheapest": cheapest,
        "cheapest_for_batch": comparison.for_batch[0].name if comparison.for_batch else None,
        "leathers": [_entry(comparison, entry) for entry in comparison.entries],
        "reasons": reasons(comparison),
        "break_even": break_evens(comparison),
        "remarks": remarks(comparison),
        "warnings": warnings(comparison),
        "meaning": explanations(comparison),
        "cautions": cautions(comparison),
    }


def comparison_json(comparison: Comparison) -> str:
    """The data as text; the same comparison gives the same bytes."""
    return json.dumps(comparison_data(comparison), ensure_ascii=False, indent=1) + "\n"


def comparison_csv(comparison: Comparison) -> str:
    """One row a leather, for a spreadsheet."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    records = [_record(comparison, entry) for entry in comparison.entries]
    writer.writerow(records[0])
    for record in records:
        writer.writerow(["" if value is None else value for value in record.values()])
    return stream.getvalue()


def _entry(comparison: Comparison, entry: ComparedLeather) -> dict[str, Any]:
    trial, leather = entry.trial, entry.trial.leather
    whole = entry.batch(comparison.number)
    level = comparison.by_cost[0].cost if comparison.by_cost else None
    return {
        "name": entry.name,
        "thickness_mm": [round(leather.thickness.low, 4), round(leather.thickness.high, 4)],
        "t_mm": round(trial.t, 4),
        "colour": leather.colour,
        "estimate": leather.estimate,
        "hides": [hide.name for hide in trial.hides],
        "products_per_hide": list(trial.products),
        "at_most": list(trial.at_most),
        "yield": [round(each, 6) for each in trial.yields],
        "leather_cost": _rounded(trial.leather_cost if trial.fits else None),
        "leather_charged": _rounded(trial.leather_charged if trial.fits else None),
        "leather_used": _rounded(trial.leather_used),
        "net_price_m2": _rounded(trial.net_price * 1e6 if trial.fits else None),
        "weight_g": _rounded(entry.weight, 1),
        "fasteners": [_use(use) for use in trial.uses if use.fastener],
        "cost": _cost(entry.cost),
        "break_even": _rounded(entry.break_even(level.total) if level else None),
        "minutes": {name: round(value, 2) for name, value in asdict(entry.work).items()},
        "chance": _rounded(entry.chance(comparison.number)),
        "least_batch": _batch(entry.least_batch(comparison.number)),
        "over_seeds": _over_seeds(comparison, entry),
        "batch": _batch(whole),
        "steps": [[each.number, each.hides, _rounded(each.total)] for each in entry.steps],
        "bill": [{**asdict(line), "cost": _rounded(line.cost)} for line in entry.bill],
    }


def _batch(whole: Batch | None) -> dict[str, float | None] | None:
    return None if whole is None else {k: _rounded(v) for k, v in asdict(whole).items()}


def _over_seeds(comparison: Comparison, entry: ComparedLeather) -> dict[str, Any]:
    """The least and the most of each figure over the seeds."""
    first = comparison.by_cost[0] if comparison.by_cost else None
    told = {
        "products_per_hide": ranges.products(entry),
        "total": ranges.total(entry),
        "batch_total": ranges.batch_total(entry, comparison.number),
        "break_even": ranges.break_even(entry, first) if first else None,
    }
    found = {name: None if each is None else [_rounded(each.low), _rounded(each.high)] for name, each in told.items()}
    return {"seeds": 1 + len(entry.others), **found}


def _use(use: Use) -> dict[str, Any]:
    assert use.fastener is not None
    thread = use.fastener.kind == "thread"
    return {
        "joint": use.joint.name,
        "stack_mm": round(use.stack, 3),
        "fastener": use.fastener.name,
        "size": use.size.name if use.size else None,
        "number": None if thread else use.number,
        "thread_m": round(use.amount, 3) if thread else None,
    }


def _cost(cost: Cost | None) -> dict[str, float | None] | None:
    if cost is None:
        return None
    return {name: _rounded(getattr(cost, name)) for name in (*PARTS, "total", "wholesale", "retail")}


def _record(comparison: Comparison, entry: ComparedLeather) -> dict[str, Any]:
    data, cost = _entry(comparison, entry), _cost(entry.cost) or {}
    whole = data["batch"] or {}
    hides = len(data["hides"])
    return {
        "leather": entry.name,
        "thickness low mm": data["thickness_mm"][0],
        "thickness high mm": data["thickness_mm"][1],
        "sample hides": hides,
        "products per hide": round(sum(data["products_per_hide"]) / hides, 3),
        "yield": round(sum(data["yield"]) / hides, 4),
        **{f"{part} {comparison.currency}": cost.get(part) for part in (*PARTS, "total", "wholesale", "retail")},
        f"leather used {comparison.currency}": data["leather_used"],
        "batch": comparison.number,
        "hides for batch": whole.get("hides"),
        f"total from whole hides {comparison.currency}": whole.get("total"),
        "minutes": round(entry.work.total, 1),
        "weight g": data["weight_g"],
        "fasteners": fastener_text(entry),
        "seeds": 1 + len(entry.others),
        "total from whole hides, least of the seeds": (data["over_seeds"]["batch_total"] or [None])[0],
        "total from whole hides, most of the seeds": (data["over_seeds"]["batch_total"] or [None])[-1],
        "total from whole hides, no less": (data["least_batch"] or {}).get("total"),
    }


def _rounded(value: float | None, places: int = CENT) -> float | None:
    return None if value is None else round(value, places)
