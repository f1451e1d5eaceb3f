"""No-fit polygons of shapes with bays against shapely: what their rims hold, and the corners made of them."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from problems import in_box
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from strategies import star_rings

from hides.hide import Ring
from nesting.geometry.convex import polygons
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.arrays.no_fit_polygons import NoFits
from nesting.search.arrays.touching_positions import Field, NoFit, corners, enter

SHAPES = star_rings(radii=(15.0, 60.0), corners=(5, 14))


def edges(made: NoFit) -> list[tuple[LineString, bool]]:
    """Every edge and whether it is on the rim."""
    out = []
    for first, last in zip(made.at, made.at[1:], strict=False):
        ring = made.ring[first:last]
        out += [(LineString([ring[k], ring[(k + 1) % len(ring)]]), bool(made.rim[first + k])) for k in range(len(ring))]
    return out


def roomy(field: Field) -> Field:
    """A field of its own."""
    return Field(*(array.copy() for array in field))


def about(fixed: Polygon, moving: Polygon, angle: float, gap: float = 0.0) -> tuple[NoFits, NoFit]:
    arrays = build(in_box(900, 700, [(fixed, 1, [0.0]), (moving, 1, [0.0])], gap))
    made = NoFits(arrays)
    return made, made.about(0, 1, angle)


@settings(max_examples=25, deadline=None)
@given(SHAPES, SHAPES, st.floats(0, 6.2))
def test_the_outline_of_all_lies_on_edges_of_the_rim(one: Ring, two: Ring, angle: float) -> None:
    no_fits, made = about(Polygon(one), Polygon(two), angle)
    rim = shapely.union_all([line for line, on in edges(made) if on])
    for x, y in shapely.get_coordinates(shapely.boundary(no_fits.region(0, 1, angle))):
        assert rim.distance(Point(x, y)) < 1e-5


@settings(max_examples=25, deadline=None)
@given(SHAPES, SHAPES, st.floats(0, 6.2))
def test_edges_off_the_rim_lie_inside(one: Ring, two: Ring, angle: float) -> None:
    no_fits, made = about(Polygon(one), Polygon(two), angle)
    inside = no_fits.region(0, 1, angle).buffer(1e-6)
    assert all(inside.covers(line) for line, on in edges(made) if not on)


@settings(max_examples=25, deadline=None)
@given(SHAPES, SHAPES, st.floats(0, 6.2))
def test_edges_off_the_rim_would_make_no_corner_of_their_own(one: Ring, two: Ring, angle: float) -> None:
    arrays = build(in_box(900, 700, [(Polygon(one), 2, [0.0]), (Polygon(two), 1, [0.0])]))
    fits, made = InnerFits(arrays), NoFits(arrays).about(0, 1, angle)
    empty = fits.rotations(1)[0].empty
    some, every = roomy(empty), roomy(empty)
    for x, y in ((400.0, 300.0), (470.0, 330.0)):
        for field, no_fit in ((some, made), (every, made._replace(rim=np.ones_like(made.rim)))):
            first = int(field.size[0])
            enter(field, no_fit, 0.3, x, y)
            corners(field, first)
    told = some.points[: some.size[1]]
    for point in every.points[: every.size[1]]:
        assert np.hypot(*(told - point).T).min() < 1e-4


def test_a_gap_is_kept_all_round() -> None:
    _, made = about(box(0, 0, 40, 20), box(0, 0, 10, 10), 0.0, gap=3.0)
    round_ones_corner = 3.0 / math.cos(math.pi / 16)  # the disc is drawn as a 16-gon round it
    assert made.box[0] == pytest.approx(np.array([-25, -15, 25, 15]) + round_ones_corner * np.array([-1, -1, 1, 1]))


def test_it_turns_with_the_fixed_piece() -> None:
    ell = Polygon([(0, 0), (40, 0), (40, 15), (15, 15), (15, 50), (0, 50)])
    no_fits, _ = about(ell, ell, 0.0)
    turned = affinity.rotate(no_fits.region(0, 1, 0.5), 0.7, origin=(0, 0), use_radians=True)
    ring = np.asarray(ell.exterior.coords) - np.asarray(shapely.minimum_bounding_circle(ell).centroid.coords)
    fixed, moving = (affinity.rotate(Polygon(ring), a, origin=(0, 0), use_radians=True) for a in (0.7, 1.2))
    for k in range(24):
        x, y = 42 * math.cos(k * math.pi / 12), 42 * math.sin(k * math.pi / 12)
        shared = fixed.intersection(affinity.translate(moving, x, y)).area
        assert (shared > 1e-6) == turned.buffer(-1e-6).contains(Point(x, y))


@settings(max_examples=40, deadline=None)
@given(
    SHAPES,
    SHAPES,
    st.lists(st.tuples(st.floats(0, 900), st.floats(0, 700), st.floats(0, 6.2)), min_size=1, max_size=12),
    st.integers(1, 12),
)
def test_corners_are_those_of_the_free_region_however_many_pieces_come_at_once(
    one: Ring, two: Ring, lie: list[tuple[float, float, float]], at_once: int
) -> None:
    fits = InnerFits(build(in_box(900, 700, [(Polygon(one), 2, [0.0]), (Polygon(two), 1, [0.0])])))
    field, covered = roomy(fits.rotations(1)[0].empty), []
    for n in range(0, len(lie), at_once):
        first = int(field.size[0])
        for x, y, angle in lie[n : n + at_once]:
            enter(field, fits.no_fits.about(0, 1, -angle), angle, x, y)
            region = affinity.rotate(fits.no_fits.region(0, 1, -angle), angle, origin=(0, 0), use_radians=True)
            covered.append(affinity.translate(region, x, y))
        corners(field, first)
    assert not field.size[3], "the usual room is enough here"
    free = Polygon(field.hull).difference(shapely.union_all(covered))
    told = field.points[: field.size[1]]
    for part in polygons(free):
        for point in shapely.get_coordinates(part) if part.area > 1.0 else ():
            assert np.hypot(*(told - point).T).min() < 1e-3
    assert all(free.distance(Point(*point)) < 1e-5 for point in told)
