"""What a machine does with a hide, operation by operation: lines that are not cut, punches, openings, outlines.

Layers bear the numbers of ASTM D6673-10 (4 notches, 8 internal lines, 14 sew lines, 13 drill holes, 11 internal
cutouts, 1 boundary), else words of our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.drawing.machine.contours import CutContour, Shape
from nesting.drawing.machine.path import Path, Round
from nesting.drawing.machine.shared import network
from nesting.drawing.machine.trails import ordered_trails
from nesting.drawing.machine.travel import nearest_first


@dataclass(frozen=True)
class ToolLayer:
    """A layer's name, the words for it and its colour, which serves to tell it from the others and means nothing."""

    name: str
    words: str
    colour: str


REGISTRATION = ToolLayer("registration", "registration marks, not cut", "#4d6b3c")
LINES = {
    "fold": ToolLayer("fold", "fold lines, not cut", "#7d5ba6"),
    "crease": ToolLayer("crease", "crease lines, not cut", "#2e8b87"),
    "stitch": ToolLayer("14", "stitch lines, not cut", "#b0722a"),
    "skive": ToolLayer("skive", "skive lines, not cut", "#95618a"),
    "notch": ToolLayer("4", "notches", "#5a7f2a"),
    "mark": ToolLayer("8", "other lines, not cut", "#7a6f66"),
}
"""The layer of every kind of line that is not cut through."""
PUNCHES = ToolLayer("13", "punches", "#8a2f1d")
OPENINGS = ToolLayer("11", "openings", "#1f5673")
OUTLINES = ToolLayer("1", "outlines", "#2b2420")


@dataclass(frozen=True)
class Operation:
    """What is done on one layer, in this order."""

    layer: ToolLayer
    shapes: tuple[Shape, ...]


def operations(contours: Sequence[CutContour], once: bool = True) -> tuple[Operation, ...]:
    """Lines, punches, openings and outlines in this order; `once` cuts outlines that pieces share a single time.

    Whatever lies in a piece is cut before its outline. Empty operations are left out.
    """
    punches = [hole for each in contours for hole in each.punches]
    openings = [shape for each in contours for shape in each.openings]
    outlines = [each.outline for each in contours]
    drawn = [
        (layer, [path for each in contours for own, path in each.lines if own == kind]) for kind, layer in LINES.items()
    ]
    found = (
        *(Operation(layer, tuple(_near_first(paths))) for layer, paths in drawn),
        Operation(PUNCHES, tuple(_near_first(punches))),
        Operation(OPENINGS, tuple(_near_first(openings))),
        Operation(OUTLINES, tuple(_once(outlines) if once else _near_first(outlines))),
    )
    return tuple(operation for operation in found if operation.shapes)


def _once(outlines: Sequence[Shape]) -> list[Shape]:
    """Outlines with every shared line a single time. A whole circle shares none: at most it touches."""
    whole = [_as_path(outline) for outline in outlines]
    return [_as_round(path) for path in ordered_trails(network(whole))]


def _as_path(shape: Shape) -> Path:
    if isinstance(shape, Path):
        return shape
    (x, y), r = shape.centre, shape.diameter / 2
    return Path(((x + r, y), (x - r, y)), (1.0, 1.0), True)


def _as_round(path: Path) -> Shape:
    """A closed path of two halves of a circle as that circle."""
    if path.closed and len(path.points) == 2 and all(abs(abs(bulge) - 1) < 1e-9 for bulge in path.bulges):
        (ax, ay), (bx, by) = path.points
        return Round(((ax + bx) / 2, (ay + by) / 2), ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5)
    return path


def _near_first(shapes: Sequence[Shape]) -> list[Shape]:
    starts = [shape.centre if isinstance(shape, Round) else shape.points[0] for shape in shapes]
    return [shapes[k] for k in nearest_first(starts)]
