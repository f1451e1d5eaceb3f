"""An outline mended through the page's server: strokes come in bounded, the outline goes out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from browser import CORNERS, SIZE, hide_ring, synthetic_photo
from page_server import page
from shapely.geometry import Polygon
from starlette.testclient import TestClient

FLOOR: dict[str, Any] = {"marks": [list(corner) for corner in CORNERS], "size": list(SIZE)}


@pytest.fixture(scope="module")
def photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("photo") / "side.jpg"
    synthetic_photo(path)
    return path


@pytest.fixture
def brought(tmp_path: Path, photo: Path) -> Any:
    with page(tmp_path) as client:
        answer = client.post("/api/photos", content=photo.read_bytes(), headers={"X-File-Name": "side.jpg"})
        yield client, f"/api/photos/{answer.json()['id']}"


def test_a_stroke_brings_back_what_the_outline_left_out(brought: tuple[TestClient, str]) -> None:
    client, address = brought
    true = Polygon(hide_ring())
    half = true.intersection(Polygon([(0, 0), (1900, 0), (1900, 1500), (0, 1500)]))
    stroke = {"leather": True, "radius": 20, "line": [[1850, 600], [2000, 750], [1850, 900]]}
    answer = client.post(
        f"{address}/strokes", json=FLOOR | {"outline": list(half.exterior.coords), "strokes": [stroke]}
    )
    assert answer.status_code == 200
    mended = Polygon(answer.json()["outline"])
    assert mended.symmetric_difference(true).area < 0.01 * true.area < half.symmetric_difference(true).area
    assert answer.json()["holes"] == []


def test_saving_a_hide_leaves_a_picture_in_the_folder_that_is_not_its_own(
    brought: tuple[TestClient, str], tmp_path: Path
) -> None:
    """The photo as it was taken lies in the folder under the name that the hide's own picture would have."""
    client, address = brought
    taken = tmp_path / "side.jpg"
    taken.write_bytes(b"as it was taken")
    hide = {"name": "side", "cut": "side", "units": "mm", "outline": hide_ring()}
    body = {"hide": hide, "file": "side.json", "photo": FLOOR | {"id": address.split("/")[-1]}}
    for replaces in (False, True):
        answer = client.post("/api/hides", json=body | {"replace": replaces})
        assert answer.is_success, answer.text
        assert taken.read_bytes() == b"as it was taken"
        assert json.loads((tmp_path / "side.json").read_bytes())["photo"]["file"] == "side flat.jpg"
    assert sorted(path.name for path in tmp_path.glob("*.jpg")) == ["side flat.jpg", "side.jpg"]


GOOD = {"leather": True, "radius": 20, "line": [[1, 1]]}


@pytest.mark.parametrize(
    ("strokes", "status"),
    [
        (None, 400), ([], 400), ("x", 400), ([{}], 400), ([GOOD | {"line": "ab"}], 400), ([GOOD | {"line": []}], 422),
        ([GOOD | {"radius": 1e9}], 422), ([GOOD | {"radius": "wide"}], 400), ([GOOD | {"leather": "yes"}], 422),
        ([GOOD | {"line": [[1e300, 0]]}], 422), ([GOOD], 422),
    ],
)  # fmt: skip
def test_a_stroke_that_is_none_is_told_in_a_line(brought: tuple[TestClient, str], strokes: Any, status: int) -> None:
    client, address = brought
    answer = client.post(f"{address}/strokes", json=FLOOR | {"outline": hide_ring(), "strokes": strokes})
    assert answer.status_code == status
    assert "\n" not in answer.json()["problem"]


def test_a_stretch_its_doubts_and_marks_are_told(brought: tuple[TestClient, str]) -> None:
    client, address = brought
    true = Polygon(hide_ring(400))
    cut = [point for i, point in enumerate(hide_ring(400)) if not 10 < i < 30]
    ends = [hide_ring(400)[10], hide_ring(400)[30]]
    sent = FLOOR | {"outline": cut, "ends": ends, "within": 8}
    told = client.post(f"{address}/stretch", json=sent).json()
    assert Polygon(told["outline"]).symmetric_difference(true).area < 0.01 * true.area
    spiked = true.union(Polygon([(2000, 740), (2330, 740), (2330, 762), (2000, 762)]))
    found = client.post(f"{address}/doubts", json=FLOOR | {"outline": list(spiked.exterior.coords)}).json()
    assert "spike" in [doubt["why"] for doubt in found["doubts"]]
    assert found["left"] <= 0.5
    assert client.post(f"{address}/spots", json=FLOOR | {"outline": hide_ring()}).json() == {"spots": []}


@pytest.mark.parametrize(
    ("way", "more", "status"),
    [
        ("stretch", {}, 400), ("stretch", {"ends": [[1, 1]]}, 422), ("stretch", {"ends": [[1, 1], [2, "x"]]}, 400),
        ("stretch", {"ends": [[600, 600], [900, 600]], "within": "wide"}, 400), ("spots", {"outline": []}, 422),
        ("stretch", {"ends": [[9e5, 0], [8e5, 0]]}, 422), ("doubts", {"outline": "round"}, 400),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_told_in_a_line(
    brought: tuple[TestClient, str], way: str, more: dict[str, Any], status: int
) -> None:
    client, address = brought
    answer = client.post(f"{address}/{way}", json=FLOOR | {"outline": hide_ring()} | more)
    assert answer.status_code == status
    assert "\n" not in answer.json()["problem"]
