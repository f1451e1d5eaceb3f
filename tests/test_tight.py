"""What fits only just, or only aslant: nothing may be proven against it, and it is found."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from layouts import assert_layout_valid
from shapely import affinity
from shapely.geometry import Polygon, box

from hides.hide import Hide
from nesting import check
from nesting.bound.limits import Bound
from nesting.geometry.convex import convex_parts
from nesting.geometry.half_planes import area_of, around, inside_by
from nesting.laying.lay_out import lay_out
from nesting.model import tolerance
from nesting.model.product import Along, Piece, Product
from nesting.model.settings import Settings
from nesting.model.want import Want
from nesting.search.arrays.fitting_angles import fitting
from scripts import attack_many, attack_mixed, attack_single

QUICK = Settings(effort="quick")


def ring(shape: Polygon) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1])


@pytest.mark.parametrize("seed", range(1, 401))
def test_no_bound_forbids_a_piece_on_leather_drawn_tightly_round_it(seed: int) -> None:
    assert attack_single.case(seed) is None


@pytest.mark.parametrize("seed", range(1, 51))
def test_no_bound_forbids_a_planted_layout_too_tight_by_the_tolerance(seed: int) -> None:
    assert attack_many.case(seed) is None


@pytest.mark.parametrize("seed", [1, 2, 5, 6])
def test_nothing_denies_a_planted_layout_of_mixed_pieces(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Grades, thicknesses, zones, angles, gaps and bad strips as each piece asks; what a stop leaves is true too."""
    monkeypatch.setattr(attack_mixed, "LONGEST", 0.2)
    assert attack_mixed.case(seed) is None


def test_a_bound_that_denies_a_mixed_layout_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Bound, "at_most", lambda *_: 0)
    assert "Proven: no layout can give one" in (attack_mixed.case(5) or "")


def test_the_check_and_the_proofs_speak_of_one_tolerance() -> None:
    assert check.TOLERANCE == tolerance.ALLOWED


@given(st.floats(1, 400), st.floats(1, 400), st.floats(0.01, 250))
def test_a_rectangle_drawn_in_is_what_the_closed_form_says(wide: float, high: float, by: float) -> None:
    left = inside_by(box(0, 0, wide, high), by)
    w, h = wide - 2 * by, high - 2 * by
    if min(w, h) < -1e-6:
        assert len(left) == 0
    elif min(w, h) > 1e-6:
        assert area_of(left) == pytest.approx(w * h, abs=1e-3)
        assert around(left) == pytest.approx(2 * (w + h), abs=1e-3)


def test_what_is_drawn_in_to_a_point_is_not_lost() -> None:
    left = inside_by(Polygon([(0, 0), (300, 0), (0, 400)]), 100.0)  # the inscribed circle of 3-4-5
    assert len(left) > 0
    assert np.allclose(left, (100.0, 100.0), atol=1e-5)


def test_a_thin_cell_with_a_doubled_corner_is_cut_into_parts() -> None:
    """GEOS finds no convex corner in this ring; it came of a valid hide with a zone that has its own backbone."""
    sliver = Polygon(
        [(-116.29311, -2.448924), (-140.34972004631214, -36.55363213772282),
         (-140.34972004631217, -36.553632137722836)],
        [[(-122.61631590271912, -11.413241557286957), (-122.61631590271912, -11.413241557286959),
          (-116.29311, -2.448924)]],
    )  # fmt: skip
    assert all(len(part) >= 3 for part in convex_parts(sliver))


def slanting(wide: float, turn: float = 3.0) -> Hide:
    """A strip of leather 1,500 mm long, aslant to its backbone."""
    return Hide("slanting", ring(affinity.rotate(box(0, 0, 1500, wide), turn)), backbone=((0.0, 0.0), (1.0, 0.0)))


STRAP = Product("held", (Piece("strap", ring(box(0, 0, 32, 1400)), 1, along=Along.BACKBONE, tolerance=10.0),))


@pytest.mark.parametrize(("wide", "many"), [(80.0, 2), (110.0, 3)])
def test_straps_lie_along_a_strip_of_leather_that_slants(wide: float, many: int) -> None:
    layout = lay_out(slanting(wide), [Want(STRAP)], QUICK)
    assert_layout_valid(layout)
    assert layout.counts[0].complete == many


def test_a_belt_longer_than_the_leather_lies_across_its_corners() -> None:
    """10 × 1,100 on 1,000 × 600 fits from 25.15° to 32.53° (by bisection of the closed form), and nowhere else."""
    board, belt = Hide("board", ring(box(0, 0, 1000, 600))), Piece("belt", ring(box(0, 0, 1100, 10)), 1)
    layout = lay_out(board, [Want(Product("belt", (belt,)))], QUICK)
    assert_layout_valid(layout)
    assert layout.counts[0].complete >= 1
    for placement in layout.hides[0].placements:
        assert 25.1 < abs(math.remainder(placement.angle, 180.0)) < 32.6


@settings(max_examples=60, deadline=None)
@given(st.floats(200, 900), st.floats(100, 600), st.floats(5, 80), st.floats(50, 1400))
def test_where_a_strip_is_said_to_fit_at_no_angle_a_fine_sampling_finds_none(
    wide: float, high: float, w: float, long: float
) -> None:
    told = fitting(box(0, 0, wide, high), box(0, 0, long, w), -math.pi, math.pi)
    turns = np.radians(np.arange(0.0, 90.0, 0.05))
    fits = (long * np.cos(turns) + w * np.sin(turns) <= wide) & (long * np.sin(turns) + w * np.cos(turns) <= high)
    assert not (told.never and fits.any())
    for angle in told.angles:
        turned = affinity.rotate(box(0, 0, long, w), angle, use_radians=True)
        x0, y0, x1, y1 = turned.bounds
        assert x1 - x0 <= wide + 1e-5
        assert y1 - y0 <= high + 1e-5
    assert told.never or len(told.angles) > 0 or not fits.any()


def test_a_triangle_drawn_round_itself_is_not_proven_away() -> None:
    triangle = Polygon([(0, 0), (380, 0), (190, 192)])
    hide = Hide("tri", ring(triangle.buffer(10)), backbone=((0.0, 0.0), (0.0, 1.0)), edge=10.0)
    layout = lay_out(hide, [Want(Product("tri", (Piece("a", ring(triangle), 1, along=Along.BACKBONE),)))], QUICK)
    assert layout.counts[0].at_most >= 1
    assert shapely.area(triangle) > 0
