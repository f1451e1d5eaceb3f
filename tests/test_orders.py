"""Many orders and windows laid anew: more and more of a goal, never anything lost, every layout valid."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from problems import assert_apart, in_box
from shapely.geometry import Polygon, box

from nesting.model.problem import Problem
from nesting.model.settings import never
from nesting.search.arrays.arrays import build
from nesting.search.arrays.goals import shortfall
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.choosing.free_leather import FreeLeather
from nesting.search.choosing.large_neighbourhood import LIFTED, search_neighbourhoods
from nesting.search.choosing.set_packing import SAME, most_leather
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill, fill_among
from nesting.search.filling.sequence_search import search_sequences

TURNS = [0.0, 90.0, 180.0, 270.0]
ELL = Polygon([(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)])


def kit(width: float, height: float, gap: float = 0.0) -> Problem:
    """Four kinds of which several fit together closely."""
    kinds = [(ELL, 2, TURNS), (box(0, 0, 40, 30), 2, TURNS[:2]), (box(0, 0, 90, 15), 1, TURNS[:2])]
    return in_box(width, height, [*kinds, (box(0, 0, 20, 20), 2, TURNS[:1])], gap)


@pytest.mark.parametrize("gap", [0.0, 2.0])
def test_many_orders_leave_out_no_more_than_the_first_one(gap: float) -> None:
    fits = InnerFits(build(kit(260, 210, gap)))
    once, often = (search_sequences(fits, (5,), 1, rounds, never) for rounds in (1, 30))
    assert often.missing <= once.missing
    for found in (once, often):
        assert_apart(fits.arrays.problem, found.pieces)
        left = sum(fits.arrays.problem.kinds[k].area for k in shortfall(fits.arrays.problem, found.pieces, (5,)))
        assert left == pytest.approx(found.missing)


def test_orders_end_with_the_first_that_lays_all() -> None:
    fits = InnerFits(build(kit(400, 300)))
    found = search_sequences(fits, (2,), 1, 50, never)
    assert found.missing == 0
    assert found.tried == len(found.pieces) == 14


def test_orders_change_until_what_found_no_room_fits() -> None:
    # Large pieces first leave no strip for the long one: two of 60 × 55 lie at one end, and the strap across 120 fits
    # beside them only if it comes first. A single order by size never finds that out.
    problem = in_box(120, 75, [(box(0, 0, 60, 55), 2, [0.0]), (box(0, 0, 20, 19), 6, [0.0])])
    fits = InnerFits(build(problem))
    assert search_sequences(fits, (1,), 1, 40, never).missing == 0


@pytest.mark.parametrize("leave", [0.0, 1_000.0, 2_400.0, 10_000.0, float("inf")])
def test_laying_ends_once_more_is_left_out_than_may_be(leave: float) -> None:
    problem = kit(200, 120)
    fits = InnerFits(build(problem))
    sequence = [kind for kind in range(4) for _ in range(9)]
    whole = bottom_left_fill(fits, sequence, Sweep(0.0))
    laid = bottom_left_fill(fits, sequence, Sweep(0.0), leave=leave)
    assert laid == whole[: len(laid)]
    area = [kind.area for kind in problem.kinds]
    many, lacking = Counter(p.kind for p in whole), 0.0
    kept = []
    for kind in range(4):  # a kind that does not fit once never does later
        kept += [kind] * many[kind]
        lacking += area[kind] * (9 - many[kind])
        if lacking > leave:
            break
    assert [p.kind for p in laid] == kept
    assert leave > 0.0 or len(laid) < len(whole)


@pytest.mark.parametrize("stray", [0.0, 0.3])
@pytest.mark.parametrize("gap", [0.0, 2.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_windows_lose_nothing_and_stay_valid(gap: float, seed: int, stray: float) -> None:
    problem = kit(260, 190, gap)
    fits = InnerFits(build(problem))
    start = search_sequences(fits, (5,), seed, 2, never)
    found = search_neighbourhoods(fits, start.pieces, (5,), seed, 4_000, never, stray)
    assert found.missing <= start.missing
    assert not Counter(shortfall(problem, found.pieces, (5,))) - Counter(shortfall(problem, [], (5,)))
    assert_apart(problem, found.pieces)


def test_windows_mend_a_layout_that_wastes_room() -> None:
    # Eight squares of 20 in a box of 80 × 40 leave nothing over; these lie where only six go.
    problem = in_box(80, 40, [(box(0, 0, 20, 20), 8, [0.0])])
    fits = InnerFits(build(problem))
    wasteful = tuple(Laid(0, 0, x, y, 0.0) for x in (15.0, 40.0, 65.0) for y in (10.0, 30.0))
    assert len(wasteful) < LIFTED
    found = search_neighbourhoods(fits, wasteful, (1,), 1, 3_000, never)
    assert found.missing == 0
    assert_apart(problem, found.pieces)


@pytest.mark.parametrize("seed", range(5))
def test_a_free_point_lies_on_the_leather_and_in_no_piece(seed: int) -> None:
    problem = in_box(80, 40, [(box(0, 0, 20, 20), 8, [0.0])])
    squares = [Laid(0, 0, x, y, 0.0) for x in (10.0, 30.0, 50.0, 70.0) for y in (10.0, 30.0)]
    left_out = squares.pop(seed)
    point = FreeLeather(build(problem)).point(squares, 0, np.random.default_rng(seed))
    assert point is not None
    assert max(abs(point[0] - left_out.x), abs(point[1] - left_out.y)) <= 10


def test_full_leather_has_no_free_point() -> None:
    problem = in_box(40, 20, [(box(0, 0, 20, 20), 2, [0.0])])
    full = [Laid(0, 0, x, 10.0, 0.0) for x in (10.0, 30.0)]
    assert FreeLeather(build(problem)).point(full, 0, np.random.default_rng(1)) is None


def test_a_choice_that_strays_is_not_always_the_greatest_and_never_overlaps() -> None:
    problem = in_box(100, 20, [(box(0, 0, 50, 20), 2, [0.0]), (box(0, 0, 45, 20), 2, [0.0])])
    places = [Laid(kind, 0, x, 10.0, 0.0) for x in (25.0, 75.0) for kind in (0, 1)]
    clash = np.kron(np.eye(2, dtype=bool), np.ones((2, 2), dtype=bool)) & ~np.eye(4, dtype=bool)
    most = {0: 2, 1: 2}
    straight, strayed = (
        {tuple(p.kind for p in most_leather(problem, places, clash, most, 0.5, seed, 0, stray)) for seed in range(12)}
        for stray in (0.0, 0.2)
    )
    assert straight == {(0, 0)}
    assert len(strayed) > 1
    assert all(len(kinds) == 2 for kinds in strayed)


def test_windows_are_the_same_every_time() -> None:
    made = []
    for _ in range(2):
        fits = InnerFits(build(kit(260, 190)))
        made.append(
            search_neighbourhoods(fits, search_sequences(fits, (5,), 1, 2, never).pieces, (5,), 7, 2_000, never)
        )
    assert made[0] == made[1]


def test_windows_stop_when_told() -> None:
    fits = InnerFits(build(kit(260, 190)))
    start = search_sequences(fits, (5,), 1, 1, never).pieces
    assert search_neighbourhoods(fits, start, (5,), 1, 1_000_000, lambda: True).pieces == start


@pytest.mark.parametrize("many", [3, 9])
def test_laying_among_pieces_taken_in_before_is_the_same_as_laying_beside_them(many: int) -> None:
    problem = kit(320, 260, 1.0)
    fits = InnerFits(build(problem))
    there = bottom_left_fill(fits, [0, 1, 2, 0, 1, 3] * 2, Sweep(0.3))
    more, sweep = [3, 1, 0, 2, 3, 3, 1, 0, 2][:many], Sweep(np.radians(200.0), -1.0)
    beside = bottom_left_fill(fits, more, sweep, there)
    crowd = fits.ready({0, 1, 2, 3}).crowded(fits, there, {0, 1, 2, 3}, (-1e6, -1e6, 1e6, 1e6))
    among = fill_among(crowd, more, sweep)
    assert [(p.kind, p.orientation) for p in beside] == [(p.kind, p.orientation) for p in among]
    assert all(abs(p.x - q.x) < SAME and abs(p.y - q.y) < SAME for p, q in zip(beside, among, strict=True))


def test_laying_within_a_box_keeps_to_it_and_off_what_lies_there() -> None:
    problem = kit(320, 260, 1.0)
    fits = InnerFits(build(problem))
    there = bottom_left_fill(fits, [0, 1, 2, 0, 1, 3], Sweep(0.3))
    crowd = fits.ready({0, 1, 2, 3}).crowded(fits, there, {0, 1, 2, 3}, (60.0, 40.0, 180.0, 160.0))
    among = fill_among(crowd, [1, 0, 3, 2, 0, 1], Sweep(0.0))
    assert among
    assert all(60 - 1e-6 <= p.x <= 180 + 1e-6 and 40 - 1e-6 <= p.y <= 160 + 1e-6 for p in among)
    assert_apart(problem, (*there, *among))
