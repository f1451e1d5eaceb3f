"""Half of a layout kept and the rest forgotten: whether what is left holds as many again, on every scenario pairing."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from hides.hide import Hide
from hides.hide_file import read_hide
from nesting.laying.case import case_of
from nesting.laying.lay_out import lay_out, solve
from nesting.model.product import Product
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.project.project_file import leather_names, product_for
from scripts.bench_planted import SCENARIO

HIDES = ("side-1", "shoulder-1", "bend-1")


def fill(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    """Products of every pairing before, and with every other piece kept."""
    for project in sorted(SCENARIO.glob("*.toml")):
        if 'format = "hideplan-project-1"' in project.read_text(encoding="utf-8"):
            for name in HIDES:
                case = f"{project.stem} on {name}"
                if options.only in case:
                    hide = read_hide(SCENARIO / f"{name}.json")
                    yield {"case": case} | _filled(hide, _of(str(project), hide), Settings(effort=options.effort))


def _of(project: str, hide: Hide) -> Product:
    """The product of the hide's leather, or of the first of its own."""
    first = [each.name for each in leather_names(project)[:1]]
    return product_for(project, hide, leathers=first)


def _filled(hide: Hide, made: Product, settings: Settings) -> dict[str, Any]:
    before = lay_out(hide, [Want(made)], settings)
    kept = tuple(replace(p, keep=True) for p in before.hides[0].placements if p.number)[::2]
    spent = time.process_time()
    after = solve(case_of(hide, [Want(made)], settings, kept))
    counts = before.counts[0].complete, after.counts[0].complete
    return {"before": counts[0], "after": counts[1], "kept": len(kept), "CPU s": round(time.process_time() - spent, 1)}
