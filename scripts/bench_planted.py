"""Hides drawn round known dense layouts, and the scenario's pairings."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon

from hides.hide import Flaw, Grade, Hide
from hides.hide_file import read_hide
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings
from nesting.posing.pose_problem import pose_problem
from nesting.project.project_file import read_product
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill
from nesting.search.filling.leftover import placed

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"


def scenario(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Every demo pairing at the effort asked for."""
    for name, hide, made in pairings():
        yield _run(name, hide, made, options)


def pairings() -> Iterator[tuple[str, Hide, Product]]:
    """The scenario's hides and products of many pieces, each with each."""
    for name in ("side-1", "shoulder-1", "bend-1"):
        for project in ("map-rack", "tool-roll"):
            hide = read_hide(SCENARIO / f"{name}.json")
            made = read_product(SCENARIO / f"{project}.toml", hide.thickness.middle if hide.thickness else None)
            yield f"{project} on {name}", hide, made


def planted(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Kits of 5-8 pieces planted 5-15 times, the hide drawn round them with a rough edge and flaws in the gaps."""
    for seed in range(1, 3 * options.seeds + 1):
        hide, made, many = plant(seed)
        share = many * made.area / hide.measured_area
        yield _run(f"planted {seed}", hide, made, options) | {"planted": many, "dense": round(share, 3)}


def _run(name: str, hide: Hide, made: Product, options: argparse.Namespace) -> dict[str, Any]:
    if options.only not in name:
        return {"case": name, "left": "out"}
    started = time.monotonic()
    layout = lay_out(hide, [Want(made)], Settings(effort=options.effort))
    areas, count = layout.hides[0].areas, layout.counts[0]
    return {
        "case": name,
        "complete": count.complete,
        "at_most": count.at_most,
        "yield": round(areas.pieces / areas.usable, 3),
        "seconds": round(time.monotonic() - started, 1),
    }


def plant(seed: int) -> tuple[Hide, Product, int]:
    """A hide, a product, and how many of it are known to fit: an exact construction with the leather cut off close."""
    rng = np.random.default_rng(seed)
    made = Product("kit", tuple(_piece(rng, k) for k in range(int(rng.integers(5, 9)))))
    many = int(rng.integers(5, 16))
    area = made.area * many
    high = float(np.sqrt(area * rng.uniform(0.4, 0.8)))
    board = Hide("board", ((0, 0), (20 * high, 0), (20 * high, high), (0, high)), backbone=((0, 0), (1, 0)))
    problem = pose_problem(board, [Want(made)], 0.0)
    fits = InnerFits(build(problem), 4)
    best: list[Polygon] = []
    for turn in range(12):
        order = sorted(range(len(problem.kinds)), key=lambda k: -problem.kinds[k].area * rng.lognormal(0, 0.3 * turn))
        sequence = [k for k in order for _ in range(problem.kinds[k].count * many)]
        laid = bottom_left_fill(fits, sequence, Sweep(0.0, 1.0, float(turn % 2)))
        poses = [fits.arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle) for p in laid]
        lie = [placed(problem, pose) for pose in poses]
        if not best or max(p.bounds[2] for p in lie) < max(p.bounds[2] for p in best):
            best = lie
    return _drawn_round(best, rng, seed), made, many


def _piece(rng: np.random.Generator, k: int) -> Piece:
    w, long = float(rng.integers(25, 120)), float(rng.integers(80, 320))
    shape = int(rng.integers(4))
    ring = [(0.0, 0.0), (w, 0.0), (w, long), (0.0, long)]
    if shape == 1:
        ring = [(0.0, 0.0), (w, 0.0), (0.75 * w, long), (0.25 * w, long)]
    if shape == 2:
        curve = Point(0, 0).buffer(1.0, quad_segs=6).exterior.coords[:-1]
        ring = [(w / 2 * (1 + x), long / 2 * (1 + y)) for x, y in reversed(curve)]
    if shape == 3:
        ring = [(0.0, 0.0), (w / 4, 0.0), (w / 4, 2.5 * long / 2), (0.0, 2.5 * long / 2)]
    along = [Along.BACKBONE, Along.ACROSS][int(rng.integers(2))]
    return Piece(f"piece {k}", tuple(ring), int(rng.integers(1, 3)), along=along, tolerance=float(rng.choice([0, 5])))


def _drawn_round(lie: list[Polygon], rng: np.random.Generator, seed: int) -> Hide:
    """The leather cut off close round planted pieces, rough, with flaws in the largest gaps."""
    whole = shapely.union_all([p.buffer(0.05, join_style="mitre") for p in lie])
    close = whole.buffer(12).buffer(-11)
    shell = Polygon(close.exterior if close.geom_type == "Polygon" else close.convex_hull.exterior)
    rough = shapely.union_all(
        [shell, *(Point(*shell.exterior.interpolate(t, normalized=True).coords[0]).buffer(rng.uniform(2, 9), 3)
                  for t in rng.uniform(0, 1, 40))]
    )  # fmt: skip
    gaps = sorted(shapely.get_parts(Polygon(rough.exterior).difference(whole).buffer(-2)), key=lambda g: -g.area)[:8]
    flaws = tuple(
        Flaw(
            "hole",
            tuple(affinity.scale(gap.representative_point().buffer(3.0, 2), 0.3, 0.3).exterior.coords[:-1][::-1]),
        )
        for gap in gaps
        if gap.area > 60
    )
    return Hide(
        f"planted {seed}", tuple(rough.exterior.coords[:-1]), backbone=((0, 0), (1, 0)), grade=Grade.A, flaws=flaws
    )
