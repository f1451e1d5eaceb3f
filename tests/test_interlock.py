"""The densest lattices of a piece, against published densities."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Polygon

from nesting.lattice.lattice import Seek, head_to_tail, lattices, shifts_only, side_by_side, worst_overlap


def regular(corners: int, radius: float = 50.0) -> Polygon:
    turns = 2 * math.pi * np.arange(corners) / corners
    return Polygon(radius * np.column_stack([np.cos(turns), np.sin(turns)]))


def points(least: int, most: int) -> st.SearchStrategy[Polygon]:
    """Convex polygons of no great slenderness."""
    coordinate = st.integers(0, 100)
    made = st.lists(st.tuples(coordinate, coordinate), min_size=least, max_size=most, unique=True)
    hulls = made.map(lambda pairs: MultiPoint(pairs).convex_hull)
    return hulls.filter(lambda hull: isinstance(hull, Polygon) and hull.area > 0.05 * hull.length**2 / 4)


@settings(max_examples=15, deadline=None)
@given(points(3, 3))
def test_any_triangle_tiles_with_its_turned_copy_and_fills_two_thirds_facing_one_way(triangle: Polygon) -> None:
    """Two thirds: Fáry 1950 (from memory)."""
    assert head_to_tail(triangle)[0].density == pytest.approx(1.0, abs=1e-6)
    assert shifts_only(triangle)[0].density == pytest.approx(2 / 3, abs=1e-6)


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 0), (70, 10), (60, 55), (5, 80)],
        [(0, 0), (70, 10), (20, 20), (5, 80)],
        [(0, 0), (50, -20), (30, 0), (50, 20)],
    ],
)
def test_any_quadrilateral_tiles_even_with_a_reflex_corner(corners: list[tuple[float, float]]) -> None:
    """A fact of elementary geometry: turned about the middles of its sides a quadrilateral covers the plane."""
    assert head_to_tail(Polygon(corners))[0].density == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("corners", "density", "within"),
    [
        (180, math.pi / math.sqrt(12), 2e-4),  # the circle: Thue 1910; a polygon of 180 corners stands for it
        (5, (5 - math.sqrt(5)) / 3, 1e-9),  # Hales, Kusner 2016, arXiv 1602.07220
        (7, 0.8926, 1e-3),  # the regular heptagon: the best known packing, a double lattice (Kallus 2015; from memory)
        (6, 1.0, 1e-9),
        (8, (4 + 4 * math.sqrt(2)) / (5 + 4 * math.sqrt(2)), 1e-9),  # the regular octagon: 0.9062 (from memory)
    ],
)
def test_regular_polygons_reach_their_published_densities(corners: int, density: float, within: float) -> None:
    assert lattices(regular(corners))[0].density == pytest.approx(density, abs=within)


@settings(max_examples=12, deadline=None)
@given(points(4, 9))
def test_every_convex_piece_reaches_the_double_lattice_bound_without_overlap(outline: Polygon) -> None:
    """√3/2: Kuperberg, Kuperberg 1990."""
    best = head_to_tail(outline)[0]
    assert math.sqrt(3) / 2 - 1e-7 <= best.density <= 1 + 1e-9
    assert worst_overlap(best, outline) < 1e-6 * outline.area


COMB = Polygon([(0, 0), (60, 0), (60, 50), (40, 50), (40, 20), (20, 20), (20, 50), (0, 50)])
TEE = Polygon([(0, 0), (60, 0), (60, 20), (40, 20), (40, 50), (20, 50), (20, 20), (0, 20)])
CROOK = Polygon([(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)])


@pytest.mark.parametrize("outline", [COMB, TEE, CROOK])
@pytest.mark.parametrize("gap", [0.0, 3.0])
def test_pieces_with_bays_keep_clear_of_one_another(outline: Polygon, gap: float) -> None:
    best = lattices(outline, gap=gap)[0]
    assert worst_overlap(best, outline.buffer(gap / 2, quad_segs=32)) < 1e-5 * outline.area


def test_a_crook_tiles_facing_one_way_and_a_gap_costs_leather() -> None:
    assert shifts_only(CROOK)[0].density == pytest.approx(1.0, abs=1e-9)
    assert lattices(CROOK, gap=3.0)[0].density < 0.95


def test_turning_gains_nothing_where_it_is_not_allowed() -> None:
    triangle = regular(3)
    assert lattices(triangle, turn=False)[0].density == pytest.approx(2 / 3)
    assert lattices(triangle, turn=False)[0].partner is None


def test_a_wedge_and_its_complement_fill_a_band_together() -> None:
    """Two trapezia that make one rectangle; rows of both leave nothing."""
    first = Polygon([(0, 0), (60, 0), (40, 30), (0, 30)])
    second = Polygon([(60, 0), (80, 0), (80, 30), (40, 30)])
    assert side_by_side(first, second)[0].density == pytest.approx(1.0, abs=1e-6)


def test_a_shoemakers_pattern_lies_in_the_handbooks_band() -> None:
    """Golding, The Manufacture of Boots and Shoes: five patterns, surface ÷ cutting area 84 to 98 %. A band only."""
    t = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    sole = Polygon(np.column_stack([130 * np.cos(t), 42 * np.sin(t) * (1 - 0.22 * np.cos(2 * t) + 0.12 * np.cos(t))]))
    assert 0.836 <= lattices(sole)[0].density <= 0.978


def test_a_piece_whose_bay_reaches_past_the_next_row_overlaps_nothing() -> None:
    """Once, shallow rows were held against the next row only, and a piece met the row after that."""
    bay = Polygon([(0, 0), (15, 0), (10.5, 20), (15, 40), (0, 40)])
    for gap in (0.0, 2.0):
        for lattice in lattices(bay, True, gap, Seek(4, (0.0, 1.5707963))):
            assert worst_overlap(lattice, bay) < 1e-6 * bay.area
