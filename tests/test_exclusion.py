"""Places that exclude one another: boxes hold every pose that a layout may have, and nothing that goes is forbidden."""

from __future__ import annotations

import math
from dataclasses import replace

import exact
import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from nesting.bound.exclusion import BESIDE, NOWHERE, ExclusionBudget, exclusion_limit
from nesting.bound.free_boxes import FreeBoxes, free_boxes
from nesting.bound.hall import hall_limits
from nesting.bound.limits import Bound
from nesting.bound.pose_boxes import core, stances
from nesting.geometry.convex import ring_of
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.tolerance import GIVE
from nesting.result.claims import fits_nowhere

BUDGET = ExclusionBudget(pieces=12, boxes=4_000, rounds=80, time=20.0)
MANY = 10**6

ELL = Polygon([(0, 0), (90, 0), (90, 30), (30, 30), (30, 70), (0, 70)])


def problem_of(outline: Polygon, leather: Polygon, *angles: tuple[float, float], count: int = 1) -> Problem:
    ways = tuple(Orientation(False, low, high, (0,)) for low, high in angles)
    kind = Kind("piece", 0, outline, (outline,), count, ways)
    return Problem((leather,), (leather.buffer(GIVE, join_style="mitre"),), (kind,), (Wanted("P"),))


def told(problem: Problem, known: int, found: int = 0, budget: ExclusionBudget = BUDGET) -> int:
    limit = exclusion_limit(problem, 0, known, found, budget)
    return known if limit is None else limit.at_most(0) or 0


def convex(rng: np.random.Generator, slim: float = 0.2) -> Polygon:
    points = rng.uniform(-1, 1, (int(rng.integers(3, 10)), 2)) * (60, 60 * rng.uniform(slim, 1.0))
    return Polygon(shapely.MultiPoint(points).convex_hull.buffer(2.0, quad_segs=1).exterior)


@pytest.mark.parametrize("seed", range(30))
def test_a_core_lies_in_the_piece_at_every_pose_of_its_box(seed: int) -> None:
    rng = np.random.default_rng([31, seed])
    shape, low = convex(rng), float(rng.uniform(-180, 180))
    high = low + float(rng.choice([0.0, 0.5, 6.0, 40.0]))
    across, along = rng.choice([0.0, 1.0, 6.0], 2).tolist()
    ring = core(ring_of(shape), low, high, across, along)
    poses = [
        affinity.translate(affinity.rotate(shape, angle, origin=(0, 0)), across * x, along * y)
        for angle in np.linspace(low, high, 7)
        for x in (-1, 0, 1)
        for y in (-1, 0, 1)
    ]
    common = shapely.intersection_all(poses)
    if len(ring):
        assert all(pose.covers(Polygon(ring)) for pose in poses)
    reach = max(math.hypot(x, y) for x, y in shape.exterior.coords)
    lost = reach * (1 - math.cos(math.radians(high - low) / 2)) + 1e-5
    assert common.area - (Polygon(ring).area if len(ring) else 0.0) <= lost * common.length * 3 + 1e-6


@pytest.mark.parametrize("seed", range(16))
def test_every_pose_that_lies_on_the_leather_is_in_a_box_before_and_after_halving(seed: int) -> None:
    rng = np.random.default_rng([32, seed])
    outline = ELL if seed % 2 else Polygon(affinity.translate(convex(rng, 0.6), 70, 70))
    leather = box(0, 0, 260, 170).difference(Point(130, 80).buffer(float(rng.uniform(5, 30))))
    turns = [(-30.0, 40.0)] if seed % 3 == 0 else [(-8.0, 8.0), (172.0, 188.0)]
    problem = problem_of(outline, leather, *turns)
    own = stances(problem, 0)
    boxes = FreeBoxes(problem, own, 20_000)
    assert boxes.whole
    west, south, east, north = outline.bounds
    middled = affinity.translate(outline, -(west + east) / 2, -(south + north) / 2)
    lie = []
    while len(lie) < 40:
        low, high = turns[int(rng.integers(len(turns)))]
        x, y, angle = float(rng.uniform(0, 260)), float(rng.uniform(0, 170)), float(rng.uniform(low, high))
        if leather.covers(affinity.translate(affinity.rotate(middled, angle, origin=(0, 0)), x, y)):
            lie.append((x, y, angle))
    for _ in range(3):
        assert all(held(boxes, *pose) for pose in lie)
        boxes.halved(sorted(rng.choice(len(boxes), min(len(boxes), 40), replace=False).tolist()))


def held(boxes: FreeBoxes, x: float, y: float, angle: float) -> bool:
    """Whether some box has the pose, or the same half a turn on where that is the same."""
    for number, (u, v) in zip(boxes.form.tolist(), boxes.at.tolist(), strict=True):
        form = boxes.forms[number]
        turned = any(form.low - 1e-9 <= angle + turn <= form.high + 1e-9 for turn in (-360, -180, 0, 180, 360))
        if turned and abs(x - u) <= form.across + 1e-9 and abs(y - v) <= form.along + 1e-9:
            return True
    return False


def world(seed: int) -> exact.World:
    return exact.random_world(np.random.default_rng([33, seed]), grounds=1 + seed % 2)


def areas_of(problem: Problem) -> int:
    return min(limit.at_most(0) or 0 for limit in hall_limits(problem))


@pytest.mark.parametrize("seed", range(20))
def test_however_hard_it_tries_nothing_is_proven_that_is_not_so(seed: int) -> None:
    case = world(seed)
    problem = case.problem()
    assert exact.best(case) <= told(problem, areas_of(problem), budget=replace(BUDGET, rounds=20, boxes=1_000))


def test_where_areas_allow_more_than_there_is_it_proves_what_there_is() -> None:
    looked_at = 0
    for case in map(world, range(60)):
        problem, truth = case.problem(), exact.best(case)
        if areas_of(problem) > truth:
            looked_at += 1
            assert told(problem, areas_of(problem), truth, replace(BUDGET, rounds=30, boxes=1_500)) == truth
    assert looked_at > 8


@pytest.mark.parametrize("side", [1.6, 1.8])
def test_two_unit_squares_at_any_angle_need_a_square_of_side_2(side: float) -> None:
    """E. Friedman, Packing Unit Squares in Squares, Electronic Journal of Combinatorics, Dynamic Survey 7."""
    problem = problem_of(box(0, 0, 100, 100), box(0, 0, 100 * side, 100 * side), (0.0, 360.0))
    assert told(problem, math.floor(side**2)) == 1


@pytest.mark.parametrize(("side", "most"), [(3.38, 1), (3.8, 2), (4.7, 4)])
def test_discs_in_a_square_are_as_few_as_is_published(side: float, most: int) -> None:
    """Two discs of radius 1 need a side of 2 + √2, three 2 + (√6 + √2)/2, five 2 + 2√2: J. Schaer, A. Meir, On a
    geometric extremum problem, Canadian Mathematical Bulletin 8 (1965), and tables since (from memory)."""
    disc = Point(0, 0).buffer(50.0, quad_segs=12)
    problem = problem_of(disc, box(0, 0, 50 * side, 50 * side), (0.0, 0.0))
    assert told(problem, math.floor(side**2 / math.pi)) == most


def test_pieces_that_interlock_are_told_apart_as_they_lie() -> None:
    """Head to tail two of these fill one another's bays in 130 × 70; one way up they need 120 × 100, or more."""
    leather = box(0, 0, 131, 71)
    assert told(problem_of(ELL, leather, (0.0, 0.0), (180.0, 180.0)), 3) == 2
    assert told(problem_of(ELL, leather, (0.0, 0.0)), 3) == 1
    assert told(problem_of(ELL, box(0, 0, 121, 101), (0.0, 0.0)), 3) == 2


def test_a_piece_longer_than_any_way_through_the_leather_is_said_to_fit_nowhere() -> None:
    """The leather is bent: its hull would hold the strap, itself it does not."""
    bent = box(0, 0, 300, 60).union(box(0, 0, 60, 300))
    strap = box(0, 0, 20, 350)
    problem = problem_of(strap, bent, (0.0, 360.0))
    assert fits_nowhere(problem, 0)
    limit = exclusion_limit(problem, 0, 5, 0, replace(BUDGET, rounds=0))
    assert limit is not None
    assert (limit.at_most(0), limit.why) == (0, NOWHERE)
    assert not fits_nowhere(problem_of(box(0, 0, 20, 290), bent, (0.0, 360.0)), 0)


def test_a_piece_hardly_too_large_is_told_as_that_once_its_boxes_are_cut_up() -> None:
    problem = problem_of(box(0, 0, 100, 60), box(0, 0, 99, 99), (-5.0, 5.0))
    assert free_boxes(problem, 0, BUDGET.boxes)
    limit = exclusion_limit(problem, 0, 1, 0, BUDGET)
    assert limit is not None
    assert (limit.at_most(0), limit.why) == (0, NOWHERE)


def test_a_bound_that_was_made_sharper_says_of_what_it_follows() -> None:
    bound = Bound(problem_of(ELL, box(0, 0, 131, 71), (0.0, 0.0)))
    assert bound.at_most(0) > 1
    bound.exclude((1,), BUDGET)
    assert bound.told(0) == (1, BESIDE)


def test_a_stop_proves_nothing() -> None:
    problem = problem_of(box(0, 0, 100, 60), box(0, 0, 190, 110), (0.0, 0.0))
    assert exclusion_limit(problem, 0, 3, 1, BUDGET, lambda: True) is None


def test_the_same_is_proven_twice() -> None:
    problem = problem_of(ELL, box(0, 0, 160, 110), (-10.0, 10.0), (170.0, 190.0))
    few = replace(BUDGET, rounds=8, boxes=1_000)
    assert exclusion_limit(problem, 0, 6, 0, few) == exclusion_limit(problem, 0, 6, 0, few)


def test_boxes_that_would_be_too_many_tell_nothing() -> None:
    problem = problem_of(box(0, 0, 10, 10), box(0, 0, 400, 400), (0.0, 360.0))
    assert free_boxes(problem, 0, 500) is None
    assert exclusion_limit(problem, 0, MANY, 0, replace(BUDGET, boxes=500)) is None


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, 150.0])
def test_a_nearly_round_piece_is_held_against_the_leather_at_every_angle(turn: float) -> None:
    """The problem has one angle of it for all, but it is a little longer than wide, and fits a strip one way only."""
    almost = affinity.scale(Point(0, 0).buffer(50.0, quad_segs=16), 1.0, 0.98)
    strip = affinity.rotate(box(0, 0, 160, 98.2), turn, origin=(0, 0))
    problem = problem_of(almost, strip, (0.0, 0.0))
    assert not fits_nowhere(problem, 0)
    assert exclusion_limit(problem, 0, 1, 0, BUDGET) is None
    thinner = affinity.rotate(box(0, 0, 160, 97.0), turn, origin=(0, 0))
    assert fits_nowhere(problem_of(almost, thinner, (0.0, 0.0)), 0)


@pytest.mark.parametrize("off", [0.006, 0.015])
def test_a_piece_may_stand_between_two_ways_on_the_leather_of_both(off: float) -> None:
    """Half the leather has a backbone of its own, turned by less than the tolerance: across both a piece is right."""
    piece = box(0, 0, 100, 50)
    halves = box(-2, -2, 50, 52), box(50, -2, 102, 52)
    outer = tuple(half.buffer(GIVE, join_style="mitre") for half in halves)
    for apart, told_of in ((off, False), (40.0, True)):
        ways = (Orientation(False, -180.0, -180.0, (0,)), Orientation(False, 180.0 + apart, 180.0 + apart, (1,)))
        problem = Problem(halves, outer, (Kind("piece", 0, piece, (piece,), 1, ways),), (Wanted("P"),))
        assert fits_nowhere(problem, 0) == told_of
        assert told(problem, 1) == (0 if told_of else 1)
