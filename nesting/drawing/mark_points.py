"""Which points of a kind of piece are marked on the hide, chosen so that a slip of the awl does little harm.

Terms. *Mark*: a point of the piece that is pricked on the leather; the piece is laid with these points on the marks.
*Slip*: how far a mark stands beside its place, taken as up to `SLIP`. *Harm*: the farthest any point of the piece
then moves, whichever mark the piece is pinned on while it is turned to the other.

The marks are the same points on every piece of a kind, seen with its face up and its grain line upright: sharp corners,
punch holes, or the ends of its middle lines. Two of them are taken, as far apart as can be, whose harm is no more than
`MOST_HARM`; of those nearly as far apart, the ends of one straight edge come first (a straightedge laid on both marks
shows the whole edge), then the ends of the grain line. A circle takes its centre alone; where no two will do, three are
taken.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from hides.hide import Point, Ring, Segment, bearing
from nesting.model.product import Piece

SLIP = 0.5
MOST_HARM = 1.0
"""mm"""
SHARP = 30.0
"""Degrees by which the outline must turn at a corner."""
SHORTEST_EDGE = 4.0
"""mm of straight edge on both sides of a corner."""
NEARLY = 0.9
"""Share of the farthest distance from which two marks count as nearly as far apart."""
ROUND = 0.002
"""A ring whose radii differ by less than this share is a circle."""
MOST_CORNERS = 40
TURNS = np.radians(np.arange(0.0, 360.0, 5.0))

Points = NDArray[np.float64]


@dataclass(frozen=True)
class MarkPoint:
    """A point of the piece's own frame with the words that name it; `kind` is corner, hole, middle or outline."""

    at: Point
    words: str
    kind: str


def mark_points(piece: Piece) -> tuple[MarkPoint, ...]:
    """The marks of a kind of piece: one for a circle, else two or three."""
    return _chosen(piece.outline, tuple(hole.at for hole in piece.holes))


@cache
def _chosen(outline: Ring, holes: tuple[Point, ...]) -> tuple[MarkPoint, ...]:
    if is_circle(outline):
        return (MarkPoint(centre(outline), "centre", "middle"),)
    hull = _hull(outline)
    ideas = _candidates(outline, holes)
    fit = [pair for pair in combinations(ideas, 2) if harm(pair[0].at, pair[1].at, hull) <= MOST_HARM]
    if fit:
        return _ordered(_favoured(fit, outline))
    return _three(outline, hull)


def harm(first: Point, second: Point, points: Points) -> float:
    """The farthest that any of `points` (n × 2, mm) moves when both marks slip by `SLIP` in whichever way is worst.

    The piece is pinned on either mark and turned until the other lies on the line to its mark.
    """
    span = math.dist(first, second)
    if span < 1e-6:
        return math.inf
    return max(_pinned(np.array(a), np.array(b), span, points) for a, b in ((first, second), (second, first)))


def _pinned(pin: Points, other: Points, span: float, points: Points) -> float:
    """The worst of both ways the far mark can slip sideways, and of all ways the pinned one can."""
    along = (other - pin) / span
    away = (points - pin) / span
    s, h = away @ along, along[0] * away[:, 1] - along[1] * away[:, 0]
    slip_along, slip_across = SLIP * np.cos(TURNS)[:, None], SLIP * np.sin(TURNS)[:, None]
    worst = 0.0
    for far in (-SLIP, SLIP):
        moved_along = slip_along - h * (far - slip_across)
        moved_across = slip_across * (1 - s) + far * s
        worst = max(worst, float(np.hypot(moved_along, moved_across).max()))
    return worst


def grain_line(piece: Piece) -> Segment:
    """The grain line through the middle of a piece, foot and head on its outline, in the piece's frame."""
    return _middle_line(piece.outline, upright=True)


def is_circle(ring: Ring) -> bool:
    """Whether a ring of a dozen or more points is round."""
    middle = centre(ring)
    radii = [math.dist(middle, point) for point in ring]
    return len(ring) >= 12 and max(radii) - min(radii) <= ROUND * max(radii)


def centre(ring: Ring) -> Point:
    """The ring's middle."""
    at = Polygon(ring).centroid
    return float(at.x), float(at.y)


def _hull(outline: Ring) -> Points:
    """The corners that move farthest: a distance moved is convex, so those of the convex hull are enough."""
    hull = Polygon(outline).convex_hull.exterior.coords[:-1]
    return np.array(hull, dtype=np.float64)


def _candidates(outline: Ring, holes: tuple[Point, ...]) -> list[MarkPoint]:
    box = Polygon(outline).bounds
    foot, head = _middle_line(outline, upright=True)
    left, right = _middle_line(outline, upright=False)
    middles = [(foot, "foot of the middle line"), (head, "head of the middle line")]
    middles += [(left, "left end of the cross line"), (right, "right end of the cross line")]
    corners = [MarkPoint(at, f"{_where(at, box)} corner", "corner") for at in _corners(outline)]
    known = {(round(x, 3), round(y, 3)) for x, y in (corner.at for corner in corners)}
    found = [*corners[:MOST_CORNERS]]
    found += [
        MarkPoint(at, words, "middle") for at, words in middles if (round(at[0], 3), round(at[1], 3)) not in known
    ]
    return found + [MarkPoint(at, f"{_where(at, box)} hole", "hole") for at in holes[:MOST_CORNERS]]


def _favoured(pairs: list[tuple[MarkPoint, MarkPoint]], outline: Ring) -> tuple[MarkPoint, MarkPoint]:
    """The farthest apart, or one nearly as far apart that is easier to find."""
    span = {pair: round(math.dist(pair[0].at, pair[1].at), 3) for pair in pairs}
    far = [pair for pair in pairs if span[pair] >= NEARLY * max(span.values())]
    edges = {frozenset(edge) for edge in _straight_edges(outline)}
    ranks = {
        pair: 0
        if frozenset((pair[0].at, pair[1].at)) in edges
        else 1
        if abs(pair[0].at[0] - pair[1].at[0]) < 1e-6 and "middle" in (pair[0].kind, pair[1].kind)
        else 2
        for pair in far
    }
    return min(far, key=lambda pair: (ranks[pair], -span[pair], pair[0].at, pair[1].at))


def _three(outline: Ring, hull: Points) -> tuple[MarkPoint, ...]:
    """The two points of the outline that are farthest apart, and the one farthest from the line through them."""
    box = Polygon(outline).bounds
    gaps = np.hypot(*(hull[:, None] - hull[None, :]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(np.round(gaps, 6).argmax()), gaps.shape)
    a, b = hull[i], hull[j]
    off = np.abs((b[0] - a[0]) * (hull[:, 1] - a[1]) - (b[1] - a[1]) * (hull[:, 0] - a[0]))
    picked = [(float(x), float(y)) for x, y in (a, b, hull[int(off.argmax())])]
    sharp = set(_corners(outline))
    named = [
        MarkPoint(at, f"{_where(at, box)} {'corner' if at in sharp else 'dot on the pattern'}", "outline")
        for at in picked
    ]
    return (*_ordered((named[0], named[1])), named[2])


def _ordered(pair: tuple[MarkPoint, MarkPoint]) -> tuple[MarkPoint, MarkPoint]:
    """Mark 1 is the lower one, of two level ones the left one."""
    first, second = sorted(pair, key=lambda mark: (round(mark.at[1], 3), mark.at[0]))
    return first, second


def _where(at: Point, box: tuple[float, ...]) -> str:
    """The third of the piece's box that a point lies in, across and up: “bottom left”."""
    x = (at[0] - box[0]) / (box[2] - box[0])
    y = (at[1] - box[1]) / (box[3] - box[1])
    across = "left" if x < 0.34 else "right" if x > 0.66 else ""
    up = "bottom" if y < 0.34 else "top" if y > 0.66 else ""
    return " ".join(word for word in (up, across) if word) or "middle"


def _middle_line(outline: Ring, upright: bool) -> Segment:
    """The longest stretch of the piece on its box's upright or level middle line, its ends on the outline."""
    polygon = Polygon(outline)
    left, low, right, high = polygon.bounds
    x, y = (left + right) / 2, (low + high) / 2
    ends = ((x, low - 1), (x, high + 1)) if upright else ((left - 1, y), (right + 1, y))
    cut = polygon.intersection(LineString(ends))
    parts = [part for part in getattr(cut, "geoms", [cut]) if part.length > 0]
    best = max(parts, key=lambda part: float(part.length))
    first, last = sorted(((float(a), float(b)) for a, b in best.coords), key=lambda p: p[upright])
    return first, last


def _corners(ring: Ring) -> list[Point]:
    """The ring's sharp corners between two edges that are long enough to show them."""
    found = []
    for before, at, after in zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True):
        turn = (bearing((at, after)) - bearing((before, at)) + 180) % 360 - 180
        if abs(turn) >= SHARP and min(math.dist(before, at), math.dist(at, after)) >= SHORTEST_EDGE:
            found.append(at)
    return found


def _straight_edges(ring: Ring) -> list[Segment]:
    return list(zip(ring, ring[1:] + ring[:1], strict=True))
