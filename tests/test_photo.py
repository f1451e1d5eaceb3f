"""Photos are read upright and within limits; everything else is refused in one plain line."""

from __future__ import annotations

import contextlib
import io
import struct
import tracemalloc
import zlib
from pathlib import Path

import numpy as np
import pytest
from camera import as_bytes
from PIL import Image, ImageOps

from hides.errors import InputError
from hides.photo import MOST_BYTES, open_photo


def quarters(width: int = 160, height: int = 96) -> Image.Image:
    """A picture whose four quarters differ: red, green over blue, white."""
    pixels = np.zeros((height, width, 3), np.uint8)
    pixels[: height // 2, : width // 2] = (255, 0, 0)
    pixels[: height // 2, width // 2 :] = (0, 255, 0)
    pixels[height // 2 :, : width // 2] = (0, 0, 255)
    pixels[height // 2 :, width // 2 :] = (255, 255, 255)
    return Image.fromarray(pixels)


UNTURN = {  # how a camera that writes each orientation (Exif 2.32, tag 0x0112) has stored an upright scene
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_every_exif_turn_comes_out_upright(orientation: int, kind: str) -> None:
    scene = quarters()
    turn = UNTURN[orientation]
    stored = scene if turn is None else scene.transpose(turn)
    exif = Image.Exif()
    exif[0x0112] = orientation
    photo = open_photo(as_bytes(stored, kind, exif=exif))
    assert photo.size == scene.size
    assert np.abs(np.asarray(photo.image, int) - np.asarray(scene, int)).mean() < 4
    preview, factor = photo.preview(80)
    small = ImageOps.exif_transpose(Image.open(io.BytesIO(preview)))  # what a browser shows
    assert small.size == (80, 48)
    assert factor == pytest.approx(0.5)
    assert small.getpixel((10, 10))[0] > 200 > 90 > small.getpixel((10, 10))[1]


@pytest.mark.parametrize("mode", ["L", "LA", "RGBA", "P", "CMYK", "1", "I;16"])
def test_every_usual_mode_is_read(mode: str) -> None:
    if mode == "I;16":
        picture = Image.fromarray(np.full((96, 160), 40000, np.uint16))
    else:
        picture = Image.new("RGB", (160, 96), (156, 156, 156)).convert(mode)
    photo = open_photo(as_bytes(picture, "TIFF" if mode == "CMYK" else "PNG"))
    assert photo.image.mode == "RGB"
    if mode != "1":
        assert photo.image.getpixel((80, 48))[1] == pytest.approx(156, abs=3)


def test_a_preview_is_never_enlarged_and_can_be_png() -> None:
    data, factor = open_photo(as_bytes(quarters())).preview(1600, "PNG")
    assert factor == 1
    assert Image.open(io.BytesIO(data)).size == (160, 96)


@pytest.mark.parametrize(("kind", "size"), [("JPEG", (8192, 6144)), ("PNG", (7681, 6500))])
def test_fifty_megapixels_are_worked_on_in_little_memory(kind: str, size: tuple[int, int]) -> None:
    data = as_bytes(Image.new("RGB", size, (120, 90, 60)), kind)
    tracemalloc.start()
    photo = open_photo(data)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert photo.size == size
    assert photo.image.width * photo.image.height <= 16_000_000
    assert photo.scale == pytest.approx((0.5, 0.5), rel=1e-3)
    assert peak < 1e6  # Pillow's own memory is not counted here: this says that no copy is made in Python


def png_claiming(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose header claims a size."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


def animation(kind: str) -> bytes:
    out = io.BytesIO()
    frames = [Image.new("RGB", (100, 100), (shade, 0, 0)) for shade in (0, 100, 200)]
    frames[0].save(out, kind, save_all=True, append_images=frames[1:])
    return out.getvalue()


JPEG = as_bytes(quarters(640, 480))
BAD = {
    "empty": (b"", "empty"),
    "text": (b"not a picture at all, but a text", "not a picture"),
    "pdf": (b"%PDF-1.7\n1 0 obj\n", "not a picture"),
    "heic": (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"),
    "cut short": (JPEG[: len(JPEG) // 2], "cut short"),
    "cut in the header": (JPEG[:40], "cut short|not a picture"),
    "no pixels": (png_claiming(200, 200), "cut short"),
    "zero wide": (png_claiming(0, 200), "too small|not a picture|cut short"),
    "bomb": (png_claiming(60000, 60000), "million are the most"),
    "large": (png_claiming(9000, 9000), "81 million"),
    "larger": (png_claiming(11000, 10000), "million are the most"),
    "small": (png_claiming(20, 20), "too small"),
    "gif": (animation("GIF"), "GIF"),
    "moving png": (animation("PNG"), "several pictures"),
    "moving webp": (animation("WEBP"), "several pictures"),
    "pages": (animation("TIFF"), "several pictures"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_photo_is_refused_in_one_line(name: str, tmp_path: Path) -> None:
    data, words = BAD[name]
    path = tmp_path / "photo.jpg"
    path.write_bytes(data)
    with pytest.raises(InputError, match=words) as caught:
        open_photo(path)
    assert str(caught.value).startswith(str(path))
    assert caught.value.remedy
    with pytest.raises(InputError, match=words):
        open_photo(data, "upload")


def test_a_missing_file_and_a_folder_are_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="No such file"):
        open_photo(tmp_path / "none.jpg")
    with pytest.raises(InputError, match="cannot be read"):
        open_photo(tmp_path)


def test_too_many_bytes_are_refused_unread() -> None:
    with pytest.raises(InputError, match="larger than 80 MB"):
        open_photo(JPEG + bytes(MOST_BYTES))


def test_damage_anywhere_is_a_picture_or_one_line() -> None:
    rng = np.random.default_rng(3)
    for _ in range(60):
        data = bytearray(JPEG if rng.random() < 0.5 else BAD["moving png"][0])
        for place in rng.integers(0, len(data), 12):
            data[place] = rng.integers(0, 256)
        with contextlib.suppress(InputError):  # anything else fails the test
            assert open_photo(bytes(data)).image.mode == "RGB"
