"""Edges joined to trails that are cut without lifting the tool: straight on where that goes.

Terms. *Bunch*: edges that hang together. *Ground* of some edges: all that they enclose. *Rank* of an edge: 0 where
pieces lie on both sides, 1 inside the ground of its bunch, 2 on its rim; a trail has the highest rank of its edges.

A bunch that lies in the ground of another is cut before it. Within a bunch shared lines are cut first and the rim last,
so that the pieces hold one another as long as can be, but no trail that would enclose a line not cut yet: so nothing is
cut loose before what lies in it.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Point
from nesting.drawing.machine.path import FLAT, Path, arc_edge, flattened
from nesting.drawing.machine.shared import CutEdge, Network
from nesting.drawing.machine.travel import nearest_first

STRAIGHT = 1.0
"""Degrees by which a trail may turn where more than two edges meet."""
SHARED, INSIDE, RIM = 0, 1, 2
BESIDE = 0.02
"""mm: what is nearer to a line lies on it."""


@dataclass(frozen=True)
class Trail:
    """A path with its rank, and its edges as lines from node to node."""

    path: Path
    rank: int
    lines: tuple[LineString, ...]


def ordered_trails(network: Network) -> list[Path]:
    """All edges as paths, in the order they are cut."""
    if not network.edges:
        return []
    bunches = [(_ground([_line(network, edge) for edge in edges]), edges) for edges in _bunches(network)]
    depth = _depths([ground for ground, _ in bunches])
    found: list[Path] = []
    for level in sorted(set(depth), reverse=True):
        here = [bunches[k] for k in range(len(bunches)) if depth[k] == level]
        cut = [_trails(network, edges, ground) for ground, edges in here]
        for k in nearest_first([trails[0].path.points[0] for trails in cut], _end(found)):
            found += _in_order(cut[k], _end(found))
    return found


def _in_order(trails: Sequence[Trail], start: Point) -> list[Path]:
    """The trails of a bunch one after the other, each begun at its nearer end."""
    left, done, found, at = list(trails), list[LineString](), list[Path](), start
    while left:
        best = _next(left, done, at)
        left.remove(best)
        done += best.lines
        path = best.path
        if not path.closed and math.dist(at, path.points[-1]) < math.dist(at, path.points[0]) - 1e-6:
            path = path.backwards()
        at = _ends(path)[-1]
        found.append(path)
    return found


def _next(left: Sequence[Trail], done: Sequence[LineString], at: Point) -> Trail:
    """Of the trails that enclose no line of another, the nearest of the lowest rank."""
    ways = sorted(left, key=lambda each: (each.rank, min(math.dist(at, p) for p in _ends(each.path))))
    return next((each for each in ways if not _encloses(each, left, done)), ways[0])


def _encloses(trail: Trail, left: Sequence[Trail], done: Sequence[LineString]) -> bool:
    """Whether a line that is still to be cut would lie in what hangs on nothing once this trail is cut."""
    rest = [line for other in left if other is not trail for line in other.lines]
    if not rest:
        return False
    middles = [line.interpolate(0.5, normalized=True) for line in rest]
    inner = _ground([*done, *trail.lines]).buffer(-BESIDE)
    shapely.prepare(inner)
    return bool(shapely.contains(inner, middles).any())


def _ends(path: Path) -> tuple[Point, Point]:
    return (path.points[0], path.points[0]) if path.closed else (path.points[0], path.points[-1])


def _end(found: Sequence[Path]) -> Point:
    return _ends(found[-1])[-1] if found else (-1e6, -1e6)


def _bunches(network: Network) -> list[list[CutEdge]]:
    parent = list(range(len(network.nodes)))

    def root(node: int) -> int:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for edge in network.edges:
        parent[root(edge.b)] = root(edge.a)
    groups: dict[int, list[CutEdge]] = defaultdict(list)
    for edge in network.edges:
        groups[root(edge.a)].append(edge)
    return list(groups.values())


def _line(network: Network, edge: CutEdge) -> LineString:
    return LineString(flattened(network.path(edge)))


def _ground(lines: Sequence[LineString]) -> BaseGeometry:
    """All that lines from node to node enclose, without holes."""
    whole = shapely.union_all(shapely.get_parts(shapely.polygonize(lines)))
    parts = [Polygon(part.exterior) for part in shapely.get_parts(whole) if isinstance(part, Polygon)]
    return shapely.union_all(parts)


def _depths(grounds: Sequence[BaseGeometry]) -> list[int]:
    """In how many larger grounds each of them lies (no two cross, so one of its points tells)."""
    spots = [ground.representative_point() for ground in grounds]
    within = shapely.STRtree(list(grounds)).query(spots, predicate="within")
    areas = [ground.area for ground in grounds]
    around = [int(spot) for spot, ground in within.T if areas[ground] > areas[spot]]
    return [around.count(k) for k in range(len(grounds))]


def _trails(network: Network, edges: Sequence[CutEdge], ground: BaseGeometry) -> list[Trail]:
    rim = shapely.boundary(ground)
    ranks = [_rank(network, edge, rim) for edge in edges]
    onward = _pairs(network, edges)
    used: set[int] = set()
    starts = [(k, at) for k, edge in enumerate(edges) for at in (edge.a, edge.b) if (k, at) not in onward]
    trails = []
    for k, at in [*starts, *((k, edge.a) for k, edge in enumerate(edges))]:
        if k not in used:
            run = _followed(k, at, edges, onward, used)
            trails.append(_trail(network, run, edges, ranks))
    return trails


def _rank(network: Network, edge: CutEdge, rim: BaseGeometry) -> int:
    if edge.outlines > 1:
        return SHARED
    middle = _line(network, edge).interpolate(0.5, normalized=True)
    return RIM if rim.distance(middle) < BESIDE else INSIDE


Onward = dict[tuple[int, int], int]
"""The edge that follows edge k where it ends at a node."""


def _pairs(network: Network, edges: Sequence[CutEdge]) -> Onward:
    """Which edges follow one another: the straightest first, and where only two meet in any case."""
    at: dict[int, list[int]] = defaultdict(list)
    for k, edge in enumerate(edges):
        at[edge.a].append(k)
        at[edge.b].append(k)
    onward: Onward = {}
    for node, meeting in at.items():
        ways = {k: _way_out(network, edges[k], node) for k in meeting}
        turns = sorted((_turn(ways[i], ways[j]), i, j) for n, i in enumerate(meeting) for j in meeting[:n])
        for turn, i, j in turns:
            free = (i, node) not in onward and (j, node) not in onward
            if free and (turn <= STRAIGHT or len(meeting) <= 2):
                onward[i, node], onward[j, node] = j, i
    return onward


def _way_out(network: Network, edge: CutEdge, node: int) -> float:
    """The direction in which an edge leaves a node, degrees."""
    a, b = network.nodes[edge.a], network.nodes[edge.b]
    bulge = edge.bulge if edge.a == node else -edge.bulge
    if edge.a != node:
        a, b = b, a
    chord = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    return chord - math.degrees(arc_edge(a, b, bulge).sweep) / 2 if abs(bulge) >= FLAT else chord


def _turn(one: float, other: float) -> float:
    """By how much a trail turns that comes in against one way out and leaves by another."""
    return round(abs((one - other) % 360 - 180), 6)


def _followed(k: int, at: int, edges: Sequence[CutEdge], onward: Onward, used: set[int]) -> list[tuple[int, int]]:
    """Edges of a trail with the node each is begun at."""
    run = []
    following: int | None = k
    while following is not None and following not in used:
        used.add(following)
        run.append((following, at))
        edge = edges[following]
        at = edge.b if edge.a == at else edge.a
        following = onward.get((following, at))
    return run


def _trail(network: Network, run: Sequence[tuple[int, int]], edges: Sequence[CutEdge], ranks: Sequence[int]) -> Trail:
    last, at = run[-1]
    end = edges[last].b if edges[last].a == at else edges[last].a
    nodes = [node for _, node in run]
    bulges = tuple(edges[k].bulge if edges[k].a == node else -edges[k].bulge for k, node in run)
    closed = end == nodes[0] and len(run) > 1
    points = tuple(network.nodes[node] for node in (nodes if closed else [*nodes, end]))
    lines = tuple(_line(network, edges[k]) for k, _ in run)
    return Trail(Path(points, bulges, closed), max(ranks[k] for k, _ in run), lines)
