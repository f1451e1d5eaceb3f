"""Strip packing on the public instances: the shortest container into which the search lays all pieces."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from statistics import mean
from threading import Lock
from typing import Any

import numpy as np
from shapely.geometry import Polygon, box

from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.settings import Deadline
from nesting.search.arrays.arrays import Arrays, build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill
from nesting.search.filling.leftover import placed
from nesting.search.separation.depth_maps import atlas
from nesting.search.separation.guided_local_search import pull_apart

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
        row = {"instance": name, "ours_mean": round(mean(got), 2), "ours_best": round(max(got), 2), **known}
        if "earlier_best" in known:
            ours.append(mean(got))
            theirs.append(known["earlier_best"])
            row["short_of_earlier_best"] = round(known["earlier_best"] - mean(got), 2)
        yield row
    if ours:
        yield {"instance": "MEAN", "ours_mean": round(mean(ours), 2), "earlier_best": round(mean(theirs), 2)}


STEPS = 0.01, 0.001
"""Shares by which a strip is shortened: at first, halved where it does not go; and in the last part of the time."""
PARTS = 0.8, 0.2
"""Shares of the time: until the small steps begin, and what one large step may take."""


def pack(name: str, seed: int, seconds: float) -> float:
    """The density reached in a strip, verified on the true outlines with shapely."""
    strip = Strip(json.loads((BENCHMARKS / f"{name}.json").read_text()), name in WIDENED)
    best = _Best(strip, seconds)
    with ThreadPoolExecutor(2) as pool:
        for done in [pool.submit(_work, best, np.random.default_rng((seed, k))) for k in range(2)]:
            done.result()
    strip.verify(best.laid)
    return strip.area / (WIDTH * strip.extent(best.laid))


class _Best:
    """The shortest strip so far, shared by the workers."""

    def __init__(self, strip: Strip, seconds: float) -> None:
        self.strip, self.seconds, self.deadline = strip, seconds, Deadline(seconds)
        self.laid, self.step, self.lock = strip.first(), STEPS[0], Lock()
        self.extent = strip.extent(self.laid)
        self.atlas = atlas(InnerFits(strip.arrays(self.extent), 4))

    def offer(self, laid: Sequence[Laid]) -> None:
        extent = self.strip.extent(list(laid))
        with self.lock:
            if extent < self.extent:
                self.laid, self.extent = list(laid), extent


def _work(best: _Best, rng: np.random.Generator) -> None:
    """Shorten the strip by steps until the time is up: everything pressed together, at the end pushed over a cut."""
    strip = best.strip
    while not best.deadline() and best.extent > strip.shortest * (1 + 1e-9):
        late = best.deadline.spent() > PARTS[0]
        laid, extent = best.laid, best.extent
        target = max(extent * (1 - (STEPS[1] * rng.uniform(0.1, 1) if late else best.step)), strip.shortest)
        start = strip.pushed(laid, extent, target, rng.uniform(0, extent)) if late else strip.pressed(laid, target)
        arrays = strip.arrays(target)
        until = Deadline((0.02 if late else PARTS[1]) * best.seconds)

        def stop(until: Deadline = until, target: float = target, late: bool = late) -> bool:
            over = best.deadline() or until() or best.extent <= target
            return over or (not late and best.deadline.spent() > PARTS[0])

        done = pull_apart(
            arrays, best.atlas.on(InnerFits(arrays, 4)), start, [], int(rng.integers(1 << 62)), 1 << 60, stop
        )
        if done.apart:
            best.offer(done.pieces)
        elif until():
            best.step = max(best.step / 2, STEPS[1])


def _spans(angles: Sequence[float] | None) -> list[tuple[float, float]]:
    """The angles allowed as intervals; of None any."""
    return [(-180.0, 180.0)] if angles is None else [(float(a), float(a)) for a in angles]


class Strip:
    """One instance, scaled so that its strip is 1000 wide."""

    def __init__(self, data: dict[str, Any], widened: bool) -> None:
        scale = WIDTH / data["strip_width"]
        self.area = data["total_area"] * scale**2
        self.width = WIDTH * (1.0001 if widened else 1.0)
        self.outlines = [Polygon(np.array(p["vertices"]) * scale) for p in data["pieces"]]
        self.angles = [_spans(p["angles"]) for p in data["pieces"]]
        self.many = [int(p["quantity"]) for p in data["pieces"]]
        self.shortest = self.area / self.width
        self.wide = self.arrays(50 * WIDTH)

    def arrays(self, length: float) -> Arrays:
        region = box(0, 0, length, self.width)
        kinds = tuple(
            Kind(str(k), 0, outline, (outline,), many, tuple(Orientation(False, *span, (0,)) for span in spans))
            for k, (outline, many, spans) in enumerate(zip(self.outlines, self.many, self.angles, strict=True))
        )
        return build(Problem((region,), (region,), kinds, (Wanted("all"),)))

    def first(self) -> list[Laid]:
        order = sorted(range(len(self.many)), key=lambda k: -self.outlines[k].area)
        sequence = [k for k in order for _ in range(self.many[k])]
        return bottom_left_fill(InnerFits(self.wide, 4), sequence, Sweep(0.0))

    def polygons(self, laid: list[Laid]) -> list[Polygon]:
        poses = [self.wide.pose_of(p.kind, p.orientation, p.x, p.y, p.angle) for p in laid]
        return [placed(self.wide.problem, pose) for pose in poses]

    def extent(self, laid: list[Laid]) -> float:
        return max(float(p.bounds[2]) for p in self.polygons(laid))

    def pressed(self, laid: list[Laid], target: float) -> list[Laid]:
        """The pieces drawn together along the strip."""
        share = target / self.extent(laid)
        return [Laid(p.kind, p.orientation, p.x * share, p.y, p.angle) for p in laid]

    def pushed(self, laid: list[Laid], extent: float, target: float, cut: float) -> list[Laid]:
        """The pieces beyond a cut pushed back by what the strip loses."""
        return [Laid(p.kind, p.orientation, p.x - (extent - target) * (p.x > cut), p.y, p.angle) for p in laid]

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
