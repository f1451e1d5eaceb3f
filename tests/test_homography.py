"""The map from photo to floor agrees with independent computations, and bad marks are told plainly."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from camera import CORNERS, SIZE, Camera
from hypothesis import given, settings
from hypothesis import strategies as st

from hides.errors import InputError
from hides.photo import Homography, check_distance
from hides.photo.proportions import looks_swapped, proportions

SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0))


def null_space_homography(source: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Independent of the code under test: the smallest singular vector of the 2n × 9 system (numpy least squares)."""
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows.append([-x, -y, -1, 0, 0, 0, u * x, u * y, u])
        rows.append([0, 0, 0, -x, -y, -1, v * x, v * y, v])
    return np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)


def through(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    moved = np.c_[points, np.ones(len(points))] @ matrix.T
    return moved[:, :2] / moved[:, 2:]


corner = st.floats(-150, 150)


@given(st.lists(st.tuples(corner, corner), min_size=4, max_size=4))
@settings(max_examples=60, deadline=None)
def test_agrees_with_least_squares_for_any_view(shifts: list[tuple[float, float]]) -> None:
    marks = np.array([[400, 300], [1600, 300], [1600, 1200], [400, 1200]], float) + shifts
    found = Homography.from_marks(marks.tolist(), SIZE)
    independent = null_space_homography(marks, CORNERS)
    inside = marks.mean(axis=0) + 0.8 * (marks - marks.mean(axis=0))
    assert found.to_mm(inside) == pytest.approx(through(independent, inside), abs=1e-5)


def test_undoes_a_pinhole_camera() -> None:
    camera = Camera()
    found = Homography.from_marks(camera.sees(CORNERS).tolist(), SIZE)
    floor = np.random.default_rng(1).uniform(0, 1800, (50, 2))
    assert found.to_mm(camera.sees(floor)) == pytest.approx(floor, abs=1e-6)
    assert found.to_pixels(floor) == pytest.approx(camera.sees(floor), abs=1e-6)


def test_one_point_keeps_its_shape() -> None:
    found = Homography.from_marks(SQUARE, (1000, 800))
    assert found.to_mm((50, 40)) == pytest.approx((500, 400))
    assert found.to_mm((0, 80)) == pytest.approx((0, 0), abs=1e-9)  # lower left in the photo is the plan's origin


def test_any_order_of_the_marks_gives_the_same_map() -> None:
    marks = Camera().sees(CORNERS).tolist()
    maps = {Homography.from_marks(order, SIZE).marks for order in itertools.permutations(marks)}
    assert len(maps) == 1


def test_pixel_size_on_the_floor_is_the_coarsest_corner() -> None:
    assert Homography.from_marks(SQUARE, (1000, 800)).mm_per_pixel() == pytest.approx(10)


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        (SQUARE[:3], "3 marks where four"),
        ([(0, 0), (100, 0), (200, 0), (0, 80)], "almost in a line"),
        ([(0, 0), (100, 0), (200, 1), (300, 0)], "almost in a line"),
        ([(0, 0), (0, 0), (100, 80), (0, 80)], "same place"),
        ([(5, 5), (5, 5), (5, 5), (5, 5)], "same place"),
        ([(0, 0), (100, 0), (50, 90), (50, 30)], "inside the triangle"),
        ([(0, 0), (100, 0), (100, math.nan), (0, 80)], "finite"),
        ([(0, 0), (100, 0), (100, math.inf), (0, 80)], "finite"),
        ([(50, 0), (100, 50), (50, 100), (0, 50)], "stands on its corner"),
        ([(0, 0), (100, 0), (100, 80), (-3, 80)], "outside the photo"),
        ([(0, 0), (101, 0), (100, 80), (0, 80)], "outside the photo"),
    ],
)
def test_bad_marks_are_one_clear_line(marks: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        Homography.from_marks(marks, (1000, 800), within=(100, 100) if "outside" in words else None)
    assert "\n" not in str(caught.value)
    assert caught.value.remedy


@pytest.mark.parametrize("size", [(0, 800), (1000, 0), (-1, 800), (math.nan, 800), (1000, math.inf)])
def test_a_size_must_be_a_size(size: tuple[float, float]) -> None:
    with pytest.raises(InputError, match="no size"):
        Homography.from_marks(SQUARE, size)


def test_a_square_may_stand_on_its_corner() -> None:
    found = Homography.from_marks([(50, 0), (100, 50), (50, 100), (0, 50)], (500, 500))
    a, b = found.to_mm([(50, 0), (100, 50)])
    assert math.dist(a, b) == pytest.approx(500)


def test_points_past_the_horizon_are_refused() -> None:
    low = Camera(stands=(1100, -2500, 900), looks_at=(1100, 900, 300))
    found = Homography.from_marks(low.sees(CORNERS).tolist(), SIZE)
    with pytest.raises(InputError, match="horizon"):
        found.to_mm((low.size[0] / 2, 0))


@pytest.mark.parametrize(("tape", "good"), [(1500, True), (1514, True), (1517, False), (1487, True), (1484, False)])
def test_a_check_distance_warns_beyond_one_percent(tape: float, good: bool) -> None:
    camera = Camera()
    found = Homography.from_marks(camera.sees(CORNERS).tolist(), SIZE)
    first, second = camera.sees(np.array([[300.0, 500.0], [1500.0, 1400.0]]))  # 1500 mm: a 3-4-5 triangle
    check = check_distance(found, first, second, tape)
    assert check.photo == pytest.approx(1500, abs=1e-6)
    assert check.good is good
    assert ("warning" in check.words) is not good


def test_a_check_distance_needs_length_and_points_apart() -> None:
    found = Homography.from_marks(SQUARE, (1000, 800))
    with pytest.raises(InputError, match="no distance"):
        check_distance(found, (0, 0), (50, 50), 0)
    with pytest.raises(InputError, match="too near"):
        check_distance(found, (50, 50), (50.5, 50), 5)


@pytest.mark.parametrize(
    "camera", [Camera(), Camera(stands=(1100, 900, 3000), looks_at=(1100, 901, 0)), Camera(stands=(300, -900, 1500))]
)
def test_swapped_sides_are_noticed(camera: Camera) -> None:
    marks = camera.sees(CORNERS).tolist()
    right, swapped = Homography.from_marks(marks, SIZE), Homography.from_marks(marks, SIZE[::-1])
    assert proportions(right, camera.size) == pytest.approx(SIZE[0] / SIZE[1], rel=0.05)
    assert not looks_swapped(right, camera.size)
    assert looks_swapped(swapped, camera.size)
