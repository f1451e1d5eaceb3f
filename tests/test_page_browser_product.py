"""The product bench in a real browser: products made from nothing by pointer and by keys, laid on a hide at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from browser import CORNERS, LAPTOP, TABLET, Visit, visiting
from page_server import SQUARE_HIDE
from PIL import Image, ImageDraw
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
        expect(page.locator("#plan-side .big").first).to_contain_text("× Tie", timeout=180_000)
        page.locator("#plan-side details:has(#to-product) > summary").click()
        page.click("#to-product")
        expect(page.locator("#product-file-words")).to_have_text("tie.toml, as kept")


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


def _tap(page: Page, x: float, y: float) -> None:
    """Tap the drawing at a share of its width and height."""
    box = page.locator("#product-surface").bounding_box()
    assert box
    page.mouse.click(box["x"] + x * box["width"], box["y"] + y * box["height"])


def test_corners_of_ones_own_are_tapped_or_set_by_keys_in_fractions_of_an_inch(visit: Visit) -> None:
    with visit.tab() as page:
        _begin(page, "in")
        page.click("[data-shape-kind=polygon]")
        for x, y in ((0.3, 0.7), (0.6, 0.7), (0.6, 0.4), (0.3, 0.7)):
            _tap(page, x, y)
        _until(page, "polygon")
        corners = _value(page)["piece"][0]["shape"]["polygon"]
        assert len(corners) == 3
        assert all(str(value).endswith(" in") for corner in corners for value in corner)
        page.keyboard.press("Escape")
        page.click("[data-shape-kind=polygon]")
        for keys in (["Enter"], ["ArrowRight"] * 6 + ["Enter"], ["ArrowUp"] * 4 + ["Enter"]):
            for key in keys:
                page.keyboard.press(key)
        for key in ["ArrowLeft"] * 6 + ["ArrowDown"] * 4 + ["Enter"]:
            page.keyboard.press(key)
        _until(page, '[["0 in", "0 in"], ["3 3/4 in", "0 in"], ["3 3/4 in", "2 1/2 in"]]')
        expect(page.locator("#piece-size")).to_contain_text("3 3/4 in × 2 1/2 in")
        page.click("[data-shape-kind=polygon]")
        for typed in ("0, 0", "2 * 3 in, 0", "max(4 in, 3 in), 5 1/2"):
            page.fill("[data-key=corner-next]", typed)
            page.press("[data-key=corner-next]", "Enter")
        expect(page.locator("#product-form ol li")).to_have_count(3)
        page.press("[data-key=corner-next]", "Enter")
        _until(page, '[[0, 0], ["2 * 3 in", 0], ["max(4 in, 3 in)", "5 1/2 in"]]')
        page.locator("#product-strip .piece-card").nth(1).click()
        box = page.get_by_label("x of corner 2", exact=True)
        box.fill("4 1/8")
        box.press("Enter")
        _until(page, '"4 1/8 in"')


def test_holes_are_picked_for_a_joint_and_the_stack_follows_the_leather(visit: Visit) -> None:
    with visit.tab() as page:
        _begin(page)
        for name in ("flap", "strap"):
            page.click("[data-shape-kind=rectangle]")
            expect(page.locator("#piece-name")).to_be_focused()
            page.keyboard.type(name)
            page.keyboard.press("Enter")
            _until(page, f'"{name}"')
            page.click("[data-feature-kind=holes]")
            expect(page.locator("#product-surface .punch")).to_have_count(1)
        page.click("#product-view-joints")
        page.get_by_role("button", name="One more fastener: rivet").click()
        _until(page, "[[fastener]]")
        page.click("#joint-more")
        _until(page, "[[joint]]")
        page.get_by_role("button", name="Pick its holes").click()
        page.locator("#product-surface .handle.hole").click(force=True)
        _until(page, '{ piece = "strap", holes = "joint" }')
        page.get_by_role("button", name="flap", exact=True).click()
        page.locator("#product-surface .handle.hole").click(force=True)
        _until(page, '{ piece = "flap", holes = "joint" }')
        page.click("#product-view-joints")
        page.get_by_label("held by").select_option("rivet")
        expect(page.locator(".stack-words")).to_contain_text("Stack 6 mm; rivet 6 mm")
        page.get_by_role("slider", name="Leather 3 mm thick").fill("4")
        expect(page.locator(".stack-words")).to_contain_text("Stack 8 mm; rivet 8 mm")
        page.click("#product-view-piece")
        page.get_by_role("button", name="strap", exact=True).click()
        page.click("[data-feature-kind=holes]")
        _until(page, "{ at = [60, 70], diameter = 4 }")
        _set(page, "group", "joint", '[data-feature="holes-1"]')
        expect(page.locator("#product-surface .off-hole")).to_have_count(1)
        expect(page.locator("#product-fault")).to_contain_text("joint")


def test_a_loop_follows_the_thickness_slider(visit: Visit) -> None:
    """A loop round 60 mm is π (60 + t) long: π mm more for a millimetre of leather."""
    with visit.tab() as page:
        _begin(page)
        page.click("[data-shape-kind=rectangle]")
        _until(page, "rectangle")
        _set(page, "length", "pi * (60 mm + t)")
        expect(page.locator("#piece-size")).to_contain_text("197.9 mm")
        page.locator("#product-t").focus()
        for _ in range(10):
            page.keyboard.press("ArrowRight")
        expect(page.locator("#product-t-words")).to_have_text("4 mm")
        expect(page.locator("#piece-size")).to_contain_text("201.1 mm")


def test_a_product_is_kept_under_another_name_and_compared_with_its_last_version(visit: Visit) -> None:
    with visit.tab() as page:
        _begin(page)
        page.click("[data-shape-kind=rectangle]")
        _until(page, "rectangle")
        page.click("#product-keep")
        page.fill("#product-file-name", "tag")
        page.get_by_role("button", name="Keep it").click()
        expect(page.locator("#product-file-words")).to_have_text("tag.toml, as kept")
        _set(page, "width", "130")
        expect(page.locator("#product-file-words")).to_contain_text("changed since it was kept")
        page.click("#product-compare")
        expect(page.locator("#question table")).to_contain_text("shape.rectangle[0]")
        expect(page.locator("#question tbody")).to_contain_text("130")
        page.get_by_role("button", name="Go on").click()
        expect(page.locator("#product-surface .former")).to_have_count(1)
        page.click("#product-keep")
        expect(page.locator("#product-file-words")).to_have_text("tag.toml, as kept")
        page.click("#product-keep-as")
        page.fill("#product-file-name", "broad tag.toml")
        page.get_by_role("button", name="Keep it").click()
        expect(page.locator("#product-file-words")).to_have_text("broad tag.toml, as kept")
        assert "[130, 160]" in (visit.folder / "tag.toml").read_text()
        with page.expect_download() as download:
            page.click("#product-pattern")
        assert Path(download.value.path()).read_bytes().startswith(b"%PDF")


PATTERN = [(150, 100), (430, 100), (430, 260), (380, 340), (200, 340), (150, 260)]
"""A paper pattern on the mat, mm: 280 by 240."""
MAT = (600, 450)


def pattern_photo(path: Path) -> None:
    """A pale paper pattern on a green mat with four marks, seen by a tilted camera; 2000 × 1500 pixels."""
    scale, margin = 4, 120
    wide, high = MAT[0] + 2 * margin, MAT[1] + 2 * margin
    noise = np.random.default_rng(3).normal(0, 5, (high, wide, 1)) + np.array([60, 105, 88])
    flat = Image.fromarray(np.kron(np.clip(noise, 0, 255).astype(np.uint8), np.ones((scale, scale, 1), np.uint8)))
    draw = ImageDraw.Draw(flat)

    def place(x: float, y: float) -> tuple[float, float]:
        return (x + margin) * scale, (MAT[1] - y + margin) * scale

    draw.polygon([place(x, y) for x, y in PATTERN], fill=(236, 232, 220))
    corners = [place(0, MAT[1]), place(*MAT), place(MAT[0], 0), place(0, 0)]
    rows: list[list[float]] = []
    for (u, v), (x, y) in zip(CORNERS, corners, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -x * u, -x * v], [0, 0, 0, u, v, 1, -y * u, -y * v]]
    seen = np.linalg.solve(np.array(rows, float), np.array(corners, float).ravel())
    way = Image.Transform.PERSPECTIVE
    photo = flat.transform((2000, 1500), way, seen.tolist(), Image.Resampling.BICUBIC, fillcolor=(70, 70, 70))
    photo.save(path, quality=90)


def test_a_paper_pattern_in_a_photo_becomes_a_piece(visit: Visit) -> None:
    """Within 1.5 mm of the pattern's size over its 280 mm; its corners are then corrected by their numbers."""
    photo = visit.folder / "pattern.jpg"
    pattern_photo(photo)
    with visit.tab() as page:
        _begin(page)
        page.set_input_files("#product-photo", photo)
        expect(page.locator("#marks")).to_be_visible()
        surface = page.locator("#marks-surface")
        for index, (x, y) in enumerate(CORNERS):
            dot = surface.locator("circle.mark").nth(index).bounding_box()
            image = surface.locator("image").first.bounding_box()
            assert dot
            assert image
            page.mouse.move(dot["x"] + dot["width"] / 2, dot["y"] + dot["height"] / 2)
            page.mouse.down()
            to = image["x"] + image["width"] * x / 2000, image["y"] + image["height"] * y / 1500
            page.mouse.move(to[0] + 3, to[1] + 3)
            page.mouse.move(*to)
            page.mouse.up()
        page.fill("#mark-width", "600 mm")
        page.fill("#mark-height", "450 mm")
        page.click("#use-marks")
        _until(page, "polygon")
        expect(page.locator("#product-bench")).to_be_visible()
        corners = np.array(_value(page)["piece"][0]["shape"]["polygon"])
        assert corners.min(axis=0).tolist() == [0, 0]
        assert corners.max(axis=0) == pytest.approx([280, 240], abs=3)
        box = page.get_by_label("x of corner 2", exact=True)
        box.fill("0")
        box.press("Enter")
        _until(page, "[0, ")


def test_corners_are_rounded_one_by_one_and_a_piece_is_copied_and_taken_out(visit: Visit) -> None:
    with visit.tab() as page:
        _begin(page)
        page.click("[data-shape-kind=rectangle]")
        _until(page, "rectangle")
        page.locator("#product-surface .handle.corner").nth(2).click(force=True)
        page.get_by_role("button", name="Rounded").click()
        _until(page, "corners = [0, 0, 8, 0]")
        page.get_by_role("button", name="Cut off").click()
        _until(page, "corners = [0, 0, { cut = 8 }, 0]")
        page.get_by_label("cut off both edges").fill("12")
        page.keyboard.press("Enter")
        _until(page, "{ cut = 12 }")
        page.get_by_role("button", name="Free its corners").click()
        _until(page, "{ at = [120, 160], cut = 12 }")
        page.locator("#product-surface .handle.corner").nth(1).click(force=True)
        expect(page.locator("#chosen").get_by_label("x", exact=True)).to_have_value("120")
        page.get_by_role("button", name="On an arc").click()
        _until(page, "{ arc = [120, 0], rise = 6 }")
        _set(page, "name of this edge", "foot")
        _until(page, 'edge = "foot"')
        _set(page, "x", "124", "#chosen")
        _until(page, "arc = [124, 0]")
        page.get_by_role("button", name="Straight").click()
        _until(page, '{ at = [124, 0], edge = "foot" }')
        page.click("[data-feature-kind=covered]")
        _until(page, 'grade = "D"')
        expect(page.locator("#product-surface .covered-part")).to_have_count(1)
        page.click("#piece-copy")
        _until(page, '"piece 1 copy"')
        page.click("#piece-out")
        _until_gone(page, '"piece 1 copy"')
        page.click("#piece-outline")
        expect(page.locator("#piece-name")).to_be_focused()
        page.keyboard.type("lining")
        page.keyboard.press("Enter")
        _until(page, 'name = "lining"')
        own, lining = _value(page)["piece"]
        assert lining == {"name": "lining", "shape": own["shape"]}
        page.click("#piece-out")
        _until_gone(page, '"lining"')
        expect(page.locator("#product-strip .piece-card")).to_have_count(2)


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
        # its outline stays in sight, and its edges in the form
        expect(page.locator("#product-surface .former")).to_have_count(1)
        expect(page.get_by_role("group", name="Along which edges").get_by_role("button")).to_have_count(5)
        _set(page, "pitch", "5")
        expect(page.locator("#product-problem")).to_have_count(0)


def test_a_line_of_another_kind_keeps_what_goes_with_it(visit: Visit) -> None:
    """Skiving has a width and what is left; other lines have an inset."""
    with visit.tab() as page:
        _begin(page)
        page.click("[data-shape-kind=rectangle]")
        _until(page, "rectangle")
        page.locator("#product-surface svg.surface").focus()
        page.keyboard.press("e")
        page.click("[data-line-kind=stitch]")
        _until(page, '{ kind = "stitch", edge = "bottom", inset = 4 }')
        kind = page.get_by_label("kind", exact=True)
        kind.select_option("skive")
        _until(page, '{ kind = "skive", edge = "bottom", width = 12 }')
        _set(page, "thickness left", "1")
        _until(page, "left = 1")
        kind.select_option("crease")
        _until(page, '{ kind = "crease", edge = "bottom" }')
        expect(page.locator("#product-fault")).to_be_hidden()


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

    with visit.tab(viewport=viewport, reduced_motion="reduce") as page:
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
        page.click("#joint-more")
        expect(page.locator("[data-key='layers-0']")).to_have_attribute("open", "")
        look(page)
        page.click("#undo")
        expect(page.locator("[data-key='layers-0']")).to_have_count(0)
        page.click("[data-key='seam[2].edges[1].edge=top']")
        expect(page.locator("#product-fault")).to_contain_text("mm apart")
        page.click("#undo")
        expect(page.locator("[data-key='seam[2].edges[0].line=pocket']")).to_have_attribute("aria-pressed", "true")
        page.click("#product-view-making")
        expect(page.locator("#product-form")).to_contain_text("Materials")
        look(page)
        page.click("#product-all")
        expect(page.locator("#product-surface .measure.strong").first).to_be_attached()
        look(page)
