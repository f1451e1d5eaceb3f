"""Two brushes on the flat photo: what is painted counts, the edge beside it is found, the rest stays."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from flats import BAY, FLANK, STEP, TAPE, flat, hide
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from skimage.segmentation import random_walker

from hides.errors import InputError
from hides.photo import FlatPicture, Stroke, follow
from hides.photo.flat.walker import KNOWN, conductances, walk


@pytest.fixture(scope="module")
def taped() -> FlatPicture:
    return flat(tape=True)


@pytest.fixture(scope="module")
def alike() -> FlatPicture:
    return flat(alike=True)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10_000))
def test_without_pulls_the_walk_is_scikit_images_random_walker(seed: int) -> None:
    rng = np.random.default_rng(seed)
    picture = rng.uniform(0, 1, (9, 11)).astype(np.float32)
    labels = np.zeros((9, 11), int)
    labels[0, 0], labels[8, 10], labels[4, 5] = 1, 2, 1 + seed % 2
    theirs = random_walker(picture, labels, beta=10, tol=1e-9, mode="cg_j", return_full_prob=True)
    ours = ours_like(picture, labels)
    assert ours == pytest.approx(theirs[0], abs=2e-3)


def ours_like(picture: np.ndarray, labels: np.ndarray) -> np.ndarray:
    """The same chance by our walk, with scikit-image's conductances: exp(−β (Δ/10σ)²) + 1e-10."""

    def ease(axis: int) -> np.ndarray:
        return np.exp(-10 * np.diff(picture, axis=axis) ** 2 / (10 * picture.std())).astype(np.float32)

    pull = np.where(labels > 0, KNOWN, 0).astype(np.float32)
    return walk(ease(0), ease(1), (labels == 1).astype(np.float32), pull, 1e-6)


def test_a_stroke_in_a_bay_behind_a_tape_opens_it(taped: FlatPicture) -> None:
    filled = shapely.union_all([hide(), TAPE, BAY.intersection(shapely.box(0, 0, 1600, 940))])
    assert filled.area > 1.01 * hide().area
    opened = follow(taped, filled, [Stroke(False, ((720.0, 943.0), (800.0, 920.0), (880.0, 943.0)), 8)])
    assert opened.difference(TAPE).symmetric_difference(hide().difference(TAPE)).area < 0.002 * hide().area
    assert opened.intersection(TAPE.intersection(BAY)).area < 0.1 * TAPE.intersection(BAY).area


def test_a_part_like_the_floor_is_painted_back_in_one_stroke(alike: FlatPicture) -> None:
    eaten = max(shapely.get_parts(hide().difference(FLANK)), key=lambda part: part.area)
    assert eaten.area < 0.9 * hide().area
    mended = follow(alike, eaten, [Stroke(True, ((1050.0, 400.0), (1250.0, 450.0), (1200.0, 650.0)), 15)])
    assert mended.area == pytest.approx(hide().area, rel=0.01)


@settings(max_examples=12, deadline=None)
@given(st.floats(500, 1100), st.floats(350, 750), st.floats(-150, 150), st.floats(4, 30), st.booleans())
def test_what_is_painted_counts_and_beyond_the_reach_nothing_changes(
    taped: FlatPicture, x: float, y: float, along: float, radius: float, leather: bool
) -> None:
    stroke = Stroke(leather, ((x, y), (x + along, y + along / 2)), radius)
    after = follow(taped, hide(), [stroke])
    wrong = stroke.shape.difference(after) if leather else stroke.shape.intersection(after)
    assert wrong.area <= stroke.shape.length * STEP * 2
    assert Polygon(np.round(after.exterior.coords, 2)).is_valid  # as it is written
    assert (
        after.symmetric_difference(hide()).difference(stroke.zone.buffer(0.01)).area < 8
    )  # rounded to 0.001 mm, hairs taken away


def test_what_an_earlier_stroke_said_is_remembered(taped: FlatPicture) -> None:
    first = Stroke(False, ((750.0, 500.0), (850.0, 500.0)), 15)
    second = Stroke(True, ((700.0, 470.0), (900.0, 470.0)), 8)
    after = follow(taped, follow(taped, hide(), [first]), [first, second])
    assert after.intersection(first.shape.buffer(-2 * STEP)).area == pytest.approx(0, abs=60)


def test_two_strokes_are_enough_where_there_is_no_outline(taped: FlatPicture) -> None:
    strokes = [Stroke(True, ((500.0, 500.0), (1100.0, 500.0)), 20)]
    with pytest.raises(InputError, match="no outline yet"):
        follow(taped, Polygon(), strokes)
    strokes.append(
        Stroke(
            False, ((60.0, 1140.0), (60.0, 60.0), (1540.0, 60.0), (1540.0, 1140.0), (800.0, 1140.0), (800.0, 943.0)), 20
        )
    )
    assert follow(taped, Polygon(), strokes).area == pytest.approx(hide().area, rel=0.03)


def test_leather_that_does_not_join_the_hide_is_told(taped: FlatPicture) -> None:
    with pytest.raises(InputError, match="does not join"):
        follow(taped, hide(), [Stroke(True, ((80.0, 80.0), (95.0, 80.0)), 10)])
    with pytest.raises(InputError, match="outside the photo"):
        follow(taped, hide(), [Stroke(True, ((90_000.0, 0.0),), 10)])


def test_an_edge_is_the_harder_to_cross_the_stronger_it_is() -> None:
    lab = np.zeros((2, 4, 3), np.float32)
    lab[:, 2:, 0], lab[:, 3:, 0] = 3.0, 9.0
    _, right = conductances(lab, 1.0)
    assert right[0, 0] > right[0, 1] > right[0, 2] > 0
