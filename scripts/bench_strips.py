"""Strip packing on the public instances: the shortest container into which the search lays all pieces."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from statistics import mean
from typing import Any

import numpy as np
from shapely.geometry import Polygon, box

from nesting.problem import Kind, Problem, Stance, Wanted
from nesting.search.construct import Laid, Sweep, Yard, construct
from nesting.search.leftover import placed
from nesting.search.squeeze import squeeze
from nesting.search.tables import Book, build
from nesting.settings import Deadline

BENCHMARKS = Path(__file__).resolve().parents[2] / "shared" / "benchmarks"
WIDENED = {"shapes0", "shapes1", "fu", "jakobs1"}
"""Published runs widened these strips by 0.01 %; so do we."""
WIDTH = 1000.0


def strips(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """A row an instance: our mean and best density, and what is published."""
    if not BENCHMARKS.is_dir():
        print(f"the public instances are not here ({BENCHMARKS})")
        return
    published = json.loads((BENCHMARKS / "published.json").read_text())
    ours, theirs = [], []
    for name in sorted(published):
        if options.only not in name:
            continue
        got = [100 * pack(name, seed, options.seconds) for seed in range(1, options.seeds + 1)]
        known = published[name]
        row = {"instance": name, "mean": round(mean(got), 2), "best": round(max(got), 2), **known}
        if "earlier_best" in known:
            ours.append(mean(got))
            theirs.append(known["earlier_best"])
            row["short_of_earlier_best"] = round(known["earlier_best"] - mean(got), 2)
        yield row
    if ours:
        yield {"instance": "MEAN", "mean": round(mean(ours), 2), "earlier_best": round(mean(theirs), 2)}


def pack(name: str, seed: int, seconds: float) -> float:
    """The density reached in a strip, verified on the true outlines with shapely."""
    strip = Strip(json.loads((BENCHMARKS / f"{name}.json").read_text()), name in WIDENED)
    deadline = Deadline(seconds)
    rng = np.random.default_rng(seed)
    laid = strip.first()
    step, budget, tries = 0.02, 300_000, 0
    with ThreadPoolExecutor(2) as pool:
        while not deadline():
            target = strip.extent(laid) * (1 - step)
            book = strip.book(target)
            starts = [strip.pressed(laid, target), strip.shaken(laid, target, rng)]
            done = list(
                pool.map(
                    lambda pair, b=book, n=budget: squeeze(b, pair[1], [], pair[0], n, deadline),
                    enumerate(starts, 1000 * seed + 2 * tries),
                )
            )
            tries += 1
            fits = [list(d.pieces) for d in done if d.overlap == 0.0]
            if fits:
                laid = min(fits, key=strip.extent)
                step = min(step * 1.2, 0.02)
            else:
                step, budget = max(step / 2, 0.0005), min(int(budget * 1.4), 4_000_000)
    strip.verify(laid)
    return strip.area / (WIDTH * strip.extent(laid))


class Strip:
    """One instance, scaled so that its strip is 1000 wide."""

    def __init__(self, data: dict[str, Any], widened: bool) -> None:
        scale = WIDTH / data["strip_width"]
        self.area = data["total_area"] * scale**2
        self.width = WIDTH * (1.0001 if widened else 1.0)
        self.outlines = [Polygon(np.array(p["vertices"]) * scale) for p in data["pieces"]]
        self.angles = [[float(a) for a in p["angles"]] for p in data["pieces"]]
        self.many = [int(p["quantity"]) for p in data["pieces"]]
        self.wide = self.book(50 * WIDTH)

    def book(self, length: float) -> Book:
        region = box(0, 0, length, self.width)
        kinds = tuple(
            Kind(str(k), 0, outline, (outline,), many, tuple(Stance(False, a, a, (0,)) for a in angles))
            for k, (outline, many, angles) in enumerate(zip(self.outlines, self.many, self.angles, strict=True))
        )
        return build(Problem((region,), (region,), kinds, (Wanted("all"),)))

    def first(self) -> list[Laid]:
        order = sorted(range(len(self.many)), key=lambda k: -self.outlines[k].area)
        sequence = [k for k in order for _ in range(self.many[k])]
        return construct(Yard(self.wide, 4), sequence, Sweep(0.0))

    def polygons(self, laid: list[Laid]) -> list[Polygon]:
        poses = [self.wide.pose_of(p.kind, p.stance, p.x, p.y, p.angle) for p in laid]
        return [placed(self.wide.problem, pose) for pose in poses]

    def extent(self, laid: list[Laid]) -> float:
        return max(float(p.bounds[2]) for p in self.polygons(laid))

    def pressed(self, laid: list[Laid], target: float) -> list[Laid]:
        """The pieces drawn together along the strip."""
        share = target / self.extent(laid)
        return [Laid(p.kind, p.stance, p.x * share, p.y, p.angle) for p in laid]

    def shaken(self, laid: list[Laid], target: float, rng: np.random.Generator) -> list[Laid]:
        """The same with two pieces changed over."""
        out = self.pressed(laid, target)
        i, j = (int(k) for k in rng.choice(len(out), 2, replace=False))
        a, b = out[i], out[j]
        out[i] = Laid(a.kind, a.stance, b.x, b.y, a.angle)
        out[j] = Laid(b.kind, b.stance, a.x, a.y, b.angle)
        return out

    def verify(self, laid: list[Laid]) -> None:
        """All pieces there, inside the strip, none on another, to a ten-millionth of the strip's width squared."""
        lie = self.polygons(laid)
        assert len(lie) == sum(self.many)
        assert min(p.bounds[0] for p in lie) > -1e-3
        assert min(p.bounds[1] for p in lie) > -1e-3
        assert max(p.bounds[3] for p in lie) < self.width + 1e-3
        for i, first in enumerate(lie):
            for second in lie[i + 1 :]:
                assert first.intersection(second).area < 0.1, "pieces overlap"
