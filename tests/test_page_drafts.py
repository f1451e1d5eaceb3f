"""Drafts and hide files on the page: kept whole, never overwritten by an older tab, read back as they were."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from page_server import SQUARE_HIDE, page

from hides.hide_file import read_hide
from nesting.page.bench_hide import bench_data, hide_of
from nesting.page.drafts import drop_draft, new_draft, read_draft, save_draft
from nesting.page.errors import Refusal
from nesting.page.folder import Folder


def test_a_draft_reads_back_as_it_was_kept(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    content = {"hide": SQUARE_HIDE, "aside": {"run": None}}
    made = new_draft(folder, content)
    assert read_draft(folder, made["id"]) == {**made, "content": content}


def test_a_save_from_an_older_revision_is_refused_and_changes_nothing(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    made = new_draft(folder, {"by": "nobody"})
    save_draft(folder, made["id"], 1, {"by": "first tab"})
    with pytest.raises(Refusal) as refused:
        save_draft(folder, made["id"], 1, {"by": "second tab"})
    assert refused.value.status == 409
    assert read_draft(folder, made["id"])["content"] == {"by": "first tab"}


@pytest.mark.parametrize("identity", ["..", "../x", "zz", "0" * 11, "0" * 13, "ABCDEFABCDEF", ""])
def test_only_our_own_names_are_names_of_drafts(tmp_path: Path, identity: str) -> None:
    with pytest.raises(Refusal):
        read_draft(Folder(tmp_path), identity)


def test_discarding_a_draft_takes_its_photo_along_unless_another_needs_it(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    content = {"photo": {"id": "0123456789ab"}}
    drafts = [new_draft(folder, content), new_draft(folder, content)]
    photo = folder.kept("photos", "0123456789ab", ".photo")
    photo.write_bytes(b"x")
    drop_draft(folder, drafts[0]["id"])
    assert photo.exists()
    drop_draft(folder, drafts[1]["id"])
    assert not photo.exists()


SAVING = """
import sys
from pathlib import Path
from nesting.page.drafts import read_draft, save_draft
from nesting.page.folder import Folder
folder, identity = Folder(Path(sys.argv[1])), sys.argv[2]
print("saving", flush=True)
while True:
    now = read_draft(folder, identity)
    save_draft(folder, identity, now["revision"], {"numbers": [now["revision"] + 1] * 40_000})
"""


def test_killing_the_server_in_the_middle_of_saving_leaves_a_whole_draft(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    made = new_draft(folder, {"numbers": [1] * 40_000})
    for wait in (0.02, 0.05, 0.11, 0.16, 0.23):
        command = [sys.executable, "-c", SAVING, str(tmp_path), made["id"]]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parent.parent) as saver:
            assert saver.stdout is not None
            assert saver.stdout.readline() == "saving\n"
            time.sleep(wait)
            os.kill(saver.pid, signal.SIGKILL)
        draft = read_draft(folder, made["id"])
        assert draft["content"]["numbers"] == [draft["revision"]] * 40_000
    assert draft["revision"] > 1


def test_a_hide_saved_on_the_page_is_a_hide_file_with_the_same_numbers(tmp_path: Path) -> None:
    with page(tmp_path) as client:
        answer = client.post("/api/hides", json={"hide": SQUARE_HIDE, "file": "Square.json"})
        assert answer.json() == {"file": "Square.json"}
    hide = read_hide(tmp_path / "Square.json")
    assert hide == hide_of(SQUARE_HIDE)
    assert hide.measured_area == 240_000
    assert hide.flaws[0].clearance == 2


def test_a_hide_in_inches_comes_to_the_bench_in_millimetres(tmp_path: Path) -> None:
    """1 in = 25.4 mm exactly (international yard and pound agreement, 1959)."""
    data = {"format": "hideplan-hide-1", "name": "S", "units": "in", "outline": [[0, 0], [10, 0], [10, 10], [0, 10]]}
    with page(tmp_path) as client:
        headers = {"X-File-Name": "S.json"}
        got = client.post("/api/read/hide", content=json.dumps(data).encode(), headers=headers).json()
    assert max(x for x, _ in got["outline"]) == pytest.approx(254)
    assert hide_of(got).measured_area == pytest.approx(254**2)


def test_what_the_bench_shows_of_a_hide_makes_the_same_hide_again() -> None:
    for thickness in ("10-11 oz", "4.0-4.4 mm", ""):
        hide = hide_of({**SQUARE_HIDE, "thickness": thickness, "area": "2 3/4 sq ft", "grade": "B"})
        assert hide_of(bench_data(hide)) == hide


def test_an_existing_hide_file_is_not_replaced_unasked(tmp_path: Path) -> None:
    (tmp_path / "Square.json").write_text("precious")
    with page(tmp_path) as client:
        body = {"hide": SQUARE_HIDE, "file": "Square.json"}
        assert client.post("/api/hides", json=body).status_code == 409
        assert (tmp_path / "Square.json").read_text() == "precious"
        assert client.post("/api/hides", json={**body, "replace": True}).status_code == 200
        assert client.get("/api/folder").json()["hides"][0]["name"] == "Square"


CANNOT_BE = [
    ("thickness", "thick"),
    ("area", "22"),
    ("edge", "-3"),
    ("outline", [[0, 0], [1, 1], [0, 1], [1, 0]]),
    ("outline", []),
    ("price", {"per_area": "x", "unit": "sq ft", "currency": "EUR"}),
    ("flaws", [{"kind": "hole", "outline": [[0, 0]]}]),
]


@pytest.mark.parametrize(("field", "value"), CANNOT_BE)
def test_a_hide_that_cannot_be_is_refused_in_one_line_and_nothing_is_written(
    tmp_path: Path, field: str, value: object
) -> None:
    with page(tmp_path) as client:
        answer = client.post("/api/hides", json={"hide": {**SQUARE_HIDE, field: value}, "file": "S.json"})
        assert answer.status_code == 422
        assert field.rstrip("s") in answer.json()["problem"]
        assert "\n" not in answer.json()["problem"]
    assert not (tmp_path / "S.json").exists()


def test_the_draft_s_hide_can_be_downloaded(tmp_path: Path) -> None:
    with page(tmp_path) as client:
        made = client.post("/api/drafts", json={"hide": SQUARE_HIDE}).json()
        answer = client.get(f"/api/drafts/{made['id']}/hide.json")
        assert "attachment" in answer.headers["content-disposition"]
        assert answer.json()["format"] == "hideplan-hide-1"
