"""Many kinds of pieces: every angle allowed is on the maps, and what is drawn more quickly says the same."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from problems import assert_apart, in_box
from shapely import affinity
from shapely.geometry import Polygon

from nesting.geometry.convex import ring_of
from nesting.geometry.stand_in import PIECE_CORNERS
from nesting.model.problem import Problem
from nesting.model.settings import Watch, never
from nesting.search import groundwork
from nesting.search.groundwork import LEAST_CORNERS, Groundwork, corners_for
from nesting.search.search import search
from nesting.search.separation import depth_maps
from nesting.search.separation.depth_maps import Atlas, atlas
from nesting.search.separation.map_kernel import depth_at
from nesting.search.tasks import fill_task, pull_apart_task

QUARTERS = [0.0, 90.0, 180.0, 270.0]


def blob(number: int, points: int = 90) -> Polygon:
    """A blob with bays, each number another."""
    turn = np.linspace(0, 2 * math.pi, points, endpoint=False)
    reach = (20 + 10 * math.sin(number)) * (1 + 0.2 * np.sin((2 + number % 4) * turn))
    made = Polygon(np.column_stack([reach * np.cos(turn), reach * np.sin(turn)]))
    centre = shapely.minimum_bounding_circle(made).centroid
    return affinity.translate(made, -centre.x, -centre.y)


def many(kinds: int) -> Problem:
    """So many kinds, each once and at four angles."""
    return in_box(500, 500, [(blob(number), 1, QUARTERS) for number in range(kinds)])


def test_the_more_ways_to_lie_there_are_the_fewer_corners_pieces_have_for_tables() -> None:
    few, more, most = (corners_for(many(kinds)) for kinds in (24, 40, 200))
    assert few == PIECE_CORNERS > more > most == LEAST_CORNERS


def test_a_first_layout_of_very_many_kinds_takes_half_of_the_angles() -> None:
    few, most = (Groundwork(many(kinds)) for kinds in (24, 200))
    assert (few.first_angles(4), most.first_angles(4), most.first_angles(1)) == (4, 2, 1)


def test_no_fit_polygons_of_a_first_layout_serve_all_angles() -> None:
    ground = Groundwork(many(3))
    first, all_angles = ground.inner_fits(2), ground.inner_fits(4)
    kept = first.about(*(first.rotations(kind)[0] for kind in (0, 1)))
    assert all_angles.about(*(first.rotations(kind)[0] for kind in (0, 1)))[0] is kept[0]
    assert [len(fits.rotations(0)) for fits in (first, all_angles)] == [2, 4]


def test_where_very_many_kinds_do_not_go_at_half_the_angles_all_are_sought(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(groundwork, "LEAST_CORNERS", PIECE_CORNERS)
    half = Polygon([(-20, -20), (20, -20), (-20, 20)])
    ground = Groundwork(in_box(40.1, 40.1, [(half, 2, QUARTERS)]))
    first = [
        {round(math.degrees(v.angle)) for v in ground.inner_fits(n).rotations(0)} for n in (ground.first_angles(4), 4)
    ]
    assert first == [{0, 90}, {0, 90, 180, 270}]  # two halves of a square are half a turn apart
    assert search(ground, (), "quick", 1, Watch()).goal == (1,)


def test_every_angle_that_many_kinds_are_allowed_is_on_the_maps() -> None:
    made = Groundwork(many(30)).depth_maps(4)
    for kind in range(30):
        angles = {round(math.degrees(v.angle)) % 360 for v in made.rotations if v.kind == kind}
        assert angles == {0, 90, 180, 270}


def test_pieces_laid_by_tables_of_fewer_corners_lie_apart_as_they_are() -> None:
    ground = Groundwork(many(40))
    laid = fill_task(ground, 4, (1,), 1, 0)
    assert laid is not None
    assert_apart(ground.problem, laid)


def test_many_kinds_thrown_anywhere_come_apart_on_their_maps() -> None:
    ground = Groundwork(in_box(330, 330, [(blob(number, 12), 1, QUARTERS) for number in range(26)]))
    done = pull_apart_task(ground, 4, (), (1,), 1, 4000, never)
    assert done.apart
    assert_apart(ground.problem, done.pieces)


@pytest.fixture(scope="module")
def both() -> tuple[Atlas, Atlas]:
    """The maps of a few kinds as they are drawn of few rotations, and of many."""
    fits = Groundwork(in_box(400, 400, [(blob(n), 1, QUARTERS) for n in range(3)])).inner_fits(4)
    united = atlas(fits)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(depth_maps, "UNITED", 0)
        return united, atlas(fits)


def test_maps_of_many_rotations_tell_overlap_as_those_of_few_do(both: tuple[Atlas, Atlas]) -> None:
    united, deepest = (made.maps for made in both)
    step, rng = float(united.step[0]), np.random.default_rng(1)
    signs = 0
    for a, b in rng.integers(0, len(united.wall), (400, 2)):
        x, y = rng.uniform(-70, 70, 2)
        one, other = (depth_at(m, int(m.pair[a, b]), x, y, -step) for m in (united, deepest))
        if abs(one) > 0.3 * step:
            assert (one > 0) == (other > 0)
            signs += one > 0
        assert max(other, 0.0) <= max(one, 0.0) + 0.3 * step
    assert signs > 50


def test_a_map_turned_by_quarters_is_that_of_the_pieces_turned(both: tuple[Atlas, Atlas]) -> None:
    m, rotations = both[1].maps, both[1].rotations
    step = float(m.step[0])
    for b, fixed in enumerate(rotations):
        for a, moving in enumerate(rotations):
            lies = [affinity.rotate(blob(v.kind), v.angle, origin=(0, 0), use_radians=True) for v in (fixed, moving)]
            reach = sum(math.dist((0, 0), max(ring_of(p), key=lambda at: math.hypot(*at))) for p in lies)
            x, y = 0.6 * reach * math.cos(a + b), 0.6 * reach * math.sin(a + b)
            told = depth_at(m, int(m.pair[a, b]), x, y, -step)
            shared = lies[0].intersection(affinity.translate(lies[1], x, y)).area
            if abs(told) > 0.5 * step:
                assert (told > 0) == (shared > 1.0)
