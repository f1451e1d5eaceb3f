"""The page in a real browser: the whole way, and what a person does on it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from browser import CORNERS, LAPTOP, TABLET, TAG_SET, Visit, hide_ring, synthetic_photo, visiting
from playwright.sync_api import Page, expect

from hides.hide_file import read_hide

LOOP = """[[piece]]
name = "loop"
along = "any"
shape = { strap = [25, 180], ends = "round" }
"""


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    folder = tmp_path_factory.mktemp("workshop")
    (folder / "tag-set.toml").write_text(TAG_SET + LOOP)
    synthetic_photo(folder / "photo.jpg")
    hide = {
        "format": "hideplan-hide-1",
        "name": "Side 7",
        "cut": "side",
        "outline": hide_ring(),
        "backbone": [[300, 800], [2100, 800]],
        "area": "15 1/4 sq ft",
        "edge": 10,
        "flaws": [{"kind": "hole", "outline": [[880, 680], [930, 680], [905, 730]], "grade": "none", "clearance": 5}],
        "zones": [{"name": "belly", "outline": [[200, 200], [2200, 200], [2100, 420], [300, 430]], "grade": "C"}],
    }
    (folder / "side-7.json").write_text(json.dumps(hide))
    small = {
        "format": "hideplan-hide-1",
        "name": "Small",
        "cut": "offcut",
        "outline": [[0, 0], [700, 0], [660, 450], [0, 430]],
    }
    (folder / "small.json").write_text(json.dumps({**small, "backbone": [[0, 200], [700, 200]]}))
    with visiting(folder) as made:
        yield made
        outside = [url for url in made.asked if not url.startswith((made.address, "data:", "blob:"))]
        assert not outside, f"the page asked for {outside}"
        assert not made.said, made.said


def _place(page: Page, selector: str, index: int = 0) -> tuple[float, float]:
    box = page.locator(selector).nth(index).bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def _drag(page: Page, start: tuple[float, float], end: tuple[float, float], steps: int = 4) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(*end, steps=steps)
    page.mouse.up()


def _open(page: Page, file: str = "side-7.json") -> None:
    page.get_by_role("button", name=f"Open {file}").click()
    expect(page.locator("#bench")).to_be_visible()


def _outline(page: Page) -> list[list[float]]:
    return _draft(page)["hide"]["outline"]  # type: ignore[no-any-return]


def _draft(page: Page) -> dict[str, Any]:
    expect(page.locator("#saved")).to_have_text("All kept")
    found: dict[str, Any] = page.evaluate(
        "async () => (await (await fetch('/api/drafts/' + location.hash.slice(1, 13))).json()).content"
    )
    return found


def _until(page: Page, condition: str) -> None:
    """Wait for a condition of the page. (Playwright's own way needs `eval`, which the page forbids.)"""
    for _ in range(400):
        if page.evaluate(condition):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never came: {condition}")


def test_the_whole_way_from_photo_to_downloaded_sheet(visit: Visit, tmp_path: Path) -> None:
    with visit.tab() as page:
        page.set_input_files("#file-photo", visit.folder / "photo.jpg")
        expect(page.locator("#marks")).to_be_visible()
        picture = page.locator("#marks-surface .world image").bounding_box()
        assert picture is not None
        for number, (x, y) in enumerate(CORNERS):
            goal = picture["x"] + x / 2000 * picture["width"], picture["y"] + y / 1500 * picture["height"]
            _drag(page, _place(page, "#marks-surface .mark", number), goal)
        page.fill("#mark-width", "2400")
        page.fill("#mark-height", "59.05511811 in")
        page.click("#use-marks")
        expect(page.locator("#notice")).to_contain_text("Proposed")
        measured = float(page.locator("#measured").inner_text().split()[0])
        assert measured == pytest.approx(15.0, rel=0.01), "the hide was drawn with 15.0 sq ft"
        page.get_by_label("Marked area").fill("15 1/4 sq ft")
        expect(page.locator("#beside-marked")).to_contain_text("less than marked")
        page.get_by_label("Name", exact=True).fill("Floor side")
        page.keyboard.press("Tab")
        page.click("[data-tool=backbone]")
        box = page.locator("#bench-surface").bounding_box()
        assert box is not None
        middle = box["y"] + box["height"] / 2
        _drag(page, (box["x"] + 200, middle), (box["x"] + 700, middle))
        page.click("#save-hide")
        expect(page.locator("#notice")).to_contain_text("Floor side.json")
        saved = read_hide(visit.folder / "Floor side.json")
        assert saved.measured_area / 92903.04 == pytest.approx(measured, abs=0.006)
        page.click("#go-plan")
        page.select_option("#project", "tag-set.toml")
        page.click("#lay-out")
        expect(page.locator("#answer")).to_be_visible(timeout=60_000)
        assert int(page.locator("[data-complete]").get_attribute("data-complete") or 0) > 5
        expect(page.locator("#answer")).to_contain_text("Yield")
        pieces = page.locator("#plan-surface .piece")
        pieces.first.hover()
        expect(page.locator("#tip")).to_contain_text("Tag set")
        for kind, start in (
            ("sheet.pdf", b"%PDF"),
            ("layout.json", b"{"),
            ("drawing.dxf", b"  0"),
            ("drawing.svg", b"<"),
        ):
            with page.expect_download() as download:
                page.click(f"[data-file='{kind}']")
            assert download.value.path().read_bytes().startswith(start)


def test_four_more_marks_straighten_the_lens_and_are_kept(visit: Visit) -> None:
    """The picture was made without a lens: marks on the straight sides say so, and change nothing."""
    with visit.tab() as page:
        page.set_input_files("#file-photo", visit.folder / "photo.jpg")
        expect(page.locator("#marks-side")).to_contain_text("2 to 5 % of the area")
        page.check("#with-lens")
        expect(page.locator("#marks-surface .mark")).to_have_count(8)
        picture = page.locator("#marks-surface .world image").bounding_box()
        assert picture is not None
        amid = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise([*CORNERS, CORNERS[0]])]
        for number, (x, y) in enumerate([*CORNERS, *amid]):
            goal = picture["x"] + x / 2000 * picture["width"], picture["y"] + y / 1500 * picture["height"]
            _drag(page, _place(page, "#marks-surface .mark", number), goal)
        page.fill("#mark-width", "2400")
        page.fill("#mark-height", "1500")
        expect(page.locator("#marks-side")).to_contain_text("The lens bends the picture's corners by")
        page.click("#use-marks")
        expect(page.locator("#notice")).to_contain_text("Proposed", timeout=60_000)
        assert float(page.locator("#measured").inner_text().split()[0]) == pytest.approx(15.0, rel=0.02)
        page.reload()
        page.wait_for_selector("body[data-ready]")
        page.get_by_role("button", name="Move marks").click()
        expect(page.locator("#marks-surface .mark")).to_have_count(8)


def test_undo_takes_back_every_kind_of_change_and_redo_brings_it_again(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        first = _draft(page)["hide"]
        handle = _place(page, "#bench-surface .handle", 10)
        _drag(page, handle, (handle[0] + 60, handle[1] + 40))
        page.keyboard.press("f")
        _drag(page, (560, 400), (600, 430))
        page.get_by_label("Thickness", exact=True).first.fill("8-9 oz")
        page.click("#tab-plan")
        page.fill("#plan-gap", "2 mm")
        page.click("#tab-hide")
        last = _draft(page)
        assert last["hide"]["thickness"] == "8-9 oz"
        assert len(last["hide"]["flaws"]) == 2
        assert last["plan"]["gap"] == "2 mm"
        for _ in range(4):
            page.click("#undo")
        assert _draft(page)["hide"] == first
        expect(page.locator("#undo")).to_be_disabled()
        for _ in range(4):
            page.click("#redo")
        again = _draft(page)
        assert (again["hide"], again["plan"]) == (last["hide"], last["plan"])


def test_a_reload_in_the_middle_of_work_loses_nothing(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        before = _outline(page)
        handle = _place(page, "#bench-surface .handle", 3)
        _drag(page, handle, (handle[0] + 50, handle[1]))
        page.get_by_label("Name", exact=True).fill("Half typed na")
        page.reload()
        page.wait_for_selector("body[data-ready]")
        expect(page.get_by_label("Name", exact=True)).to_have_value("Half typed na")
        assert _outline(page) != before
        page.click("#undo")
        page.click("#undo")
        assert _outline(page) == before, "undo reaches back beyond the reload"


def test_points_are_put_in_and_taken_out(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        count = len(_outline(page))
        a, b = _place(page, "#bench-surface .handle", 20), _place(page, "#bench-surface .handle", 21)
        page.mouse.click((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        assert len(_outline(page)) == count + 1
        page.keyboard.press("Delete")
        assert len(_outline(page)) == count


def test_crossing_lines_and_flaws_outside_are_warned_of_at_once(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        a, b = _place(page, "#bench-surface .handle", 5), _place(page, "#bench-surface .handle", 40)
        _drag(page, a, (b[0], b[1] + 60))
        expect(page.locator("#faults")).to_contain_text("crosses or touches itself")
        page.keyboard.press("Control+z")
        expect(page.locator("#faults")).to_have_count(0)
        page.keyboard.press("f")
        box = page.locator("#bench-surface").bounding_box()
        assert box is not None
        _drag(page, (box["x"] + 12, box["y"] + 12), (box["x"] + 40, box["y"] + 40))
        expect(page.locator("#faults")).to_contain_text("lies outside the hide")


def test_a_hide_can_be_drawn_with_keys_alone(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        page.locator("#bench-surface svg.surface").focus()
        page.keyboard.press("f")
        for keys in ("Space", "ArrowRight*3", "Space", "ArrowDown*3", "Space"):
            key, _, times = keys.partition("*")
            for _ in range(int(times or 1)):
                page.keyboard.press(key)
        page.keyboard.press("Enter")
        assert len(_draft(page)["hide"]["flaws"]) == 2
        page.keyboard.press("v")
        page.keyboard.press("n")
        page.keyboard.press("ArrowUp")
        moved = _draft(page)["hide"]["flaws"][1]["outline"]
        page.keyboard.press("Control+z")
        still = _draft(page)["hide"]["flaws"][1]["outline"]
        assert moved[0][1] - still[0][1] == pytest.approx(1)


def test_stop_keeps_the_best_so_far(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        page.click("#go-plan")
        page.select_option("#project", "tag-set.toml")
        page.select_option("#plan-effort", "thorough")
        page.click("#lay-out")
        expect(page.locator("#plan-side progress")).to_be_visible()
        _until(page, "document.querySelector('#plan-side progress').value > 0")
        page.wait_for_timeout(500)
        page.click("#stop")
        expect(page.locator("#answer")).to_be_visible(timeout=20_000)
        expect(page.locator("#answer")).to_contain_text("stopped")
        expect(page.locator("#answer")).to_be_focused()  # the button that had the keyboard is gone
        assert int(page.locator("[data-complete]").get_attribute("data-complete") or 0) > 0


def test_a_second_tab_follows_and_never_overwrites(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        address = page.evaluate("location.hash")
        expect(page.locator("#saved")).to_have_text("All kept")
        other = visit.another(page.context, address)
        page.get_by_label("Name", exact=True).fill("First tab's")
        expect(other.get_by_label("Name", exact=True)).to_have_value("First tab's")
        other.evaluate("window.BroadcastChannel.prototype.postMessage = () => {}")
        other.get_by_label("Name", exact=True).fill("Second tab's")
        expect(other.locator("#saved")).to_have_text("All kept")
        page.get_by_label("Name", exact=True).fill("First again")
        expect(page.locator("#question")).to_contain_text("Another tab was faster")
        page.get_by_role("button", name="Keep mine as a second draft").click()
        expect(page.locator("#saved")).to_have_text("All kept")
        assert page.evaluate("location.hash") != address
        assert _draft(page)["hide"]["name"] == "First again"
        assert _draft(other)["hide"]["name"] == "Second tab's"
        visit.said[:] = [line for line in visit.said if "409" not in line]


def test_an_outline_of_250_points_is_drawn_while_a_point_is_dragged(visit: Visit) -> None:
    hide = {"format": "hideplan-hide-1", "name": "Fine", "outline": hide_ring(250)}
    (visit.folder / "fine.json").write_text(json.dumps(hide))
    with visit.tab() as page:
        _open(page, "fine.json")
        before = _outline(page)
        page.evaluate(
            """() => { window.frames_ = []; let last = performance.now();
            const tick = (now) => { window.frames_.push(now - last); last = now; requestAnimationFrame(tick); };
            requestAnimationFrame(tick); }"""
        )
        handle = _place(page, "#bench-surface .handle", 30)
        _drag(page, handle, (handle[0] + 120, handle[1] + 80), steps=60)
        frames = page.evaluate("window.frames_")
        after = _outline(page)
        assert len(after) == 250
        assert sum(a != b for a, b in zip(before, after, strict=True)) == 1
        assert len(frames) > 10, "nothing was drawn while the point was dragged"


def test_fingers_drag_a_point_pan_and_pinch(visit: Visit) -> None:
    with visit.tab(viewport=TABLET, has_touch=True, is_mobile=True) as page:
        _open(page)
        fingers = page.context.new_cdp_session(page)

        def touch(kind: str, *points: tuple[float, float]) -> None:
            told = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(points)]
            fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": told})

        def slide(*ways: tuple[tuple[float, float], tuple[float, float]]) -> None:
            touch("touchStart", *(start for start, _ in ways))
            for step in (0.25, 0.5, 0.75, 1.0):
                touch("touchMove", *((a[0] + step * (b[0] - a[0]), a[1] + step * (b[1] - a[1])) for a, b in ways))
            touch("touchEnd")

        before = _outline(page)
        spot = _place(page, "#bench-surface .handle", 12)
        slide(((spot[0] + 6, spot[1] + 5), (spot[0] - 40, spot[1] - 60)))
        assert sum(a != b for a, b in zip(before, _outline(page), strict=True)) == 1
        box = page.locator("#bench-surface").bounding_box()
        assert box is not None
        middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        scale = "document.querySelector('#bench-surface .world').getAttribute('transform')"
        start = page.evaluate(scale)
        slide((middle, (middle[0] + 50, middle[1] + 20)))
        panned = page.evaluate(scale)
        assert panned != start
        assert panned.split()[0] == start.split()[0]
        a, b = (middle[0] - 40, middle[1]), (middle[0] + 40, middle[1])
        slide((a, (a[0] - 60, a[1])), (b, (b[0] + 60, b[1])))
        pinched = page.evaluate(scale)
        assert float(pinched.split("(")[1].split()[0]) > 1.8 * float(panned.split("(")[1].split()[0])
        assert len(_outline(page)) == len(before)


def test_the_wheel_zooms_at_the_cursor(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page)
        spot = _place(page, "#bench-surface .handle", 8)
        page.mouse.move(*spot)
        page.mouse.wheel(0, -400)
        page.wait_for_timeout(100)
        near = page.evaluate(
            """([x, y]) => Math.min(...[...document.querySelectorAll('#bench-surface .handle')].map((dot) => {
            const box = dot.getBoundingClientRect();
            return Math.hypot(box.x + box.width / 2 - x, box.y + box.height / 2 - y); }))""",
            list(spot),
        )
        assert near < 2


def test_pieces_typed_into_the_form_are_laid_out(visit: Visit) -> None:
    with visit.tab() as page:
        _open(page, "small.json")
        page.click("#go-plan")
        page.select_option("#project", label="make one here")
        page.fill("#form-name", "Strap pair")
        page.fill("[data-field='0-name']", "strap")
        page.fill("[data-field='0-count']", "2")
        page.fill("[data-field='0-width']", "1 1/2 in")
        page.fill("[data-field='0-length']", "600 mm")
        page.click("#lay-out")
        expect(page.locator("#answer")).to_be_visible(timeout=60_000)
        expect(page.locator(".big", has_text="Strap pair")).to_be_visible()
        expect(page.locator("#answer")).to_be_focused()
        page.locator("#plan-surface svg").first.focus()
        page.keyboard.press("n")
        words = re.compile(r"Chosen: strap 1, its middle at .+ across, .+ up")
        expect(page.locator("#plan-hint")).to_contain_text(words)
        placed = page.locator("#plan-surface .piece").count()
        begun = page.locator("#plan-surface .piece.begun").count()
        assert placed - begun == 2 * int(page.locator("[data-complete]").get_attribute("data-complete") or 0)
        page.reload()
        page.wait_for_selector("body[data-ready]")
        expect(page.locator("#answer")).to_be_visible()
        expect(page.locator("#plan-surface .piece")).to_have_count(placed)  # the drawing comes after the answer


@pytest.mark.parametrize("viewport", [LAPTOP, TABLET], ids=["laptop", "tablet"])
def test_the_page_can_be_used_by_everyone(visit: Visit, viewport: dict[str, int]) -> None:
    """WCAG 2.1 A and AA as the axe-core rules check them, on every screen."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}

    def look(page: Page) -> None:
        found = axe.Axe().run(page, options=rules).response["violations"]
        assert not found, [(each["id"], each["help"], [n["html"][:120] for n in each["nodes"]][:4]) for each in found]

    with visit.tab(viewport=viewport) as page:
        look(page)
        page.set_input_files("#file-photo", visit.folder / "photo.jpg")
        expect(page.locator("#marks")).to_be_visible()
        look(page)
        page.click("#to-start")
        _open(page)
        page.locator("#side .pick").first.click()
        look(page)
        page.click("#to-start")
        _open(page, "small.json")
        page.click("#go-plan")
        page.select_option("#project", "tag-set.toml")
        if viewport == LAPTOP:
            page.click("#lay-out")
            expect(page.locator("#answer")).to_be_visible(timeout=60_000)
        look(page)
