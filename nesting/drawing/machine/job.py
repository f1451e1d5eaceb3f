"""A hide as a job for a machine: registration marks and operations, for one of the kinds of tools."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon

from nesting.drawing.machine.contours import Shape, contours
from nesting.drawing.machine.operations import REGISTRATION, Operation, operations
from nesting.drawing.machine.path import Path, Round, flattened
from nesting.drawing.registration import registration_marks
from nesting.drawing.scene import Box, box_of
from nesting.model.layout import HideLayout, Layout

TOOLS = ("knife", "laser", "press")
ARM = 5.0
"""From the middle of a registration mark to its ends, mm."""
LASER_GAP, PRESS_GAP, TOUCHING = 0.5, 2.0, 0.01
"""Lines nearer than the first burn away; dies need the second between them (common practice); mm."""
LASER_CAUTION = (
    "Laser: extract the fumes to the open air, never leave it alone while it burns, and cut chrome-tanned leather only "
    "as the machine's maker allows it. Local codes and the maker's instructions decide."
)
PRESS_CAUTION = "Press: keep hands clear of the platen, and heed the maker's instructions and local codes."
KNIFE_CAUTION = "Knife: keep hands clear of the moving head, and heed the maker's instructions and local codes."
CAUTIONS = {"knife": KNIFE_CAUTION, "laser": LASER_CAUTION, "press": PRESS_CAUTION}


@dataclass(frozen=True)
class MachineJob:
    """What is written into a machine's file: marks, then operations, in the hide's own coordinates, mm."""

    title: str
    registration: Operation
    operations: tuple[Operation, ...]

    @property
    def all(self) -> tuple[Operation, ...]:
        """Registration marks and operations, in the order of the file."""
        return (self.registration, *self.operations) if self.registration.shapes else self.operations

    @property
    def box(self) -> Box:
        """The box around everything."""
        return box_of(point for operation in self.all for shape in operation.shapes for point in _span(shape))


def job_of(layout: Layout, each: HideLayout, kerf: float = 0.0, once: bool = True) -> MachineJob:
    """The job of one hide. Raises InputError where the kerf does not suit the layout."""
    crosses = [_cross(mark.at) for mark in registration_marks(each)]
    registration = Operation(REGISTRATION, tuple(line for cross in crosses for line in cross))
    return MachineJob(f"Layout of {each.hide.name}", registration, operations(contours(layout, each, kerf), once))


def tool_remarks(each: HideLayout, tool: str, kerf: float) -> list[str]:
    """What the maker should know before the tool begins: the caution, and pieces that lie too near for it."""
    found = [CAUTIONS[tool]]
    if tool == "laser" and (near := _near(each, TOUCHING, LASER_GAP)):
        found.append(
            f"{near} pairs of pieces lie apart by less than {LASER_GAP:g} mm, and lines so near burn away: "
            f'lay out with --gap "{LASER_GAP:g} mm" or more.'
        )
    if tool == "laser" and kerf == 0:
        found.append("No kerf is given: pieces come out smaller by half of it all round (--kerf; often about 0.2 mm).")
    if tool == "press" and (near := _near(each, 0.0, PRESS_GAP)):
        found.append(
            f"{near} pairs of pieces lie nearer than {PRESS_GAP:g} mm, and dies usually need that: "
            f'lay out with --gap "{PRESS_GAP:g} mm".'
        )
    return found


def _near(each: HideLayout, least: float, most: float) -> int:
    """How many pairs of pieces are apart by more than `least` and less than `most`."""
    shapes = [Polygon(p.outline) for p in each.placements]
    pairs = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=most - TOUCHING)
    gaps = (shapes[i].distance(shapes[j]) for i, j in pairs.T if i < j)
    return sum(1 for gap in gaps if gap >= least)


def _cross(at: tuple[float, float]) -> tuple[Path, Path]:
    x, y = at
    return (
        Path(((x - ARM, y), (x + ARM, y)), (0.0,), False),
        Path(((x, y - ARM), (x, y + ARM)), (0.0,), False),
    )


def _span(shape: Shape) -> Iterable[tuple[float, float]]:
    if isinstance(shape, Round):
        (x, y), r = shape.centre, shape.diameter / 2
        return (x - r, y - r), (x + r, y + r)
    return flattened(shape)
