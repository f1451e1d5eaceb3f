"""Tidy layouts: the score against sums done by hand, and the last pass that betters it without taking anything."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import assert_apart, plain_hide, product, rectangle, strap
from shapely.geometry import Polygon

from hides.hide import Hide
from nesting.laying.case import Case, case_of
from nesting.laying.lay_out import lay_out
from nesting.model.layout import Areas, HideLayout, Placement
from nesting.model.product import Along, Piece
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.posing.datum import datum
from nesting.result.answer import answer_data
from nesting.result.layout_file import layout_to_data
from nesting.result.tidiness import tidiness
from nesting.search.arrays.arrays import Pose
from nesting.search.arrays.inner_fits import Laid
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill
from nesting.search.filling.leftover import leftovers
from nesting.search.finishing import Finished
from nesting.search.tidying.tidy import SPARED, tidied

PLAIN = plain_hide(1000, 800)
WIDTH = 38


def lying(ring: Sequence[tuple[float, float]], x: float, y: float, angle: float) -> Placement:
    turn = np.radians(angle)
    c, s = math.cos(turn), math.sin(turn)
    laid = tuple((c * a - s * b + x, s * a + c * b + y) for a, b in ring)
    return Placement("strap", "kit", 1, x, y, angle, False, laid)


def score(places: Sequence[tuple[float, float, float]], hide: Hide = PLAIN, gap: float = 0.0) -> float | None:
    """The tidiness of straps 600 mm long that lie with their lower left corners so, at so many degrees from +x."""
    ring = ((0, 0), (600, 0), (600, WIDTH), (0, WIDTH))
    laid = tuple(lying(ring, *place) for place in places)
    nothing = Areas(*[0.0] * 7)
    return tidiness([HideLayout(hide, laid, nothing)], gap).get("tidiness")


def test_strips_side_by_side_along_the_backbone_are_wholly_tidy() -> None:
    assert score([(100, 100 + WIDTH * k, 0) for k in range(4)]) == 1


def test_strips_square_to_the_backbone_are_as_tidy() -> None:
    assert score([(100 + WIDTH * k, 100, 90) for k in range(4)]) == 1


def test_a_gap_between_two_strips_costs_each_the_side_that_looks_on_it() -> None:
    # half of each score is how closed up it lies, and one of two sides is not
    assert score([(100, 100, 0), (100, 100 + WIDTH + 32, 0)]) == pytest.approx(0.75)


def test_a_strip_that_lies_beside_half_of_another_opens_half_a_side() -> None:
    # sides of 600 mm; 300 mm of each look on the gap: a quarter of two sides, half of that counts
    assert score([(100, 100, 0), (400, 100 + WIDTH + 32, 0)]) == pytest.approx(0.875)


def test_what_is_wide_enough_for_an_offcut_is_no_gap() -> None:
    assert score([(100, 100, 0), (100, 100 + WIDTH + 61, 0)]) == 1


def test_the_gap_that_is_asked_for_is_no_waste() -> None:
    places = [(100.0, 100.0, 0.0), (100.0, 100.0 + WIDTH + 3, 0.0)]
    assert score(places, gap=3) == 1
    assert score(places) == pytest.approx(0.75)


def test_a_lone_angle_counts_for_nothing_and_one_that_two_share_for_half() -> None:
    assert score([(100, 100, 2)]) == pytest.approx(0.5)
    apart = 200 / math.cos(math.radians(2))
    assert score([(100, 100, 2), (100, 100 + apart, 2)]) == pytest.approx(0.75)


def test_longer_sides_weigh_more() -> None:
    long, short = ((0, 0), (600, 0), (600, 30), (0, 30)), ((0, 0), (200, 0), (200, 30), (0, 30))
    laid = (lying(long, 100, 100, 0), lying(short, 100, 400, 5))
    told = tidiness([HideLayout(PLAIN, laid, Areas(*[0.0] * 7))], 0.0)["tidiness"]
    assert told == pytest.approx((600 * 1 + 200 * 0.5) / 800)


def test_round_pieces_have_no_score_and_take_none_from_others() -> None:
    turns = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    disc = lying([(40 * math.cos(t), 40 * math.sin(t)) for t in turns], 500, 240, 0)
    nothing = Areas(*[0.0] * 7)
    assert tidiness([HideLayout(PLAIN, (disc,), nothing)], 0.0) == {}
    strip = lying(((0, 0), (600, 0), (600, WIDTH), (0, WIDTH)), 100, 150, 0)
    assert tidiness([HideLayout(PLAIN, (disc, strip), nothing)], 0.0) == {"tidiness": 1}


def test_the_datum_line_is_the_backbone_else_the_longest_straight_edge() -> None:
    slanting = ((0, 0), (1000, 100), (900, 600), (100, 600))
    bearing = math.degrees(math.atan2(100, 1000))
    assert datum(Hide("slanting", slanting)) == pytest.approx(bearing)
    assert datum(Hide("slanting", slanting, backbone=((0, 300), (800, 300)))) == 0
    turns = np.linspace(0, 2 * math.pi, 90, endpoint=False)
    oval = tuple((500 * math.cos(t), 200 * math.sin(t)) for t in turns)
    assert datum(Hide("oval", oval)) % 180 == pytest.approx(0, abs=1e-6)


# the last pass


def belt() -> Piece:
    """A strap with a bevelled tip, its length along +y."""
    ring = ((0, 0), (WIDTH, 0), (WIDTH, 690), (WIDTH - 12, 700), (12, 700), (0, 690))
    return Piece("belt", tuple((float(x), float(y)) for x, y in ring), along=Along.BACKBONE, tolerance=10.0)


def case(*pieces: Piece, hide: Hide = PLAIN) -> Case:
    return case_of(hide, [Want(product(*pieces))], Settings(effort="quick"))


def laid_at(case: Case, kind: int, x: float, y: float, angle: float) -> Laid:
    """A piece whose own origin lies at (x, y) of the hide, at so many degrees."""
    arrays = case.ground.arrays
    at = case.frame.inward((x, y))
    bounds = arrays.tables.orientation_angles
    first, last = arrays.tables.kind_orientations[kind], arrays.tables.kind_orientations[kind + 1]
    turns = [angle + turn for turn in (-360.0, 0.0, 360.0)]
    local, turned = next(
        (o - first, t)
        for o in range(first, last)
        for t in turns
        if math.degrees(bounds[o, 0]) - 1e-9 <= t <= math.degrees(bounds[o, 1]) + 1e-9
    )
    orientation, px, py, radians = arrays.kernel_pose(Pose(kind, int(local), at[0], at[1], turned, False))
    return Laid(kind, orientation, px, py, radians)


def made_tidy(case: Case, laid: Sequence[Laid], begun: Sequence[Laid] = ()) -> Finished:
    """What the last pass makes of a layout, once it is held that it takes nothing."""
    fits, before = case.ground.inner_fits(4), Finished(tuple(laid), tuple(begun))
    after = tidied(fits, before, 4)
    for name in ("laid", "begun", "spares"):
        old, new = getattr(before, name), getattr(after, name)
        assert Counter(p.kind for p in old) == Counter(p.kind for p in new)
    assert_apart(case.problem, [*after.laid, *after.begun])
    new, old = (
        sum(p.area for p in leftovers(case.problem, [fits.arrays.pose_of(*_flat(p)) for p in made.laid]))
        for made in (after, before)
    )
    assert new >= (1 - SPARED) * old - 1
    return after


def _flat(piece: Laid) -> tuple[int, int, float, float, float]:
    return piece.kind, piece.orientation, piece.x, piece.y, piece.angle


def angles(made: Finished) -> set[float]:
    """The directions of pieces, degrees from the backbone, 0 to 180."""
    return {round(math.degrees(piece.angle) + 90, 6) % 180 for piece in (*made.laid, *made.begun)}


def width_taken(case: Case, made: Finished) -> float:
    """How far pieces reach across the backbone, all together."""
    ys = [piece.y for piece in made.laid]
    return max(ys) - min(ys)


def test_seventeen_strips_at_one_odd_angle_come_to_lie_along_the_backbone() -> None:
    posed = case(strap(width=WIDTH, length=700, tolerance=2.0))
    off, step = -0.716, WIDTH / math.cos(math.radians(0.716))
    rows = [laid_at(posed, 0, 850, 40 + step * k, 90 + off) for k in range(17)]
    made = made_tidy(posed, rows)
    assert angles(made) == {0.0}
    assert width_taken(posed, made) == pytest.approx(16 * WIDTH, abs=1e-6)


def test_a_gap_in_mid_run_is_closed() -> None:
    posed = case(strap(width=WIDTH, length=700, tolerance=0.0))
    rows = [laid_at(posed, 0, 800, 20 + WIDTH * k + 32 * (k > 7), 90) for k in range(16)]
    assert width_taken(posed, made_tidy(posed, rows)) == pytest.approx(15 * WIDTH, abs=1e-6)


def test_one_strip_at_an_angle_that_gains_nothing_is_laid_straight() -> None:
    posed = case(strap(width=WIDTH, length=700, tolerance=5.0))
    assert angles(made_tidy(posed, [laid_at(posed, 0, 850, 300, 92)])) == {0.0}


def test_belts_at_several_angles_come_to_lie_in_rows() -> None:
    posed = case(belt())
    rows = [laid_at(posed, 0, 850, 60 + 80 * k, 90 + turn) for k, turn in enumerate((3, -2, 0, 4, -4, 1, 2, -1))]
    made = made_tidy(posed, rows)
    assert angles(made) == {0.0}
    assert width_taken(posed, made) == pytest.approx(7 * WIDTH, abs=1e-6)


def test_pieces_of_a_product_begun_stay_what_they_are() -> None:
    posed = case(strap(width=WIDTH, length=700, tolerance=5.0))
    laid = [laid_at(posed, 0, 850, 100 + 60 * k, 90 + k) for k in range(3)]
    made = made_tidy(posed, laid, [laid_at(posed, 0, 850, 400, 93)])
    assert angles(made) == {0.0}
    assert len(made.begun) == 1


def test_strips_that_go_at_an_angle_alone_are_left_at_it() -> None:
    # 1,100 mm do not go along 1,000 mm
    posed = case(rectangle("long", 20, 1100))
    fits = posed.ground.inner_fits(4)
    found = bottom_left_fill(fits, [0] * 4, Sweep(0.0))
    assert found, "one goes along the diagonal"
    assert made_tidy(posed, found).laid == tuple(found)


def test_it_heeds_the_stop() -> None:
    posed = case(strap(width=WIDTH, length=700, tolerance=5.0))
    before = Finished((laid_at(posed, 0, 850, 300, 92),))
    assert tidied(posed.ground.inner_fits(4), before, 4, lambda: True) is before


@settings(max_examples=12, deadline=None)
@given(st.lists(st.tuples(st.sampled_from([0, 1]), st.floats(-5, 5)), min_size=1, max_size=9), st.integers(0, 3))
def test_it_never_takes_anything(wishes: list[tuple[int, float]], side: int) -> None:
    posed = POSED
    laid: list[Laid] = []
    fits = posed.ground.inner_fits(4)
    for kind, turn in wishes:
        there = bottom_left_fill(fits, [kind], Sweep(math.radians(90 * side + turn)), laid)
        laid += there
    made_tidy(posed, laid)


POSED = case(
    strap("strap", WIDTH, 500, tolerance=5.0),
    Piece("shield", ((0, 0), (90, 0), (120, 80), (45, 140), (-30, 80)), along=Along.BACKBONE, tolerance=5.0),
)


# told


def test_the_answer_and_the_layout_tell_the_score() -> None:
    layout = lay_out(PLAIN, [Want(product(strap(width=WIDTH, length=700)), limit=8)], Settings(effort="quick"))
    told = layout_to_data(layout)["hides"][0]["tidiness"]
    assert told == 1
    assert answer_data(layout)["cutting"]["tidiness"] == told


def test_without_the_pass_a_layout_is_as_the_search_left_it() -> None:
    wants = [Want(product(belt()), limit=8)]
    tidy, plain = (lay_out(PLAIN, wants, Settings(effort="quick", tidily=on)) for on in (True, False))
    assert tidy.counts == plain.counts
    assert tidiness(tidy.hides, 0.0)["tidiness"] >= tidiness(plain.hides, 0.0)["tidiness"]


def test_outlines_may_begin_amid_a_side_and_be_rounded() -> None:
    ring = ((300, 0), (600, 0), (600, WIDTH), (200.000001, WIDTH + 1e-6), (0, WIDTH), (0, 0))
    assert Polygon(ring).exterior.is_ccw
    laid = tuple(lying(ring, 100, 100 + WIDTH * k, 0) for k in range(3))
    assert tidiness([HideLayout(PLAIN, laid, Areas(*[0.0] * 7))], 0.0) == {"tidiness": 1}
