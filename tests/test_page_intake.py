"""What the page will not take in: too large, nested too deep, of the wrong kind, or named to reach elsewhere."""

from __future__ import annotations

import io
import json
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from page_server import FORM, SQUARE_HIDE, page
from PIL import Image

from nesting.page.errors import Refusal
from nesting.page.intake import FILE_BYTES, JSON_BYTES, MEGABYTE, plain_name

PATH_TRICKS = [
    "../x.json", "..\\x.json", "/etc/x.json", "a/b.json", "a\\b.json", ".hidden.json", "x\0.json", "x\n/../y.json",
    "con.json", "..", "", " ", "a" * 200 + ".json", "C:x.json", "~root.json", "%2e%2e%2fx.json", "x.json/", "nul",
]  # fmt: skip


@pytest.mark.parametrize("name", PATH_TRICKS)
def test_a_name_that_could_mean_another_place_is_no_name(name: str) -> None:
    with pytest.raises(Refusal):
        plain_name(name, ".json")


@pytest.mark.parametrize("name", PATH_TRICKS)
def test_nothing_is_written_outside_the_folder(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "inner"
    folder.mkdir()
    with page(folder) as client:
        answer = client.post("/api/hides", json={"hide": SQUARE_HIDE, "file": name})
        assert answer.status_code in (400, 415)
        assert "\n" not in answer.json()["problem"]
    assert [path.name for path in tmp_path.iterdir()] == ["inner"]
    assert [path.name for path in folder.iterdir() if path.name != ".hideplan"] == []


@pytest.mark.parametrize("name", ["Ümläut side.json", "S-07 (2).json", "a.b.json", "côté gauche.json"])
def test_a_plain_name_in_any_script_is_a_name(name: str) -> None:
    assert plain_name(name, ".json") == name


OUTSIDE = [
    "/api/hides/..%2f..%2fetc%2fpasswd",
    "/api/drafts/../../x",
    "/static/../door.py",
    "/static/..%2fdoor.py",
    "/api/photos/%2e%2e/preview.jpg",
    "/api/runs/..%2f../layout.json",
]


@pytest.mark.parametrize("path", OUTSIDE)
def test_nothing_is_read_outside_the_folder(tmp_path: Path, path: str) -> None:
    with page(tmp_path) as client:
        assert client.get(path).status_code in (400, 404, 405)


def test_a_body_that_lies_about_its_size_is_cut_off(tmp_path: Path) -> None:
    def unsized() -> Iterator[bytes]:
        for _ in range(JSON_BYTES // MEGABYTE + 2):
            yield b"x" * MEGABYTE

    with page(tmp_path) as client:
        assert client.post("/api/drafts", content=unsized()).status_code == 413


def test_a_body_that_says_it_is_too_large_is_not_read(tmp_path: Path) -> None:
    with page(tmp_path) as client:
        answer = client.post("/api/drafts", content=b"{}", headers={"Content-Length": str(JSON_BYTES + 1)})
        assert answer.status_code == 413
        assert "8 MB" in answer.json()["problem"]


BAD_JSON = {
    "cut short": b'{"hide": {',
    "not an object": b"[1, 2]",
    "not a number": b'{"a": NaN}',
    "infinite": b'{"a": -Infinity}',
    "nested": b'{"a":' + b"[" * 5000 + b"]" * 5000 + b"}",
    "nested beyond the reader": b"[" * 200_000,
    "endless digits": b'{"a": ' + b"9" * 6000 + b"}",
    "no text": b"\xff\xfe\x00",
    "nothing": b"",
}


@pytest.mark.parametrize("body", BAD_JSON.values(), ids=BAD_JSON.keys())
def test_json_that_cannot_be_used_is_refused_in_one_line(tmp_path: Path, body: bytes) -> None:
    with page(tmp_path) as client:
        answer = client.post("/api/drafts", content=body)
        assert answer.status_code == 400
        assert len(answer.json()["problem"]) < 200


def _png(width: int, height: int) -> bytes:
    """A PNG whose head promises a size, with hardly any data behind it: a picture bomb."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    data = zlib.compress(b"\0" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def _jpeg(size: tuple[int, int] = (200, 150)) -> bytes:
    stream = io.BytesIO()
    Image.new("RGB", size, "#886644").save(stream, "JPEG")
    return stream.getvalue()


BAD_PHOTOS = {
    "bomb": ("a.png", _png(30_000, 30_000)),
    "larger bomb": ("a.png", _png(2_000_000, 2_000_000)),
    "text": ("a.jpg", b"this is no picture" * 20),
    "empty": ("a.jpg", b""),
    "cut short": ("a.jpg", _jpeg()[:400]),
    "tiny": ("a.jpg", _jpeg((3, 3))),
    "a drawing": ("a.jpg", b"<svg xmlns='http://www.w3.org/2000/svg' onload='x()'/>"),
}


@pytest.mark.parametrize(("name", "content"), BAD_PHOTOS.values(), ids=BAD_PHOTOS.keys())
def test_what_is_no_photo_is_refused_and_not_kept(tmp_path: Path, name: str, content: bytes) -> None:
    with page(tmp_path) as client:
        answer = client.post("/api/photos", content=content, headers={"X-File-Name": name})
        assert answer.status_code in (413, 415, 422)
        assert len(answer.json()["problem"]) < 200
    assert not list(tmp_path.glob(".hideplan/photos/*"))


@pytest.mark.parametrize("path", ["/api/photos", "/api/read/hide", "/api/read/drawing", "/api/projects"])
def test_a_file_of_another_kind_is_refused_by_its_name(tmp_path: Path, path: str) -> None:
    with page(tmp_path) as client:
        answer = client.post(path, content=b"x", headers={"X-File-Name": "run.exe"})
        assert answer.status_code == 415
        assert "run.exe" in answer.json()["problem"]


def test_a_project_cannot_reach_for_drawings_outside_the_folder(tmp_path: Path) -> None:
    text = 'format = "hideplan-project-1"\nname = "x"\n[[piece]]\nname = "a"\nshape = {{ drawing = "{}" }}\n'
    with page(tmp_path) as client:
        for drawing in ("../secret.dxf", "/etc/passwd.svg", "sub/x.svg"):
            content = text.format(drawing).encode()
            answer = client.post("/api/projects", content=content, headers={"X-File-Name": "x.toml"})
            assert answer.status_code == 422
            assert "right in the folder" in answer.json()["problem"]
    assert [path.name for path in tmp_path.iterdir()] == []


def test_a_project_too_large_is_refused(tmp_path: Path) -> None:
    with page(tmp_path) as client:
        content = b"#" * (FILE_BYTES + 1)
        assert client.post("/api/projects", content=content, headers={"X-File-Name": "x.toml"}).status_code == 413


BAD_FORMS = [
    {"name": "", "pieces": FORM["pieces"]},
    {"name": "x", "pieces": []},
    {"name": "x", "pieces": [{**FORM["pieces"][0], "count": "0"}]},
    {"name": "x", "pieces": [{**FORM["pieces"][0], "count": "1e9"}]},
    {"name": "x", "pieces": [{**FORM["pieces"][0], "width": "-5 mm"}]},
    {"name": "x", "pieces": [{**FORM["pieces"][0], "width": "five"}]},
    {"name": "x", "pieces": [{**FORM["pieces"][0], "along": "up"}]},
    {"name": "x", "pieces": "all"},
    {"name": "x", "pieces": [None]},
]


@pytest.mark.parametrize("form", BAD_FORMS, ids=lambda form: json.dumps(form)[:50])
def test_a_form_that_makes_no_product_is_refused(tmp_path: Path, form: dict[str, object]) -> None:
    with page(tmp_path) as client:
        answer = client.post("/api/projects/form", json=form)
        assert answer.status_code in (400, 422)
        assert "\n" not in answer.json()["problem"]
    assert not list(tmp_path.glob("*.toml"))


def test_quotes_and_new_lines_in_a_name_stay_a_name(tmp_path: Path) -> None:
    """They must not become more of the project file than its name."""
    name = 'a"\n[[piece]]\ncount = 7 #'
    with page(tmp_path) as client:
        form = {"name": "x", "pieces": [{**FORM["pieces"][0], "name": name}]}
        assert client.post("/api/projects/form", json=form).status_code == 201
        assert [piece["name"] for piece in client.get("/api/projects/x.toml").json()["pieces"]] == [
            'a" [[piece]] count = 7 #'
        ]


def test_names_from_outside_are_shown_as_text_never_as_markup() -> None:
    """The page's scripts set text, not markup; no file of ours uses a way to make markup from text."""
    static = Path(__file__).parent.parent / "nesting" / "page" / "static"
    for script in static.rglob("*.js"):
        text = script.read_text()
        for way in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function"):
            assert way not in text, f"{script.name} uses {way}"


def test_no_file_of_the_page_names_an_outside_address() -> None:
    static = Path(__file__).parent.parent / "nesting" / "page" / "static"
    for file in (each for each in static.rglob("*") if each.is_file()):
        text = file.read_text().replace("http://www.w3.org/2000/svg", "")
        assert "http:" not in text, file.name
        assert "https:" not in text, file.name
        assert "//cdn" not in text, file.name


def test_a_file_name_travels_percent_encoded(tmp_path: Path) -> None:
    with page(tmp_path) as client:
        headers = {"X-File-Name": quote("Ümläut.json")}
        content = json.dumps({"format": "hideplan-hide-1", **SQUARE_HIDE, "flaws": []}).encode()
        assert client.post("/api/read/hide", content=content, headers=headers).status_code == 200
