"""Every sentence that claims something proven, and the condition under which alone it is said.

A search that finds nothing has proven nothing. What is said where the proof is missing is what was tried.
"""

from __future__ import annotations

import math

import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.bound.chords import nearly_round
from nesting.bound.free_boxes import free_boxes
from nesting.bound.pose_boxes import stands_between
from nesting.geometry.convex import polygons
from nesting.model.problem import Kind, Problem
from nesting.model.tolerance import TURNED
from nesting.result.wording import count_text, money
from nesting.search.arrays.fitting_angles import fitting

SLIVER = 0.06
"""Leather narrower than twice this (mm) is no room for anything: more than regions are grown by for a proof."""

BOXES, FEW, HALVINGS = 2_000, 300, 12
"""Boxes of poses, at most, that are held against the leather; where few are left, how often these are cut up."""

CENT = 0.005
"""Costs closer than this are the same money."""


def best_count(complete: int, at_most: int, beside: str = "") -> str:
    """What a proven bound says of a count; `beside` names what all layouts spoken of have."""
    if at_most <= 0 and complete <= 0:
        return f"Proven: no layout can give one{beside}."
    if complete == at_most:
        return f"Proven best: no layout can give more{beside}."
    return f"No layout can give more than {at_most}{beside}."


def is_best_straight(complete: int, at_most: int) -> bool:
    """Whether a straight plan of so many reaches the proven bound of such plans."""
    return complete >= at_most


def best_straight(complete: int, at_most: int) -> str:
    """What a proven bound of plans of strips butted on one line, whatever its place and angle, says of a count."""
    if is_best_straight(complete, at_most):
        return "Proven best straight plan: no strips butted on one line can give more."
    return f"No strips butted on one line can give more than {at_most}."


def no_more_than(at_most: int) -> str:
    """The proven bound, beside a count."""
    return f"proven: no more than {at_most}"


def no_better_plan(filled: bool, hides: int, least_hides: int, cost: float, least_cost: float, currency: str) -> str:
    """What is proven of plans that give as much as one from so many hides at this cost; no currency, no word of cost.

    Of an order that is not filled it is said of plans that give as much, for others cost less.
    """
    plans = "no plan" if filled else "no plan that gives as much"
    least = count_text(least_hides, "hide")
    if hides > least_hides:
        few = f"{plans[0].upper()}{plans[1:]} needs fewer than {least}"
    else:
        few = f"Proven: {plans} needs fewer hides than {least_hides}"
    if not currency:
        return f"{few}."
    if cost <= least_cost + CENT:
        return f"{few}, and none costs less."
    return f"{few} or costs less than {money(least_cost, currency)}."


def cut_whole(cheapest_known: bool) -> str:
    """Why a plan costs more than the layouts found would, were hides sold in parts."""
    if cheapest_known:
        return "since hides are cut whole and none of the layouts found fits better"
    return "since hides are cut whole, or the layouts found could be chosen better"


def cannot_fill(possible: bool) -> str:
    """What is proven of an order that is not filled: nothing, where a bound leaves it possible."""
    return "" if possible else "Proven: these hides cannot fill it."


def right_layout(unchecked: int) -> tuple[str, str]:
    """What a check without a fault says of a layout, and of its distances: of what could be checked, and no more."""
    exact = "no distance is off by more than 0.01 mm"
    return ("what was checked holds", f"of that {exact}") if unchecked else ("the layout is right", exact)


def too_large(problem: Problem, kind: int, size: str) -> str:
    """Why a kind of the problem, `size` in words, found no place on leather that has nothing else against it."""
    if fits_nowhere(problem, kind):
        return f"{size} is too large for the usable leather at any angle it may take"
    return no_place(size)


def too_narrow(problem: Problem, kind: int, leather: str, size: str) -> str:
    """Why a kind found no place on the leather that it asks for: “leather of grade A or better”, in words.

    The words must name all that the problem asks of the leather: what is proven is proven of that leather.
    """
    if has_no_leather(problem, kind):
        return no_leather(leather)
    if fits_nowhere(problem, kind):
        return f"no {leather} is wide enough for {size} at the angles it may take"
    return f"{no_place(size)} on {leather}"


def no_leather(leather: str) -> str:
    """What is said of leather that `has_no_leather` finds missing."""
    return f"no {leather} on this hide"


def has_no_leather(problem: Problem, kind: int) -> bool:
    """Whether some part of a kind has nowhere, whichever way round, the leather that it asks for."""
    return all(
        any(not polygons(problem.outer[region].buffer(-SLIVER)) for region in way.regions)
        for way in problem.kinds[kind].orientations
    )


def no_place(size: str) -> str:
    """What is said where the hull would fit and no place was found all the same."""
    return f"no place was found for {size} at the angles that were tried"


def fits_nowhere(problem: Problem, kind: int) -> bool:
    """Whether it is proven that a kind fits nowhere on the empty leather, at none of the angles it may take.

    Each part's hull is held against the hulls of the regions it must lie in, grown by what a right layout may be off;
    then all its poses, in boxes, against the regions themselves. Nothing is said of a kind that may stand between ways.
    """
    if stands_between(problem.kinds[kind]):
        return False
    if all(_never(problem, kind, number) for number in range(len(problem.kinds[kind].orientations))):
        return True
    boxes = free_boxes(problem, kind, BOXES)
    if boxes is None:
        return False
    for _ in range(HALVINGS):
        if 0 < len(boxes) <= FEW:
            boxes.halved(range(len(boxes)))
    return not len(boxes)


def _never(problem: Problem, kind: int, number: int) -> bool:
    own = problem.kinds[kind]
    way = own.orientations[number]
    if nearly_round(own):  # of a disc one angle stands for all, and for the disc turned over
        return all(_never_between(problem, own, way.regions, over, -math.pi, math.pi) for over in (False, True))
    return _never_between(problem, own, way.regions, way.mirrored, math.radians(way.low), math.radians(way.high))


def _never_between(
    problem: Problem, kind: Kind, regions: tuple[int, ...], mirrored: bool, low: float, high: float
) -> bool:
    for region, part in zip(regions, kind.parts, strict=True):
        lies = affinity.scale(part, -1, 1, origin=(0, 0)) if mirrored else part
        for shape in polygons(lies):
            if fitting(_ground(problem.outer[region], shape), shape, low, high).never:
                return True
    return False


def _ground(region: BaseGeometry, shape: Polygon) -> BaseGeometry:
    """The leather that a shape may reach, without the slivers that growing a region leaves along its borders.

    Discs of radius r that lie in the shape lie in the region, so their union lies in that of the discs in the region:
    in one part of it, where the shape drawn in by r is in one part. No point of the shape is farther than its
    farthest corner from its own discs.
    """
    core = shape.buffer(-SLIVER)
    if not isinstance(core, Polygon) or core.is_empty:
        return region.buffer(TURNED, join_style="mitre")
    lost = float(shapely.distance(shapely.points(shapely.get_coordinates(shape)), core.buffer(0.99 * SLIVER)).max())
    return region.buffer(-SLIVER).buffer(1.01 * SLIVER + lost + TURNED, join_style="mitre")
