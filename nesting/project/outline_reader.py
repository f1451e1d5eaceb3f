"""The points of a `polygon`: corners rounded or cut one by one, arcs and smooth curves between them, named edges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import LineString
from shapely.ops import substring

from hides.errors import InputError
from hides.fields import Fields, told
from hides.hide import Point
from nesting.project.contour import SAME, Contour, Edge
from nesting.project.course import ALL, parallel
from nesting.project.curves import arc_of_radius, arc_rising, arc_through, bezier, round_arc, smooth
from nesting.project.measures import Measures

STEPS = {
    "at": (),
    "arc": ("through", "rise", "radius"),
    "curve": ("by",),
    "smooth": (),
}
"""What leads from one point to the next, with the fields it takes."""
CORNER = ("round", "cut")
EVERY = ("edge", *CORNER)


@dataclass(frozen=True)
class OutlineStep:
    """One point of an outline: the edge that leads to it, and what is done to the corner there."""

    edge: Edge
    round: float = 0.0
    cut: tuple[float, float] | None = None
    path: str = ""


def is_plain(value: object) -> bool:
    """Whether an outline is a list of plain points, as `[x, y]`."""
    return not isinstance(value, (list, tuple)) or not any(isinstance(each, dict) for each in value)


def read_contour(value: Sequence[object], measures: Measures) -> Contour:
    """The outline that a list of points and steps describes, counter-clockwise.

    Raises InputError that names the item, counted from 0 as it stands in the list.
    """
    if len(value) < 2:
        raise InputError(f"holds {len(value)} points", remedy="give at least three, or two with an arc between")
    first = _corner_point(value[0], 0, measures)
    steps: list[OutlineStep] = []
    at = first.edge.points[0]
    for index in range(1, len(value)):
        steps.append(_step(value[index], index, at, measures))
        at = steps[-1].edge.points[-1]
    start = first.edge.points[0]
    if math.dist(at, start) > SAME:
        steps.append(replace(first, edge=Edge(first.edge.name or str(len(steps) + 1), (at, start))))
    elif first.edge.name or first.round or first.cut:
        last = steps[-1]
        steps[-1] = replace(
            last, edge=replace(last.edge, name=first.edge.name or last.edge.name), round=first.round, cut=first.cut
        )
    _refuse_unclear_names(steps)
    return Contour(tuple(_with_corners(steps))).counter_clockwise()


def _refuse_unclear_names(steps: Sequence[OutlineStep]) -> None:
    """A name is that of one edge, or of several that follow one another; “all” means every edge."""
    names = [step.edge.name for step in steps]
    begun = [name for i, name in enumerate(names) if name != names[i - 1]]
    for number, step in enumerate(steps, 1):
        name, field = step.edge.name, f"{step.path}.edge"
        if name == ALL:
            raise InputError(f"“{ALL}” means every edge", field=field, remedy="call it something else")
        if begun.count(name) > 1 and name != str(number):  # the other one may have its number for a name
            problem = f"another edge is called “{name}” too, and others lie between"
            raise InputError(problem, field=field, remedy="give each a name of its own (by number where none is given)")


def read_way(value: Sequence[object], measures: Measures) -> list[list[Point]]:
    """The stretches of an open line in turn, each through points of the true curve, that such a list describes.

    Raises InputError that names the item; no end of the line is a corner.
    """
    steps = [_corner_point(value[0], 0, measures)]
    for index in range(1, len(value)):
        steps.append(_step(value[index], index, steps[-1].edge.points[-1], measures))
    for step in (steps[0], steps[-1]):
        if step.round or step.cut:
            raise InputError("rounds or cuts an end of the line", field=step.path, remedy="leave it out")
    return [list(edge.points) for edge in _with_corners(steps[1:], closed=False)]


def _corner_point(value: object, index: int, measures: Measures) -> OutlineStep:
    """The first point: a plain one, or one with a corner and the name of the edge that closes the outline."""
    fields = _fields(value, index)
    if not fields.has("at"):
        raise InputError("leads nowhere yet", field=f"[{index}]", remedy="begin with a plain point: [x, y]")
    with fields.reading("at") as point:
        at = measures.point(point)
    return _finished(fields, Edge(_name(fields, ""), (at, at)), measures)


def _step(value: object, index: int, start: Point, measures: Measures) -> OutlineStep:
    fields = _fields(value, index)
    kind = next(kind for kind in STEPS if fields.has(kind))
    with fields.reading(kind) as target:
        if kind == "smooth":
            points = [start, *measures.points(target)]
            if len(points) < 2:
                raise InputError("names no point", remedy="list the points that the curve goes through")
            way = smooth(points)
        else:
            end = measures.point(target)
            if math.dist(start, end) < SAME:
                raise InputError("leads to the point it starts from", remedy="leave it out")
            way = _way(kind, fields, start, end, measures)
    return _finished(fields, Edge(_name(fields, str(index)), tuple(way)), measures)


def _way(kind: str, fields: Fields, start: Point, end: Point, measures: Measures) -> list[Point]:
    if kind == "at":
        return [start, end]
    if kind == "curve":
        with fields.reading("by") as value:
            by = measures.points(value)
            if not 1 <= len(by) <= 2:
                raise InputError(f"holds {len(by)} points", remedy="give one or two points that draw the curve")
        return bezier(start, by, end)
    given = [name for name in STEPS["arc"] if fields.has(name)]
    if len(given) != 1:
        raise InputError(f"an arc has {len(given)} of through, rise and radius", remedy="give one of them")
    with Fields(fields.data, "", "").reading(given[0]) as value:
        if given[0] == "through":
            return arc_through(start, measures.point(value), end)
        size = measures.length(value)
        return arc_rising(start, end, size) if given[0] == "rise" else arc_of_radius(start, end, size)


def _fields(value: object, index: int) -> Fields:
    """A plain point as the table it stands for, or the table."""
    if not isinstance(value, dict):
        value = {"at": value}
    known = (*STEPS, *(name for names in STEPS.values() for name in names), *EVERY)
    fields = Fields.of(value, known, "", f"[{index}]")
    kinds = [kind for kind in STEPS if fields.has(kind)]
    if len(kinds) != 1:
        problem = f"is {told(value)}, which is {len(kinds)} of {', '.join(STEPS)}"
        raise InputError(
            problem, field=f"[{index}]", remedy="write one: [x, y], { at = … }, { arc = … }, { curve = … }"
        )
    for name in fields.data:
        if name not in (kinds[0], *STEPS[kinds[0]], *EVERY):
            raise fields.wrong(name, f"does not go with {kinds[0]}", "leave it out")
    return fields


def _name(fields: Fields, default: str) -> str:
    value = fields.data.get("edge", default)
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else fields.text("edge", default)


def _finished(fields: Fields, edge: Edge, measures: Measures) -> OutlineStep:
    if fields.has("round") and fields.has("cut"):
        raise fields.wrong("cut", "cannot stand beside round", "leave one of them out")
    rounded, cut = 0.0, None
    if fields.has("round"):
        with fields.reading("round") as value:
            rounded = not_below(measures.length(value))
    if fields.has("cut"):
        with fields.reading("cut") as value:
            cut = read_cut(value, measures)
    return OutlineStep(edge, rounded, cut, fields.path)


def read_cut(value: object, measures: Measures) -> tuple[float, float]:
    """What is cut off a corner: as much of both edges, or so much of each, in the order they are drawn."""
    both = value if isinstance(value, (list, tuple)) else [value, value]
    if len(both) != 2:
        raise InputError(
            f"is {told(value)}", remedy="give one length, or two: [off the edge before, off the edge after]"
        )
    return not_below(measures.length(both[0])), not_below(measures.length(both[1]))


def not_below(length: float) -> float:
    if length < 0:
        raise InputError(f"comes to {length:g} mm", remedy="give a length that is not below nought")
    return length


def _with_corners(steps: Sequence[OutlineStep], closed: bool = True) -> list[Edge]:
    """The edges with what their corners take off, and the corners themselves between them."""
    n = len(steps)
    made = [_corner(steps[i], steps[(i + 1) % n].edge) if closed or i < n - 1 else (0.0, 0.0) for i in range(n)]
    edges: list[Edge] = []
    for i, step in enumerate(steps):
        before, after = made[i - 1][1], made[i][0]
        left = step.edge.length - before - after
        if left < -SAME:
            problem = (
                f"the corners of edge “{step.edge.name}” take {before + after:.4g} of its {step.edge.length:.4g} mm"
            )
            raise InputError(problem, field=step.path, remedy="round or cut less")
        if left > SAME:
            edges.append(_shortened(step.edge, before, after))
        start = edges[-1].points[-1] if left > SAME else _along(step.edge, before)
        if closed or i < n - 1:
            edges += _corner_edge(step, steps[(i + 1) % n].edge, start, made[i][1])
    return edges


def _corner(step: OutlineStep, after: Edge) -> tuple[float, float]:
    """How much of the edge before and of the edge after a corner goes."""
    if step.cut:
        sizes = step.cut
    elif step.round:
        turn = abs(_turn(step.edge, after))
        if turn < 1e-9 or turn > math.pi - 1e-6:
            raise InputError("rounds a corner where there is none", field=step.path, remedy="leave round out")
        sizes = (step.round * math.tan(turn / 2),) * 2
        if not (step.edge.straight and after.straight):
            at = shapely.Point(_centre(step, after))
            lines = LineString(step.edge.points), LineString(after.points)
            sizes = step.edge.length - lines[0].project(at), lines[1].project(at)
    else:
        return 0.0, 0.0
    return sizes


def _centre(step: OutlineStep, after: Edge) -> Point:
    """The centre of the round that touches both edges at a corner beside a curve: where their parallels meet."""
    side = step.round if _turn(step.edge, after) > 0 else -step.round
    try:
        one, other = (LineString(parallel(edge, side)) for edge in (step.edge, after))
    except InputError as error:
        raise error.within(field=step.path) from error
    spots = [part for part in shapely.get_parts(one.intersection(other)) if part.geom_type == "Point"]
    if not spots:
        problem = f"no round of {step.round:g} mm touches both edges beside it"
        raise InputError(problem, field=step.path, remedy="give a smaller one")
    corner = shapely.Point(step.edge.points[-1])
    at = min(spots, key=corner.distance)
    return at.x, at.y


def _corner_edge(step: OutlineStep, after: Edge, start: Point, off: float) -> list[Edge]:
    end = _along(after, off)
    if math.dist(start, end) < SAME:
        return []
    if step.cut:
        return [Edge("", (start, end))]
    left = _turn(step.edge, after) > 0
    if not (step.edge.straight and after.straight):
        return [Edge("", tuple(round_arc(_centre(step, after), start, end, left)))]
    (x0, y0), (x1, y1) = step.edge.points
    long = math.dist((x0, y0), (x1, y1))
    side = step.round if left else -step.round
    centre = start[0] - side * (y1 - y0) / long, start[1] + side * (x1 - x0) / long
    return [Edge("", tuple(round_arc(centre, start, end, left)))]


def _turn(before: Edge, after: Edge) -> float:
    """By how much the way turns from one edge to the next, radians, to the left."""
    (ax, ay), (bx, by) = before.points[-2:]
    (cx, cy), (dx, dy) = after.points[:2]
    return math.remainder(math.atan2(dy - cy, dx - cx) - math.atan2(by - ay, bx - ax), math.tau)


def _shortened(edge: Edge, before: float, after: float) -> Edge:
    if not before and not after:
        return edge
    if not edge.straight:
        points = substring(LineString(edge.points), before, edge.length - after).coords
        return replace(edge, points=tuple((float(x), float(y)) for x, y in points))
    return replace(edge, points=(_along(edge, before), _along(edge, edge.length - after)))


def _along(edge: Edge, distance: float) -> Point:
    if distance == 0:
        return edge.points[0]
    if not edge.straight:
        at = LineString(edge.points).interpolate(distance)
        return at.x, at.y
    (x0, y0), (x1, y1) = edge.points[0], edge.points[-1]
    share = distance / math.dist((x0, y0), (x1, y1))
    return x0 + share * (x1 - x0), y0 + share * (y1 - y0)
