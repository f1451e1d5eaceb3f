"""The shelf, orders and comparisons on the page: the engines' own answers, and nothing outside the folder."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from bars import bar, bar_limits, cut_bar, strip
from page_server import FORM, SQUARE_HIDE, finished, page
from starlette.testclient import TestClient

from hides.errors import InputError
from hides.hide_file import write_hide
from hides.stock import hides_from, open_stock
from nesting.batch.make_plan import Tools, make_plan
from nesting.batch.order import Order, OrderLine
from nesting.batch.plan_file import plan_to_data
from nesting.commands import main
from nesting.compare.leathers_file import read_leathers
from nesting.model.settings import Settings, Watch
from nesting.page.bench_hide import hide_of
from nesting.page.comparing import answer, read_question
from nesting.page.errors import Refusal
from nesting.page.example import lay_out_example
from nesting.page.folder import Folder
from nesting.page.leathers_form import form_of, keep_form
from nesting.page.ordering import commit_plan, keep_plan, order_text, plan_batch, read_batch
from nesting.page.projects import form_text

ORDER: dict[str, Any] = {
    "name": "Two tags",
    "lines": [{"project": "tag.toml", "quantity": "3", "spares": "0", "due": "2027-03-31", "one_hide": True}],
    "effort": "quick",
    "seed": "1",
    "gap": "0",
}
LEATHERS = """format = "hideplan-leathers-1"
[[leather]]
name = "light"
thickness = "4-5 oz"
price = { per_area = 8, unit = "sq ft", currency = "EUR" }
hides = ["a.json"]
[[leather]]
name = "heavy"
thickness = "10-11 oz"
price = { per_area = 16, unit = "sq ft", currency = "EUR" }
hides = ["a.json", "b.json"]
"""


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("workshop")
    hide = hide_of(SQUARE_HIDE)
    for name in ("a", "b", "c"):
        write_hide(folder / f"{name}.json", replace(hide, name=f"Hide {name}"))
    (folder / "tag.toml").write_bytes(form_text(FORM))
    (folder / "leathers.toml").write_text(LEATHERS)
    return folder


@pytest.fixture(scope="module")
def client(workshop: Path) -> Iterator[TestClient]:
    with page(workshop) as made:
        yield made


def test_without_a_register_the_shelf_is_the_folder(client: TestClient) -> None:
    told = client.get("/api/stock").json()
    assert told["register"] is None
    assert [hide["name"] for hide in told["hides"]] == ["Hide a", "Hide b", "Hide c"]
    picture = client.get("/api/shelf/a.json/picture.svg")
    assert picture.headers["content-type"] == "image/svg+xml"
    assert picture.text.startswith("<svg")


def test_a_damaged_hide_file_is_named_and_the_others_are_shown(tmp_path: Path) -> None:
    write_hide(tmp_path / "good.json", hide_of(SQUARE_HIDE))
    (tmp_path / "bad.json").write_text('{"format": "hideplan-hide-1", "name": "bad", "outline": [[0, 0]]}')
    with page(tmp_path) as client:
        told = client.get("/api/stock").json()
    assert [hide["name"] for hide in told["hides"]] == ["Square"]
    assert "bad.json" in told["damaged"][0]


def test_changes_to_the_register_are_made_and_undone(workshop: Path, client: TestClient) -> None:
    added = client.post("/api/stock/add", json={}).json()
    assert added["told"].startswith("3 put on the register")
    first = added["hides"][0]
    taken = client.post("/api/stock/take", json={"names": [str(first["number"])]}).json()
    assert {hide["name"]: hide["status"] for hide in taken["hides"]}["Hide a"] == "out"
    client.post("/api/stock/undo", json={})
    with open_stock(workshop / "hides.stock") as stock:
        assert [each.hide.name for each in stock.hides()] == ["Hide a", "Hide b", "Hide c"]
    assert client.post("/api/stock/burn", json={}).status_code == 404
    told = client.post("/api/stock/reserve", json={"names": ["Hide a"], "text": "Ada"}).json()
    assert ["kept for", "Ada"] in told["hides"][0]["details"]
    told = client.post("/api/stock/note", json={"names": ["Hide a"], "text": "soft"}).json()
    assert (told["hides"][0]["reserved"], told["hides"][0]["note"]) == ("Ada", "soft")
    told = client.post("/api/stock/sell", json={"names": ["Hide a"]}).json()
    assert (told["hides"][0]["status"], "sold whole" in told["books"]) == ("sold", bool(told["books"]))
    told = client.post("/api/stock/lose", json={"names": ["Hide b"]}).json()
    assert told["hides"][1]["status"] == "lost"
    unlike = client.post("/api/stock/correct", json={"names": ["Hide c"], "text": "c.json"})
    assert (unlike.status_code, "nothing new" in unlike.text) == (422, True)
    assert client.post("/api/stock/correct", json={"names": [], "text": "c.json"}).status_code == 400
    for _ in range(4):
        client.post("/api/stock/undo", json={})
    assert client.get("/api/shelf/1/layout.json").status_code == 404
    assert client.post("/api/stock/take", json={"names": ["Hide z"]}).status_code == 422


def test_an_order_is_planned_as_the_batch_engine_plans_it_then_committed(workshop: Path, client: TestClient) -> None:
    if not (workshop / "hides.stock").exists():
        client.post("/api/stock/add", json={})
    run = client.post("/api/orders", json=ORDER).json()
    told = finished(client, run["id"])
    assert told["state"] == "done", told
    assert told["plan"]["filled"] is True
    assert told["plan"] == json.loads(
        json.dumps(plan_to_data(plan_batch(read_batch(Folder(workshop), ORDER), Watch())))
    )
    kept = client.get(f"/api/orders/{run['id']}/plan.json")
    assert kept.json() == told["plan"]
    assert client.get(f"/api/orders/{run['id']}/1/sheet.pdf").content.startswith(b"%PDF")
    assert client.get(f"/api/orders/{run['id']}/99/sheet.pdf").status_code == 404
    before = len(hides_from(workshop / "hides.stock"))
    assert client.post(f"/api/orders/{run['id']}/commit", json={}).status_code == 200
    shelf = {hide["name"]: hide["status"] for hide in client.get("/api/stock").json()["hides"]}
    assert all(shelf[hide["name"]] == "cut" for hide in told["plan"]["hides"])
    assert client.post(f"/api/orders/{run['id']}/commit", json={}).status_code == 409
    (cut,) = [hide["number"] for hide in client.get("/api/stock").json()["hides"] if hide["status"] == "cut"]
    assert client.get(f"/api/shelf/{cut}/layout.json").json()["format"] == "hideplan-layout-1"
    client.post("/api/stock/undo", json={})
    assert len(hides_from(workshop / "hides.stock")) == before


def test_a_plan_that_does_not_fill_its_order_marks_hides_cut_only_where_that_is_said(tmp_path: Path) -> None:
    folder, tools = Folder(tmp_path), Tools(lambda *_, **__: strip("strap", 60), cut_bar, bar_limits)
    with open_stock(tmp_path / "hides.stock", create=True) as stock:
        stock.add([(bar(100), "file")])
        hides = [each.hide for each in stock.hides()]
    plan = make_plan(Order("o", (OrderLine("strap", 2),)), hides, tools, Settings(effort="quick"))
    keep_plan(folder, "0" * 12, plan)
    with pytest.raises(Refusal, match="not filled"):
        commit_plan(folder, "0" * 12)
    assert commit_plan(folder, "0" * 12, partly=True) == 0
    with open_stock(tmp_path / "hides.stock") as stock:
        assert not stock.hides()  # the one bar is cut, and what is left of it too small to keep


BAD_ORDERS = [
    ({"lines": []}, "products"),
    ({"lines": [{"project": "", "quantity": "1"}]}, "project"),
    ({"lines": [{"project": "gone.toml", "quantity": "1"}]}, "gone.toml"),
    ({"lines": [{"project": "../tag.toml", "quantity": "1"}]}, "name"),
    ({"lines": [{"project": "tag.toml", "quantity": "many"}]}, "quantity"),
    ({"lines": [{"project": "tag.toml", "quantity": "-2"}]}, "product 1: quantity: is -2"),
    ({"lines": [{"project": "tag.toml", "quantity": "2", "thickness": "thick"}]}, "product 1: thickness: “thick”"),
    ({"lines": [{"project": "tag.toml", "quantity": "1", "due": "soon"}]}, "due"),
    ({"lines": [{"project": "tag.toml", "quantity": "1", "spares": "x"}]}, "spares"),
    ({"gap": "wide"}, "gap"),
]


@pytest.mark.parametrize(("change", "word"), BAD_ORDERS, ids=[word for _, word in BAD_ORDERS])
def test_an_order_that_cannot_be_planned_is_refused_in_one_line(
    client: TestClient, change: dict[str, Any], word: str
) -> None:
    got = client.post("/api/orders", json={**ORDER, **change})
    assert got.status_code in (400, 404, 422)
    assert word in got.json()["problem"]
    assert "\n" not in got.json()["problem"]


def test_the_name_of_an_order_stays_a_name(workshop: Path) -> None:
    text = order_text(Folder(workshop), {**ORDER, "name": 'x"\n[[line]]\nproject = "/etc/passwd"'})
    assert text.count("[[line]]\n") == 1


def test_a_comparison_gives_the_engine_s_figures_and_files(workshop: Path, client: TestClient) -> None:
    asked = {
        "project": "tag.toml",
        "leathers": "leathers.toml",
        "batch": "10",
        "effort": "quick",
        "seed": "1",
        "seeds": "2",
        "gap": "0",
    }
    run = client.post("/api/comparisons", json=asked).json()
    told = finished(client, run["id"])
    assert told["state"] == "done", told
    assert told["comparison"] == json.loads(json.dumps(answer(read_question(Folder(workshop), asked), Watch()).data))
    assert told["comparison"]["cheapest"] == "light"
    assert [each["over_seeds"]["seeds"] for each in told["comparison"]["leathers"]] == [2, 2]
    assert client.post("/api/comparisons", json={**asked, "seeds": "0"}).status_code == 422
    for kind, start in (("pdf", b"%PDF"), ("csv", b"leather"), ("json", b"{")):
        assert client.get(f"/api/comparisons/{run['id']}/comparison.{kind}").content.startswith(start)
    assert client.get(f"/api/comparisons/{run['id']}/comparison.exe").status_code == 404


def test_leathers_cannot_reach_for_hides_outside_the_folder(client: TestClient) -> None:
    text = LEATHERS.replace("a.json", "../../a.json").encode()
    got = client.post("/api/leathers", content=text, headers={"X-File-Name": "other.toml"})
    assert got.status_code == 422
    assert "right in the folder" in got.json()["problem"]


def test_leathers_that_cannot_be_read_are_not_kept(workshop: Path, client: TestClient) -> None:
    text = LEATHERS.replace("thickness", "thikness").encode()
    got = client.post("/api/leathers", content=text, headers={"X-File-Name": "other.toml"})
    assert got.status_code == 422
    assert "thikness" in got.json()["problem"]
    assert not (workshop / "other.toml").exists()


def test_what_lies_on_the_desk_is_there_again(client: TestClient) -> None:
    assert client.put("/api/desk", json={"order": ORDER}).status_code == 204
    assert client.get("/api/desk").json() == {"order": ORDER}


def test_a_typical_outline_is_an_estimate_of_the_marked_area(client: TestClient) -> None:
    """1 ft² = 92 903.04 mm² exactly, from the definition of the inch."""
    got = client.post("/api/read/typical", json={"cut": "side", "area": "22 3/4 sq ft"}).json()
    assert got["estimate"] is True
    assert hide_of(got).measured_area == pytest.approx(22.75 * 92903.04, rel=1e-4)
    assert client.post("/api/read/typical", json={"cut": "leg", "area": "2 sq ft"}).status_code == 422


def test_a_typed_table_of_offsets_has_the_area_of_the_trapezoidal_rule(client: TestClient) -> None:
    """Stations 500 apart, offsets 400, 600, 500: 500 · (400/2 + 600 + 500/2) = 525 000 mm²."""
    rows = [["0", "400", ""], ["500", "600", ""], ["1000", "500", ""]]
    got = client.post("/api/read/offsets", json={"name": "Side", "units": "mm", "rows": rows}).json()
    assert hide_of(got).measured_area == pytest.approx(525_000)
    assert client.post("/api/read/offsets", json={"rows": [["0", "x", ""], ["1", "2", ""]]}).status_code == 422
    assert client.post("/api/read/offsets", json={"rows": []}).status_code == 422


def test_the_lines_of_a_drawing_come_with_their_names(client: TestClient) -> None:
    drawing = b"""<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
      <rect id="edge" width="100" height="50"/><circle id="hole" cx="20" cy="20" r="5"/></svg>"""
    got = client.post("/api/read/drawing", content=drawing, headers={"X-File-Name": "side.svg"}).json()
    assert [shape["name"] for shape in got["shapes"]] == ["edge", "hole"]
    assert all(shape["closed"] for shape in got["shapes"])
    got = client.post("/api/read/drawing", content=b"<svg", headers={"X-File-Name": "side.svg"})
    assert got.status_code == 422


def test_the_example_never_replaces_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "map-rack.toml").write_text("mine")
    with page(tmp_path) as client:
        assert client.post("/api/example", json={}).json()["files"] >= 8
        assert len(client.get("/api/folder").json()["hides"]) >= 6
        assert client.post("/api/example", json={}).json()["files"] == 0
    assert (tmp_path / "map-rack.toml").read_text() == "mine"


def test_a_line_asks_for_leather_thickness_and_lot_and_the_order_for_some_hides(tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_hide(tmp_path / f"{name}.json", replace(hide_of(SQUARE_HIDE), name=f"Hide {name}"))
    (tmp_path / "tag.toml").write_bytes(form_text(FORM))
    line = {**ORDER["lines"][0], "leather": "bridle, russet", "thickness": "7-9 oz", "same": ["lot"], "straight": True}
    body = {**ORDER, "for": "Winter fair", "lines": [line]}
    text = order_text(Folder(tmp_path), body)
    for told in ('leather = "bridle, russet"', 'thickness = "7-9 oz"', 'same = ["lot"]', "straight = true", "Winter"):
        assert told in text
    cuts = read_batch(Folder(tmp_path), {**body, "cutter_most": "100", "kerf": "1/32 in"}).order.cuts
    assert (cuts.least, cuts.most, round(cuts.kerf, 5)) == (0, 100, 0.79375)
    with pytest.raises(InputError, match="less than nought"):
        order_text(Folder(tmp_path), {**body, "kerf": "-1 mm"})
    apart = {**body, "lines": [{**line, "one_hide": False, "same_each": ["lot"]}]}
    assert read_batch(Folder(tmp_path), apart).order.lines[0].same_each == ("lot",)
    assert "same_each" not in order_text(Folder(tmp_path), {**body, "lines": [{**line, "same_each": ["lot"]}]})
    (read,) = read_batch(Folder(tmp_path), body).order.lines
    assert (read.leather, read.same, read.straight) == ("bridle, russet", ("lot",), True)
    shelf = [each.hide.name for each in hides_from(tmp_path)]
    assert [hide.name for hide in read_batch(Folder(tmp_path), {**body, "hides": ["b.json"]}).hides] == ["Hide b"]
    assert [hide.name for hide in read_batch(Folder(tmp_path), {**body, "hides": []}).hides] == shelf


def test_a_leathers_file_read_into_the_form_and_kept_again_means_the_same(tmp_path: Path) -> None:
    """The built-in leathers, with hides and typical outlines, prices for an area and for a hide."""
    folder = Folder(tmp_path)
    lay_out_example(folder)
    for name in folder.leathers():
        before = read_leathers(tmp_path / name)
        form = form_of(folder, name)
        assert keep_form(folder, {**form, "replace": True}) == name
        assert read_leathers(tmp_path / name) == before


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"thickness": "thick"}, "thickness"),
        ({"price": "dear"}, "price"),
        ({"hides": [], "area": ""}, "sample hides"),
        ({"hides": ["../a.json"]}, "right in the folder"),
        ({"grades": "Q"}, "Q"),
    ],
)
def test_leathers_that_cannot_be_used_are_refused_and_nothing_is_written(
    client: TestClient, workshop: Path, change: dict[str, Any], word: str
) -> None:
    row = {"name": "new", "thickness": "4-5 oz", "price": "8", "per": "hide", "currency": "EUR", "hides": ["a.json"]}
    body = {"file": "made.toml", "rows": [{**row, **change}]}
    got = client.post("/api/leathers/form", json=body)
    assert got.status_code == 422
    assert word in got.json()["problem"]
    assert not (workshop / "made.toml").exists()


def test_interlock_is_told_as_the_command_tells_it(client: TestClient, capsys: pytest.CaptureFixture[str]) -> None:
    folder = client.get("/api/folder").json()["folder"]
    assert main(["interlock", f"{folder}/tag.toml", "--gap", "2 mm", "--json"]) == 0
    told = client.get("/api/projects/tag.toml/interlock?gap=2 mm").json()
    assert {key: told[key] for key in told if key != "terms"} == json.loads(capsys.readouterr().out)
    assert "<svg" in client.get("/api/projects/tag.toml/interlock.svg").text
