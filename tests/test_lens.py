"""A lens that bends lines: eight marks straighten it, held against the lens model of a general library (OpenCV)."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from camera import CORNERS, SIZE, Camera, known_hide, photograph
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from shapely.geometry import Polygon

from hides.errors import InputError
from hides.photo import Homography, Photo, propose_outline
from hides.photo.lens import Lens, fit_lens, on_sides

CAMERA = Camera(stands=(900.0, -700.0, 3400.0), focal=0.85)
MIDDLES = (CORNERS + np.roll(CORNERS, -1, axis=0)) / 2
BENDS = (-0.15, -0.1, -0.05, 0.0, 0.06)


def bent(points: np.ndarray, k1: float) -> np.ndarray:
    """Straight photo pixels as OpenCV's model with one radial term puts them."""
    wide, high = CAMERA.size
    f = CAMERA.focal * wide
    rays = np.c_[(points[:, 0] - wide / 2) / f, (points[:, 1] - high / 2) / f, np.ones(len(points))]
    lens = np.array([[f, 0, wide / 2], [0, f, high / 2], [0, 0, 1]])
    moved, _ = cv2.projectPoints(rays, np.zeros(3), np.zeros(3), lens, np.array([k1, 0.0, 0, 0]))
    return np.asarray(moved.reshape(-1, 2))


def seen(floor: np.ndarray, k1: float) -> np.ndarray:
    return bent(CAMERA.sees(floor), k1)


@pytest.mark.parametrize("k1", BENDS)
def test_eight_marks_bring_the_area_within_half_a_per_cent(k1: float) -> None:
    hide = known_hide()
    marks = np.concatenate([seen(CORNERS, k1), seen(MIDDLES, k1)])
    homography = Homography.from_marks(marks.tolist(), SIZE, within=CAMERA.size)
    ring = homography.to_mm(seen(np.asarray(hide.exterior.coords), k1))
    assert Polygon(ring).area == pytest.approx(hide.area, rel=0.005)
    off = np.hypot(*(ring - np.asarray(hide.exterior.coords)).T)
    assert off.mean() < 4.0


def test_four_marks_alone_lose_what_the_lens_bends() -> None:
    """So that the test above cannot pass for nothing."""
    hide, k1 = known_hide(), -0.15
    plain = Homography.from_marks(seen(CORNERS, k1).tolist(), SIZE, within=CAMERA.size)
    ring = plain.to_mm(seen(np.asarray(hide.exterior.coords), k1))
    assert abs(Polygon(ring).area / hide.area - 1) > 0.01


def test_the_outline_of_a_bent_photo_is_found_where_it_is() -> None:
    k1 = -0.1
    straight = np.asarray(photograph(known_hide(), "concrete", CAMERA))
    wide, high = CAMERA.size
    f = CAMERA.focal * wide
    lens = np.array([[f, 0, wide / 2], [0, f, high / 2], [0, 0, 1]])
    grid = np.stack(np.meshgrid(np.arange(wide) + 0.5, np.arange(high) + 0.5), axis=-1).reshape(-1, 1, 2)
    source = cv2.undistortPoints(grid, lens, np.array([k1, 0.0, 0, 0]), P=lens).reshape(high, wide, 2)
    picture = cv2.remap(
        straight, (source - 0.5).astype(np.float32), None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT
    )
    photo = Photo((wide, high), Image.fromarray(picture), "bent.png")
    marks = np.concatenate([seen(CORNERS, k1), seen(MIDDLES, k1)])
    found = propose_outline(photo, Homography.from_marks(marks.tolist(), SIZE, within=CAMERA.size))
    assert found.area == pytest.approx(known_hide().area, rel=0.005)
    assert Polygon(found.ring).symmetric_difference(known_hide()).area / known_hide().length < 4.0


@given(st.floats(-0.3, 0.2), st.floats(0, 4000), st.floats(0, 3000))
def test_straightened_and_bent_again_a_point_is_where_it_was(k: float, x: float, y: float) -> None:
    lens = Lens(k, (4000, 3000))
    assert np.allclose(lens.bent(lens.straightened([[x, y]])), [[x, y]], atol=1e-6)


@given(st.floats(-0.25, 0.2), st.randoms(use_true_random=False))
def test_a_lens_of_this_model_is_found_again(k: float, luck: object) -> None:
    size = (4000, 3000)
    true = Lens(round(k, 4), size)
    corners = np.array([[600, 500], [3300, 620], [3500, 2600], [420, 2450]], float)
    share = np.array([[0.5], [0.4], [0.55], [0.62]])
    amid = corners + share * (np.roll(corners, -1, axis=0) - corners)
    found = fit_lens(true.bent(corners), true.bent(amid), size)
    assert found.k == pytest.approx(true.k, abs=1e-3)


def test_marks_may_come_in_any_order() -> None:
    marks = np.concatenate([seen(CORNERS, -0.1), seen(MIDDLES, -0.1)])
    mixed = marks[[5, 0, 7, 3, 1, 6, 2, 4]]
    one, other = (Homography.from_marks(m.tolist(), SIZE, within=CAMERA.size) for m in (marks, mixed))
    assert one == other


def test_a_mark_on_no_side_is_told() -> None:
    corners = np.array([[0, 0], [1000, 0], [1000, 800], [0, 800]], float)
    with pytest.raises(InputError, match="lies amid no side"):
        on_sides(corners, [[500, 0], [1000, 400], [500, 400], [0, 400]])
    with pytest.raises(InputError, match="6 marks where four or eight"):
        Homography.from_marks([[0, 0]] * 6, (2000, 1500))
