"""What a person does to a layout by hand is kept: moved pieces are an answer of their own, what is cut stays cut."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from page_server import FORM, SQUARE_HIDE, finished, page
from shapely.geometry import Polygon
from starlette.testclient import TestClient

from hides.hide import Flaw, Grade, Hide
from nesting.laying.case import case_of
from nesting.model.layout import Placement
from nesting.model.settings import Watch
from nesting.model.want import Want
from nesting.page.by_hand import HAIR, spared
from nesting.page.folder import Folder
from nesting.page.planning import carry_out, read_order

SETTINGS = {"gap": "1 mm", "edge": "", "effort": "quick", "seed": "1"}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with page(tmp_path_factory.mktemp("folder")) as made:
        yield made


@pytest.fixture(scope="module")
def answer(client: TestClient) -> dict[str, Any]:
    run = client.post("/api/runs", json={"hide": SQUARE_HIDE, "form": FORM, "settings": SETTINGS}).json()
    return finished(client, run["id"])


def _laid(answer: dict[str, Any]) -> list[dict[str, Any]]:
    names = ("piece", "number", "x", "y", "angle", "mirrored")
    return [{name: each[name] for name in names} for each in answer["layout"]["hides"][0]["placements"]]


def test_moved_pieces_are_an_answer_of_their_own_beside_the_former(client: TestClient, answer: dict[str, Any]) -> None:
    last = max(range(len(_laid(answer))), key=lambda i: _laid(answer)[i]["x"])
    laid = _laid(answer)
    laid[last] = {**laid[last], "x": laid[last]["x"] + 0.5, "keep": True}
    client.put(f"/api/runs/{answer['id']}/cutting", json={"cut": [0]})
    made = client.post(f"/api/runs/{answer['id']}/by-hand", json={"laid": laid})
    assert made.status_code == 201, made.text
    shown = made.json()
    assert shown["id"] != answer["id"]
    assert client.get(f"/api/runs/{shown['id']}").json() == shown
    there = shown["layout"]["hides"][0]["placements"]
    assert [each["x"] for each in there] == pytest.approx([each["x"] for each in laid])
    assert [bool(each.get("keep")) for each in there] == [n == last for n in range(len(laid))]
    assert client.get(f"/api/runs/{shown['id']}/cutting").json()["cut"] == [0]
    sheet = client.get(f"/api/runs/{shown['id']}/pieces.csv").text
    assert sheet != client.get(f"/api/runs/{answer['id']}/pieces.csv").text
    assert _laid(client.get(f"/api/runs/{answer['id']}").json()) == _laid(answer)


def test_pieces_laid_wrongly_or_others_make_no_answer(client: TestClient, answer: dict[str, Any]) -> None:
    laid = _laid(answer)
    upon = [{**laid[0], "x": laid[1]["x"], "y": laid[1]["y"]}, *laid[1:]]
    refused = client.post(f"/api/runs/{answer['id']}/by-hand", json={"laid": upon})
    assert refused.status_code == 422
    assert "check" in refused.json()["problem"]
    assert client.post(f"/api/runs/{answer['id']}/by-hand", json={"laid": laid[1:]}).status_code == 409
    assert client.post("/api/runs/0123456789ab/by-hand", json={"laid": laid}).status_code == 404


def test_the_rest_is_filled_beside_the_layout_that_lay_there(client: TestClient, answer: dict[str, Any]) -> None:
    """The search is told of all that lay there, and gives no less than what may still lie of it."""
    laid = _laid(answer)
    body = {"hide": SQUARE_HIDE, "form": FORM, "settings": SETTINGS, "keep": laid[:1], "former": laid}
    folder = Folder(Path(client.get("/api/folder").json()["folder"]))
    order = read_order(folder, body)
    case = case_of(order.hide, [Want(order.product)], order.settings, order.kept, order.former)
    assert [p.keep for p in case.former] == [n == 0 for n in range(len(laid))]
    layout, _ = carry_out(order, Watch(stop=lambda: True))
    assert layout.counts[0].complete >= answer["answer"]["products"][0]["complete"]
    strange = [*laid, {**laid[0], "piece": "made before"}]
    assert read_order(folder, {**body, "former": strange}).former == order.former
    run = client.post("/api/runs", json=body).json()
    told = finished(client, run["id"])
    assert told["answer"]["products"][0]["complete"] >= answer["answer"]["products"][0]["complete"]


def test_what_is_cut_stays_cut_in_the_layout_that_fills_the_rest(client: TestClient, answer: dict[str, Any]) -> None:
    """A slip of the knife beside a cut piece is leather no more and asks nothing of it; all else keeps off."""
    laid = _laid(answer)
    cut = laid[0]
    x, y = answer["layout"]["hides"][0]["placements"][0]["outline"][0]
    slip = {
        "kind": "slip",
        "outline": [[x - 3, y - 3], [x + 3, y - 3], [x, y + 3]],
        "grade": "none",
        "clearance": "1 mm",
    }
    hide = {**SQUARE_HIDE, "flaws": [*SQUARE_HIDE["flaws"], slip]}
    run = client.post("/api/runs", json={"hide": hide, "form": FORM, "settings": SETTINGS, "cut": [cut]}).json()
    told = finished(client, run["id"])
    assert told["state"] == "done", told
    (place,) = client.get(f"/api/runs/{run['id']}/cutting").json()["cut"]
    again = told["layout"]["hides"][0]["placements"]
    assert {name: again[place][name] for name in cut if name != "number"} == {
        n: v for n, v in cut.items() if n != "number"
    }
    spoilt = Polygon(slip["outline"]).buffer(1.0)
    others = [Polygon(each["outline"]) for n, each in enumerate(again) if n != place]
    assert all(other.intersection(spoilt).area < 0.5 for other in others)


def test_a_flaw_gives_way_to_what_is_cut_and_no_more() -> None:
    """Square pieces on a flaw of 40 by 40, one over its corner, one within: what is left forbids as much as before."""
    over = [(30, 30), (60, 30), (60, 60), (30, 60)]
    within = [(5, 5), (15, 5), (15, 15), (5, 15)]
    far = Flaw("hole", ((80, 80), (90, 80), (90, 90)), Grade.C, 2.0)
    flaw = Flaw("scar", ((0, 0), (40, 0), (40, 40), (0, 40)), Grade.NONE)
    hide = Hide("h", ((-50, -50), (100, -50), (100, 100), (-50, 100)), flaws=(flaw, far))
    cut = [Placement("p", "P", 1, 0, 0, 0, False, tuple(ring)) for ring in (over, within)]
    left = spared(hide, cut)
    assert spared(hide, []) is hide
    assert left.flaws[-1] == far
    ground = [Polygon(each.outline) for each in left.flaws[:-1]]
    assert {each.kind for each in left.flaws[:-1]} == {"scar"}
    assert all(Polygon(ring).distance(part) >= HAIR * 0.9 for ring in (over, within) for part in ground)
    assert sum(part.area for part in ground) == pytest.approx(1600 - 100 - 100, abs=4 * HAIR * 40)
