"""Pieces dragged at random on the page's own contact, each layout that comes of it judged by the check.

Protocol. Pieces of a layout are grabbed at random (a fixed seed) and dragged in eight moves, half of them anywhere on
the hide; now and then one is turned first. Counted: layouts that the check refuses, pieces lost, and of the drags to a
place that is free those that end within 0.5 mm of their aim. The time is CPU of one move, without drawing.
"""

from __future__ import annotations

import argparse
import json
import shutil
import statistics
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import nesting
from hides.hide_file import read_hide
from nesting.laying.lay_out import Want, lay_out
from nesting.model.layout import Layout, Placement
from nesting.model.settings import Settings
from nesting.page.by_hand import placements_in, wrong_with
from nesting.page.grounds import grounds
from nesting.project.project_file import product_for
from nesting.result.layout_file import layout_to_data

SCRIPT = Path(__file__).parent / "drags.mjs"
SCENARIO = Path(nesting.__file__).parent / "scenario"
NEAR = 0.5
"""mm"""
PAIRS = (("side-1", "map-rack"), ("bend-1", "key-fob"), ("shoulder-1", "tool-roll"), ("bend-2", "belt"))


@dataclass(frozen=True)
class Dragged:
    """What came of the drags: refusals of the check in words, pieces at the end, drags to free places, the near of
    these, how far any piece went in all (mm), and the time of every move (ms)."""

    refused: tuple[str, ...]
    pieces: int
    free: int
    near: int
    went: float
    took: tuple[float, ...]


def dragged(layout: Layout, drags: int, seed: int = 1) -> Dragged:
    """Drag pieces of a layout of one hide and one product, and have the check judge after every drag."""
    (product,), (each,) = layout.products, layout.hides
    data = layout_to_data(layout)
    (hide,) = data["hides"]
    told = {"hide": hide, "pieces": data["pieces"], "gap": layout.gap, "grounds": grounds(layout)}
    case = {**told, "placements": hide["placements"], "seed": seed, "drags": drags}
    node = shutil.which("node")
    assert node is not None, "node is not installed"
    done = subprocess.run([node, str(SCRIPT)], input=json.dumps(case), capture_output=True, text=True, check=True)
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    laid, refused = list(each.placements), []
    for row in rows:
        place = row["index"]
        (moved,) = placements_in([{**_told(laid[place]), **{name: row[name] for name in ("x", "y", "angle")}}], product)
        laid[place] = replace(moved, number=laid[place].number)
        refused += [f"{fault['text']} after {row}" for fault in wrong_with(each.hide, product, laid, layout.gap)]
    free = [row for row in rows if row["free"]]
    near = sum(row["off"] <= NEAR for row in free)
    took = tuple(one for row in rows for one in row["took"])
    return Dragged(tuple(refused), len(laid), len(free), near, sum(row["moved"] for row in rows), took)


def drags(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """A thousand drags on scenario hides."""
    for hide_name, project in PAIRS:
        if options.only not in f"{hide_name} {project}":
            continue
        hide = read_hide(SCENARIO / f"{hide_name}.json")
        product = product_for(SCENARIO / f"{project}.toml", hide)
        layout = lay_out(hide, [Want(product)], Settings(effort="quick", gap=1.0))
        found = dragged(layout, 1000)
        yield {
            "case": f"{product.name} on {hide_name}",
            "pieces": found.pieces,
            "refused": len(found.refused),
            "free": found.free,
            "near": found.near,
            "median_move_ms": round(statistics.median(found.took), 2),
            "p95_move_ms": round(statistics.quantiles(found.took, n=20)[-1], 2),
        } | ({"first": found.refused[0]} if found.refused else {})


def _told(placement: Placement) -> dict[str, Any]:
    return {"piece": placement.piece, "number": placement.number, "mirrored": placement.mirrored}
