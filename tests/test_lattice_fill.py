"""Many equal pieces on leather: near the densities without edge, clear of flaws, within their angles."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from problems import plain_hide, product, rectangle
from shapely.geometry import Point, Polygon, box

from nesting.laying.lay_out import Want, lay_out
from nesting.model.problem import Kind, Orientation, Problem, Wanted
from nesting.model.settings import Settings
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits, Laid
from nesting.search.filling.lattice_fill import lattice_fill
from nesting.search.filling.leftover import placed

ANY = (-180.0, 180.0)


def regular(corners: int, radius: float) -> Polygon:
    turns = 2 * math.pi * (np.arange(corners) + 0.25) / corners
    return Polygon(radius * np.column_stack([np.cos(turns), np.sin(turns)]))


def filled(
    outline: Polygon, region: Polygon, angles: list[tuple[float, float]], gap: float = 0.0
) -> tuple[list[Laid], list[Polygon]]:
    """What the lattice lays, and the pieces as shapely polygons."""
    orientations = tuple(Orientation(False, low, high, (0,)) for low, high in angles)
    problem = Problem(
        (region,), (region,), (Kind("one", 0, outline, (outline,), 1, orientations),), (Wanted("kit"),), gap
    )
    arrays = build(problem)
    laid = lattice_fill(InnerFits(arrays, 8), 0)
    return laid, [placed(problem, arrays.pose_of(p.kind, p.orientation, p.x, p.y, p.angle)) for p in laid]


def assert_apart(pieces: list[Polygon], region: Polygon, gap: float = 0.0) -> None:
    """Every piece lies in the region and no two are nearer than the gap."""
    assert all(region.buffer(1e-4).contains(piece) for piece in pieces)
    tree = shapely.STRtree(pieces)
    first, second = tree.query(pieces, predicate="dwithin", distance=max(gap - 1e-4, 0.0))
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i < j:
            assert pieces[i].intersection(pieces[j]).area < 1e-3
            assert gap == 0.0


@pytest.mark.parametrize(
    ("outline", "angles", "without_edge"),
    [
        (regular(48, 20), (0.0, 0.0), math.pi / math.sqrt(12)),
        (regular(5, 20), ANY, (5 - math.sqrt(5)) / 3),
        (Polygon([(0, 0), (60, 0), (20, 50)]), ANY, 1.0),
    ],
)
def test_a_plain_square_of_two_metres_comes_within_three_points_of_no_edge(
    outline: Polygon, angles: tuple[float, float], without_edge: float
) -> None:
    """The circle (Thue 1910), the regular pentagon (Hales, Kusner 2016), any triangle; pieces of 40 to 60 mm."""
    region = box(0, 0, 2000, 2000)
    _, pieces = filled(outline, region, [angles])
    assert_apart(pieces, region)
    assert sum(piece.area for piece in pieces) / region.area > without_edge - 0.03


def test_the_lattice_keeps_clear_of_flaws_and_of_neighbours() -> None:
    region = box(0, 0, 700, 500).difference(Point(300, 250).buffer(90)).difference(box(0, 400, 200, 500))
    wedge = Polygon([(0, 0), (60, 0), (45, 40), (15, 40)])
    _, pieces = filled(wedge, region, [(0.0, 0.0), (180.0, 180.0)], gap=3.0)
    assert len(pieces) > 80
    assert_apart(pieces, region, 3.0)


def test_pieces_that_may_not_turn_all_face_one_way() -> None:
    triangle = Polygon([(0, 0), (60, 0), (20, 50)])
    laid, pieces = filled(triangle, box(0, 0, 800, 800), [(30.0, 30.0)])
    assert {round(math.degrees(p.angle), 6) for p in laid} == {30.0}
    assert 0.55 < sum(piece.area for piece in pieces) / 640_000 < 2 / 3
    assert_apart(pieces, box(0, 0, 800, 800))


def test_a_piece_too_large_is_not_laid() -> None:
    assert filled(box(0, 0, 300, 300), box(0, 0, 200, 900), [(0.0, 0.0)]) == ([], [])


def test_the_search_begins_with_the_lattice_where_one_kind_fills_the_hide() -> None:
    """Head to tail, 2 · 12 right-angled triangles cover a plain hide of 12 of their boxes."""
    triangle = rectangle("corner", 50, 80)
    corner = type(triangle)("corner", ((0.0, 0.0), (50.0, 0.0), (0.0, 80.0)), angles=(0.0, 180.0))
    layout = lay_out(plain_hide(240, 200), [Want(product(corner))], Settings(effort="quick"))
    assert layout.counts[0].complete == 24
