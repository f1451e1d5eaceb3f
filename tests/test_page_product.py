"""The product bench's server side: a text read piece by piece, changed, compared, kept, patterned."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from page_server import page
from starlette.testclient import TestClient

from nesting.page.product_edits import changed_text, typed
from nesting.project.differences import differences

SCENARIO = Path(__file__).parent.parent / "nesting" / "scenario"
HEAD = 'format = "hideplan-project-1"\nname = "Case"\nunits = "mm"\n'
CASE = (
    HEAD
    + """
[lengths]
roll = "60 mm"   # a rolled map

# the body, drawn by half
[[piece]]
name = "body"
fold = "y"
shape = { rectangle = [60, 200] }
rows = [{ edge = "right", inset = 4, pitch = 5, diameter = 1, group = "side" }]

[[piece]]
name = "loop"
shape = { rectangle = [20, "pi * (roll + t) + 20"] }
holes = [{ at = [10, 10], diameter = 4, group = "end" }]
"""
)


def read(client: TestClient, text: str, **asked: Any) -> dict[str, Any]:
    """What the bench shows of a text."""
    answer = client.post("/api/products/read", json={"text": text, **asked})
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


@pytest.fixture
def client(tmp_path: Path) -> Any:
    with page(tmp_path) as made:
        yield made


def test_a_text_is_told_piece_by_piece(client: TestClient) -> None:
    """A half of 60 mm folded open is 120 mm wide; a loop round 60 mm in 4 mm leather is 64π + 20 mm long."""
    told = read(client, CASE, t=4.0)
    body, loop = told["pieces"]
    assert told["problem"] is None
    assert body["made"][0]["size"] == [120, 200]
    assert loop["made"][0]["size"] == [20, pytest.approx(64 * 3.14159265 + 20, abs=0.01)]
    assert {edge["name"] for edge in body["edges"]} == {"bottom", "right", "top", "right mirrored"}
    assert body["handles"][2]["fields"] == ["shape.rectangle[0]", "shape.rectangle[1]"]


def test_loops_follow_the_thickness(client: TestClient) -> None:
    lengths = [read(client, CASE, t=t)["pieces"][1]["made"][0]["size"][1] for t in (2.0, 4.0)]
    assert lengths[1] - lengths[0] == pytest.approx(2 * 3.14159265, abs=0.01)


FAULTS = [
    ("pitch = 5", "pitch = 500", 0, "rows[0].pitch"),
    ('fold = "y"', 'fold = "sideways"', 0, "fold"),
    ("at = [10, 10]", "at = [10, 900]", 1, "holes[0].at"),
    ("roll + t", "rol + t", 1, "shape.rectangle"),
    ('group = "end"', 'grp = "end"', 1, "holes[0].grp"),
]


@pytest.mark.parametrize(("old", "new", "piece", "field"), FAULTS)
def test_a_slip_is_told_at_its_piece_and_field_and_the_others_are_shown(
    client: TestClient, old: str, new: str, piece: int, field: str
) -> None:
    told = read(client, CASE.replace(old, new), t=4.0)
    for problem in (told["problem"], told["pieces"][piece]["problem"]):
        assert problem["piece"] == piece
        assert problem["field"].startswith(field.removesuffix(".grp"))
        assert problem["problem"]
        assert problem["remedy"]
        assert "\n" not in problem["line"]
    other = told["pieces"][1 - piece]
    assert other["problem"] is None
    assert other["made"]


def test_a_text_that_cannot_be_read_says_where(client: TestClient) -> None:
    told = read(client, HEAD + "[[piece]\n")
    assert told["unreadable"]
    assert "line 4" in told["problem"]["line"]


def test_no_piece_yet_is_no_fault(client: TestClient) -> None:
    assert read(client, HEAD)["problem"] is None


def test_a_joint_whose_holes_disagree_is_told_at_the_holes(client: TestClient) -> None:
    text = CASE + (
        '\n[[piece]]\nname = "tab"\nshape = { rectangle = [20, 60] }\n'
        'holes = [{ at = [10, 10], diameter = 4, group = "two" }, { at = [10, 42], diameter = 4, group = "two" }]\n'
        '\n[[piece]]\nname = "plate"\nshape = { rectangle = [20, 60] }\n'
        'holes = [{ at = [10, 10], diameter = 4, group = "two" }, { at = [10, 40], diameter = 4, group = "two" }]\n'
        '\n[[joint]]\nname = "head"\nlayers = [{ piece = "tab", holes = "two" }, { piece = "plate", holes = "two" }]\n'
    )
    told = read(client, text, t=4.0)
    assert {each["piece"] for each in told["off"]} == {"tab", "plate"}
    assert max(each["off"] for each in told["off"]) == pytest.approx(2.0, abs=1e-3)
    assert told["joints"][0]["stack"] == 8.0
    assert told["joints"][0]["fault"]


def change(client: TestClient, text: str, *edits: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """The text after changes, and what it says."""
    answer = client.post("/api/products/change", json={"text": text, "edits": list(edits), "t": 4.0})
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told["text"], told["told"]


def test_a_typed_size_lands_in_the_text_and_comments_stay(client: TestClient) -> None:
    path = ["piece", 0, "shape", "rectangle", 0]
    text, told = change(client, CASE, {"op": "put", "path": path, "value": "75.50", "typed": True})
    assert told["pieces"][0]["made"][0]["size"][0] == 151
    assert text == CASE.replace("[60, 200]", "[75.5, 200]")


def test_a_piece_is_renamed_wherever_it_is_named() -> None:
    text = (SCENARIO / "satchel.toml").read_text()
    made = changed_text(text, [{"op": "rename", "path": ["piece", 2], "value": "side band"}])
    assert '"gusset"' not in re.sub(r'(name|holes|group) = "gusset"', "", made.replace("as seam", ""))
    old, new = tomllib.loads(text), tomllib.loads(made)
    assert [each["name"] for each in new["piece"]].count("side band") == 1
    assert sum(side["piece"] == "side band" for seam in new["seam"] for side in seam["edges"]) == sum(
        side["piece"] == "gusset" for seam in old["seam"] for side in seam["edges"]
    )


@pytest.mark.parametrize(
    ("text", "units", "value"),
    [
        ("12", "mm", 12),
        ("12.5", "in", 12.5),
        ("3/8", "in", "3/8 in"),
        ("5 1/2", "mm", "5 1/2 mm"),
        ("2 * t", "mm", "2 * t"),
        ("5½ in", "mm", "5½ in"),
    ],
)
def test_what_is_typed_is_written_as_the_file_would(text: str, units: str, value: object) -> None:
    assert typed(text, units) == value


@pytest.mark.parametrize(
    "edits",
    [[], "all", [{"op": "put", "path": [], "value": 1}], [{"op": "burn", "path": ["name"]}], [{"path": [0]}], [7]],
)
def test_changes_that_are_none_are_refused(client: TestClient, edits: Any) -> None:
    answer = client.post("/api/products/change", json={"text": CASE, "edits": edits})
    assert answer.status_code == 400
    assert answer.json()["problem"]


def test_a_product_is_made_from_nothing_kept_and_patterned(client: TestClient, tmp_path: Path) -> None:
    begun = client.post("/api/products", json={"units": "in"}).json()
    piece = {"name": "tag", "shape": {"rectangle": ["2 1/2 in", 4]}}
    text, told = change(client, begun["content"]["text"], {"op": "add", "path": ["piece"], "value": piece})
    assert told["pieces"][0]["made"][0]["size"] == [63.5, 101.6]
    content = {**begun["content"], "text": text}
    kept = client.put(f"/api/products/{begun['id']}", json={"revision": begun["revision"], "content": content})
    assert kept.json()["revision"] == 2
    assert client.put(f"/api/products/{begun['id']}", json={"revision": 1, "content": content}).status_code == 409
    answer = client.post("/api/products/keep", json={"text": text, "file": "tag.toml"})
    assert (answer.status_code, (tmp_path / "tag.toml").read_text()) == (201, text)
    assert client.post("/api/products/keep", json={"text": text, "file": "tag.toml"}).status_code == 409
    assert client.get("/api/products").json()["files"] == ["tag.toml"]
    pattern = client.get(f"/api/products/{begun['id']}/pattern.pdf")
    assert pattern.content.startswith(b"%PDF")
    letter = client.get(f"/api/products/{begun['id']}/pattern.pdf?paper=Letter&units=mm&t=2mm")  # 8 1/2 by 11 in
    sizes = [re.findall(rb"/MediaBox \[ 0 0 (\S+) (\S+) \]", each.content)[0] for each in (pattern, letter)]
    assert [tuple(round(float(side)) for side in size) for size in sizes] == [(595, 842), (612, 792)]
    assert client.delete(f"/api/products/{begun['id']}").status_code == 204
    assert client.get(f"/api/products/{begun['id']}").status_code == 404


def test_a_text_with_a_fault_is_not_kept_as_a_file(client: TestClient, tmp_path: Path) -> None:
    text = CASE.replace("pitch = 5", "pitch = 500")
    answer = client.post("/api/products/keep", json={"text": text, "file": "case.toml"})
    assert answer.status_code == 422
    assert "body" in answer.json()["problem"]
    assert not (tmp_path / "case.toml").exists()


def test_a_file_that_was_written_by_hand_comes_back_byte_for_byte(client: TestClient, tmp_path: Path) -> None:
    written = CASE.replace("\n", "\r\n").encode()
    (tmp_path / "case.toml").write_bytes(written)
    begun = client.post("/api/products", json={"file": "case.toml"}).json()
    text = begun["content"]["text"]
    client.post("/api/products/keep", json={"text": text, "file": "case.toml", "replace": True})
    assert (tmp_path / "case.toml").read_bytes() == written


def test_two_versions_are_compared_field_by_field(client: TestClient) -> None:
    now, _ = change(client, CASE, {"op": "put", "path": ["piece", 0, "shape", "rectangle", 1], "value": 210})
    answer = client.post("/api/products/compare", json={"text": now, "before": CASE}).json()
    assert answer["differences"] == [
        {"place": "piece “body”", "field": "shape.rectangle[1]", "before": "200", "after": "210"}
    ]
    assert answer["before"]["pieces"][0]["made"][0]["size"] == [120, 200]


def test_pieces_that_come_and_go_are_differences() -> None:
    one, other = {"piece": [{"name": "a"}, {"name": "b"}]}, {"piece": [{"name": "b"}, {"name": "c"}]}
    assert [(each.place, each.before is None) for each in differences(one, other)] == [
        ("piece “a”", False),
        ("piece “c”", True),
    ]


def test_drawings_outside_the_folder_stay_out_of_reach(client: TestClient) -> None:
    text = HEAD + '[[piece]]\nname = "a"\nshape = { drawing = "../x.dxf" }\n'
    answer = client.post("/api/products/read", json={"text": text})
    assert answer.status_code == 422
    assert "folder" in answer.json()["problem"]


def test_a_drawing_becomes_a_piece(client: TestClient, tmp_path: Path) -> None:
    head = b'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="60mm" viewBox="0 0 40 60">'
    svg = head + b'<path d="M0 0H40V60H0Z"/></svg>'
    headers = {"X-File-Name": "flap.svg"}
    assert client.post("/api/products/drawings", content=svg, headers=headers).json() == {"file": "flap.svg"}
    told = read(client, HEAD + '[[piece]]\nname = "flap"\nshape = { drawing = "flap.svg" }\n')
    assert told["pieces"][0]["made"][0]["size"] == [pytest.approx(40, abs=0.02), pytest.approx(60, abs=0.02)]
    slip = read(client, HEAD + '[[piece]]\nname = "flap"\nshape = { drawing = "line.svg" }\n')
    assert "line.svg" in slip["problem"]["line"]
    line = head + b'<path d="M0 0H40V60H0Z"/><path id="cut-here" d="M0 30H40"/></svg>'
    assert client.post("/api/products/drawings", content=line, headers={"X-File-Name": "line.svg"}).status_code == 201
    told = read(client, HEAD + '[[piece]]\nname = "flap"\nshape = { drawing = "line.svg" }\n')
    assert [each.split(";")[0] for each in told["findings"]] == ["line.svg, “cut-here”: a line is passed over"]
    other = client.post("/api/products/drawings", content=b"<svg/>", headers={"X-File-Name": "none.svg"})
    assert other.status_code == 422
    assert not (tmp_path / "none.svg").exists()


def test_a_drawing_of_several_pieces_names_them(client: TestClient, tmp_path: Path) -> None:
    """Blocks that are laid out side by side, and one that is no piece; groups of an SVG."""
    document = ezdxf.new("R2010", units=4)
    for name, width in (("FLAP", 40), ("TAB", 20)):
        document.blocks.new(name).add_lwpolyline([(0, 0), (width, 0), (width, 60), (0, 60)], close=True)
        document.modelspace().add_blockref(name, (width * 5, 0))
    document.blocks.new("ARROW").add_line((0, 0), (9, 9))
    document.saveas(tmp_path / "set.dxf")
    content = (tmp_path / "set.dxf").read_bytes()
    (tmp_path / "set.dxf").unlink()
    answer = client.post("/api/products/drawings", content=content, headers={"X-File-Name": "set.dxf"})
    assert answer.json() == {"file": "set.dxf", "parts": ["FLAP", "TAB"]}
    head = b'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60"><g id="all">'
    svg = head + b'<g id="flap"><path d="M0 0H40V60H0Z"/></g><path id="tab" d="M50 0H70V60H50Z"/></g></svg>'
    answer = client.post("/api/products/drawings", content=svg, headers={"X-File-Name": "set.svg"})
    assert answer.json() == {"file": "set.svg", "parts": ["flap", "tab"]}


@pytest.mark.parametrize("path", sorted(SCENARIO.glob("*.toml")), ids=lambda path: path.stem)
def test_every_project_of_the_workshop_is_shown_without_fault(client: TestClient, path: Path) -> None:
    text = path.read_text()
    if "hideplan-project" not in text:
        return
    told = read(client, text, t=3.0)
    assert told["problem"] is None
    assert all(piece["made"] and piece["problem"] is None for piece in told["pieces"])
