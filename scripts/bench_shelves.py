"""Plans as a stock grows: ten shelves of eight small hides, then the same with eight more; real layouts and limits.

The hides are the scenario's offcut made larger or smaller and turned over, at prices that differ by chance; what is
wanted are coasters and handles. With more hides on the shelf the plan should never cost more.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from shapely.geometry import Point

from hides.hide import Hide, Price
from hides.hide_file import read_hide
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan import Plan
from nesting.model.product import Piece, Product
from nesting.model.settings import Settings
from scripts.bench_stock import SCENARIO, scaled

PRODUCTS = {
    "coaster": Product("coaster", (Piece("disc", tuple(Point(0, 0).buffer(50, quad_segs=6).exterior.coords[:-1])),)),
    "handle": Product("handle", (Piece("strap", ((0, 0), (180, 0), (180, 28), (0, 28))),)),
}
SHELVES = 10
HIDES = 8


def shelves(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Every shelf before and after more hides are put on it."""
    dearer = 0
    for seed in range(1, SHELVES + 1):
        rng, started = random.Random(seed), time.process_time()
        hides = [_hide(rng, number) for number in range(2 * HIDES)]
        wanted = {"coaster": rng.randrange(20, 40), "handle": rng.randrange(15, 30)}
        before, after = (_planned(hides[:many], wanted, options.effort) for many in (HIDES, 2 * HIDES))
        dearer += before.full and after.cost > before.cost + 1e-6
        yield {
            "shelf": seed,
            "filled": f"{before.full}, {after.full}",
            "cost": f"{before.cost:.2f}, with more {after.cost:.2f}",
            "least": f"{before.least_cost:.2f}, {after.least_cost:.2f}",
            "CPU s": round(time.process_time() - started, 1),
        }
    yield {"dearer with more hides": dearer}


def _hide(rng: random.Random, number: int) -> Hide:
    hide = scaled(read_hide(SCENARIO / "offcut-1.json"), rng.uniform(0.5, 0.9), bool(number % 2))
    per_mm2 = rng.uniform(0.7, 1.3) * 1e-4
    return replace(hide, name=f"O-{number}", price=Price(per_mm2, "USD", per_mm2 * 1e6, "m2"), area=None)


def _planned(hides: list[Hide], wanted: dict[str, int], effort: str) -> Plan:
    lines = tuple(OrderLine(name, many, same=()) for name, many in wanted.items())
    return make_plan(Order("shelf", lines), hides, Tools(_product), Settings(effort=effort))


def _product(project: str, *_: object, **__: object) -> Product:
    return PRODUCTS[project]
