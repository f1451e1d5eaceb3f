"""Whether a list of points is a proper ring, and mending it where only one reading is possible.

Terms. *Ring*: corner points of a closed outline, first point not repeated, counter-clockwise. *Crossing*: two edges
that pass through one another. *Touching*: a corner that lies on another edge or corner. *Spike*: an edge that runs
out and straight back, so that no leather lies between. *Stray loop*: a crossing that cuts off next to nothing, as a
shaky hand or a rounding leaves it.

Mended, and said: repeated points, spikes, stray loops. Everything else that is wrong is refused and the points named,
counted from 1 as they stand in the file, with their coordinates as the file has them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from hides.errors import InputError
from hides.finding import Finding
from hides.hide import Point, Ring
from hides.units import LARGEST

SAME = 1e-3
"""Points nearer than this (mm) are one point; so is a spike that is not wider."""
STRAY_AREA = 1.0
"""A loop of at most so many mm² (and a thousandth of the ring) is a slip of the hand, not leather."""
MOST_POINTS = 20_000

Corner = tuple[int, Point]
"""A point with its number in the file, counted from 1."""


@dataclass(frozen=True)
class MendedRing:
    """A proper ring and what had to be mended to make it one."""

    ring: Ring
    findings: tuple[Finding, ...] = ()


def mend_ring(points: Sequence[Point], *, least_area: float = 0.01, unit: float = 1.0) -> MendedRing:
    """The counter-clockwise ring through `points` (mm, either direction, closed or not).

    `least_area` (mm²) is the smallest that makes sense; `unit` says how many mm one unit of the file is, so that
    messages give coordinates as the maker wrote them. Raises InputError, naming the points, where the ring crosses
    or touches itself, is too small, or holds a number that is not finite.

    >>> mend_ring([(0, 0), (0, 9), (0, 9), (9, 9), (0, 0)]).ring
    ((9.0, 9.0), (0.0, 9.0), (0.0, 0.0))
    >>> mend_ring([(0, 0), (9, 9), (9, 0), (0, 9)])  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    hides.errors.InputError: crosses itself near [4.5, 4.5]: the edge from point 1 [0, 0] to point 2 [9, 9] ...
    """
    teller = _Teller(unit)
    _refuse_odd_points(points, teller)
    corners: list[Corner] = [(i, (float(x), float(y))) for i, (x, y) in enumerate(points, 1)]
    if len(corners) > 1 and _near(corners[0], corners[-1]):
        corners.pop()
    findings: list[Finding] = []
    corners = _without_repeats(corners, teller, findings)
    corners = _without_spikes(corners, teller, findings)
    _refuse_few(corners)
    corners = _without_stray_loops(corners, teller, findings)
    return MendedRing(_ring(corners, least_area), tuple(findings))


def closed(points: Sequence[Point], gap: float, *, unit: float = 1.0) -> tuple[Finding, ...]:
    """That an open line ends where it began, to within `gap` mm; the finding if it had to be closed.

    Raises InputError that names both ends where they are further apart.
    """
    first, last = points[0], points[-1]
    apart = math.dist(first, last)
    if apart == 0:
        return ()
    teller = _Teller(unit)
    ends = f"its ends {teller.at(first)} and {teller.at(last)} are {apart / unit:.4g} apart"
    if apart > gap:
        raise InputError(f"is open: {ends}", remedy="close it")
    return (Finding("closed", f"was open and is now closed: {ends}"),)


@dataclass(frozen=True)
class _Teller:
    """Tells points and edges in the file's own units."""

    unit: float

    def at(self, point: Point) -> str:
        return f"[{point[0] / self.unit:.6g}, {point[1] / self.unit:.6g}]"

    def point(self, corner: Corner) -> str:
        return f"point {corner[0]} {self.at(corner[1])}"

    def edge(self, start: Corner, end: Corner) -> str:
        return f"the edge from {self.point(start)} to {self.point(end)}"

    def listed(self, corners: Iterable[Corner]) -> str:
        told = [self.point(corner) for corner in corners]
        return ", ".join(told[:4]) + (f" and {len(told) - 4} more" if len(told) > 4 else "")


def _refuse_odd_points(points: Sequence[Point], teller: _Teller) -> None:
    if len(points) > MOST_POINTS:
        raise InputError(f"has {len(points)} points", remedy=f"at most {MOST_POINTS} make sense; simplify it")
    odd = [i for i, (x, y) in enumerate(points, 1) if not (math.isfinite(x) and math.isfinite(y))]
    if odd:
        raise InputError(f"point {odd[0]} is not finite", remedy="give numbers")
    far = [(i, point) for i, point in enumerate(points, 1) if max(map(abs, point)) > LARGEST]
    if far:
        raise InputError(f"{teller.point(far[0])} is more than a kilometre away", remedy="look at the file's units")


def _near(a: Corner, b: Corner) -> bool:
    return math.dist(a[1], b[1]) <= SAME


def _without_repeats(corners: list[Corner], teller: _Teller, findings: list[Finding]) -> list[Corner]:
    kept: list[Corner] = []
    dropped: list[Corner] = []
    for corner in corners:
        (dropped if kept and _near(kept[-1], corner) else kept).append(corner)
    while len(kept) > 1 and _near(kept[0], kept[-1]):
        dropped.append(kept.pop())
    if dropped:
        what = "a repeated point was" if len(dropped) == 1 else f"{len(dropped)} repeated points were"
        findings.append(Finding("repeated-point", f"{what} left out: {teller.listed(dropped)}"))
    return kept


def _without_spikes(corners: list[Corner], teller: _Teller, findings: list[Finding]) -> list[Corner]:
    """Leave out corners whose two edges run back over one another; each removal may bare the next."""
    kept = list(corners)
    dropped: list[Corner] = []
    place, since = 0, 0
    while len(kept) >= 3 and since < len(kept):
        place %= len(kept)
        before, here, after = kept[place - 1], kept[place], kept[(place + 1) % len(kept)]
        if _near(before, after) or _runs_back(before[1], here[1], after[1]):
            dropped.append(kept.pop(place))
            if len(kept) > 1 and _near(before, after):
                kept.remove(after)
            place, since = place - 2, 0
        else:
            place, since = place + 1, since + 1
    if dropped:
        what = "a spike without width was" if len(dropped) == 1 else f"{len(dropped)} spikes without width were"
        findings.append(Finding("spike", f"{what} left out: {teller.listed(sorted(dropped))}"))
    return kept


def _runs_back(a: Point, b: Point, c: Point) -> bool:
    """Whether the edges a-b and b-c turn back upon themselves within `SAME`."""
    ux, uy, vx, vy = a[0] - b[0], a[1] - b[1], c[0] - b[0], c[1] - b[1]
    if ux * vx + uy * vy <= 0:
        return False
    longer = max(math.hypot(ux, uy), math.hypot(vx, vy))
    return abs(ux * vy - uy * vx) <= SAME * longer


def _refuse_few(corners: Sequence[Corner]) -> None:
    if len(corners) < 3:
        raise InputError(
            "has no area: fewer than three different points that are not on one line",
            remedy="give the corners of an outline",
        )


def _without_stray_loops(corners: list[Corner], teller: _Teller, findings: list[Finding]) -> list[Corner]:
    while not Polygon([point for _, point in corners]).is_valid:
        first, second, where = _first_meeting(corners)
        smaller, rest = _parted(corners, first, second, where)
        if not _is_stray(smaller, rest):
            raise _meeting_error(corners, first, second, where, teller)
        findings.append(
            Finding("stray-loop", f"a stray loop of no size near {teller.at(where)} was left out: "
                    f"{teller.listed(corner for corner in smaller if corner[0])}")
        )  # fmt: skip
        corners = _without_spikes(_without_repeats(rest, teller, []), teller, [])
        _refuse_few(corners)
    return corners


def _parted(corners: list[Corner], first: int, second: int, where: Point) -> tuple[list[Corner], list[Corner]]:
    """The two loops into which edges `first` < `second`, meeting at `where`, part the ring; the smaller one first."""
    meeting = (corners[first][0], where)
    loop = [meeting, *corners[first + 1 : second + 1]]
    rest = [*corners[: first + 1], meeting, *corners[second + 1 :]]
    return (loop, rest) if _extent(loop) <= _extent(rest) else (rest, loop)


def _extent(corners: Sequence[Corner]) -> float:
    """Width and height of the box round a loop, added."""
    xs = [x for _, (x, _) in corners]
    ys = [y for _, (_, y) in corners]
    return (max(xs) - min(xs)) + (max(ys) - min(ys))


def _is_stray(loop: Sequence[Corner], rest: Sequence[Corner]) -> bool:
    """Whether the loop, taken as everything it covers, is too small to be meant."""
    covered = float(shapely.convex_hull(shapely.multipoints([point for _, point in loop])).area)
    left = abs(_signed_area([point for _, point in rest]))
    return covered <= min(STRAY_AREA, left / 1000)


def _first_meeting(corners: Sequence[Corner]) -> tuple[int, int, Point]:
    """The first two edges (by number) that meet where they should not, and where. The ring must be invalid."""
    points = np.array([point for _, point in corners])
    count = len(points)
    edges = shapely.linestrings(np.stack([points, np.roll(points, -1, axis=0)], axis=1))
    pairs = shapely.STRtree(edges).query(edges, predicate="intersects").T
    apart = (pairs[:, 1] - pairs[:, 0]) % count
    pairs = pairs[(pairs[:, 0] < pairs[:, 1]) & (apart > 1) & (apart < count - 1)]
    if not len(pairs):
        raise InputError("is no simple outline", remedy="draw it anew")
    first, second = min((int(a), int(b)) for a, b in pairs)
    met = shapely.intersection(edges[first], edges[second])
    where = met.coords[0] if isinstance(met, LineString) else (met.x, met.y)
    return first, second, (float(where[0]), float(where[1]))


def _meeting_error(corners: Sequence[Corner], first: int, second: int, where: Point, teller: _Teller) -> InputError:
    ends = (first, (first + 1) % len(corners), second, (second + 1) % len(corners))
    a, b, c, d = (corners[i] for i in ends)
    touching = min(math.dist(where, corner[1]) for corner in (a, b, c, d)) <= SAME
    verb = "touches" if touching else "crosses"
    return InputError(
        f"{verb} itself near {teller.at(where)}: {teller.edge(a, b)} meets {teller.edge(c, d)}",
        remedy="move or leave out one of these points",
    )


def _signed_area(points: Sequence[Point]) -> float:
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True))


def _ring(corners: Sequence[Corner], least_area: float) -> Ring:
    ring = tuple(point for _, point in corners)
    area = _signed_area(ring)
    if abs(area) < least_area:
        raise InputError(f"has an area of {abs(area):.3g} mm²", remedy="look at its points and the file's units")
    return ring if area > 0 else ring[::-1]
