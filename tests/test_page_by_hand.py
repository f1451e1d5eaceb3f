"""Pieces moved by hand on the page: what it lets lie the check passes; locked pieces stay when the rest is filled."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import TAG_SET, Visit, visiting
from playwright.sync_api import Page, expect

TESTS = Path(__file__).parent


def test_a_piece_stops_where_it_may_not_lie() -> None:
    """`node --test` over tests/contact.test.mjs; each case names its rule."""
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed; the browser tests still use this module")
    command = [node, "--test", str(TESTS / "contact.test.mjs")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stdout[-4000:]


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    folder = tmp_path_factory.mktemp("workshop")
    (folder / "tag-set.toml").write_text(TAG_SET)
    hide = {
        "format": "hideplan-hide-1",
        "name": "Small",
        "cut": "offcut",
        "outline": [[0, 0], [700, 0], [660, 450], [0, 430]],
        "backbone": [[0, 200], [700, 200]],
        "flaws": [{"kind": "hole", "outline": [[300, 200], [320, 200], [310, 220]], "grade": "none", "clearance": 3}],
    }
    (folder / "small.json").write_text(json.dumps(hide))
    with visiting(folder) as made:
        yield made
        assert not made.said, made.said


def _laid_out(page: Page) -> None:
    page.get_by_role("button", name="Open small.json").click()
    page.get_by_role("tab", name="Plan").click()
    page.locator("#project").select_option("tag-set.toml")
    page.locator("#lay-out").click()
    expect(page.locator("#answer .big")).to_be_visible(timeout=120_000)
    expect(page.locator("#hand")).to_be_visible()


def _layout(page: Page) -> dict[str, Any]:
    run = page.locator("#answers [data-run][aria-pressed=true]").get_attribute("data-run")
    found: dict[str, Any] = page.evaluate("async (u) => (await fetch(u)).json()", f"/api/runs/{run}/layout.json")
    return found


def test_a_piece_is_dragged_locked_and_the_rest_filled(visit: Visit, tmp_path: Path) -> None:
    with visit.tab() as page:
        _laid_out(page)
        piece = page.locator("#plan-surface path.piece").first
        before = piece.get_attribute("d")
        box = piece.bounding_box()
        assert box is not None
        middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        with page.expect_response("**/api/laid/check") as told:
            page.mouse.move(*middle)
            page.mouse.down()
            page.mouse.move(middle[0] + 37, middle[1] - 23, steps=6)
            page.mouse.up()
        assert told.value.json()["faults"] == [], "what the page lets lie, the check passes"
        expect(page.locator("#plan-surface path.piece.locked")).to_have_count(1)
        assert page.locator("#plan-surface path.piece.locked").get_attribute("d") != before
        where = page.locator("#plan-surface path.piece.locked").get_attribute("d")
        page.locator("#hand-fill").click()
        expect(page.locator("#answers [data-run]")).to_have_count(2, timeout=120_000)
        expect(page.locator("#plan-surface path.piece.locked")).to_have_attribute("d", where or "")
        kept = [p for p in _layout(page)["hides"][0]["placements"] if p.get("keep")]
        assert len(kept) == 1
        page.locator("#answers [data-run]").first.click()
        expect(page.locator("#plan-surface path.piece.locked")).to_have_attribute("d", where or "")
        page.locator("#undo").click()
        expect(page.locator("#plan-surface path.piece.locked")).to_have_count(0)
        expect(page.locator("#plan-surface path.piece").first).to_have_attribute("d", before or "")


def test_keys_move_turn_and_lock_a_piece(visit: Visit) -> None:
    with visit.tab() as page:
        _laid_out(page)
        page.locator("#plan-surface path.piece").first.click()
        expect(page.locator("#plan-surface path.piece.chosen")).to_have_count(1)
        page.keyboard.press("l")
        expect(page.locator("#plan-surface path.piece.locked")).to_have_count(1)
        page.locator("#undo").click()
        expect(page.locator("#plan-surface path.piece.locked")).to_have_count(0)
        with page.expect_response("**/api/laid/check") as told:
            page.locator("#plan-surface svg.surface").press("Shift+ArrowRight")
        assert told.value.json()["faults"] == []


def test_what_is_cut_is_leather_no_more_and_the_rest_is_filled(visit: Visit) -> None:
    with visit.tab() as page:
        _laid_out(page)
        page.locator("#plan-surface path.piece").first.click()
        page.locator("#hand-gone").click()
        expect(page.locator("#plan-surface path.piece.gone")).to_have_count(1)
        page.locator("#hand-fill").click()
        expect(page.locator("#answers [data-run]")).to_have_count(2, timeout=120_000)
        flaws = _layout(page)["hides"][0]["flaws"]
        assert [flaw["kind"] for flaw in flaws] == ["hole", "gone"]
        expect(page.get_by_label("Where the hide's area goes", exact=True)).to_contain_text("gone already")


def _drag(page: Page, x: float, y: float, dx: float, dy: float) -> None:
    with page.expect_response("**/api/laid/check"):
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + dx, y + dy, steps=6)
        page.mouse.up()


def _middle_of(page: Page, selector: str) -> tuple[float, float]:
    box = page.locator(selector).first.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_what_was_moved_is_kept_after_a_reload_and_is_what_the_sheet_shows(visit: Visit) -> None:
    with visit.tab() as page:
        _laid_out(page)
        _drag(page, *_middle_of(page, "#plan-surface path.piece"), 37, -23)
        where = page.locator("#plan-surface path.piece.locked").get_attribute("d")
        expect(page.locator("#saved")).to_have_text("All kept")
        page.reload()
        expect(page.locator("#plan-surface path.piece.locked")).to_have_attribute("d", where or "")
        with page.expect_download() as asked:
            page.locator("[data-file='layout.json']").click()
        laid = json.loads(asked.value.path().read_text())["hides"][0]["placements"]
        expect(page.locator("#answers [data-run]")).to_have_count(2)
        expect(page.locator("#plan-surface path.piece.locked")).to_have_attribute("d", where or "")
        assert sum(bool(each.get("keep")) for each in laid) == 1
        kept = next(each for each in laid if each.get("keep"))
        assert (where or "").startswith(f"M{round(kept['outline'][0][0], 3):g} ")


def test_a_piece_is_turned_by_its_handle_and_stops_with_a_word_why(visit: Visit) -> None:
    """The piece nearest the lower right, where leather is left, is drawn off its neighbours first."""
    with visit.tab() as page:
        _laid_out(page)
        pieces = page.locator("#plan-surface path.piece")
        boxes = [box for each in pieces.all() if (box := each.bounding_box())]
        last = max(range(len(boxes)), key=lambda n: boxes[n]["x"] + boxes[n]["y"])
        _drag(page, boxes[last]["x"] + 30, boxes[last]["y"] + 30, 20, 15)
        expect(page.locator("#plan-surface path.piece.locked")).to_have_count(1)
        before = pieces.nth(last).get_attribute("d") or ""
        x, y = _middle_of(page, ".turner-disc")
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x - 120, y + 80, steps=8)
        expect(page.locator("#tip")).to_contain_text("It stops at")
        page.mouse.move(x + 8, y, steps=8)
        with page.expect_response("**/api/laid/check") as told:
            page.mouse.up()
        assert told.value.json()["faults"] == []
        expect(pieces.nth(last)).not_to_have_attribute("d", before)
        page.keyboard.press("Control+z")
        expect(pieces.nth(last)).to_have_attribute("d", before)


def test_a_flaw_found_at_the_bench_is_drawn_on_the_plan_and_pieces_on_it_are_laid_anew(visit: Visit) -> None:
    with visit.tab() as page:
        _laid_out(page)
        pieces = page.locator("#plan-surface path.piece")
        pieces.last.click()
        page.keyboard.press("c")
        expect(page.locator("#plan-surface path.piece.cut")).to_have_count(1)
        x, y = _middle_of(page, "#plan-surface path.piece")
        page.keyboard.press("f")
        page.mouse.move(x - 5, y - 5)
        page.mouse.down()
        page.mouse.move(x + 5, y + 5, steps=3)
        page.mouse.up()
        expect(page.locator("#plan-surface path.piece.hit")).to_have_count(1)
        expect(page.locator("#plan-hint")).to_contain_text("lies on what was found")
        page.locator("#hand-all").click()
        many = pieces.count()
        expect(page.locator("#plan-surface path.piece.locked:not(.cut)")).to_have_count(many - 2)
        page.locator("#hand-fill").click()
        expect(page.locator("#answers [data-run]")).to_have_count(2, timeout=120_000)
        expect(page.locator("#plan-surface path.piece.cut")).to_have_count(1)
        laid = _layout(page)["hides"][0]
        assert [flaw["kind"] for flaw in laid["flaws"]] == ["hole", "flaw found"]
        assert sum(bool(each.get("keep")) for each in laid["placements"]) == many - 1
