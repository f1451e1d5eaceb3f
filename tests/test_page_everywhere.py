"""The page on every screen and by every hand: phones, zoom, dark, touch, keys, files dropped, the program gone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from browser import LAPTOP, TABLET, Visit, hide_ring, visiting
from playwright.sync_api import Page, Route, expect

LYING = {"width": 844, "height": 390}
STANDING = {"width": 390, "height": 844}
ZOOMED = {"width": 683, "height": 384}
"""A laptop of 1366 by 768 at 200 %."""
TOUCH = 44.0
"""CSS pixels a target measures at least: WCAG 2.1, 2.5.5."""
PROJECT = """format = "hideplan-project-1"
name = "Tag set"
[[piece]]
name = "front"
count = 2
shape = { rectangle = [120, 200], corner = 12 }
[[piece]]
name = "a loop of a long name"
shape = { rectangle = [20, 30] }
"""
LEATHERS = """format = "hideplan-leathers-1"
[[leather]]
name = "light"
thickness = "4-5 oz"
price = { per_area = 8, unit = "sq ft", currency = "EUR" }
hides = ["side.json"]
"""


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    folder = tmp_path_factory.mktemp("workshop")
    (folder / "tag-set.toml").write_text(PROJECT)
    hide = {"format": "hideplan-hide-1", "name": "Side", "cut": "side", "outline": hide_ring()}
    (folder / "side.json").write_text(
        json.dumps({**hide, "area": "15 sq ft", "thickness": "4 mm", "backbone": [[300, 800], [2100, 800]]})
    )
    with visiting(folder) as made:
        yield made
        said = [line for line in made.said if "ERR_" not in line and "Failed to load" not in line]
        assert not said, said


def _box(page: Page, selector: str) -> dict[str, float]:
    box = page.locator(selector).bounding_box()
    assert box is not None, selector
    return dict(box)


def _usable_by_everyone(page: Page) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    found = axe.Axe().run(page, options=rules).response["violations"]
    assert not found, [(each["id"], each["help"], [n["html"][:120] for n in each["nodes"]][:4]) for each in found]


SMALL_TARGETS = """() => [...document.querySelectorAll("button, select, summary, input")]
  .filter((each) => !["file", "checkbox", "range"].includes(each.type) && each.checkVisibility())
  .map((each) => [each, each.getBoundingClientRect()])
  .filter(([each, box]) => box.width > 0 && (box.height < 43.5 || box.width < 24))
  .map(([each, box]) => `${each.outerHTML.slice(0, 90)} ${box.width}x${box.height}`)"""


@pytest.mark.parametrize("viewport", [LYING, STANDING, ZOOMED], ids=["lying", "standing", "zoomed"])
def test_drawing_and_panel_both_have_room_and_nothing_is_too_small_to_touch(
    visit: Visit, viewport: dict[str, int]
) -> None:
    with visit.tab(viewport=viewport, has_touch=True) as page:
        assert page.evaluate(SMALL_TARGETS) == []
        page.get_by_role("button", name="Open side.json").tap()
        expect(page.locator("#bench")).to_be_visible()
        for stage, side in (("#bench-surface", "#side"), ("#plan-surface", "#plan-side")):
            drawn, told = _box(page, stage), _box(page, side)
            assert drawn["width"] >= 240
            assert drawn["height"] >= 200
            assert told["width"] >= 240
            assert told["height"] >= 200
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
            assert page.evaluate(SMALL_TARGETS) == []
            _usable_by_everyone(page)
            page.locator("#tab-plan").tap()
        page.locator("#tab-product").tap()
        page.get_by_role("button", name="Open tag-set.toml").tap()
        expect(page.locator("#product-surface .piece-outline, #product-surface path").first).to_be_visible()
        assert _box(page, "#product-surface")["height"] >= 180
        assert page.evaluate("document.querySelector('.bar').scrollWidth <= innerWidth")


def test_every_screen_can_be_read_in_the_dark(visit: Visit) -> None:
    with visit.tab(color_scheme="dark") as page:
        _usable_by_everyone(page)
        page.get_by_role("button", name="Open side.json").click()
        for tab in ("hide", "plan", "stock", "order", "compare"):
            page.click(f"#tab-{tab}")
            page.wait_for_load_state("networkidle")
            _usable_by_everyone(page)
        page.keyboard.press("?")
        expect(page.locator("#question")).to_contain_text("Projector")
        _usable_by_everyone(page)


def test_on_an_upright_tablet_every_mark_of_a_piece_can_be_read_at_the_table(visit: Visit) -> None:
    """The last row of the marks ends above the buttons; what belongs to the pointer is not printed."""
    with visit.tab(viewport=TABLET, has_touch=True) as page:
        page.get_by_role("button", name="Open side.json").tap()
        page.locator("#tab-plan").tap()
        page.select_option("#project", "tag-set.toml")
        page.locator("#lay-out").tap()
        expect(page.locator("#hand-fill")).to_be_visible(timeout=120_000)
        assert page.evaluate(SMALL_TARGETS) == []
        page.locator("#plan-surface path.piece").first.tap()
        expect(page.locator(".turner-disc")).to_be_visible()
        _usable_by_everyone(page)
        page.emulate_media(media="print")
        expect(page.locator(".turner-disc")).to_be_hidden()
        expect(page.locator("#tip")).to_be_hidden()
        page.emulate_media(media="screen")
        page.locator("#to-cutting").tap()
        rows = page.locator("table.marks tbody tr")
        expect(rows.first).to_be_visible()
        assert rows.count() >= 1
        row, steps = rows.last.bounding_box(), _box(page, ".table .steps")
        assert row is not None
        wide = page.locator("#cutting .wide").evaluate("(each) => each.scrollHeight - each.clientHeight")
        assert wide <= 1, "no mark is hidden in a part that scrolls"
        assert row["y"] + row["height"] <= steps["y"] + 1


def test_a_notice_covers_no_tool(visit: Visit) -> None:
    with visit.tab(viewport=LYING) as page:
        page.get_by_role("button", name="Open side.json").click()
        page.click("#tab-plan")
        page.click("#lay-out")
        expect(page.locator("#notice")).to_be_visible()
        notice = _box(page, "#notice")
        for button in page.locator("#panel-plan button:visible").all():
            box = button.bounding_box()
            if box is None or not page.evaluate(
                "([x, y]) => Boolean(document.elementFromPoint(x, y)?.closest('#panel-plan'))",
                [box["x"] + 2, box["y"] + 2],
            ):
                continue
            assert box["y"] + box["height"] <= notice["y"] + 1 or box["y"] >= notice["y"] + notice["height"] - 1


def test_the_focus_goes_on_to_the_screen_that_comes(visit: Visit) -> None:
    with visit.tab() as page:
        page.get_by_role("button", name="Open side.json").press("Enter")
        expect(page.locator("#bench")).to_be_visible()
        expect(page.locator("#bench-surface svg.surface")).to_be_focused()
        page.locator("#go-plan").press("Enter")
        expect(page.locator("#plan-surface svg.surface")).to_be_focused()
        page.locator("#to-start").press("Enter")
        expect(page.locator("#start h2")).to_be_focused()


def test_a_question_mark_lists_the_keys_but_not_in_a_field(visit: Visit) -> None:
    with visit.tab() as page:
        page.get_by_role("button", name="Open side.json").click()
        expect(page.locator("#measured")).not_to_have_text("")
        page.get_by_label("Lot").click()
        expect(page.get_by_label("Lot")).to_be_focused()
        page.keyboard.press("?")
        expect(page.locator("#question")).to_be_hidden()
        page.locator("#bench-surface svg.surface").press("?")
        expect(page.locator("#question")).to_contain_text("choose a tool")
        expect(page.get_by_role("button", name="Done")).to_be_focused()
        page.keyboard.press("Escape")
        expect(page.locator("#question")).to_be_hidden()


ARRIVE = """([kind, name, text]) => {
  const data = new DataTransfer();
  data.items.add(new File([text], name, { type: "text/plain" }));
  const event = kind === "drop" ? new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true })
    : new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true });
  document.querySelector("main").dispatchEvent(event);
}"""


def test_files_are_dropped_and_pasted_anywhere(visit: Visit) -> None:
    hide = {"format": "hideplan-hide-1", "name": "Dropped", "cut": "offcut", "outline": [[0, 0], [400, 0], [300, 300]]}
    with visit.tab() as page:
        page.evaluate(ARRIVE, ["drop", "dropped.json", json.dumps(hide)])
        expect(page.locator("#bench")).to_be_visible()
        expect(page.get_by_label("Name", exact=True)).to_have_value("Dropped")
        page.evaluate(ARRIVE, ["paste", "pasted.toml", PROJECT.replace("Tag set", "Pasted")])
        expect(page.locator("#notice")).to_contain_text("pasted.toml lies in the folder now")
        page.evaluate(ARRIVE, ["drop", "pasted-leathers.toml", LEATHERS])
        expect(page.locator("#notice")).to_contain_text("choose it under Compare")
        page.evaluate(ARRIVE, ["drop", "notes.txt", "nothing"])
        expect(page.locator("#notice")).to_contain_text("is no photo")


def test_the_page_says_when_the_program_has_gone_and_when_it_is_back(visit: Visit) -> None:
    with visit.tab() as page:
        page.get_by_role("button", name="Open side.json").click()
        expect(page.get_by_label("Lot")).to_be_visible()
        expect(page.locator("#saved")).to_have_text("All kept")
        page.context.set_offline(True)
        page.get_by_label("Lot").fill("7")
        expect(page.locator("#away")).to_be_visible()
        page.context.set_offline(False)
        expect(page.locator("#away")).to_be_hidden()
        expect(page.locator("#saved")).to_have_text("All kept")
        assert _draft(page)["hide"]["lot"] == "7"


def _draft(page: Page) -> dict[str, Any]:
    found: dict[str, Any] = page.evaluate(
        "async () => (await (await fetch('/api/drafts/' + location.hash.slice(1, 13))).json()).content"
    )
    return found


def test_units_are_one_choice_for_the_whole_page_and_kept(visit: Visit) -> None:
    with visit.tab() as page:
        page.get_by_role("button", name="Open side.json").click()
        page.click("#look")
        page.locator("#question [data-look=area]").select_option("m2")
        page.locator("#question [data-look=length]").select_option("in")
        page.get_by_role("button", name="Done").click()
        expect(page.locator("#measured")).to_contain_text("m²")
        page.click("#tab-plan")
        page.select_option("#project", "tag-set.toml")
        expect(page.locator("#plan-side")).to_contain_text("4 3/4 in × 7 7/8 in")
        page.wait_for_load_state("networkidle")
        page.wait_for_timeout(600)  # the desk is kept four tenths of a second after a change
        page.reload()
        expect(page.locator("#plan-side")).to_contain_text("4 3/4 in × 7 7/8 in")
        page.click("#look")
        page.locator("#question [data-look=area]").select_option("sq ft")
        page.locator("#question [data-look=length]").select_option("mm")
        page.locator("#question [data-look=thickness]").select_option("oz")
        page.get_by_role("button", name="Done").click()
        expect(page.locator("#plan-side")).to_contain_text("120 mm × 200 mm")
        page.click("#to-start")
        expect(page.locator("#shelf")).to_contain_text("15.00 sq ft · 10 oz")  # 4 mm are 10.08 ounces of 1/64 in
        page.click("#look")
        page.locator("#question [data-look=area]").select_option("m2")
        page.get_by_role("button", name="Done").click()
        expect(page.locator("#shelf")).to_contain_text("1.394 m² · 10 oz")


def test_kinds_too_small_for_their_name_have_it_beside_them(visit: Visit) -> None:
    with visit.tab(viewport=LAPTOP) as page:
        page.get_by_role("button", name="Open side.json").click()
        page.click("#tab-plan")
        page.select_option("#project", "tag-set.toml")
        page.click("#lay-out")
        expect(page.locator("#mark-cut")).to_be_visible(timeout=120_000)
        expect(page.locator("#plan-surface .leader-name")).to_have_text(["a loop of a long name"])
        page.emulate_media(media="print")
        expect(page.locator(".bar")).to_be_hidden()
        expect(page.locator("#plan-surface svg.surface")).to_be_visible()
        expect(page.locator("#answer")).to_be_visible()


def test_what_is_wrong_with_leathers_is_told_where_they_are_typed_and_leaving_drops_none(visit: Visit) -> None:
    with visit.tab() as page:
        page.click("#tab-compare")
        page.click("#leathers-new")
        page.get_by_role("button", name="Keep the file").click()
        expect(page.locator("#question [role=alert]")).to_contain_text("leather 1: give its name")
        for name, told in {"name": "heavy", "thickness": "10-11 oz", "price": "dear", "currency": "EUR"}.items():
            page.fill(f"[data-leather='0-{name}']", told)
        page.get_by_role("button", name="Keep the file").click()
        expect(page.locator("#question [role=alert]")).to_contain_text("“dear” must be a number")
        _usable_by_everyone(page)
        page.keyboard.press("Escape")
        expect(page.locator("#notice")).to_contain_text("is kept")
        with page.expect_response("**/api/desk"):
            page.reload()
        page.wait_for_selector("body[data-ready]")
        page.click("#leathers-new")
        expect(page.locator("[data-leather='0-price']")).to_have_value("dear")
        page.get_by_role("button", name="Begin anew").click()
        expect(page.locator("[data-leather='0-price']")).to_have_value("")
        page.get_by_role("button", name="Back").click()


def test_leathers_can_be_begun_before_what_the_folder_holds_is_known(visit: Visit) -> None:
    with visit.tab() as page:
        held: list[Route] = []
        page.route("**/api/folder", lambda route: held.append(route))
        page.click("#tab-compare")
        page.click("#leathers-new")
        expect(page.locator("#compare-project")).to_have_count(0)
        assert held
        page.unroute("**/api/folder")  # which lets go on what is held
        page.fill("#leathers-name", "made.toml")


def test_leathers_are_written_in_a_form_and_a_product_s_interlock_is_shown(visit: Visit) -> None:
    with visit.tab() as page:
        page.click("#tab-compare")
        page.click("#leathers-new")
        page.fill("#leathers-name", "made.toml")
        for name, told in {"name": "heavy", "thickness": "10-11 oz", "price": "9.5", "currency": "EUR"}.items():
            page.fill(f"[data-leather='0-{name}']", told)
        page.locator("#question summary").click()
        page.check("[data-sample='0-side.json']")
        _usable_by_everyone(page)
        page.get_by_role("button", name="Keep the file").click()
        expect(page.locator("#compare-leathers")).to_have_value("made.toml")
        page.click("#leathers-change")
        expect(page.locator("[data-leather='0-thickness']")).to_have_value("10-11 oz")
        page.get_by_role("button", name="Back").click()
        page.click("#tab-hide")
        page.get_by_role("button", name="Open side.json").click()
        page.click("#tab-plan")
        page.select_option("#project", "tag-set.toml")
        page.click("#interlock")
        expect(page.locator("#question table")).to_contain_text("front")
        _usable_by_everyone(page)
