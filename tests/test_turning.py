"""Pieces that may turn: what their maps say at any angle against shapely, and turns at the moves of a separation."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import assert_apart, in_box
from shapely import affinity
from shapely.geometry import Polygon

from nesting.model.problem import Orientation, Problem
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.filling.leftover import placed
from nesting.search.separation import turned_maps
from nesting.search.separation.depth_maps import Atlas, atlas
from nesting.search.separation.guided_local_search import PulledApart, pull_apart
from nesting.search.separation.map_kernel import Rough
from nesting.search.separation.moving_kernel import desk
from nesting.search.separation.turning_kernel import beside, depth_turned, outside_turned, turn_to, weigh_turned

ELL = Polygon([(0, 0), (40, 0), (40, 15), (15, 15), (15, 50), (0, 50)])
KITE = Polygon([(0, 0), (30, 10), (35, 45), (8, 30)])


def turning(problem: Problem, spans: list[tuple[float, float]]) -> Problem:
    """The same with other angles for all kinds."""
    orientations = tuple(Orientation(False, low, high, (0,)) for low, high in spans)
    return replace(problem, kinds=tuple(replace(kind, orientations=orientations) for kind in problem.kinds))


def fits(problem: Problem) -> InnerFits:
    return InnerFits(build(problem), 8)


def free_ones(width: float) -> Problem:
    return turning(in_box(width, 150.0, [(ELL, 3, [0.0]), (KITE, 3, [0.0])]), [(-180.0, 180.0)])


FREE_ONES = free_ones(200.0)


@pytest.fixture(scope="module")
def free() -> Atlas:
    return atlas(fits(FREE_ONES))


def lying(made: Atlas, kinds: tuple[int, ...], poses: list[tuple[float, float, float]]) -> Rough:
    return made.rough([Laid(k, k, x, y, math.radians(a)) for k, (x, y, a) in zip(kinds, poses, strict=True)], 1)


def outline(kind: int, x: float, y: float, degrees: float) -> Polygon:
    return placed(FREE_ONES, build(FREE_ONES).pose_of(kind, kind, x, y, math.radians(degrees)))


any_angle = st.floats(-180.0, 180.0)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([(0, 0), (0, 1), (1, 0), (1, 1)]), any_angle, any_angle, st.floats(-45.0, 45.0), st.floats(-45, 45)
)
def test_two_pieces_at_any_angles_are_told_to_overlap_where_they_do(
    free: Atlas, kinds: tuple[int, int], first: float, second: float, dx: float, dy: float
) -> None:
    s = lying(free, kinds, [(100.0, 75.0, first), (100.0 + dx, 75.0 + dy, second)])
    step = float(free.maps.step[0])
    one, other = outline(kinds[0], 100.0, 75.0, first), outline(kinds[1], 100.0 + dx, 75.0 + dy, second)
    told = depth_turned(free.maps, free.turning, s, 0, 1)
    assert told == pytest.approx(depth_turned(free.maps, free.turning, s, 1, 0), abs=0.5 * step)
    if told > 0.5 * step:  # beyond what interpolation may be off
        assert one.intersection(other).area > 0.0
    if one.buffer(-0.5 * step).intersects(other):
        assert told > 0.0


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([0, 1]), any_angle, st.floats(10.0, 190.0), st.floats(10.0, 140.0))
def test_a_piece_at_any_angle_is_told_to_lie_outside_where_it_does(
    free: Atlas, kind: int, degrees: float, x: float, y: float
) -> None:
    s = lying(free, (kind,), [(x, y, degrees)])
    told = outside_turned(free.maps, free.turning, int(s.rotation[0]), x, y, math.radians(degrees))
    x0, y0, x1, y1 = outline(kind, x, y, degrees).bounds
    out = max(0.0, -x0, -y0, x1 - 200.0, y1 - 150.0)
    corner = math.hypot(max(-x0, x1 - 200.0, 0.0), max(-y0, y1 - 150.0, 0.0))
    if corner < 2 * free.maps.step[0]:  # farther out a map has its edge
        assert told == pytest.approx(corner, abs=0.3 * float(free.maps.step[0]))
    assert (told > 0.0) or out < 0.3 * free.maps.step[0]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(60.0, 140.0), st.floats(50.0, 100.0), any_angle), min_size=4, max_size=4), any_angle
)
def test_what_a_piece_weighs_after_a_turn_is_the_sum_of_its_depths(
    free: Atlas, poses: list[tuple[float, float, float]], turned: float
) -> None:
    s, m, f = lying(free, (0, 1, 1, 0), poses), free.maps, free.turning
    s.pairs[:], s.walls[:] = 3.0, 2.0
    d = desk(4, free.board())
    here = int(s.rotation[1])
    many = beside(m, f, s, 1, here, s.at[1], 0.0, d.beside)
    turn_to(f, here, math.radians(turned), many, d.beside)
    weighed = weigh_turned(m, f, d.beside, many, s.at[1, 0], s.at[1, 1], 1e300)
    s.at[1, 2] = math.radians(turned)
    told = 2.0 * m.mass[here] * outside_turned(m, f, here, s.at[1, 0], s.at[1, 1], s.at[1, 2])
    for j in (0, 2, 3):
        told += 3.0 * m.mass[here] * m.mass[s.rotation[j]] * depth_turned(m, f, s, 1, j)
    assert weighed == pytest.approx(told, rel=1e-6, abs=1e-6)


LAID = (8.0, -6.0, 11.0, -9.0)
"""By how much each of four pieces must turn to go into their box, degrees."""


def jigsaw() -> Problem:
    """A box cut into four by two slanting cuts; each piece drawn turned, and free to turn by 15 degrees."""
    cut = [
        Polygon([(0, 0), (40, 0), (50, 45), (0, 60)]),
        Polygon([(40, 0), (100, 0), (100, 30), (50, 45)]),
        Polygon([(50, 45), (100, 30), (100, 80), (60, 80)]),
        Polygon([(0, 60), (50, 45), (60, 80), (0, 80)]),
    ]
    drawn = [affinity.rotate(piece, -turn) for piece, turn in zip(cut, LAID, strict=True)]
    return turning(in_box(101.0, 80.8, [(piece, 1, [0.0]) for piece in drawn]), [(-15.0, 15.0)])


def pulled(problem: Problem, seed: int) -> PulledApart:
    made = fits(problem)
    return pull_apart(made.arrays, atlas(made), [], list(range(len(problem.kinds))), seed, 20_000)


@pytest.mark.parametrize("seed", range(3))
def test_pieces_that_go_in_only_turned_by_a_few_degrees_are_pulled_apart_into_place(seed: int) -> None:
    problem = jigsaw()
    done = pulled(problem, seed)
    assert done.apart
    assert_apart(problem, done.pieces)
    for piece, turn in zip(done.pieces, LAID, strict=True):
        assert abs(piece.angle) <= math.radians(15.0) + 1e-9
        assert math.degrees(piece.angle) == pytest.approx(turn, abs=3.0)


def test_the_same_seed_turns_pieces_the_same_way() -> None:
    assert pulled(jigsaw(), 1) == pulled(jigsaw(), 1)


def test_kinds_of_fixed_angles_have_no_maps_at_other_ones() -> None:
    problem = in_box(101.0, 101.0, [(ELL, 2, [0.0, 90.0]), (KITE, 1, [10.0])])
    made = fits(problem)
    drawn = atlas(made)
    assert len(drawn.turning.start) == 0
    done = pull_apart(made.arrays, drawn, [], [0, 0, 1], 1, 2_000)
    assert {round(math.degrees(p.angle), 6) for p in done.pieces} <= {0.0, 90.0, 10.0}


def test_of_too_many_shapes_there_are_no_maps_at_any_angle() -> None:
    made = fits(FREE_ONES)
    rotations = atlas(made).rotations
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(turned_maps, "MOST_PAIRS", 3 * min(turned_maps.SPACED) - 1)  # three pairs of two shapes
        assert len(turned_maps.turning(made, rotations, 5.0).start) == 0
        patch.setattr(turned_maps, "MOST_PAIRS", 3 * min(turned_maps.SPACED))
        assert turned_maps.turning(made, rotations, 5.0).pair.shape[2] == min(turned_maps.SPACED)


def test_maps_lie_no_farther_apart_than_half_of_what_a_kind_may_turn() -> None:
    made = fits(turning(in_box(200.0, 150.0, [(ELL, 1, [0.0]), (KITE, 1, [0.0])]), [(-5.0, 5.0), (175.0, 185.0)]))
    rotations = atlas(made).rotations
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(turned_maps, "MOST_PAIRS", 40)  # three pairs of shapes, each at two by five or six angles
        assert turned_maps.turning(made, rotations, 5.0).pair.shape[2] == 72
        patch.setattr(turned_maps, "MOST_PAIRS", 30)
        assert len(turned_maps.turning(made, rotations, 5.0).start) == 0


def test_on_other_leather_pieces_meet_as_before_and_end_where_it_ends(free: Atlas) -> None:
    wider = free.on(fits(free_ones(260.0)))
    s = lying(wider, (0, 1), [(190.0, 75.0, 33.0), (180.0, 70.0, -71.0)])
    m, f = wider.maps, wider.turning
    assert depth_turned(m, f, s, 0, 1) == depth_turned(free.maps, free.turning, s, 0, 1) > 0.0
    told = [outside_turned(a.maps, a.turning, int(s.rotation[0]), 190.0, 75.0, s.at[0, 2]) for a in (free, wider)]
    assert told[0] > 0.0 == told[1]


def test_an_angle_is_brought_within_those_allowed_however_far_around_it_is() -> None:
    problem = turning(in_box(200.0, 150.0, [(ELL, 1, [0.0]), (KITE, 1, [0.0])]), [(-185.0, -175.0)])
    drawn = atlas(fits(problem))
    for told, meant in ((178.0, -182.0), (-177.0, -177.0), (-200.0, -185.0), (540.5, -179.5)):
        at = np.array([[100.0, 75.0, math.radians(told)]])
        (piece,) = drawn.laid([0], np.zeros(1, dtype=np.int64), at)
        assert math.degrees(piece.angle) == pytest.approx(meant)
