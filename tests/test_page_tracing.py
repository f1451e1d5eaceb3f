"""The tracing screens in a browser: brushes, a stretch, several points, marks on the leather; all kept and undone."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
import pytest
from browser import CORNERS, SIZE, Visit, hide_ring, synthetic_photo, visiting
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from playwright.sync_api import Page, Route, expect

from hides.hide import Grade
from hides.hide_file import read_hide

TRUE = 15.0
"""The synthetic hide's area, sq ft."""


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    folder = tmp_path_factory.mktemp("tracing")
    synthetic_photo(folder / "photo.jpg")
    with visiting(folder) as ready:
        yield ready
    assert not ready.said


def on_floor(page: Page, x: float, y: float) -> tuple[float, float]:
    """Where a place on the floor (mm) lies on the screen, read from the drawing's own matrix."""
    matrix = page.locator("#bench-surface .world").get_attribute("transform") or ""
    scale, _, _, down, dx, dy = (float(v) for v in matrix.removeprefix("matrix(").removesuffix(")").split())
    box = page.locator("#bench-surface svg.surface").bounding_box()
    assert box is not None
    return box["x"] + scale * x + dx, box["y"] + down * y + dy


def draw(page: Page, *places: tuple[float, float]) -> None:
    """Press, go along places on the floor, let go."""
    first, *rest = (on_floor(page, *place) for place in places)
    page.mouse.move(*first)
    page.mouse.down()
    for place in rest:
        page.mouse.move(*place, steps=4)
    page.mouse.up()


def nothing_found_by_axe(page: Page) -> None:
    """WCAG 2.1 A and AA as the axe-core rules check them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    found = axe.Axe().run(page, options=rules).response["violations"]
    assert not found, [(each["id"], each["help"], [node["html"][:120] for node in each["nodes"]][:4]) for each in found]


def area(page: Page) -> float:
    return float(page.locator("#measured").inner_text().split()[0])


def traced(page: Page, visit: Visit, photo: str = "photo.jpg") -> None:
    """Bring the photo in, set four marks, take the proposal."""
    page.set_input_files("#file-photo", visit.folder / photo)
    expect(page.locator("#marks")).to_be_visible()
    picture = page.locator("#marks-surface .world image").bounding_box()
    assert picture is not None
    for number, (x, y) in enumerate(CORNERS):
        at = page.locator("#marks-surface .mark").nth(number).bounding_box()
        assert at is not None
        page.mouse.move(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
        page.mouse.down()
        page.mouse.move(
            picture["x"] + x / 2000 * picture["width"], picture["y"] + y / 1500 * picture["height"], steps=3
        )
        page.mouse.up()
    page.fill("#mark-width", str(SIZE[0]))
    page.fill("#mark-height", str(SIZE[1]))
    page.click("#use-marks")
    expect(page.locator("#notice")).to_contain_text("Proposed")
    page.get_by_role("button", name="Put away").click()
    expect(page.locator("#bench-surface .world image")).to_have_count(1)


def test_an_outline_is_painted_stretched_and_lassoed_right_and_every_step_is_undone(visit: Visit) -> None:
    with visit.tab() as page:
        traced(page, visit)
        expect(page.locator("#photo-truth")).to_contain_text("2 to 5 % off")
        right = area(page)
        page.click("[data-tool=floor]")
        draw(page, (1700, 700), (1900, 760), (2150, 720))
        expect(page.locator("#measured")).not_to_have_text(f"{right:.2f} sq ft")
        assert area(page) < right - 0.1
        expect(page.locator("#undo")).to_have_attribute("title", "Take back: Paint what is not leather")
        page.keyboard.press("l")
        page.locator("#bench-surface svg.surface").focus()
        page.keyboard.press("]")
        draw(page, (1700, 700), (1900, 760), (2150, 720))
        expect(page.locator("#undo")).to_have_attribute("title", "Take back: Paint leather")
        assert area(page) == pytest.approx(right, rel=0.01)
        page.reload()
        page.wait_for_selector("body[data-ready]")
        assert area(page) == pytest.approx(right, rel=0.01)
        expect(page.locator("#bench-surface .world image")).to_have_count(1)
        for _ in range(2):
            page.click("#undo")
        assert area(page) == pytest.approx(right, abs=0.001)

        page.click("[data-tool=lasso]")
        ring = hide_ring()
        corner = [on_floor(page, *ring[i]) for i in (14, 22)]
        low, high = min(y for _, y in corner) - 60, max(y for _, y in corner) + 30
        left, wide = min(x for x, _ in corner) - 30, max(x for x, _ in corner) + 30
        page.mouse.move(left, low)
        page.mouse.down()
        for place in ((wide, low), (wide, high), (left, high)):
            page.mouse.move(*place, steps=5)
        page.mouse.up()
        expect(page.locator("#delete-chosen")).to_contain_text("points")
        page.locator("#bench-surface svg.surface").focus()
        page.keyboard.press("Shift+ArrowUp")
        expect(page.locator("#undo")).to_have_attribute("title", "Take back: Move " + _number(page) + " points")
        page.click("#delete-chosen")
        assert area(page) < right
        page.keyboard.press("s")
        page.mouse.click(*on_floor(page, *ring[12]))
        page.mouse.click(*on_floor(page, *ring[24]))
        expect(page.locator("#undo")).to_have_attribute("title", "Take back: Snap a stretch to the edge")
        assert area(page) == pytest.approx(right, rel=0.01)


def _number(page: Page) -> str:
    return page.locator("#delete-chosen").inner_text().split()[1]


def test_a_brush_is_worked_by_keys_alone_and_a_doubt_can_be_called_right(visit: Visit) -> None:
    with visit.tab() as page:
        traced(page, visit)
        before = area(page)
        page.locator("#bench-surface svg.surface").focus()
        page.keyboard.press("x")
        for key in ("]", *["ArrowLeft"] * 6, " ", *["ArrowRight"] * 12, " ", "Enter"):
            page.keyboard.press(key)
        expect(page.locator("#undo")).to_have_attribute("title", "Take back: Paint what is not leather")
        assert area(page) < before
        expect(page.locator("#doubts")).to_be_hidden()
        page.click("#undo")
        page.keyboard.press("v")
        page.click("[data-tool=leather]")
        draw(page, (2000, 750), (2290, 760))
        expect(page.locator("#doubts")).to_contain_text("Floor seems to lie inside")
        nothing_found_by_axe(page)
        page.get_by_role("button", name="Show doubt 1").click()
        while page.locator("#doubts li").count():
            left = page.locator("#doubts li").count()
            page.get_by_role("button", name="Doubt 1: it is right").click()
            expect(page.locator("#doubts li")).to_have_count(left - 1)
        expect(page.locator("#undo")).to_have_attribute("title", "Take back: Call a stretch right")


def test_marks_and_sizes_are_kept_through_a_reload_and_undone(visit: Visit) -> None:
    with visit.tab() as page:
        page.set_input_files("#file-photo", visit.folder / "photo.jpg")
        expect(page.locator("#marks")).to_be_visible()
        expect(page.locator("#with-check")).to_be_checked()
        page.locator("#marks-surface svg.surface").focus()
        page.keyboard.press("n")
        page.keyboard.press("Shift+ArrowRight")
        page.fill("#mark-width", "2400 mm")
        page.fill("#check-length", "1200 mm")
        moved = page.locator("#marks-surface .mark").nth(1).bounding_box()
        expect(page.locator("#saved")).to_have_text("All kept")
        page.reload()
        page.wait_for_selector("body[data-ready]")
        expect(page.locator("#mark-width")).to_have_value("2400 mm")
        expect(page.locator("#check-length")).to_have_value("1200 mm")
        assert page.locator("#marks-surface .mark").nth(1).bounding_box() == moved
        for _ in range(2):
            page.click("#undo")
        expect(page.locator("#mark-width")).to_have_value("")
        expect(page.locator("#undo")).to_have_attribute("title", "Take back: Move a mark")
        page.click("#undo")
        assert page.locator("#marks-surface .mark").nth(1).bounding_box() != moved
        page.click("#redo")
        assert page.locator("#marks-surface .mark").nth(1).bounding_box() == moved


def test_marks_nobody_moved_and_what_is_no_length_are_not_used(visit: Visit) -> None:
    with visit.tab() as page:
        page.set_input_files("#file-photo", visit.folder / "photo.jpg")
        expect(page.locator("#marks-hint")).to_contain_text("four marks")
        page.fill("#mark-width", "wide")
        page.fill("#mark-height", "1500")
        page.click("#use-marks")
        expect(page.locator("#notice")).to_contain_text("“wide” is no length. Give the rectangle's width")
        expect(page.locator("#mark-width")).to_be_focused()
        page.fill("#mark-width", "2400")
        page.fill("#check-length", "long")
        page.click("#use-marks")
        expect(page.locator("#notice")).to_contain_text("“long” is no length. Give the true length from A to B")
        page.fill("#check-length", "")
        page.click("#use-marks")
        expect(page.locator("#notice")).to_contain_text("where the page put them")
        expect(page.locator("#marks")).to_be_visible()
        page.check("#with-lens")
        expect(page.locator("#marks-hint")).to_contain_text("one more onto each side")
        page.locator("#marks-surface svg.surface").focus()
        for key in (*["n"] * 4, *["Shift+ArrowDown"] * 12):
            page.keyboard.press(key)
        expect(page.locator("#marks-side")).to_contain_text("The lens would bend too much")


def test_escape_puts_back_what_is_in_the_hand(visit: Visit) -> None:
    with visit.tab() as page:
        page.set_input_files("#file-photo", visit.folder / "photo.jpg")
        expect(page.locator("#marks")).to_be_visible()
        mark = page.locator("#marks-surface .mark").first
        before = mark.bounding_box()
        assert before is not None
        page.mouse.move(before["x"] + before["width"] / 2, before["y"] + before["height"] / 2)
        page.mouse.down()
        page.mouse.move(before["x"] + 60, before["y"] + 40, steps=3)
        assert mark.bounding_box() != before
        page.keyboard.press("Escape")
        assert mark.bounding_box() == before
        page.mouse.move(before["x"] + 90, before["y"] + 40, steps=3)
        page.mouse.up()
        assert mark.bounding_box() == before
        expect(page.locator("#undo")).to_be_disabled()


def test_an_outline_never_lies_on_the_photo_as_former_marks_laid_it(visit: Visit) -> None:
    """While the photo is laid flat by marks that were moved none is shown; then it lies under the outline again."""
    with visit.tab() as page:
        traced(page, visit)
        shown = page.locator("#bench-surface .world image")
        former = shown.get_attribute("href")
        held: list[Route] = []
        page.route("**/flat", lambda route: held.append(route))
        page.get_by_role("button", name="Move marks").click()
        page.locator("#marks-surface svg.surface").focus()
        for _ in range(4):
            page.keyboard.press("Shift+ArrowRight")
        with page.expect_request("**/flat"):
            page.click("#use-marks")
        expect(page.locator("#bench-surface .leather")).to_be_visible()
        expect(shown).to_have_count(0)
        held[0].continue_()
        expect(shown).to_have_count(1)
        assert shown.get_attribute("href") != former


def test_the_drawing_stays_under_the_hand_when_a_hint_or_a_notice_changes_its_height(visit: Visit) -> None:
    with visit.tab() as page:
        traced(page, visit)
        world, surface = page.locator("#bench-surface .world"), page.locator("#bench-surface")
        page.keyboard.press("s")
        expect(page.locator("#hint")).to_contain_text("at both ends")
        before, high = world.get_attribute("transform"), surface.bounding_box()
        page.mouse.click(*on_floor(page, *hide_ring()[12]))
        expect(page.locator("#hint")).to_contain_text("at the other end")
        page.click("#look-for-spots")
        expect(page.locator("#notice")).to_contain_text("marks")
        assert surface.bounding_box() != high, "there is less room now"
        page.wait_for_timeout(100)
        assert world.get_attribute("transform") == before


def test_escape_in_the_tape_table_drops_no_row(visit: Visit) -> None:
    with visit.tab() as page:
        page.get_by_role("button", name="Type a table").click()
        page.get_by_label("Station, row 1").fill("0")
        page.get_by_label("Left, row 1").fill("420")
        page.get_by_role("button", name="Make the outline").click()
        expect(page.locator("#question [role=alert]")).to_be_visible()
        visit.refused()
        page.keyboard.press("Escape")
        expect(page.locator("#notice")).to_contain_text("kept")
        page.reload()
        page.wait_for_selector("body[data-ready]")
        page.get_by_role("button", name="Type a table").click()
        expect(page.get_by_label("Left, row 1")).to_have_value("420")


def test_the_photo_lies_under_the_layout_where_it_is_wanted(visit: Visit) -> None:
    with visit.tab() as page:
        traced(page, visit)
        page.click("#tab-plan")
        expect(page.locator("#plan-surface .world image")).to_have_count(0)
        page.get_by_label("The hide's photo under the layout").check()
        expect(page.locator("#plan-surface .world image")).to_have_count(1)
        page.select_option("#project", "(make one here)")
        page.click("#lay-out")
        expect(page.locator("#answer [data-complete]")).to_be_visible()
        expect(page.locator("#plan-surface .world image:first-child ~ .piece").first).to_be_visible()
        files: list[NDArray[np.float64]] = []
        for shown in (True, False):
            page.get_by_label("The hide's photo under the layout").set_checked(shown)
            with page.expect_download() as kept:
                page.click("#answer [data-file='picture.png']")
            with Image.open(kept.value.path()) as opened:
                files.append(np.asarray(opened.convert("RGB")).astype(float))
        assert np.abs(files[0] - files[1]).max() > 40
        assert np.abs(files[0] - files[1]).mean() > 3


def test_marks_on_the_leather_are_proposed_taken_graded_and_thrown_away(visit: Visit) -> None:
    with Image.open(visit.folder / "photo.jpg") as opened:
        marked = opened.convert("RGB")
    ImageDraw.Draw(marked).ellipse([985, 740, 1025, 770], fill=(70, 45, 30))
    marked.save(visit.folder / "marked.jpg", quality=92)
    with visit.tab() as page:
        traced(page, visit, "marked.jpg")
        page.click("#look-for-spots")
        expect(page.locator(".spot-card")).to_have_count(1)
        assert page.locator("#bench-surface .flaw").count() == 0, "nothing is a flaw until it is taken"
        nothing_found_by_axe(page)
        page.locator(".spot-card select").select_option("C")
        page.locator(".spot-card input").fill("brand")
        page.get_by_role("button", name="Take mark 1 as a flaw").click()
        expect(page.locator(".spot-card")).to_have_count(0)
        page.click("#save-hide")
        expect(page.locator("#notice")).to_contain_text("marked.json")
        (flaw,) = read_hide(visit.folder / "marked.json").flaws
        assert (flaw.kind, flaw.grade) == ("brand", Grade.C)
        page.click("#undo")
        expect(page.locator(".spot-card")).to_have_count(1)
        page.get_by_role("button", name="Throw away mark 1").click()
        expect(page.locator(".spot-card")).to_have_count(0)


def test_a_photo_is_traced_and_points_are_lassoed_by_keys_alone(visit: Visit) -> None:
    with visit.tab() as page:
        keys = page.keyboard
        with page.expect_file_chooser() as chooser:
            page.get_by_role("button", name="Choose a photo").focus()
            keys.press("Enter")
        chooser.value.set_files(visit.folder / "photo.jpg")
        expect(page.locator("#marks")).to_be_visible()
        page.locator("#marks-surface svg.surface").focus()
        for number, (x, y) in enumerate(CORNERS):
            begin = [(200, 150), (1800, 150), (1800, 1350), (200, 1350)][number]
            for off, ways in ((x - begin[0], ("ArrowRight", "ArrowLeft")), (y - begin[1], ("ArrowDown", "ArrowUp"))):
                for _ in range(round(abs(off) / 20)):
                    keys.press("Shift+" + ways[off < 0])
            keys.press("n")
        page.locator("#mark-width").focus()
        keys.type(str(SIZE[0]))
        keys.press("Tab")
        keys.type(str(SIZE[1]))
        page.locator("#use-marks").focus()
        keys.press("Enter")
        expect(page.locator("#notice")).to_contain_text("Proposed")
        assert area(page) == pytest.approx(TRUE, rel=0.04), "marks within 10 pixels"
        before = area(page)
        page.locator("#bench-surface svg.surface").focus()
        keys.press("g")
        keys.press("n")
        expect(page.locator("#cross-words")).to_contain_text("0 mm from the edge")
        for way, times in (("ArrowLeft", 3), ("ArrowUp", 3), ("ArrowRight", 6), ("ArrowDown", 6), ("ArrowLeft", 6)):
            for _ in range(times):
                keys.press(way)
            keys.press(" ")
        keys.press("Backspace")
        keys.press("Enter")
        expect(page.locator("#hint")).to_contain_text("chosen")
        keys.press("Delete")
        expect(page.locator("#undo")).to_have_attribute("title", re.compile("Take back: Take out"))
        assert area(page) != before
        keys.press("Control+z")
        assert area(page) == before
