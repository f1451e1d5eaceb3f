"""Which strips follow one another, and what comes off each: CP-SAT over a graph of strips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from nesting.engine.cp_sat import limited, solve
from nesting.model.settings import Stop, never
from nesting.search.straight.lattice_kernel import StripGraph

GRAIN = 10.0
"""Heights count in tenths of a millimetre where equal plans are told apart."""


@dataclass(frozen=True)
class Chosen:
    """Strips of a graph in order from the base, each with its place among the edges and its mix's among those that it
    can give. `settled`: there is nothing better with these edges (no products and no strips: nothing at all). `time` is
    the deterministic time it took."""

    products: int
    strips: tuple[tuple[int, int], ...]
    settled: bool
    time: float


def choose(
    graph: StripGraph,
    rises: Sequence[float],
    need: Sequence[int],
    least: int,
    most: int,
    time: float,
    seed: int = 1,
    stop: Stop = never,
) -> Chosen:
    """The most products, from `least` to `most`, that a path of strips from node 0 gives; of these the lowest block.

    `rises` are the heights of strips of each width.
    """
    from ortools.sat.python import cp_model  # heavy: only where it is needed

    model = cp_model.CpModel()
    products = model.new_int_var(least, most, "products")
    out: dict[int, list[Any]] = {}
    into: dict[int, list[Any]] = {}
    given: list[list[Any]] = [[] for _ in need]
    laid: list[tuple[int, int, Any]] = []
    height: list[Any] = []
    tenths = [round(rises[width] * GRAIN) for _, width, _ in graph.edges]
    for edge, (start, _, after) in enumerate(graph.edges.tolist()):
        for mix, counts in enumerate(graph.mixes[graph.first[edge] : graph.first[edge + 1]].tolist()):
            use = model.new_bool_var("")
            laid.append((edge, mix, use))
            out.setdefault(start, []).append(use)
            into.setdefault(after, []).append(use)
            for kind, many in enumerate(counts):
                if many:
                    given[kind].append(many * use)
            height.append(tenths[edge] * use)
    for start, going in out.items():
        model.add(sum(going) <= (1 if start == 0 else sum(into.get(start, []))))
    for number, many in enumerate(need):
        if many:
            model.add(sum(given[number]) >= many * products)
    tall = round(sum(rises[width] for _, width, _ in graph.edges) * GRAIN) + 1
    model.maximize(tall * products - sum(height))
    solver = limited(time, seed=seed)
    status = solve(solver, model, stop)
    spent = float(solver.response_proto.deterministic_time)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Chosen(0, (), status == cp_model.INFEASIBLE, spent)
    taken = {int(graph.edges[edge, 0]): (edge, mix) for edge, mix, use in laid if solver.boolean_value(use)}
    node = 0
    strips: list[tuple[int, int]] = []
    while node in taken:
        strips.append(taken[node])
        node = int(graph.edges[taken[node][0], 2])
    return Chosen(solver.value(products), tuple(strips), status == cp_model.OPTIMAL, spent)
