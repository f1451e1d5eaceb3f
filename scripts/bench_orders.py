"""Generated orders: plans against one hide filled after the other, and against plans known beforehand."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from shapely.geometry import Point, box

from hides.hide import Hide, Price
from hides.typical import typical_hide
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.workers import workers
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings, Watch, never

PRICE = Price(1e-4, "USD", 1.0, "dm2")


@dataclass(frozen=True)
class Case:
    """An order of products, a shelf, and where it is known the hides that surely fill it."""

    wanted: tuple[tuple[Product, int], ...]
    shelf: tuple[Hide, ...]
    known: tuple[Hide, ...] = ()

    def order(self) -> Order:
        return Order("bench", tuple(OrderLine(made.name, many) for made, many in self.wanted))

    def read(self, name: str, _thickness: float | None) -> Product:
        return next(made for made, _ in self.wanted if made.name == name)


def orders(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Four mixed orders and two planted ones a seed."""
    settings = Settings(effort=options.effort)
    with workers(None, never) as executor:
        watch = Watch(executor=executor)
        for seed in range(1, 4 * options.seeds + 1) if options.only in "mixed" else ():
            case = mixed(seed)
            apart = one_after_the_other(case, settings)
            yield _row(f"mixed {seed}", case, settings, watch) | {"one by one": apart}
        for seed in range(1, 2 * options.seeds + 1) if options.only in "planted" else ():
            case = planted(seed, settings)
            cost = sum(hide.cost or 0.0 for hide in case.known)
            row = _row(f"planted {seed}", case, settings, watch)
            yield row | {"known": len(case.known), "over": f"{100 * (row['cost'] / cost - 1):.1f} %"}


def _row(name: str, case: Case, settings: Settings, watch: Watch) -> dict[str, Any]:
    started = time.monotonic()
    plan = make_plan(case.order(), case.shelf, Tools(case.read), settings, watch)
    return {
        "case": name,
        "filled": plan.full,
        "hides": len(plan.cuts),
        "least hides": plan.least_hides,
        "cost": round(sum(cut.cost for cut in plan.cuts), 2),
        "least cost": round(plan.least_cost, 2),
        "seconds": round(time.monotonic() - started),
    }


def mixed(seed: int) -> Case:
    """Two to four products in small numbers: each alone leaves its last hide part empty."""
    rng = np.random.default_rng(seed)
    shelf = _shelf(rng, 8)
    products = [_product(rng, f"goods {k}") for k in range(int(rng.integers(2, 5)))]
    part = rng.dirichlet(np.ones(len(products))) * rng.uniform(0.25, 0.45) * sum(h.measured_area for h in shelf) * 0.6
    return Case(tuple((p, max(1, int(a / p.area))) for p, a in zip(products, part, strict=True)), shelf)


def planted(seed: int, settings: Settings) -> Case:
    """What some hides of the shelf gave when they were filled with all products mixed is ordered."""
    rng = np.random.default_rng(1000 + seed)
    shelf = _shelf(rng, 7)
    products = [_product(rng, f"goods {k}") for k in range(3)]
    known = tuple(shelf[k] for k in sorted(rng.choice(len(shelf), int(rng.integers(2, 4)), replace=False)))
    many = dict.fromkeys(range(len(products)), 0)
    for hide in known:
        worths = [p.area * rng.uniform(0.9, 1.1) for p in products]
        limits = [max(1, int(rng.uniform(0.2, 0.5) * hide.measured_area / p.area)) for p in products]
        wants = [Want(p, w, n) for p, w, n in zip(products, worths, limits, strict=True)]
        for k, count in enumerate(lay_out(hide, wants, settings).counts):
            many[k] += count.complete
    return Case(tuple((p, many[k]) for k, p in enumerate(products) if many[k]), shelf, known)


def one_after_the_other(case: Case, settings: Settings) -> int:
    """Hides cut when each product in turn is laid on hide after hide in the shelf's order, as `yield` does."""
    free, used = list(case.shelf), 0
    for made, many in case.wanted:
        left = many
        while left > 0 and free:
            got = lay_out(free.pop(0), [Want(made, limit=left)], settings).counts[0].complete
            used += got > 0
            left -= got
    return used


def _shelf(rng: np.random.Generator, many: int) -> tuple[Hide, ...]:
    cuts: Sequence[str] = ("bend", "double shoulder", "shoulder", "side")
    made = []
    for k in range(many):
        hide = typical_hide(cuts[int(rng.integers(len(cuts)))], float(rng.uniform(35, 70)) * 1e4, f"H-{k + 1}")
        made.append(Hide(hide.name, hide.outline, hide.cut, backbone=hide.backbone, edge=5.0, price=PRICE))
    return tuple(made)


def _product(rng: np.random.Generator, name: str) -> Product:
    """A kit of two or three pieces: a panel, a strap along the backbone, a round-ended flap."""
    wide, long = rng.uniform(70, 130), rng.uniform(120, 200)
    shapes = [
        (box(0, 0, wide, long), Along.ANY),
        (box(0, 0, rng.uniform(18, 35), rng.uniform(180, 320)), Along.BACKBONE),
        (box(0, 0, wide, 60).union(Point(wide / 2, 60).buffer(wide / 2, quad_segs=8)), Along.ANY),
    ]
    chosen = sorted(rng.choice(3, int(rng.integers(2, 4)), replace=False))
    pieces = [
        Piece(f"{name} {k}", tuple((float(x), float(y)) for x, y in shapes[k][0].exterior.coords[:-1]),
              count=int(rng.integers(1, 3)), along=shapes[k][1], tolerance=5.0)
        for k in chosen
    ]  # fmt: skip
    return Product(name, tuple(pieces))
