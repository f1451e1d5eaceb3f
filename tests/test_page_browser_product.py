"""The product bench in a real browser: products made from nothing by pointer and by keys, laid on a hide at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import LAPTOP, TABLET, Visit, visiting
from page_server import SQUARE_HIDE
from playwright.sync_api import Page, expect

from hides.hide_file import write_hide
from nesting.page.bench_hide import hide_of

SCENARIO = Path(__file__).parent.parent / "nesting" / "scenario"


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    folder = tmp_path_factory.mktemp("products")
    write_hide(folder / "square.json", hide_of(SQUARE_HIDE))
    (folder / "satchel.toml").write_bytes((SCENARIO / "satchel.toml").read_bytes())
    with visiting(folder) as made:
        yield made
        outside = [url for url in made.asked if not url.startswith((made.address, "data:", "blob:"))]
        assert not outside, f"the page asked for {outside}"
        assert not made.said, made.said


def _begin(page: Page, units: str = "mm") -> None:
    page.click("#tab-product")
    page.click(f"#product-new-{units}")
    expect(page.locator("#product-bench")).to_be_visible()


def _value(page: Page) -> Any:
    return tomllib.loads(page.input_value("#product-text"))


def _until(page: Page, part: str) -> None:
    """Wait until the project's text has this part."""
    expect(page.locator("#product-text")).to_have_value(re.compile(re.escape(part)))


def _until_gone(page: Page, part: str) -> None:
    """Wait until the project's text has this part no more."""
    expect(page.locator("#product-text")).not_to_have_value(re.compile(re.escape(part)))


def _set(page: Page, label: str, value: str, scope: str = "#product-form") -> None:
    box = page.locator(scope).get_by_label(label, exact=True).first
    box.fill(value)
    box.press("Enter")


def _drag(page: Page, selector: str, index: int, dx: float, dy: float) -> None:
    box = page.locator(selector).nth(index).bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx / 2, y + dy / 2)
    page.mouse.move(x + dx, y + dy)
    page.mouse.up()


def test_a_strap_is_made_by_pointer_and_laid_on_a_hide(visit: Visit) -> None:
    with visit.tab() as page:
        _begin(page)
        page.fill("#product-name", "Tie")
        page.press("#product-name", "Enter")
        _until(page, '"Tie"')
        page.click("[data-shape-kind=strap]")
        expect(page.locator("#piece-name")).to_be_focused()
        page.keyboard.type("strap")
        page.keyboard.press("Enter")
        _until(page, 'name = "strap"')
        _set(page, "length over all", "400")
        _until(page, "[32, 400]")
        page.click("[data-feature-kind=belt_holes]")
        _until(page, "belt_holes")
        page.click("[data-feature-kind=buckle_slots]")
        _until(page, "buckle_slots")
        page.get_by_role("button", name="along the backbone").click()
        page.get_by_role("button", name="B", exact=True).click()
        _until(page, 'grade = "B"')
        expect(page.locator("#product-surface .punch")).to_have_count(5)
        _drag(page, "#product-surface .handle.side", 0, 30, 0)
        _until_gone(page, "[32, 400]")
        width = _value(page)["piece"][0]["shape"]["strap"][0]
        assert width > 32
        page.click("#undo")
        _until(page, "[32, 400]")
        page.click("#redo")
        _until(page, f"[{width}, 400]")
        page.reload()
        page.wait_for_selector("body[data-ready]")
        _until(page, f"[{width}, 400]")
        page.click("#undo")
        _until(page, "[32, 400]")
        page.click("#product-lay")
        page.get_by_role("button", name="Keep it").click()
        page.get_by_role("button", name="Open square.json").click()
        page.click("#tab-plan")
        expect(page.locator("#plan-side")).to_contain_text("strap")
        page.get_by_role("button", name="Lay out").click()
        expect(page.locator("#plan-side .big").first).to_contain_text("× Tie")


def test_a_folded_case_is_made_by_keys_alone(visit: Visit) -> None:
    with visit.tab() as page:
        _begin(page)
        _press(page, "Rectangle")
        expect(page.locator("#piece-name")).to_be_focused()
        page.keyboard.type("body")
        page.keyboard.press("Enter")
        _until(page, '"body"')
        page.locator("#product-surface svg.surface").focus()
        for _ in range(3):
            page.keyboard.press("n")
        for _ in range(4):
            page.keyboard.press("ArrowRight")
        page.keyboard.press("Shift+ArrowUp")
        _until(page, "[124, 170]")
        _press(page, "left over right")
        _until(page, 'fold = "y"')
        page.locator("#product-surface svg.surface").focus()
        page.keyboard.press("e")
        page.keyboard.press("e")
        expect(page.locator("#product-hint")).to_contain_text("right")
        _press(page, "Row of holes")
        _until(page, 'edge = "right"')
        expect(page.locator("#product-surface .punch").first).to_be_attached()
        assert _value(page)["piece"][0]["fold"] == "y"
        page.keyboard.press("Control+z")
        _until_gone(page, "rows")


def _press(page: Page, name: str) -> None:
    """Press a button by the keyboard."""
    button = page.get_by_role("button", name=name, exact=True)
    button.focus()
    page.keyboard.press("Enter")


def test_either_side_is_edited_and_nothing_is_lost(visit: Visit) -> None:
    with visit.tab() as page:
        page.click("#tab-product")
        page.get_by_role("button", name="Open satchel.toml").click()
        expect(page.locator("#product-strip .piece-card")).to_have_count(9)
        _set(page, "in one product", "7")
        _until(page, "count = 7")
        before = (SCENARIO / "satchel.toml").read_text()
        made = page.input_value("#product-text")
        assert [line for line in made.splitlines() if "#" in line] == [l for l in before.splitlines() if "#" in l]  # noqa: E741
        page.click("#product-text-toggle")
        page.fill("#product-text", made.replace("count = 7", "count = 3 # three"))
        expect(page.locator("#product-form").get_by_label("in one product")).to_have_value("3")
        page.fill("#product-text", made.replace("count = 7", "count = "))
        expect(page.locator("#product-form")).to_contain_text("no TOML")
        page.click("#undo")
        _until_gone(page, "count = 7")
        expect(page.locator("#product-form")).not_to_contain_text("no TOML")


def test_a_slip_is_told_at_its_field(visit: Visit) -> None:
    with visit.tab() as page:
        _begin(page)
        page.click("[data-shape-kind=rectangle]")
        _until(page, "rectangle")
        page.click("[data-feature-kind=rows]")
        _until(page, "rows")
        _set(page, "pitch", "900")
        expect(page.locator("#product-problem")).to_contain_text("900 mm is longer than the line")
        assert page.locator("[aria-describedby=product-problem]").get_attribute("data-field") == "rows[0].pitch"
        expect(page.locator("#product-fault")).to_contain_text("piece 1")
        _set(page, "pitch", "5")
        expect(page.locator("#product-problem")).to_have_count(0)


@pytest.mark.parametrize("viewport", [LAPTOP, TABLET], ids=["laptop", "tablet"])
def test_the_product_bench_can_be_used_by_everyone(visit: Visit, viewport: dict[str, int]) -> None:
    """WCAG 2.1 A and AA as the axe-core rules check them; targets of 44 px, as WCAG 2.5.5 asks for."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}

    def look(page: Page) -> None:
        found = axe.Axe().run(page, options=rules).response["violations"]
        assert not found, [(each["id"], each["help"], [n["html"][:120] for n in each["nodes"]][:4]) for each in found]
        small = page.eval_on_selector_all(
            "#panel-product button",
            "all => all.filter((b) => b.offsetParent && Math.min(b.offsetHeight, b.offsetWidth) < 44)"
            ".map((b) => b.outerHTML)",
        )
        assert not small, small[:4]

    with visit.tab(viewport=viewport) as page:
        page.click("#tab-product")
        expect(page.locator("#product-files")).to_contain_text("satchel.toml")
        look(page)
        page.get_by_role("button", name="Open satchel.toml").click()
        expect(page.locator("#product-strip .piece-card")).to_have_count(9)
        look(page)
        page.click("#product-text-toggle")
        page.click("#product-view-joints")
        expect(page.locator("#product-form")).to_contain_text("Seams")
        look(page)
        page.click("#product-all")
        expect(page.locator("#product-surface .measure.strong").first).to_be_attached()
        look(page)
