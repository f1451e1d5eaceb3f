"""Loose lines and arcs that meet end to end, joined into the rings and longer lines they were meant to be."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from ezdxf import edgeminer

from hides.drawing.drawing import DrawnShape, Names
from hides.finding import Finding
from hides.hide import Point

GAP = 0.1
"""Ends nearer than this (mm) were meant to meet."""
MOST_LOOSE = 20_000


def joined(shapes: Sequence[DrawnShape]) -> tuple[tuple[DrawnShape, ...], tuple[Finding, ...]]:
    """The shapes with loose ones joined, on each layer (and in each block or group) by itself.

    Only where exactly two ends meet is there one reading; where three meet they are left as they are. A shape
    that was drawn twice over is kept once.
    """
    findings: list[Finding] = []
    single = _once(shapes, findings)
    done = [_shut(shape, findings) for shape in single]
    loose = [shape for shape in done if not shape.closed]
    if len(loose) > MOST_LOOSE:
        findings.append(Finding("not-joined", f"{len(loose)} loose lines are too many to be joined"))
        return tuple(done), tuple(findings)
    result = [shape for shape in done if shape.closed]
    for group in _grouped(loose):
        result.extend(_chained(group, findings))
    return tuple(result), tuple(findings)


def _once(shapes: Sequence[DrawnShape], findings: list[Finding]) -> list[DrawnShape]:
    kept: dict[object, DrawnShape] = {}
    for shape in shapes:
        key = (shape.names.layer, shape.names.block, shape.names.groups, shape.closed, _outline_key(shape))
        if key in kept:
            findings.append(Finding("drawn-twice", "was drawn twice and is taken once", shape.names.told))
        else:
            kept[key] = shape
    return list(kept.values())


def _outline_key(shape: DrawnShape) -> tuple[Point, ...]:
    """The same for a line drawn forwards and backwards, and for a ring begun anywhere."""
    points = tuple((round(x, 3) + 0.0, round(y, 3) + 0.0) for x, y in shape.points)
    if shape.closed:
        first = points.index(min(points))
        points = points[first:] + points[:first]
        return min(points, (points[0], *points[:0:-1]))
    return min(points, points[::-1])


def _shut(shape: DrawnShape, findings: list[Finding]) -> DrawnShape:
    """An open line whose ends lie within the gap is a ring."""
    if shape.closed or len(shape.points) < 4 or (apart := math.dist(shape.points[0], shape.points[-1])) > GAP:
        return shape
    if apart > 1e-6:
        findings.append(Finding("closed", f"was open by {apart:.3g} mm and is now closed", shape.names.told))
    return DrawnShape(shape.points[:-1], True, shape.names, shape.circle)


def _grouped(shapes: Iterable[DrawnShape]) -> Iterable[list[DrawnShape]]:
    groups: dict[object, list[DrawnShape]] = {}
    for shape in shapes:
        groups.setdefault((shape.names.layer, shape.names.block, shape.names.groups), []).append(shape)
    return groups.values()


def _chained(shapes: list[DrawnShape], findings: list[Finding]) -> list[DrawnShape]:
    edges = [edgeminer.make_edge(shape.points[0], shape.points[-1], payload=shape) for shape in shapes]
    deposit = edgeminer.Deposit(edges, gap_tol=GAP)
    chains = [list(chain) for chain in edgeminer.find_all_simple_chains(deposit)]
    chained = {edge.id for chain in chains for edge in chain}
    chains.extend([edge] for edge in edges if edge.id not in chained)
    order = {edge.id: place for place, edge in enumerate(edges)}
    chains.sort(key=lambda chain: min(order[edge.id] for edge in chain))
    return [_chain(chain, findings) for chain in chains]


def _chain(chain: Sequence[edgeminer.Edge], findings: list[Finding]) -> DrawnShape:
    if len(chain) == 1:
        return chain[0].payload  # type: ignore[no-any-return]
    points: list[Point] = []
    for edge in chain:
        own = edge.payload.points[::-1] if edge.is_reverse else edge.payload.points
        points.extend(own[1:] if points else own)
    closed = math.dist(points[0], points[-1]) <= GAP
    names = _shared([edge.payload.names for edge in chain])
    what = "ring" if closed else "line"
    findings.append(Finding("joined", f"{len(chain)} loose pieces were joined into one {what}", names.told))
    return DrawnShape(tuple(points[:-1] if closed else points), closed, names)


def _shared(names: Sequence[Names]) -> Names:
    first = names[0]
    ids = tuple(dict.fromkeys(each.id for each in names[1:] if each.id and each.id != first.id))
    return Names(first.layer, first.id, first.block, (*first.groups, *ids))
