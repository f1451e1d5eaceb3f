"""The other ways in and the other tabs in a real browser: drawing, tape, invoice, stock, order, comparison."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from browser import LAPTOP, TABLET, Visit, visiting
from page_server import FORM, SQUARE_HIDE
from playwright.sync_api import Page, expect
from test_page_workshop import LEATHERS

from hides.hide_file import write_hide
from hides.stock import open_stock
from nesting.page.bench_hide import hide_of
from nesting.page.projects import form_text

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="800mm" height="500mm" viewBox="0 0 800 500">
<path id="edge" d="M0 0 C200 40 600 -40 800 0 V480 Q400 520 0 500 Z"/><circle id="scar" cx="300" cy="200" r="25"/>
<line id="backbone" x1="20" y1="250" x2="780" y2="250"/></svg>"""


@pytest.fixture(scope="module")
def visit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visit]:
    folder = tmp_path_factory.mktemp("workshop")
    hide = hide_of({**SQUARE_HIDE, "price": {"per_area": 9, "unit": "sq ft", "currency": "EUR"}})
    for name in ("a", "b"):
        write_hide(folder / f"{name}.json", replace(hide, name=f"Hide {name}"))
    (folder / "tag.toml").write_bytes(form_text(FORM))
    (folder / "leathers.toml").write_text(LEATHERS)
    (folder / "side.svg").write_text(DRAWING)
    with visiting(folder) as made:
        yield made
        outside = [url for url in made.asked if not url.startswith((made.address, "data:", "blob:"))]
        assert not outside, f"the page asked for {outside}"
        assert not made.said, made.said


def _usable_by_everyone(page: Page) -> None:
    """WCAG 2.1 A and AA as the axe-core rules check them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    found = axe.Axe().run(page, options=rules).response["violations"]
    assert not found, [(each["id"], each["help"], [n["html"][:120] for n in each["nodes"]][:4]) for each in found]


def test_a_drawing_s_lines_are_told_apart_by_the_person(visit: Visit) -> None:
    with visit.tab() as page:
        page.set_input_files("#file-drawing", visit.folder / "side.svg")
        expect(page.locator("#question")).to_contain_text("edge")
        _usable_by_everyone(page)
        page.get_by_role("button", name="Take them").click()
        expect(page.locator("#measured")).to_contain_text("sq ft")
        assert page.locator("#bench-surface .backbone").count() == 1
        assert page.locator("#bench-surface .flaw").count() == 1
        expect(page.locator("#side")).to_contain_text("Nothing crosses, nothing lies outside.")


def test_a_hide_comes_from_the_invoice_and_says_it_is_an_estimate(visit: Visit) -> None:
    with visit.tab() as page:
        page.get_by_role("button", name="Give cut and area").click()
        page.fill("#typical-area", "22 3/4 sq ft")
        _usable_by_everyone(page)
        page.get_by_role("button", name="Make it").click()
        expect(page.locator("#measured")).to_have_text("22.75 sq ft")
        expect(page.locator(".estimate").filter(has_text="An estimate").first).to_be_visible()


def test_a_hide_comes_from_the_tape(visit: Visit) -> None:
    """Trapezoids: 500 · (400/2 + 600 + 500/2) = 525 000 mm² = 0.525 m²."""
    with visit.tab() as page:
        page.get_by_role("button", name="Type a table").click()
        for row, (station, left) in enumerate([("0", "400"), ("500", "600"), ("1000", "500")], 1):
            page.get_by_label(f"Station, row {row}").fill(station)
            page.get_by_label(f"Left, row {row}").fill(left)
        _usable_by_everyone(page)
        page.get_by_role("button", name="Make the outline").click()
        page.get_by_label("Unit of area").select_option("m2")
        expect(page.locator("#measured")).to_have_text("0.525 m²")


def test_the_shelf_an_order_and_what_is_cut(visit: Visit) -> None:
    with visit.tab(viewport=TABLET) as page:
        page.click("#tab-stock")
        expect(page.locator("#stock-cards article")).to_have_count(2)
        page.click("#stock-add")
        expect(page.locator("#stock-sums")).to_contain_text("hides.stock")
        page.get_by_role("button", name="Take out: Hide a").click()
        expect(page.locator("#stock-cards article")).to_have_count(1)
        page.click("#stock-undo")
        expect(page.locator("#stock-cards article")).to_have_count(2)
        page.locator("#stock-cards summary").first.click()
        page.get_by_role("button", name="Correct: Hide a").click()
        expect(page.locator("#notice")).to_contain_text("Choose the hide file")
        for whom, told in (("Ada", "Kept for somebody: Hide a"), ("", "Free again: Hide a")):
            page.get_by_label("Kept for").first.fill(whom)
            page.get_by_role("button", name="Keep: kept for Hide a").click()
            expect(page.locator("#notice")).to_contain_text(told)
            expect(page.get_by_role("button", name="Keep: kept for Hide a")).to_be_focused()
        _usable_by_everyone(page)
        page.click("#tab-order")
        page.select_option("#order-project-0", "tag.toml")
        page.fill("#order-quantity-0", "0")
        page.click("#order-go")
        expect(page.locator("#notice")).to_contain_text("product 1: quantity: is 0")
        visit.refused()
        page.fill("#order-quantity-0", "2")
        page.locator("#order-leather-0").fill("none such")
        page.click("#order-go")
        expect(page.locator("[data-filled=false]")).to_be_visible(timeout=90_000)
        expect(page.locator("#notice")).to_be_hidden()
        expect(page.locator("#order-commit")).to_have_count(0)
        page.locator("#order-leather-0").fill("")
        page.reload()
        page.wait_for_selector("body[data-ready]")
        expect(page.locator("#order-quantity-0")).to_have_value("2")
        page.click("#order-go")
        expect(page.locator("[data-filled=true]")).to_be_visible(timeout=90_000)
        assert page.locator("#order-hides svg.hide-picture").count() == 1
        assert page.locator("#order-hides .piece").count() >= 4
        _usable_by_everyone(page)
        page.click("#order-commit")
        page.get_by_role("button", name="Mark them cut").click()
        expect(page.locator("#notice")).to_contain_text("Marked cut")
        with open_stock(visit.folder / "hides.stock") as stock:
            assert len([each for each in stock.hides() if each.hide.cut != "offcut"]) == 1


def test_leathers_are_compared_in_a_table_and_charts(visit: Visit) -> None:
    with visit.tab(viewport=LAPTOP) as page:
        page.click("#tab-compare")
        page.select_option("#compare-project", "tag.toml")
        page.select_option("#compare-leathers", "leathers.toml")
        page.click("#compare-go")
        expect(page.locator("#compare-answer")).to_contain_text("Cheapest: light", timeout=90_000)
        assert page.locator("svg.chart").count() == 2
        assert page.locator("#compare-answer table tbody tr").count() == 2
        expect(page.locator("#compare-answer table tbody tr").first).to_contain_text("no less than")
        for row in page.locator("#compare-answer table tbody tr").all():
            leather, everything = (float(row.locator("td").nth(n).inner_text().split()[0]) for n in (6, 7))
            assert leather <= everything, "a part of the costs is no more than all of them"
        page.click("#leathers-new")
        expect(page.locator("label:has([data-sample='0-a.json'])")).to_contain_text(" mm")
        page.get_by_role("button", name="Back").click()
        _usable_by_everyone(page)
        with page.expect_download() as download:
            page.click("[data-file='comparison.pdf']")
        assert download.value.path().read_bytes().startswith(b"%PDF")
