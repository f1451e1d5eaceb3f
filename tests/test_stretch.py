"""A stretch between two places runs along the strongest edge near them, and only that stretch is replaced."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from flats import STEP, flat, hide
from shapely.geometry import LineString, Point, Polygon

from hides.errors import InputError
from hides.photo import FlatPicture, snapped, with_stretch


@pytest.fixture(scope="module")
def picture() -> FlatPicture:
    return flat()


def on_edge(share: float) -> tuple[float, float]:
    x, y = hide().exterior.interpolate(share, normalized=True).coords[0]
    return float(x), float(y)


@pytest.mark.parametrize(("a", "b"), [(0.30, 0.42), (0.52, 0.62), (0.68, 0.80)])
def test_the_line_follows_the_hides_edge_within_pixels(picture: FlatPicture, a: float, b: float) -> None:
    line = LineString(snapped(picture, on_edge(a), on_edge(b), 5))
    places = shapely.line_interpolate_point(line, np.linspace(5, line.length - 5, 80))
    assert shapely.distance(hide().exterior, places).max() < 2.5 * STEP
    straight = LineString([on_edge(a), on_edge(b)])
    assert shapely.hausdorff_distance(straight, line) > 8  # it is no straight line


def test_ends_beside_the_edge_move_onto_it(picture: FlatPicture) -> None:
    (ax, ay), (bx, by) = on_edge(0.30), on_edge(0.36)
    line = snapped(picture, (ax - 8, ay + 6), (bx + 7, by + 7), 15)
    assert max(hide().exterior.distance(Point(end)) for end in (line[0], line[-1])) < 2 * STEP


def test_only_the_stretch_is_replaced_and_it_brings_a_cut_corner_back(picture: FlatPicture) -> None:
    cut = Polygon([on_edge(share) for share in np.linspace(0, 1, 400, endpoint=False) if not 0.52 < share < 0.66])
    mended = with_stretch(cut, snapped(picture, on_edge(0.515), on_edge(0.665), 6))
    assert mended.symmetric_difference(hide()).area < 0.15 * cut.symmetric_difference(hide()).area
    near = LineString([on_edge(share) for share in np.linspace(0.51, 0.67, 20)]).buffer(90)
    assert mended.symmetric_difference(cut).difference(near).area == pytest.approx(0, abs=1e-6)


def test_a_stretch_can_go_over_the_rings_end_and_either_way_round(picture: FlatPicture) -> None:
    for a, b in ((0.97, 0.03), (0.03, 0.97)):
        mended = with_stretch(hide(), snapped(picture, on_edge(a), on_edge(b), 6))
        assert mended.symmetric_difference(hide()).area < 0.002 * hide().area


def test_places_that_make_no_stretch_are_told(picture: FlatPicture) -> None:
    with pytest.raises(InputError, match="too near"):
        snapped(picture, (300, 300), (300, 301), 5)
    with pytest.raises(InputError, match="outside the photo"):
        snapped(picture, (300, 300), (-9000, 300), 5)
