"""What is written on the drawing of a strip sheet: the strips' numbers, and which line a mark is of.

A number stands on its strip, at the end that lengths are from; of narrow strips that follow one another only every
fifth has one, and the first and the last. The names of marks stand on free ground, with a leader where that is not
right beside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from hides.hide import Point
from nesting.drawing.labels import Label
from nesting.drawing.leader_labels import FreeGround
from nesting.drawing.scene import Box, Item
from nesting.drawing.strip_table import line_length, strip_corners
from nesting.model.layout import HideLayout
from nesting.model.straight import StraightPlan, Strip

DIGITS = 2.4
LEAST = 1.5
"""Size of the numbers of strips, mm on paper: at most and at least."""
SHARE = 0.75
"""Of a strip's width on paper."""
EVERY = 5
ASIDE = 2.0
"""How far (mm on paper) a number's middle is from the strip's end."""
NAME = 2.2
RADIUS = 1.4
FAR = 60.0
"""Size of the names of marks, of the dots, and how far a name may stand from its dot (mm on paper)."""


def strip_numbers(each: HideLayout, block: StraightPlan, ground: BaseGeometry, k: float) -> Iterator[Label]:
    """The numbers of a block's strips on the leather there is; `k` is hide mm a mm on paper."""
    along = math.cos(math.radians(block.angle)), math.sin(math.radians(block.angle))
    narrow = [False, *(SHARE * strip.width < LEAST * k for strip in block.strips), False]
    for number, strip in enumerate(block.strips, 1):
        crowded = narrow[number] and (narrow[number - 1] or narrow[number + 1])
        if crowded and 1 < number < len(block.strips) and number % EVERY:
            continue
        size = max(LEAST, min(DIGITS, SHARE * strip.width / k))
        x, y = _end(each, block, strip, ground)
        far = (ASIDE + 0.3 * size * (len(f"{number}") - 1)) * k
        yield Label(f"{number}", (x + far * along[0], y + far * along[1]), size * k)


def _end(each: HideLayout, block: StraightPlan, strip: Strip, ground: BaseGeometry) -> tuple[float, float]:
    """Where the middle of a strip begins, on that part of it from which its first piece comes."""
    a, b, c, d = strip_corners(block, strip, line_length(block))
    start, end = ((a[0] + d[0]) / 2, (a[1] + d[1]) / 2), ((b[0] + c[0]) / 2, (b[1] + c[1]) / 2)
    parts = [p for p in shapely.get_parts(LineString(longer(start, end)).intersection(ground)) if p.length]
    if not parts:
        return start
    bears = Polygon(each.placements[strip.pieces[0]].outline) if strip.pieces else ground
    x, y = max(parts, key=lambda part: float(part.intersection(bears).length)).coords[0]
    return float(x), float(y)


def mark_names(blocks: Sequence[StraightPlan], busy: BaseGeometry, frame: Box, k: float) -> Iterator[Item]:
    """Which line and mark every dot is, off what is `busy`, with leaders; none where there is no room in the frame."""
    dots = [shapely.Point(mark).buffer(RADIUS * k) for block in blocks for mark in block.line]
    free = FreeGround(frame, shapely.union_all([busy, *dots]), 0.4 * k)
    for number, dot in enumerate(dots):
        told = free.beside(dot, f"line {number // 2 + 1}, mark {number % 2 + 1}", NAME * k, FAR * k)
        if told is not None:
            label, leader = told
            yield label.text("words")
            if leader is not None:
                yield leader


def longer(start: Point, end: Point) -> tuple[Point, Point]:
    """The line through two points, far beyond both."""
    long = max(math.dist(start, end), 1e-9)
    ux, uy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    return (start[0] - 1e5 * ux, start[1] - 1e5 * uy), (end[0] + 1e5 * ux, end[1] + 1e5 * uy)
