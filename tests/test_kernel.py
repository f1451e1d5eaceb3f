"""The compiled kernel against shapely, and against itself in plain Python."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Polygon, box
from strategies import star_rings

import nesting
from nesting.geometry.convex import Array, convex_parts, is_convex, normals, ring_of
from nesting.geometry.simplify import inner, outer
from nesting.lattice.minkowski import grown, no_fit
from nesting.search.arrays.overlap_kernel import NOUGHT, common_area, depth


def convex(draw_points: list[tuple[float, float]]) -> Array | None:
    hull = MultiPoint(draw_points).convex_hull
    return ring_of(hull) if isinstance(hull, Polygon) and hull.area > 1.0 else None


points = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=3, max_size=9, unique=True)
shifts = st.tuples(st.integers(-70, 70), st.integers(-70, 70))


@settings(max_examples=150, deadline=None)
@given(points, points, shifts)
def test_depth_is_nought_exactly_where_shapely_finds_no_common_area(
    first: list[tuple[float, float]], second: list[tuple[float, float]], shift: tuple[int, int]
) -> None:
    a, b = convex(first), convex(second)
    if a is None or b is None:
        return
    b = b + np.array(shift, dtype=float)
    common = Polygon(a).intersection(Polygon(b)).area
    deep = depth(a, normals(a), 0, len(a), b, normals(b), 0, len(b), 0.0)
    assert (deep > 0) == (common > 1e-6)
    assert common_area(a, normals(a), 0, len(a), b, normals(b), 0, len(b)) == pytest.approx(common, abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(points, points)
def test_moving_by_the_depth_along_some_way_parts_two_rings(
    first: list[tuple[float, float]], second: list[tuple[float, float]]
) -> None:
    a, b = convex(first), convex(second)
    if a is None or b is None:
        return
    deep = depth(a, normals(a), 0, len(a), b, normals(b), 0, len(b), 0.0)
    ways = np.concatenate([normals(a), -normals(b)])
    commons = [Polygon(a).intersection(Polygon(b + deep * way)).area for way in ways]
    assert min(commons) <= 1e-5


@settings(max_examples=100, deadline=None)
@given(points, points)
def test_a_no_fit_polygon_is_the_minkowski_sum_with_the_piece_turned_round(
    first: list[tuple[float, float]], second: list[tuple[float, float]]
) -> None:
    """The area of a Minkowski sum of convex sets from the hull of all sums of corners (from memory: de Berg et al.)."""
    a, b = convex(first), convex(second)
    if a is None or b is None:
        return
    ring = np.zeros((len(a) + len(b), 2))
    many = no_fit(a, b, ring)
    hull = MultiPoint((a[:, None, :] - b[None, :, :]).reshape(-1, 2)).convex_hull
    assert Polygon(ring[:many]).area == pytest.approx(hull.area, rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(star_rings())
def test_convex_parts_are_convex_and_make_up_the_polygon(ring: tuple[tuple[float, float], ...]) -> None:
    polygon = Polygon(ring)
    parts = convex_parts(polygon)
    assert all(is_convex(part) for part in parts)
    assert sum(Polygon(part).area for part in parts) == pytest.approx(polygon.area, rel=1e-9)


def test_convex_parts_of_a_polygon_with_a_hole_leave_the_hole_open() -> None:
    ring = box(0, 0, 100, 100).difference(box(40, 40, 60, 60))
    assert sum(Polygon(part).area for part in convex_parts(ring)) == pytest.approx(100**2 - 20**2)


@settings(max_examples=60, deadline=None)
@given(star_rings(), st.sampled_from([0.2, 1.0, 5.0]))
def test_an_outline_with_fewer_corners_holds_the_first_and_stays_near(
    ring: tuple[tuple[float, float], ...], tolerance: float
) -> None:
    polygon = Polygon(ring).buffer(3, quad_segs=16)
    polygon = Polygon(polygon.exterior)
    made = outer(polygon, tolerance)
    assert polygon.difference(made).area < 1e-6
    assert made.exterior.hausdorff_distance(polygon.exterior) <= tolerance + 1e-9
    spot = polygon.representative_point()
    region = Polygon(polygon.exterior, [spot.buffer(0.5 * spot.distance(polygon.exterior), quad_segs=16).exterior])
    shrunk = inner(region, tolerance)
    assert shrunk.difference(region).area < 1e-6
    assert region.difference(shrunk).area <= tolerance * region.length + 1e-6


def test_straight_edges_stay_where_they_are() -> None:
    rounded = box(0, 0, 100, 60).buffer(-10).buffer(10, quad_segs=32)
    assert outer(rounded, 0.4).bounds == pytest.approx((0, 0, 100, 60), abs=1e-9)


def test_a_ring_grown_by_the_gap_holds_the_round_buffer() -> None:
    ring = ring_of(Polygon([(0, 0), (50, 0), (20, 30)]))
    wide = Polygon(grown(ring, 3.0))
    assert Polygon(ring).buffer(3.0, quad_segs=64).difference(wide).area < 1e-6
    assert wide.area < Polygon(ring).buffer(3.1).area


def test_touching_counts_as_apart_and_a_hair_more_does_not() -> None:
    a = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    for shift, apart in ((10.0, True), (10.0 - NOUGHT / 2, True), (10.0 - 2 * NOUGHT, False)):
        b = a + np.array([shift, 3.0])
        assert (depth(a, normals(a), 0, 4, b, normals(b), 0, 4, 0.0) == 0.0) is apart


def test_a_kernel_that_counts_no_references_gives_back_no_array() -> None:
    """An array given back uncounted would be freed under its owner."""
    lean = [
        node
        for path in Path(nesting.__file__).parent.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FunctionDef)
        and any(isinstance(d, ast.Name) and d.id == "compiled" for d in node.decorator_list)
    ]
    assert len(lean) > 50
    for kernel in lean:
        assert kernel.returns is not None
        told = {node.id for node in ast.walk(kernel.returns) if isinstance(node, ast.Name)}
        assert told <= {"float", "int", "bool", "tuple"}, kernel.name


PLAIN = """
import sys
from dataclasses import replace
from nesting.model.problem import Orientation
from nesting.search.separation.depth_maps import atlas
from nesting.search.groundwork import Groundwork
from nesting.search.separation.guided_local_search import pull_apart
from problems import in_box
from shapely.geometry import Polygon, box
kinds = [(box(0, 0, 40, 30), 2, [0.0, 90.0]), (Polygon([(0, 0), (50, 0), (20, 30)]), 2, [0.0, 180.0])]
turn = float(sys.argv[1])
problem = in_box(100, 80, kinds)
def loose(kind):
    return tuple(Orientation(False, o.low - turn, o.high + turn, (0,)) for o in kind.orientations)
kinds = tuple(replace(kind, orientations=loose(kind)) for kind in problem.kinds)
fits = Groundwork(replace(problem, kinds=kinds)).inner_fits(4)
done = pull_apart(fits.arrays, atlas(fits), [], [0, 0, 1, 1], 1, 60)
print(repr((done.pieces, done.apart, done.overlap, done.tried)))
"""


@pytest.mark.parametrize("turn", [0.0, 5.0])
def test_plain_python_and_compiled_code_do_the_same(turn: float) -> None:
    """One seed, one trajectory: the same poses to the last bit, whichever way the kernel runs."""
    told = [
        subprocess.run(
            [sys.executable, "-c", PLAIN, str(turn)],
            env={**os.environ, "HIDEPLAN_PLAIN": plain, "PYTHONPATH": os.pathsep.join(sys.path)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for plain in ("0", "1")
    ]
    first, second = (
        eval(text, {"Laid": __import__("nesting.search.arrays.inner_fits", fromlist=["Laid"]).Laid}) for text in told
    )
    assert first[2] == second[2]
    assert first[1] == pytest.approx(second[1], rel=1e-6)
    for a, b in zip(first[0], second[0], strict=True):
        assert (a.x, a.y, a.angle) == pytest.approx((b.x, b.y, b.angle), abs=1e-6)
