"""What a photo's Exif data are used for: to know photos taken alike, and the proportions of a rectangle."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from camera import CORNERS, SIZE, Camera, known_hide
from PIL import Image
from PIL.ExifTags import IFD, Base
from shapely.geometry import Polygon
from test_lens import BENDS, CAMERA, MIDDLES, bent, seen

from hides.photo import Homography, PhotoCamera, open_photo
from hides.photo.lens import Lens
from hides.photo.proportions import proportions
from nesting.page import known_lenses, pictures
from nesting.page.errors import Refusal
from nesting.page.folder import Folder


def photo_bytes(size: tuple[int, int] = (400, 300), turn: int = 1, **inner: object) -> bytes:
    exif = Image.Exif()
    exif[Base.Make], exif[Base.Model], exif[Base.Orientation] = "Meadow", "Lamp 3", turn
    exif.get_ifd(IFD.Exif).update({getattr(Base, name): value for name, value in inner.items()})
    out = io.BytesIO()
    Image.new("RGB", size, (120, 110, 90)).save(out, "JPEG", exif=exif)
    return out.getvalue()


WIDE = {"FocalLength": 5.4, "FocalLengthIn35mmFilm": 26, "LensModel": "Lamp 3 back lens"}


def test_the_camera_is_read_from_the_standard_tags() -> None:
    camera = open_photo(photo_bytes(**WIDE)).camera
    assert camera == PhotoCamera("Meadow Lamp 3", "Lamp 3 back lens", 5.4, 26.0)
    assert camera.words == "Meadow Lamp 3, 26 mm as on 35 mm film"
    assert not camera.ultra_wide
    assert PhotoCamera("x", film_focal=13).ultra_wide


def test_photos_are_alike_upright_or_not_but_not_at_another_zoom_or_size() -> None:
    likeness = {}
    for name, data in {
        "lying": photo_bytes(**WIDE), "standing": photo_bytes(turn=6, **WIDE),
        "zoomed": photo_bytes(**WIDE, DigitalZoomRatio=2.0),
        "other lens": photo_bytes(**(WIDE | {"FocalLength": 2.2})), "smaller": photo_bytes((200, 150), **WIDE),
        "says little": photo_bytes(),
    }.items():  # fmt: skip
        photo = open_photo(data)
        assert photo.camera is not None
        likeness[name] = photo.camera.likeness(photo.size)
    assert likeness["lying"] == likeness["standing"]
    assert likeness["says little"] is None
    assert len(set(likeness.values())) == 5


def test_no_exif_or_nonsense_in_it_is_no_camera_and_no_error() -> None:
    plain = io.BytesIO()
    Image.new("RGB", (100, 80)).save(plain, "JPEG")
    assert open_photo(plain.getvalue()).camera is None
    odd = open_photo(photo_bytes(LensModel="a\x00b\x07" + "c" * 99, FocalLengthIn35mmFilm=0)).camera
    assert odd is not None
    assert (odd.lens, odd.film_focal) == ("ab" + "c" * 58, 0.0)


@pytest.mark.parametrize("k1", BENDS)
def test_a_lens_found_on_one_photo_straightens_another_with_four_marks(k1: float) -> None:
    """The bend is OpenCV's, on both photos; the camera stands elsewhere for the other."""
    marks = np.concatenate([seen(CORNERS, k1), seen(MIDDLES, k1)])
    lens = Homography.from_marks(marks.tolist(), SIZE, within=CAMERA.size).lens
    assert lens is not None
    other = Camera(stands=(1500.0, -400.0, 3300.0), focal=CAMERA.focal)
    corners = [(float(x), float(y)) for x, y in bent(other.sees(CORNERS), k1)]
    floor = Homography((corners[0], corners[1], corners[2], corners[3]), SIZE, Lens(lens.k, other.size))
    hide = known_hide()
    ring = floor.to_mm(bent(other.sees(np.asarray(hide.exterior.coords)), k1))
    assert Polygon(ring).area == pytest.approx(hide.area, rel=0.008)


def test_a_focal_length_tells_the_proportions_of_a_rectangle() -> None:
    corners = CAMERA.sees(CORNERS).tolist()
    floor = Homography.from_marks(corners, SIZE, within=CAMERA.size)
    told = PhotoCamera("x", film_focal=CAMERA.focal * CAMERA.size[0] / np.hypot(*CAMERA.size) * np.hypot(36, 24))
    share = told.focal_share(CAMERA.size)
    assert share == pytest.approx(CAMERA.focal)
    assert proportions(floor, CAMERA.size, share) == pytest.approx(SIZE[0] / SIZE[1], rel=1e-6)


def test_the_page_remembers_a_lens_for_the_next_photo_taken_alike(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    first = pictures.keep_photo(folder, photo_bytes(**WIDE), "a.jpg")
    assert "known" not in first
    known_lenses.remember(folder, first["id"], Lens(-0.03, (400, 300)))
    assert pictures.keep_photo(folder, photo_bytes(turn=6, **WIDE), "b.jpg")["known"] == -0.03
    assert "known" not in pictures.keep_photo(folder, photo_bytes(**(WIDE | {"FocalLength": 9.0})), "c.jpg")
    marks = {"marks": [[40, 30], [360, 30], [360, 270], [40, 270]], "size": [2000, 1500]}
    assert pictures.read_marks(folder, first["id"], marks | {"lens": -0.03}).lens == Lens(-0.03, (400, 300))
    for wrong in (9, "x", True):
        with pytest.raises(Refusal, match="bend of a lens"):
            pictures.read_marks(folder, first["id"], marks | {"lens": wrong})


def test_a_photo_that_says_too_little_is_remembered_for_nothing(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    told = pictures.keep_photo(folder, photo_bytes(), "a.jpg")
    known_lenses.remember(folder, told["id"], Lens(-0.03, (400, 300)))
    assert "known" not in pictures.keep_photo(folder, photo_bytes(), "b.jpg")
