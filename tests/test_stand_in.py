"""Outlines of few corners that stand for detailed ones, against shapely and a closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import assert_apart, in_box, plain_hide, product
from shapely.geometry import Point, Polygon, box
from strategies import star_rings

from hides.hide import Ring
from nesting.geometry.convex import ring_of
from nesting.geometry.minimum_link import minimum_link
from nesting.geometry.stand_in import CURVE, FURTHEST, PIECE_CORNERS, REGION_CORNERS, round_piece, within_region
from nesting.laying.lay_out import Want, lay_out
from nesting.model.product import Piece
from nesting.model.settings import Settings
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import Laid
from nesting.search.arrays.no_fit_polygons import MANY, NoFits
from nesting.search.separation.guided_local_search import settle_exactly

MOST_STRAYED = CURVE * 2 ** ((FURTHEST - 1) / 2)


def digitised(ring: Ring, points: int, noise: float, seed: int) -> Polygon:
    """A ring in so many points, evenly along it, each off by up to `noise` either way."""
    line = Polygon(ring).exterior
    at = np.array([line.interpolate(k / points, normalized=True).coords[0] for k in range(points)])
    return Polygon(at + np.random.default_rng(seed).uniform(-noise, noise, at.shape))


def wavy(points: int, noise: float, seed: int = 1, size: float = 60.0, bays: int = 5) -> Polygon:
    """A blob with bays, digitised."""
    turn = np.linspace(0, 2 * math.pi, 400, endpoint=False)
    reach = size * (1 + 0.25 * np.sin(bays * turn))
    return digitised(tuple(zip(reach * np.cos(turn), reach * np.sin(turn), strict=True)), points, noise, seed)


def corners(shape: Polygon) -> int:
    return len(shape.exterior.coords) - 1


@pytest.mark.parametrize("distance", [0.1, 0.4, 1.6])
def test_a_disc_takes_little_more_corners_than_the_ring_round_it_must_have(distance: float) -> None:
    """A polygon between circles of radii r and r + d has pi / acos(r / (r + d)) corners at least, by its tangents."""
    disc = Point(0, 0).buffer(50, quad_segs=200)
    least = math.pi / math.acos(50 / (50 + distance))
    drawn = Polygon(minimum_link(ring_of(disc), distance, corner=1e3))
    assert drawn.buffer(1e-9).covers(disc)
    assert math.ceil(least) <= corners(drawn) <= 1.5 * least + 2


@settings(max_examples=30, deadline=None)
@given(star_rings(radii=(40.0, 90.0), corners=(5, 12)), st.integers(100, 400), st.floats(0.0, 0.5), st.integers(0, 99))
def test_what_stands_for_a_digitised_piece_holds_it_and_stays_near(
    ring: Ring, points: int, noise: float, seed: int
) -> None:
    true = digitised(ring, points, noise, seed)
    if not true.is_valid:
        return
    drawn = round_piece(true)
    assert drawn.buffer(1e-6).covers(true)
    assert drawn.exterior.hausdorff_distance(true.exterior) < 3 * MOST_STRAYED
    assert corners(drawn) <= corners(true)


@settings(max_examples=15, deadline=None)
@given(star_rings(radii=(300.0, 900.0), corners=(6, 20)), st.integers(600, 2000), st.floats(0.0, 0.5))
def test_what_stands_for_a_traced_hide_lies_within_it(ring: Ring, points: int, noise: float) -> None:
    true = digitised(ring, points, noise, points)
    hole = Point(0, 0).buffer(60, quad_segs=64)
    if not true.is_valid or not true.covers(hole):
        return
    region = true.difference(hole)
    drawn = within_region(region)
    assert region.buffer(1e-6).covers(drawn)
    assert drawn.area > 0.98 * region.area


@pytest.mark.parametrize(("points", "noise"), [(222, 0.3), (400, 0.3), (800, 0.3), (800, 0.05)])
def test_detail_of_any_number_of_points_becomes_few_corners(points: int, noise: float) -> None:
    assert corners(round_piece(wavy(points, noise))) <= PIECE_CORNERS
    assert corners(within_region(wavy(10 * points, noise, size=600.0))) <= REGION_CORNERS


def test_straight_edges_of_a_detailed_piece_stay_where_they_are() -> None:
    """Exact fits along them survive."""
    wave = [(float(x), 100.0 + (x % 2)) for x in range(199, 0, -1)]
    piece = Polygon([(0.0, 0.0), (200.0, 0.0), *wave])
    drawn = round_piece(piece)
    assert corners(piece) > 3 * PIECE_CORNERS > 3 * corners(drawn)
    assert drawn.bounds[1] == 0.0
    assert drawn.intersection(box(-5, -5, 205, 0)).length >= 200.0


def test_united_no_fit_polygons_forbid_what_the_sums_of_all_parts_forbid() -> None:
    """Of shapes with many parts: a position is forbidden where the shapes overlap and, off the rim, only there."""
    one, two = wavy(300, 0.2, 1, bays=9), wavy(300, 0.2, 2, bays=8)
    arrays = build(in_box(900, 700, [(one, 1, [0.0]), (two, 1, [0.0])]))
    assert arrays.tables.shape_solid.prod() > MANY
    no_fits, rng = NoFits(arrays), np.random.default_rng(3)
    for fixed, moving, angle in ((0, 1, 0.7), (1, 0, -0.7), (1, 0, 2.0), (0, 0, 1.0), (0, 0, -1.0)):
        made, region = no_fits.about(fixed, moving, angle), no_fits.region(fixed, moving, angle)
        assert len(made.box) < arrays.tables.shape_solid[fixed] * arrays.tables.shape_solid[moving] / 2
        for x, y in rng.uniform(-160, 160, (400, 2)):
            rings = [Polygon(made.ring[a:b]) for a, b in zip(made.at, made.at[1:], strict=False)]
            inside = any(ring.covers(Point(x, y)) for ring in rings)
            off = region.boundary.distance(Point(x, y))
            assert off < 1e-3 or inside == region.covers(Point(x, y))


def test_digitised_pieces_are_laid_as_well_as_smooth_ones() -> None:
    """Equal outlines of 400 points, smooth and wavering by a tenth of a millimetre, give as many."""
    hide, given_ = plain_hide(900, 500), []
    for points, noise in ((400, 0.0), (400, 0.1)):
        rings = [tuple(wavy(points, noise, seed, 55).exterior.coords[:-1]) for seed in range(2)]
        pieces = [Piece(f"blob {n}", ring, angles=(0.0, 90.0, 180.0, 270.0)) for n, ring in enumerate(rings)]
        layout = lay_out(hide, [Want(product(*pieces))], Settings(effort="quick"))
        given_.append(layout.counts[0].complete)
    assert given_[1] >= given_[0] > 5


def test_settling_takes_back_what_the_outlines_of_few_corners_lose() -> None:
    """Two wavy pieces side by side on leather as long as both: only their true outlines have room there."""
    piece = wavy(300, 0.2, 1)
    drawn = round_piece(piece)
    true, grown = (shape.bounds[2] - shape.bounds[0] for shape in (piece, drawn))
    assert grown > true + 0.2
    arrays = build(in_box(2 * true + 0.1, 400, [(piece, 2, [0.0])]))
    centre = arrays.centres[0]
    at = [(centre[0] - piece.bounds[0], 200.0), (centre[0] - piece.bounds[0] + true + 0.1, 200.0)]
    settled, apart, _ = settle_exactly(arrays, [Laid(0, 0, x, y, 0.0) for x, y in at], 2.0, 1)
    assert apart
    assert_apart(arrays.problem, settled)
