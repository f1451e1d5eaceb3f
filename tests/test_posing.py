"""Angles, usable regions and the frame, each by itself: against plain geometry."""

from __future__ import annotations

import math
import pickle
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import in_box, plain_hide, rectangle
from shapely.geometry import Point, Polygon

from hides.hide import Flaw, Grade, Thickness, Zone
from nesting.model.product import Along
from nesting.posing.angles import Span, spans
from nesting.posing.frame import frame_of
from nesting.posing.usable import LeatherDemand, usable
from nesting.search.groundwork import Groundwork

STRAP = rectangle("strap", 30, 200, along=Along.BACKBONE)


def angles(found: list[Span]) -> list[tuple[float, float]]:
    return [(round(span.low, 6), round(span.high, 6)) for span in found]


def test_a_piece_along_the_backbone_has_its_grain_on_it_either_way() -> None:
    """Its +y is at its angle + 90: along a backbone at 30 degrees it stands at -60 or 120."""
    assert angles(spans(STRAP, {-1: 30.0})) == [(-60.0, -60.0), (120.0, 120.0)]
    assert angles(spans(replace(STRAP, turn=False), {-1: 30.0})) == [(-60.0, -60.0)]


def test_a_piece_across_stands_a_quarter_on_and_a_tolerance_widens_it() -> None:
    across = replace(STRAP, along=Along.ACROSS, tolerance=5.0)
    assert angles(spans(across, {-1: 0.0})) == [(-185.0, -175.0), (-5.0, 5.0)]


def test_where_the_direction_does_not_matter_every_angle_suits() -> None:
    for piece in (replace(STRAP, along=Along.ANY), replace(STRAP, tolerance=90.0), replace(STRAP, tolerance=180.0)):
        assert [span.high - span.low for span in spans(piece, {-1: 12.0})] == [360.0]


def test_stated_angles_stand_in_place_of_all_else() -> None:
    assert angles(spans(replace(STRAP, angles=(0.0, 45.0)), {-1: 90.0})) == [(0.0, 0.0), (45.0, 45.0)]


@settings(max_examples=60)
@given(st.floats(-180, 180), st.floats(-180, 180), st.floats(0, 60), st.floats(-180, 180))
def test_every_angle_suits_just_the_directions_it_is_near(a: float, b: float, width: float, at: float) -> None:
    """Of two ways of least stretch, against the difference of angles itself."""
    piece = replace(STRAP, tolerance=width)
    bearings = {-1: a, 0: b}

    def off(bearing: float) -> float:
        turned = (at + 90.0 - bearing) % 180.0
        return min(turned, 180.0 - turned)

    right = {key for key, bearing in bearings.items() if off(bearing) <= width}
    if any(abs(off(bearing) - width) < 1e-4 for bearing in bearings.values()):
        return
    told = [s.suits for s in spans(piece, bearings) if (at - s.low) % 360.0 <= s.high - s.low]
    assert any(suits is not None and suits == right for suits in told) if right else not told


def test_leather_is_taken_off_for_edge_hole_flaw_grade_and_zone() -> None:
    flaw = Flaw("scar", ((100, 100), (120, 100), (120, 110), (100, 110)), Grade.C, clearance=5.0)
    belly = Zone("belly", ((0, 0), (300, 0), (300, 40), (0, 40)), Grade.C)
    hide = plain_hide(300, 200, edge=10.0, flaws=(flaw,), zones=(belly,), holes=(((200, 90), (210, 90), (210, 100)),))
    good, poor = usable(hide, LeatherDemand(Grade.A)), usable(hide, LeatherDemand(Grade.C))
    scar = 20 * 10 + 5 * 60 + math.pi * 25
    assert poor.area == pytest.approx(280 * 180 - 50, abs=0.01)
    assert good.area == pytest.approx(280 * 150 - 50 - scar, abs=0.2)
    assert poor.covers(good)
    assert usable(replace(hide, grade=Grade.D), LeatherDemand(Grade.C)).is_empty


def test_thickness_holds_by_zone() -> None:
    thick = Zone("bend", ((0, 0), (100, 0), (100, 200), (0, 200)), thickness=Thickness(4.0, 4.2))
    hide = plain_hide(300, 200, thickness=Thickness(3.0, 3.2), zones=(thick,))
    assert usable(hide, LeatherDemand(Grade.A, Thickness(3.9, 4.3))).area == pytest.approx(100 * 200)
    assert usable(hide, LeatherDemand(Grade.A, Thickness(2.9, 3.3))).area == pytest.approx(200 * 200)
    assert usable(hide, LeatherDemand(Grade.A, Thickness(5.0, 6.0))).is_empty


@settings(max_examples=40)
@given(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.floats(-180, 180), st.floats(-500, 500), st.floats(-500, 500))
def test_a_point_comes_back_from_the_frame(x: float, y: float, turn: float, px: float, py: float) -> None:
    hide = plain_hide(300, 200)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    moved = replace(
        hide,
        outline=tuple((c * a - s * b + x, s * a + c * b + y) for a, b in hide.outline),
        backbone=((x, y), (x + c, y + s)),
    )
    frame = frame_of(moved)
    assert frame.outward(frame.inward((px, py))) == pytest.approx((px, py), abs=1e-5)
    assert (frame.bearing - turn) % 360.0 == pytest.approx(0.0, abs=1e-6) or (frame.bearing - turn) % 360.0 > 359.999
    middle = Polygon(frame.hide(moved).outline).centroid
    assert middle.distance(Point(0, 0)) < 1e-5


def test_without_a_backbone_the_long_way_is_level_unless_the_bearing_is_to_be_kept() -> None:
    hide = replace(plain_hide(100, 400), backbone=None)
    x0, y0, x1, y1 = Polygon(frame_of(hide).hide(hide).outline).bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((400, 100))
    assert frame_of(hide, keep_bearing=True).bearing == 0.0


def test_groundwork_is_made_once_and_travels_as_the_problem_alone() -> None:
    ground = Groundwork(in_box(100, 80, [(Polygon([(0, 0), (20, 0), (0, 20)]), 2, [0.0, 90.0])]))
    bare = len(pickle.dumps(ground))
    fits = ground.inner_fits(4)
    assert ground.inner_fits(4) is fits
    assert ground.inner_fits(8) is not fits
    assert fits.rotations(0)
    sent = pickle.dumps(ground)
    assert len(sent) == bare
    there = pickle.loads(sent)
    assert there == ground
    assert pickle.loads(sent) is there
    assert there.inner_fits(4).rotations(0)[0].angle == fits.rotations(0)[0].angle
