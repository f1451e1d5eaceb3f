"""Which strips follow one another, and what comes off each: CP-SAT over a graph of strips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nesting.engine.cp_sat import limited, solve
from nesting.model.settings import Stop, never

Ints = NDArray[np.int64]
GRAIN = 10.0
"""Heights count in tenths of a millimetre where equal plans are told apart."""


@dataclass(frozen=True)
class StripEdge:
    """A strip from one node to another, with the mixes it can give (one of them may be empty); it is `rise` mm high."""

    start: int
    after: int
    width: int
    mixes: Ints
    rise: float


@dataclass(frozen=True)
class Chosen:
    """Strips in order from the base, each with its mix. `settled`: there is nothing better with these edges (no
    products and no strips: nothing at all). `time` is the deterministic time it took."""

    products: int
    strips: tuple[tuple[StripEdge, int], ...]
    settled: bool
    time: float


def choose(
    edges: Sequence[StripEdge],
    need: Sequence[int],
    least: int,
    most: int,
    time: float,
    seed: int = 1,
    stop: Stop = never,
) -> Chosen:
    """The most products, from `least` to `most`, that a path of strips from node 0 gives; of these the lowest block."""
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    model = cp_model.CpModel()
    products = model.new_int_var(least, most, "products")
    out: dict[int, list[Any]] = {}
    into: dict[int, list[Any]] = {}
    given: list[list[Any]] = [[] for _ in need]
    laid: list[tuple[StripEdge, int, Any]] = []
    height: list[Any] = []
    for edge in edges:
        for mix in range(len(edge.mixes)):
            use = model.new_bool_var("")
            laid.append((edge, mix, use))
            out.setdefault(edge.start, []).append(use)
            into.setdefault(edge.after, []).append(use)
            for kind in np.flatnonzero(edge.mixes[mix]):
                given[int(kind)].append(int(edge.mixes[mix][kind]) * use)
            height.append(round(edge.rise * GRAIN) * use)
    for start, going in out.items():
        model.add(sum(going) <= (1 if start == 0 else sum(into.get(start, []))))
    for number, many in enumerate(need):
        if many:
            model.add(sum(given[number]) >= many * products)
    tall = round(sum(e.rise for e in edges) * GRAIN) + 1
    model.maximize(tall * products - sum(height))
    solver = limited(time, seed=seed)
    status = solve(solver, model, stop)
    spent = float(solver.response_proto.deterministic_time)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Chosen(0, (), status == cp_model.INFEASIBLE, spent)
    taken = {edge.start: (edge, mix) for edge, mix, use in laid if solver.boolean_value(use)}
    node = 0
    strips: list[tuple[StripEdge, int]] = []
    while node in taken:
        strips.append(taken[node])
        node = taken[node][0].after
    return Chosen(solver.value(products), tuple(strips), status == cp_model.OPTIMAL, spent)
