"""Planning on the page: the same layout as the command line's for the same input, seed and effort."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from page_server import FORM, SQUARE_HIDE, finished, page
from starlette.testclient import TestClient

from nesting.commands import main
from nesting.page.projects import form_text

SETTINGS = {"gap": "1 mm", "edge": "", "effort": "quick", "seed": "7"}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with page(tmp_path_factory.mktemp("folder")) as made:
        yield made


def _folder(client: TestClient) -> Path:
    return Path(client.get("/api/folder").json()["folder"])


@pytest.fixture(scope="module")
def answer(client: TestClient) -> dict[str, Any]:
    run = client.post("/api/runs", json={"hide": SQUARE_HIDE, "form": FORM, "settings": SETTINGS}).json()
    return finished(client, run["id"])


def test_the_page_lays_out_what_the_command_line_lays_out(client: TestClient, answer: dict[str, Any]) -> None:
    """Byte for byte: hide saved on the page, project made of the same form, same seed, effort and gap."""
    folder = _folder(client)
    client.post("/api/hides", json={"hide": SQUARE_HIDE, "file": "Square.json"})
    (folder / "tag.toml").write_bytes(form_text(FORM))
    out = folder / "by-command.json"
    words = ["yield", str(folder / "Square.json"), str(folder / "tag.toml"), "--out", str(out)]
    assert main([*words, "--gap", "1 mm", "--effort", "quick", "--seed", "7"]) == 0
    assert client.get(f"/api/runs/{answer['id']}/layout.json").content == out.read_bytes()


def test_the_answer_names_products_bound_yield_and_where_the_leather_goes(answer: dict[str, Any]) -> None:
    told = answer["answer"]
    (product,) = told["products"]
    assert 0 < product["complete"] <= product["at_most"]
    areas = told["areas"]
    assert areas["hide"] == pytest.approx(240_000)
    parts = ("pieces", "edge", "flaws", "offcuts", "scrap")
    assert sum(areas[name] for name in parts) == pytest.approx(areas["hide"], abs=0.1)
    assert told["yield"]["hide"] == pytest.approx(areas["pieces"] / areas["hide"])
    assert answer["pieces"][0]["placed"] == 2 * product["complete"]


FILES = {
    "sheet.pdf": b"%PDF",
    "sheet.pdf?paper=Letter&units=in&fraction=32": b"%PDF",
    "tiles.pdf": b"%PDF",
    "patterns.pdf?paper=A3": b"%PDF",
    "cards.pdf": b"%PDF",
    "cut.dxf?tool=laser&kerf=0.2 mm": b"  0",
    "cut.svg": b"<",
    "cut.plt": b"",
    "cut.dxf?tool=press": b"PK",
    "drawing.svg": b"<",
    "drawing.dxf": b"  0",
    "pieces.csv": b"",
    "layout.json": b"{",
}


@pytest.mark.parametrize(("kind", "start"), FILES.items())
def test_each_file_can_be_kept(client: TestClient, answer: dict[str, Any], kind: str, start: bytes) -> None:
    got = client.get(f"/api/runs/{answer['id']}/{kind}")
    assert got.status_code == 200
    assert got.content.startswith(start)
    assert "attachment" in got.headers["content-disposition"]


def test_a_machine_s_file_is_the_command_line_s(client: TestClient, answer: dict[str, Any]) -> None:
    layout = _folder(client) / "for-machine.json"
    layout.write_bytes(client.get(f"/api/runs/{answer['id']}/layout.json").content)
    out = layout.with_suffix(".dxf")
    assert main(["sheet", str(layout), "--machine", str(out), "--tool", "laser", "--kerf", "0.2 mm"]) == 0
    assert client.get(f"/api/runs/{answer['id']}/cut.dxf?tool=laser&kerf=0.2 mm").content == out.read_bytes()


@pytest.mark.parametrize(
    ("kind", "word"),
    [("cut.dxf?kerf=wide", "kerf"), ("cut.dxf?tool=axe", "tool"), ("sheet.pdf?paper=B9", "paper"), ("x.pdf", "x.pdf")],
)
def test_a_choice_that_is_none_is_refused(client: TestClient, answer: dict[str, Any], kind: str, word: str) -> None:
    got = client.get(f"/api/runs/{answer['id']}/{kind}")
    assert got.status_code in (404, 422)
    assert word in got.json()["problem"]


def test_an_answer_outlives_the_server(client: TestClient, answer: dict[str, Any]) -> None:
    with page(_folder(client)) as later:
        assert later.get(f"/api/runs/{answer['id']}").json() == answer


def test_progress_comes_as_events_and_ends(client: TestClient) -> None:
    run = client.post("/api/runs", json={"hide": SQUARE_HIDE, "form": FORM, "settings": SETTINGS}).json()
    with client.stream("GET", f"/api/runs/{run['id']}/events") as events:
        assert events.headers["content-type"].startswith("text/event-stream")
        states = [json.loads(line[6:]) for line in events.iter_lines() if line.startswith("data: ")]
    assert states[-1]["state"] == "done"
    assert all(0 <= state["fraction"] <= 1 for state in states)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"settings": {"gap": "wide"}}, "gap"),
        ({"settings": {"gap": "-1"}}, "gap"),
        ({"settings": {"effort": "endless"}}, "effort"),
        ({"settings": {"seed": "x"}}, "seed"),
        ({"hide": {**SQUARE_HIDE, "outline": []}}, "outline"),
        ({"hide": {**SQUARE_HIDE, "tanner": "red"}}, "tanner"),
        ({"hide": "none"}, "hide"),
        ({"form": {"name": "x", "pieces": []}}, "piece"),
    ],
)
def test_what_cannot_be_planned_is_refused_in_one_line(client: TestClient, change: dict[str, Any], word: str) -> None:
    got = client.post("/api/runs", json={"hide": SQUARE_HIDE, "form": FORM, "settings": SETTINGS, **change})
    assert got.status_code in (400, 422)
    assert word in got.json()["problem"]


def test_a_project_that_is_not_in_the_folder_is_said_to_be_missing(client: TestClient) -> None:
    got = client.post("/api/runs", json={"hide": SQUARE_HIDE, "project": "gone.toml", "settings": {}})
    assert got.status_code == 404
    assert "gone.toml" in got.json()["problem"]


def test_a_form_kept_as_a_project_lists_the_same_pieces(client: TestClient) -> None:
    form = {**FORM, "name": "Key tag"}
    assert client.post("/api/projects/form", json=form).json() == {"file": "key-tag.toml"}
    told = client.get("/api/projects/key-tag.toml").json()
    assert told["name"] == "Key tag"
    assert told["pieces"] == [{"name": "front", "count": 2, "box": [100.0, 150.0], "along": "along the backbone"}]


def test_the_page_cuts_straight_as_the_command_line_does(client: TestClient) -> None:
    """Byte for byte, strips and all."""
    folder = _folder(client)
    client.post("/api/hides", json={"hide": SQUARE_HIDE, "file": "Square.json"})
    (folder / "tag.toml").write_bytes(form_text(FORM))
    asked = {
        "hide": SQUARE_HIDE,
        "form": FORM,
        "settings": SETTINGS | {"straight": True, "kerf": "1 mm", "cutter_most": "200"},
    }
    told = finished(client, client.post("/api/runs", json=asked).json()["id"])
    assert told["answer"]["straight"][0]["strips"] > 0
    out = folder / "straight.json"
    words = ["yield", str(folder / "Square.json"), str(folder / "tag.toml"), "--out", str(out), "--straight"]
    words += ["--kerf", "1 mm", "--cutter", "0", "200"]
    assert main([*words, "--gap", "1 mm", "--effort", "quick", "--seed", "7"]) == 0
    assert client.get(f"/api/runs/{told['id']}/layout.json").content == out.read_bytes()


def test_what_is_cut_is_kept_and_the_hide_is_marked_cut(client: TestClient, answer: dict[str, Any]) -> None:
    """Ticks are kept; marked cut, the hide leaves the shelf, its offcuts come onto it, and undo takes it back."""
    at = f"/api/runs/{answer['id']}"
    assert client.get(f"{at}/cutting").json() == {"cut": [], "in_register": False, "marked": False}
    assert client.put(f"{at}/cutting", json={"cut": [1, 0]}).status_code == 204
    assert client.put(f"{at}/cutting", json={"cut": [0, 0]}).status_code == 400
    assert client.put(f"{at}/cutting", json={"cut": [99]}).status_code == 400
    assert client.post(f"{at}/cut", json={}).status_code == 409, "there is no register yet"
    told = client.post(f"{at}/cut", json={"add": True}).json()
    assert told == {"offcuts": len(answer["layout"]["hides"][0]["offcuts"])}
    assert client.get(f"{at}/cutting").json() == {"cut": [1, 0], "in_register": True, "marked": True}
    assert client.post(f"{at}/cut", json={}).status_code == 409, "nothing is cut twice"
    shelf = client.get("/api/stock").json()["hides"]
    assert [each["status"] for each in shelf if each["name"] == "Square"] == ["cut"]
    client.post("/api/stock/undo", json={})
    assert not client.get(f"{at}/cutting").json()["marked"]
