"""A hide's photo laid flat: kept with the hide, and lying under its layout just where the leather is."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from layouts import laid_by_hand, rectangle
from page_server import SQUARE_HIDE, page
from PIL import Image

from hides.errors import InputError
from hides.hide import Hide, HidePhoto
from hides.hide_file import hide_from_data, hide_to_data
from hides.photo import FlatPicture
from nesting.commands import main
from nesting.drawing.photo_under import photo_under
from nesting.drawing.scene import Picture, turned_by
from nesting.result.layout_file import write_layout

FLAT = {"format": "hideplan-hide-1", "units": "cm", "outline": [[0, 0], [60, 0], [60, 40], [0, 40]]}
SPOT, LEATHER = (230, 20, 230), (180, 120, 60)


def picture(
    spot: tuple[float, float] = (100, 300), box: tuple[float, float, float, float] = (-100, -100, 700, 500)
) -> FlatPicture:
    """Leather colour everywhere, 1 pixel for 2 mm, with a purple square of 20 mm about a place."""
    wide, high = int(box[2] - box[0]) // 2, int(box[3] - box[1]) // 2
    pixels = np.full((high, wide, 3), LEATHER, np.uint8)
    column, row = int(spot[0] - box[0]) // 2, int(box[3] - spot[1]) // 2
    pixels[row - 5 : row + 5, column - 5 : column + 5] = SPOT
    return FlatPicture(pixels, box)


def test_a_hide_file_keeps_its_photo_in_the_files_own_units() -> None:
    told = {**FLAT, "photo": {"file": "S-07.jpg", "box": [-10, -10, 70, 50]}}
    hide = hide_from_data(told)
    assert hide.photo == HidePhoto("S-07.jpg", (-100, -100, 700, 500))
    assert hide_to_data(hide)["photo"] == told["photo"]
    assert "photo" not in hide_to_data(hide_from_data(FLAT))


@pytest.mark.parametrize(
    ("photo", "words"),
    [
        ({"file": "../S.jpg", "box": [0, 0, 1, 1]}, "photo.file: is “../S.jpg”"),
        ({"file": "a\\S.jpg", "box": [0, 0, 1, 1]}, "without a folder"),
        ({"file": "S.gif", "box": [0, 0, 1, 1]}, "name a JPEG or PNG"),
        ({"file": "S.jpg", "box": [0, 0, 0, 1]}, "give [left, low, right, high]"),
        ({"file": "S.jpg", "box": [0, 0, 1]}, "photo.box"),
        ({"file": "S.jpg"}, "photo.box: is missing"),
    ],
)
def test_a_photo_that_cannot_be_meant_is_told_with_its_field(photo: object, words: str) -> None:
    with pytest.raises(InputError) as caught:
        hide_from_data({**FLAT, "photo": photo}, "S.json")
    assert words in str(caught.value)


def test_the_photo_turns_with_the_hide_and_shows_only_where_there_is_leather() -> None:
    ring = rectangle(600, 400)
    level = Hide("level", ring, backbone=((0, 0), (600, 0)), holes=(((200, 200), (260, 200), (260, 260), (200, 260)),))
    tilted = replace(level, backbone=((0, 0), (600, 200)))
    for hide, by in ((level, 0.0), (tilted, -np.degrees(np.arctan2(200, 600)))):
        made = photo_under(picture(), hide, 0.5, (30.0, 40.0))
        places = [turned_by(place, by) for place in ((100, 300), (400, 100), (230, 230))]
        spot, leather, hole = (_at(made, (0.5 * x + 30, 0.5 * y + 40)) for x, y in places)
        assert spot[2] > spot[1] + 50
        assert leather[0] > leather[1] > leather[2]
        assert hole == (255, 255, 255)


def _at(made: Picture, place: tuple[float, float]) -> tuple[int, ...]:
    """The colour a page shows at a place."""
    left, low, right, high = made.box
    rows, columns = made.pixels.shape[:2]
    column, row = (place[0] - left) / (right - left) * columns, (high - place[1]) / (high - low) * rows
    return tuple(made.pixels[int(row), int(column)].tolist())


def test_a_sheet_and_a_picture_lie_on_the_photo_that_lies_beside_the_layout(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    layout = laid_by_hand(complete=1)
    each = layout.hides[0]
    box = (-100.0, -100.0, 2000.0, 1200.0)
    with_one = replace(layout, hides=(replace(each, hide=replace(each.hide, photo=HidePhoto("S.png", box))),))
    file = tmp_path / "layout.json"
    write_layout(file, with_one)
    png, pdf = tmp_path / "a.png", tmp_path / "a.pdf"
    words = ["sheet", str(file), "--png", str(png), "--pdf", str(pdf)]
    assert main([*words, "--photo"]) == 2
    assert "there is no “S.png” in" in capsys.readouterr().err
    assert not pdf.exists()
    Image.fromarray(picture((1500, 600), box).pixels).save(tmp_path / "S.png")
    assert main([*words, "--photo"]) == 0
    bare = len(pdf.read_bytes())
    assert _purple(png) > 20
    assert main(words) == 0
    assert _purple(png) == 0
    assert len(pdf.read_bytes()) != bare
    write_layout(file, layout)
    assert main([*words, "--photo"]) == 2
    assert "no hide here has a photo" in capsys.readouterr().err


def _purple(path: Path) -> int:
    """Pixels of the square: no ink is like it."""
    with Image.open(path) as opened:
        pixels = np.asarray(opened.convert("RGB")).astype(int)
    return int((pixels[..., [0, 2]].min(axis=-1) - pixels[..., 1] > 50).sum())


def test_the_page_keeps_the_photo_with_the_hide_and_gives_it_again(tmp_path: Path) -> None:
    stream = BytesIO()
    Image.fromarray(picture().pixels).save(stream, "JPEG")
    with page(tmp_path) as client:
        kept = client.post("/api/photos", content=stream.getvalue(), headers={"X-File-Name": "p.jpg"}).json()
        photo = {"id": kept["id"], "marks": [[50, 50], [350, 50], [350, 250], [50, 250]], "size": [600, 400]}
        told = client.post("/api/hides", json={"hide": SQUARE_HIDE, "file": "Square.json", "photo": photo})
        assert told.status_code == 200
        file = json.loads((tmp_path / "Square.json").read_text())
        assert file["photo"] == {"file": "Square.jpg", "box": [-100, -100, 700, 500]}
        assert client.get("/api/pictures/Square.jpg").content == (tmp_path / "Square.jpg").read_bytes()
        assert client.get("/api/hides/Square.json").json()["photo"] == file["photo"]
        assert client.get("/api/pictures/..%2fSquare.jpg").status_code in (400, 404)
        assert client.post("/api/hides", json={"hide": SQUARE_HIDE, "file": "Square.json"}).status_code == 409
