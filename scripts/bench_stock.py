"""Plans over large stocks: what they cost beside their bound, in CPU and memory; stocks are the scenario's, varied.

Cases: `racks` (84 hides, 120 map racks and 100 tool rolls), `rolls` (40 hides, 250 tool rolls and 150 key fobs),
`works` (200 hides, 1,200 tool rolls and 800 key fobs), `few` (28 hides, 24 map racks and 20 tool rolls). CPU is that of
this process and all its workers; memory the largest of any one of them.
"""

from __future__ import annotations

import argparse
import random
import resource
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hides.hide import Hide, Ring
from hides.hide_file import read_hide
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.workers import workers
from nesting.model.settings import Settings, Watch, never
from nesting.project.project_file import read_product

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
FILES = ("side-1", "side-2", "side-3", "shoulder-1", "bend-1", "bend-2")


@dataclass(frozen=True)
class Case:
    """So many hides and products by their project's name."""

    hides: int
    wanted: dict[str, int]


CASES = {
    "few": Case(28, {"map-rack": 24, "tool-roll": 20}),
    "racks": Case(84, {"map-rack": 120, "tool-roll": 100}),
    "rolls": Case(40, {"tool-roll": 250, "key-fob": 150}),
    "works": Case(200, {"tool-roll": 1200, "key-fob": 800}),
}


def stocks(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Every case at the effort asked for (`--only` picks one)."""
    for name, case in CASES.items():
        if options.only in name:
            yield _row(name, case, Settings(effort=options.effort))


def _row(name: str, case: Case, settings: Settings) -> dict[str, Any]:
    hides = [varied(number) for number in range(case.hides)]
    lines = [OrderLine(str(SCENARIO / f"{each}.toml"), many, same=()) for each, many in case.wanted.items()]
    started, before = time.monotonic(), _cpu()
    with workers(None, never) as executor:
        plan = make_plan(Order(name, tuple(lines)), hides, Tools(read_product), settings, Watch(executor=executor))
    return {
        "case": name,
        "filled": plan.full,
        "short": [plan.short(place) for place in range(len(plan.demands))],
        "hides": f"{len(plan.cuts)} (no fewer than {plan.least_hides})",
        "cost": round(plan.cost, 2),
        "least": round(plan.least_cost, 2),
        "over": f"{100 * (plan.cost / plan.least_cost - 1):.1f} %" if plan.least_cost else "-",
        "by known layouts": plan.relaxed and round(plan.relaxed, 2),
        "cpu": round(_cpu() - before),
        "seconds": round(time.monotonic() - started),
        "MB": round(_memory() / 1024),
    }


def varied(number: int) -> Hide:
    """A hide of the scenario made larger or smaller, every other one turned over: the first six are as they are."""
    hide = read_hide(SCENARIO / f"{FILES[number % len(FILES)]}.json")
    rng = random.Random(number)
    by = rng.uniform(0.92, 1.06) if number >= len(FILES) else 1.0
    return replace(scaled(hide, by, bool(number % 2 and number >= len(FILES))), name=f"{hide.name}-{number}")


def scaled(hide: Hide, by: float, turned_over: bool) -> Hide:
    """A hide so many times as long and wide, turned over or not."""
    flip = -1.0 if turned_over else 1.0

    def ring(points: Ring) -> Ring:
        moved = tuple((x * by, y * by * flip) for x, y in points)
        return moved[::-1] if flip < 0 else moved

    return replace(
        hide,
        outline=ring(hide.outline),
        holes=tuple(ring(each) for each in hide.holes),
        backbone=hide.backbone and tuple((x * by, y * by * flip) for x, y in hide.backbone),  # type: ignore[arg-type]
        area=hide.area and hide.area * by * by,
        flaws=tuple(replace(flaw, outline=ring(flaw.outline)) for flaw in hide.flaws),
        zones=tuple(
            replace(
                zone,
                outline=ring(zone.outline),
                backbone=zone.backbone and tuple((x * by, y * by * flip) for x, y in zone.backbone),
            )
            for zone in hide.zones
        ),
    )


def _cpu() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def _memory() -> int:
    return max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
