"""The proposed outline against a known shape, photographed by a synthetic camera (tests/camera.py)."""

from __future__ import annotations

import functools
import io

import numpy as np
import pytest
import shapely
from camera import CORNERS, FLOORS, SIZE, Camera, as_bytes, known_hide, photograph
from PIL import Image
from shapely.affinity import scale, translate
from shapely.geometry import Point, Polygon

from hides.errors import InputError
from hides.photo import Homography, Photo, Proposal, draw_grid, draw_outline, open_photo, propose_outline
from hides.photo.region import otsu

CAMERA = Camera()
SMALL = Camera(size=(800, 600))


@functools.cache
def taken(floor: str, leather: tuple[float, float, float] | None = (0.50, 0.30, 0.17), camera: Camera = SMALL) -> Photo:
    """A photo of the known hide in some colour, or of the bare floor."""
    hide = None if leather is None else known_hide()
    return open_photo(as_bytes(photograph(hide, floor, camera, leather=leather or (0, 0, 0))), "side.jpg")


def traced(photo: Photo, camera: Camera = SMALL, **more: float) -> Proposal:
    homography = Homography.from_marks(camera.sees(CORNERS).tolist(), SIZE, within=photo.size)
    return propose_outline(photo, homography, **({"resolution": 3.0} | more if camera == SMALL else more))


def assert_near(proposal: Proposal, hide: Polygon, area: float = 0.01, mean: float = 5.0, worst: float = 20.0) -> None:
    found = Polygon(proposal.ring)
    assert found.is_valid
    assert found.exterior.is_ccw
    assert proposal.area == pytest.approx(found.area)
    assert found.area == pytest.approx(hide.area, rel=area)
    for one, other in ((found, hide), (hide, found)):
        points = shapely.points(shapely.get_coordinates(one.exterior.segmentize(5)))
        away = shapely.distance(points, other.exterior)
        assert away.mean() < mean
        assert away.max() < worst


@pytest.mark.parametrize("floor", FLOORS)
def test_a_known_hide_is_found_on_three_floors(floor: str) -> None:
    proposal = traced(taken(floor, camera=CAMERA), CAMERA)
    assert_near(proposal, known_hide(), area=0.005, mean=2.0, worst=10.0)
    assert proposal.confidence > 0.8
    assert proposal.remarks == ()
    assert len(proposal.ring) < 250


@pytest.mark.parametrize(
    ("floor", "leather"),
    [("concrete", (0.80, 0.66, 0.50)), ("concrete", (0.13, 0.10, 0.09)), ("tiles", (0.80, 0.62, 0.45))],
)
def test_natural_and_black_leather_are_found_too(floor: str, leather: tuple[float, float, float]) -> None:
    proposal = traced(taken(floor, leather))
    assert_near(proposal, known_hide())


def test_a_dark_shadow_beside_dark_leather_is_floor() -> None:
    image = photograph(known_hide(), "boards", SMALL, leather=(0.38, 0.22, 0.14), shadow=0.4)
    found = Polygon(traced(open_photo(as_bytes(image))).ring)
    assert found.area == pytest.approx(known_hide().area, rel=0.005)
    assert found.hausdorff_distance(known_hide()) < 12


def test_leather_nearly_the_floors_colour_is_doubted() -> None:
    proposal = traced(taken("boards", (0.70, 0.55, 0.40)))
    assert proposal.confidence < 0.5
    assert any("differ little" in remark for remark in proposal.remarks)


@pytest.mark.parametrize("floor", FLOORS)
def test_an_empty_floor_gives_no_outline(floor: str) -> None:
    with pytest.raises(InputError, match="nothing inside the marks stands out"):
        traced(taken(floor, None))


def test_leather_of_the_floors_own_colour_gives_no_outline() -> None:
    with pytest.raises(InputError, match="nothing inside the marks stands out"):
        traced(taken("concrete", (0.52, 0.51, 0.49)))


def test_a_hide_that_leaves_the_rectangle_is_said_to_be_cut_off() -> None:
    picture = photograph(translate(known_hide(), 220, 0), "concrete", SMALL)
    proposal = traced(open_photo(as_bytes(picture)))
    assert any("reaches the edge" in remark for remark in proposal.remarks)


def test_a_second_thing_on_the_floor_is_left_out_and_told() -> None:
    hide = scale(known_hide(), 0.6, 0.6)
    one, two = photograph(hide, "concrete", SMALL), photograph(Point(280, 280).buffer(180), "concrete", SMALL)
    picture = Image.fromarray(np.minimum(np.asarray(one), np.asarray(two)))
    proposal = traced(open_photo(as_bytes(picture)))
    assert_near(proposal, hide)
    assert any("left out" in remark for remark in proposal.remarks)


def test_swapped_sides_are_remarked() -> None:
    homography = Homography.from_marks(SMALL.sees(CORNERS).tolist(), SIZE[::-1])
    assert any("swapped" in remark for remark in propose_outline(taken("concrete"), homography).remarks)


@pytest.mark.parametrize("tolerance", [0.5, 2.0, 8.0])
def test_the_simplified_outline_keeps_its_tolerance(tolerance: float) -> None:
    fine = Polygon(traced(taken("concrete"), tolerance=0.01).ring)
    coarse = Polygon(traced(taken("concrete"), tolerance=tolerance).ring)
    corners = shapely.points(shapely.get_coordinates(fine))
    assert shapely.distance(corners, coarse.exterior).max() <= tolerance + 0.02
    assert len(coarse.exterior.coords) < len(fine.exterior.coords)


@pytest.mark.parametrize("tolerance", [0.0, -1.0, float("nan"), 500.0])
def test_a_tolerance_must_make_sense(tolerance: float) -> None:
    photo = open_photo(as_bytes(Image.new("RGB", (200, 200))))
    homography = Homography.from_marks([(10, 10), (190, 10), (190, 190), (10, 190)], (1000, 1000))
    with pytest.raises(InputError, match="tolerance"):
        propose_outline(photo, homography, tolerance=tolerance)


@pytest.mark.parametrize("shade", [0, 128, 255])
def test_a_picture_of_one_colour_shows_no_hide(shade: int) -> None:
    photo = open_photo(as_bytes(Image.new("RGB", (200, 200), (shade, shade, shade)), "PNG"))
    homography = Homography.from_marks([(10, 10), (190, 10), (190, 190), (10, 190)], (1000, 1000))
    with pytest.raises(InputError, match="stands out"):
        propose_outline(photo, homography)


def test_the_same_photo_gives_the_same_outline() -> None:
    assert traced(taken("tiles")) == traced(taken("tiles"))


def test_the_threshold_parts_two_groups_where_they_part() -> None:
    rng = np.random.default_rng(5)
    values = np.r_[rng.normal(1, 0.2, 4000), rng.normal(3, 0.2, 2000)].astype(np.float32)
    threshold, apart = otsu(values)
    assert 1.5 < threshold < 2.5
    assert apart > 0.9


def test_the_overlay_draws_where_the_edge_is() -> None:
    photo = taken("concrete")
    proposal = traced(photo)
    homography = Homography.from_marks(SMALL.sees(CORNERS).tolist(), SIZE)
    picture = np.asarray(Image.open(io.BytesIO(draw_outline(photo, homography, proposal.ring))).convert("RGB"), int)
    drawn = np.argwhere((picture[..., 0] > 220) & (picture[..., 1] < 110) & (picture[..., 2] > 120))[:, ::-1] + 0.5
    edge = Polygon(SMALL.sees(np.asarray(known_hide().exterior.coords))).exterior
    assert len(drawn) > 1000
    assert shapely.distance(shapely.points(drawn), edge).max() < 8


def test_the_grid_has_the_photos_own_pixels() -> None:
    photo = open_photo(as_bytes(Image.new("RGB", (3000, 2000))))
    assert Image.open(io.BytesIO(draw_grid(photo, 1500))).size == (1500, 1000)
