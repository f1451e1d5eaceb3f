"""Outlines as edges between common nodes, every line once.

Terms. *Node*: a point where edges meet; corners nearer than `JOIN` are one node. An edge that a node lies on is split
there, so that two pieces that touch along part of an edge have that part in common, from the same node to the same.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from hides.hide import Point
from nesting.drawing.machine.path import FLAT, Path, arc_edge, edge_length, flattened

JOIN = 0.005
"""mm: corners and lines nearer than this are one. A corner moves by no more, and a line by no more again."""


@dataclass(frozen=True)
class CutEdge:
    """An edge from node a to node b, and how many outlines run along it."""

    a: int
    b: int
    bulge: float
    outlines: int


@dataclass(frozen=True)
class Network:
    """All edges of some outlines between their nodes."""

    nodes: tuple[Point, ...]
    edges: tuple[CutEdge, ...]

    def length(self, edge: CutEdge) -> float:
        """mm along an edge."""
        return edge_length(self.nodes[edge.a], self.nodes[edge.b], edge.bulge)

    def path(self, edge: CutEdge) -> Path:
        """An edge as an open path."""
        return Path((self.nodes[edge.a], self.nodes[edge.b]), (edge.bulge,), False)


def network(outlines: Sequence[Path]) -> Network:
    """The edges of closed outlines, those that several have in common once."""
    if not outlines:
        return Network((), ())
    nodes = _Nodes()
    raw = [
        (nodes.number(a), nodes.number(b), bulge) for outline in outlines for a, b, bulge in outline.edges()
    ]  # fmt: skip
    points = nodes.points
    counted: dict[tuple[int, int, int], list[tuple[int, int, float]]] = {}
    for a, b, bulge in _split(raw, points):
        if a != b:
            low, high, bent = (a, b, bulge) if a < b else (b, a, -bulge)
            counted.setdefault((low, high, round(bent * 1e4)), []).append((a, b, bulge))
    edges = tuple(CutEdge(*same[0], len(same)) for same in counted.values())
    return Network(tuple(points), edges)


class _Nodes:
    """Gives a number to every point, the same to points that are one."""

    def __init__(self) -> None:
        self.points: list[Point] = []
        self._cells: dict[tuple[int, int], list[int]] = {}

    def number(self, point: Point) -> int:
        cell = math.floor(point[0] / JOIN), math.floor(point[1] / JOIN)
        near = [
            k
            for i in (-1, 0, 1)
            for j in (-1, 0, 1)
            for k in self._cells.get((cell[0] + i, cell[1] + j), ())
            if math.dist(self.points[k], point) <= JOIN
        ]
        if near:
            return min(near, key=lambda k: (math.dist(self.points[k], point), k))
        self.points.append(point)
        self._cells.setdefault(cell, []).append(len(self.points) - 1)
        return len(self.points) - 1


def _split(raw: Sequence[tuple[int, int, float]], points: Sequence[Point]) -> list[tuple[int, int, float]]:
    """The edges, each split at the nodes that lie on it."""
    lines = [shapely.LineString(flattened(Path((points[a], points[b]), (bulge,), False), JOIN)) for a, b, bulge in raw]
    spots = shapely.points(np.array(points, dtype=float))
    on: dict[int, list[int]] = {}
    for edge, node in shapely.STRtree(spots).query(lines, predicate="dwithin", distance=2 * JOIN).T:
        on.setdefault(int(edge), []).append(int(node))
    found = []
    for number, (a, b, bulge) in enumerate(raw):
        found += _parts(a, b, bulge, on.get(number, []), points)
    return found


def _parts(a: int, b: int, bulge: float, near: Sequence[int], points: Sequence[Point]) -> list[tuple[int, int, float]]:
    places = sorted(
        (part, node)
        for node in near
        if node not in (a, b) and (part := _part_of(points[node], points[a], points[b], bulge)) is not None
    )
    marks = [(0.0, a), *places, (1.0, b)]
    sweep = math.atan(bulge)
    return [
        (first, second, math.tan(sweep * (end - start)) if abs(bulge) >= FLAT else 0.0)
        for (start, first), (end, second) in pairwise(marks)
    ]


def _part_of(point: Point, a: Point, b: Point, bulge: float) -> float | None:
    """How far along an edge (0 to 1) a point lies on it; None where it lies beside it or at its ends."""
    if min(math.dist(point, a), math.dist(point, b)) <= JOIN:
        return None
    if abs(bulge) < FLAT:
        long = math.dist(a, b)
        ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        x, y = point[0] - a[0], point[1] - a[1]
        part = (x * ux + y * uy) / long
        return part if abs(x * uy - y * ux) <= JOIN and 0 < part < 1 else None
    arc = arc_edge(a, b, bulge)
    turn = math.atan2(point[1] - arc.centre[1], point[0] - arc.centre[0]) - arc.start
    part = (turn / arc.sweep) % (2 * math.pi / abs(arc.sweep))
    return part if abs(math.dist(point, arc.centre) - arc.radius) <= JOIN and 0 < part < 1 else None
