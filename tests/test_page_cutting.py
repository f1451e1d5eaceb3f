"""At the cutting table: a piece or strip at a time with the cut sheet's marks, ticked off and kept; the projector."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from browser import TAG_SET, Visit, visiting
from playwright.sync_api import Page, expect

from nesting.commands import main
from nesting.drawing.hide_scene import upright
from nesting.drawing.marks import datum_of, marks
from nesting.drawing.sheet_style import SheetStyle
from nesting.page.cut_steps import cut_steps
from nesting.result.cutting_order import cutting_order
from nesting.result.layout_file import read_layout

HIDE: dict[str, Any] = {
    "format": "hideplan-hide-1",
    "name": "Small",
    "cut": "offcut",
    "outline": [[0, 0], [700, 0], [660, 450], [0, 430]],
    "backbone": [[0, 200], [700, 260]],
}


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("workshop")
    (folder / "tag-set.toml").write_text(TAG_SET)
    (folder / "small.json").write_text(json.dumps(HIDE))
    return folder


def _laid(workshop: Path, *more: str) -> Path:
    out = workshop / ".hideplan-test.json"
    files = [str(workshop / "small.json"), str(workshop / "tag-set.toml")]
    assert main(["yield", *files, "--effort", "quick", "--out", str(out), *more]) == 0
    return out


def test_steps_have_the_cut_sheet_s_marks_where_they_lie_on_the_hide(workshop: Path) -> None:
    """Along and across are measured again from the points told: the datum line is the line through the backbone."""
    layout = read_layout(_laid(workshop))
    told = cut_steps(layout, SheetStyle())
    (each,) = layout.hides
    assert sorted(place for step in told["steps"] for place in step["pieces"]) == list(range(len(each.placements)))
    level = upright(each)
    pieces = {piece.name: piece for piece in layout.products[0].pieces}
    zero, on = np.array(told["datum"])
    way = (on - zero) / 100
    for step in told["steps"]:
        (place,) = step["pieces"]
        placement = level.placements[place]
        want = [datum_of(level.hide).measured(point) for point in marks(pieces[placement.piece], placement)]
        for mark, (along, across) in zip(step["marks"], want, strict=True):
            off = np.array(mark["at"]) - zero
            assert (mark["along"], mark["across"]) == pytest.approx((along, across))
            assert off @ way == pytest.approx(along, abs=1e-6)
            assert way[0] * off[1] - way[1] * off[0] == pytest.approx(across, abs=1e-6)


def test_strips_come_first_and_the_first_says_how_the_line_is_struck(workshop: Path) -> None:
    told = cut_steps(read_layout(_laid(workshop, "--straight")), SheetStyle())
    first = told["steps"][0]
    assert first["title"] == "Line 1, strip 1"
    assert first["words"][0].startswith("Strike line 1 from mark 1")
    places = [place for step in told["steps"] for place in step["pieces"]]
    assert len(places) == len(set(places))


def test_pieces_come_in_the_sheet_s_order_and_say_where_the_waste_lies(workshop: Path) -> None:
    layout = read_layout(_laid(workshop))
    order = cutting_order(upright(layout.hides[0]))
    told = cut_steps(layout, SheetStyle())["steps"]
    assert [step["pieces"] for step in told] == [[cut.place] for cut in order.pieces]
    for step, cut in zip(told, order.pieces, strict=True):
        assert step["words"][-1:] == (
            [f"Waste: {'all round' if cut.all_round else ', '.join(cut.waste)}."] if cut.waste else []
        )


@pytest.fixture(scope="module")
def visit(workshop: Path) -> Iterator[Visit]:
    with visiting(workshop) as made:
        yield made
        assert not made.said, made.said


@pytest.fixture(scope="module")
def at(visit: Visit) -> str:
    """The address of a draft that has an answer."""
    with visit.tab() as page:
        page.get_by_role("button", name="Open small.json").click()
        page.get_by_role("tab", name="Plan").click()
        page.locator("#project").select_option("tag-set.toml")
        page.locator("#lay-out").click()
        expect(page.locator("#mark-cut")).to_be_visible(timeout=120_000)
        expect(page.locator("#saved")).to_have_text("All kept")
        return str(page.evaluate("location.hash")).split("/")[0]


def _usable_by_everyone(page: Page) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    found = axe.Axe().run(page, options=rules).response["violations"]
    assert not found, [(each["id"], each["help"], [n["html"][:120] for n in each["nodes"]][:4]) for each in found]


def test_pieces_are_ticked_off_by_pointer_and_keys_over_a_reload_and_the_hide_is_marked_cut(
    visit: Visit, at: str
) -> None:
    with visit.tab(viewport={"width": 1180, "height": 820}) as page:
        page.goto(f"{visit.address}{at}/plan")
        page.reload()
        page.locator("#to-cutting").click()
        expect(page.locator("#cutting .mark-cross")).to_have_count(2)
        _usable_by_everyone(page)
        first = page.locator("#cutting-title").inner_text()
        page.locator("#cutting-done").click()
        expect(page.locator("#cutting-progress")).to_contain_text("1 of")
        expect(page.locator("#cutting-title")).not_to_have_text(first)
        with page.expect_response("**/cutting") as told:
            page.locator("#cutting-surface svg.surface").press("Space")
        assert told.value.status == 204
        page.reload()
        expect(page.locator("#cutting-progress")).to_contain_text("2 of")
        page.locator("#cutting-surface svg.surface").press("ArrowLeft")
        page.locator("#cutting-surface svg.surface").press("ArrowLeft")
        expect(page.locator("#cutting-title")).to_have_text(f"{first} – cut")
        page.locator("#cutting-surface svg.surface").press("Backspace")
        expect(page.locator("#cutting-progress")).to_contain_text("1 of")
        many = page.locator("#cutting-surface path.piece").count()
        for done in range(2, many + 1):
            page.locator("#cutting-surface svg.surface").press("Space")
            expect(page.locator("#cutting-progress")).to_contain_text(f"{done} of {many}")
        page.locator("#cutting-mark").click()
        page.get_by_role("button", name="Mark it cut").click()
        expect(page.locator("#notice")).to_contain_text("Marked cut")
        page.locator("#cutting-leave").click()
        expect(page.locator("#answer")).to_contain_text("This hide is marked cut")


def _corner(page: Page, index: int) -> tuple[float, float]:
    circle = page.locator(f"#projector circle[data-corner='{index}']")
    return float(circle.get_attribute("cx") or 0), float(circle.get_attribute("cy") or 0)


def test_corners_are_fitted_by_pointer_and_keys_and_kept(visit: Visit, at: str) -> None:
    with visit.tab(viewport={"width": 1280, "height": 720}) as page:
        page.goto(f"{visit.address}{at}/projector")
        page.reload()
        expect(page.locator("#projector .beam-handle[data-corner]")).to_have_count(4)
        _usable_by_everyone(page)
        x, y = _corner(page, 1)
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x - 60, y + 25, steps=4)
        page.mouse.up()
        assert _corner(page, 1) == pytest.approx((x - 60, y + 25))
        x, y = _corner(page, 3)
        page.locator("#projector svg").press("4")
        page.locator("#projector svg").press("Shift+ArrowRight")
        assert _corner(page, 3) == pytest.approx((x + 10, y))
        square = page.locator("#projector .beam-square").get_attribute("d")
        page.reload()
        expect(page.locator("#projector .beam-square")).to_have_attribute("d", square or "")
        page.locator("#projector svg").press("l")
        expect(page.locator("#projector .beam-piece")).to_have_count(1)
        page.locator("#projector svg").press("m")
        before = page.locator("#projector .beam-hide").get_attribute("d")
        page.locator("#projector svg").press("ArrowRight")
        assert page.locator("#projector .beam-hide").get_attribute("d") != before
        page.locator("#projector svg").press("h")
        expect(page.locator("#projector-panel")).to_be_hidden()
        page.locator("#projector svg").press("Escape")
        page.locator("#projector svg").press("Escape")
        expect(page.locator("#panel-plan")).to_be_visible()


def test_a_projected_point_lies_where_the_four_marks_say(visit: Visit, at: str) -> None:
    """The page's map against numpy's own solution of the eight equations of a projective map (Hartley & Zisserman 2004,
    section 4.1): each corner of the test square of 100 mm about the rectangle's middle."""
    with visit.tab(viewport={"width": 1280, "height": 720}) as page:
        page.goto(f"{visit.address}{at}/projector")
        page.reload()
        expect(page.locator("#projector .beam-handle[data-corner]")).to_have_count(4)
        for key, arrow in (("1", "ArrowDown"), ("2", "ArrowLeft"), ("3", "ArrowUp")):
            page.locator("#projector svg").press(key)
            for _ in range(4):
                page.locator("#projector svg").press(f"Shift+{arrow}")
        corners = [_corner(page, index) for index in range(4)]
        wide, deep = (float(page.locator(f"#projector-{name}").input_value().split()[0]) for name in ("width", "depth"))
        rows: list[list[float]] = []
        right: list[float] = []
        for (x, y), (u, v) in zip([(0, deep), (wide, deep), (wide, 0), (0, 0)], corners, strict=True):
            rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
            right += [u, v]
        h = [*np.linalg.solve(np.array(rows, float), np.array(right, float)), 1.0]
        path = page.locator("#projector .beam-square").get_attribute("d") or ""
        shown = [tuple(map(float, part.split())) for part in path.strip("MZ").split("L")]
        for (dx, dy), (u, v) in zip([(-50, -50), (50, -50), (50, 50), (-50, 50)], shown, strict=True):
            x, y = wide / 2 + dx, deep / 2 + dy
            w = h[6] * x + h[7] * y + h[8]
            want = (h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w
            assert math.dist((u, v), want) < 0.01
