"""From a photo to a sheet with one locked piece, on the page: gestures, and minutes for somebody who sees it first.

`python -m scripts.bench_journey [--only NAME] [--width PIXELS]` takes photographs of `scripts.photo_scene` in a real
browser: the photo is brought in, eight marks are dragged to where the camera saw them, the rectangle's size is typed,
the outline is mended by brush as in `bench_photos` (by an eye that sees the largest wrong place), the backbone drawn,
the thickness typed, a product of the scenario chosen and laid out, a piece locked, the rest filled, the cut sheet kept.
A press, a drag and a field that is filled in are one gesture each.

The minutes are of the keystroke-level model as in `bench_gestures` (Card, Moran and Newell 1980), made slower for a
newcomer: before every gesture the mental part twice (to find where, and to decide), a drag points twice, a mark is set
with one more mental part through the loupe, and every sentence of hints, notices and notes is read once when it first
comes in sight, at four words a second. What the program takes is measured and told beside. A line of JSON a photograph.
"""

from __future__ import annotations

import argparse
import io
import json
import re
import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from playwright.sync_api import Page
from shapely.geometry import Polygon

from scripts.bench_gestures import KEY, MENTAL, POINT, PRESS, REACH, SCENARIO
from scripts.bench_photos import MOST, _good, _worst, stroke_through
from scripts.photo_scene import CORNERS, MIDDLES, SIZE, VIEWS, View, photograph

ROOT = Path(__file__).parent.parent
GOAL = 5.0
"""Minutes."""
NEWCOMER = 2
"""Mental parts before a gesture."""
WORDS = 4.0
"""Words read in a second."""
PRODUCT = "tool-roll.toml"
READ = ".hint, #notice, .note, .estimate, .faults li, #start header p, .way p"
NAMES = ("boards", "carpet-tape")


def main() -> None:
    """A line for every photograph."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", help="only the photograph of this name [boards and carpet-tape]")
    parser.add_argument("--width", type=int, default=2000, help="pixels across [2000]")
    options = parser.parse_args()
    sys.path.insert(0, str(ROOT / "tests"))
    from browser import visiting  # type: ignore[import-not-found, unused-ignore]

    for view in VIEWS:
        if view.name not in ([options.only] if options.only else NAMES):
            continue
        with tempfile.TemporaryDirectory(prefix="journey-") as folder:
            shutil.copy(SCENARIO / PRODUCT, folder)
            with visiting(Path(folder)) as visit, visit.tab() as page:
                print(json.dumps({"photo": view.name} | Newcomer(page, view, options.width).journey()), flush=True)


class Newcomer:
    """Somebody who has never seen the page."""

    def __init__(self, page: Page, view: View, width: int) -> None:
        self.page, self.view = page, view
        image, self.camera, self.hide = photograph(view, width)
        stream = io.BytesIO()
        image.save(stream, "JPEG", quality=92)
        self.photo = stream.getvalue()
        self.gestures, self.seconds, self.waited = 0, 0.0, 0.0
        self.read: set[str] = set()
        self.words = 0
        self.parts: dict[str, float] = {}

    def journey(self) -> dict[str, object]:
        """All of it."""
        steps = (self.bring, self.marks, self.mend, self.facts, self.plan, self.lock, self.sheet)
        for step in steps:
            before = self.seconds
            step()
            self.parts[step.__name__] = round(self.seconds - before, 1)
        minutes = (self.seconds + self.waited) / 60
        return {
            "gestures": self.gestures,
            "minutes": round(minutes, 1),
            "of these waiting": round(self.waited / 60, 1),
            "words read": self.words,
            "strokes": self.strokes,
            "seconds by step": self.parts,
            "area off, %": round(100 * (self.outline().area / self.hide.area - 1), 2),
            "products": self.products,
            "within goal": minutes < GOAL,
        }

    # what a hand does

    def reads(self) -> None:
        """What is in sight and was not read before."""
        texts = self.page.evaluate(
            "(all) => [...document.querySelectorAll(all)].filter((each) => each.checkVisibility()"
            " && each.getBoundingClientRect().top < innerHeight).map((each) => each.innerText.trim())",
            READ,
        )
        for sentence in (part for text in texts for part in re.split(r"(?<=[.?!:])\s+|\n", text)):
            if sentence and sentence not in self.read:
                self.read.add(sentence)
                self.words += len(sentence.split())
                self.seconds += len(sentence.split()) / WORDS

    def gesture(self, pointings: int = 1, more: float = 0.0) -> None:
        self.reads()
        self.gestures += 1
        self.seconds += NEWCOMER * MENTAL + pointings * POINT + PRESS + more

    def press(self, selector: str) -> None:
        self.gesture()
        self.page.locator(selector).first.click()

    def types(self, selector: str, text: str) -> None:
        self.gesture(more=2 * REACH + KEY * (len(text) + 1))
        self.page.fill(selector, text)

    def drags(self, start: tuple[float, float], *way: tuple[float, float], more: float = 0.0) -> None:
        self.gesture(2, more)
        self.page.mouse.move(*start)
        self.page.mouse.down()
        for place in way:
            self.page.mouse.move(*place, steps=4)
        self.page.mouse.up()

    def waits(self, selector: str) -> None:
        began = time.monotonic()
        self.page.wait_for_selector(selector, timeout=300_000)
        self.waited += time.monotonic() - began

    # the steps

    def bring(self) -> None:
        """The photo is chosen: the button, and the file in the system's own window."""
        self.gesture()
        self.gesture(more=PRESS)
        self.page.set_input_files(
            "#file-photo", {"name": f"{self.view.name}.jpg", "mimeType": "image/jpeg", "buffer": self.photo}
        )
        self.waits("#marks:not([hidden])")

    def marks(self) -> None:
        """Eight marks, the rectangle's size."""
        self.press("label:has(#with-lens)")
        for number, place in enumerate((*CORNERS, *MIDDLES)):
            at = self.page.locator("#marks-surface .mark").nth(number).bounding_box()
            assert at is not None
            middle = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
            u, v = self.camera.sees(place).tolist()
            self.drags(middle, self._in_photo(u, v), more=MENTAL)
        self.types("#mark-width", str(round(SIZE[0])))
        self.types("#mark-height", str(round(SIZE[1])))
        self.press("#use-marks")
        began = time.monotonic()
        self.page.wait_for_selector("#bench-surface .leather[d^=M]", timeout=120_000)
        self.page.wait_for_selector("#bench-surface .world image")
        self.waited += time.monotonic() - began

    def mend(self) -> None:
        """The largest wrong place first, by the brush, until the outline is worth keeping."""
        self.strokes, tool = 0, ""
        self.seconds += 4 * MENTAL  # the outline is looked over
        while not _good(self.outline(), self.hide) and self.strokes < MOST:
            leather, worst = _worst(self.outline(), self.hide)
            wanted = "leather" if leather else "floor"
            if tool != wanted:
                self.press(f"[data-tool={wanted}]")
                tool = wanted
            stroke = stroke_through(leather, worst)
            before = self.outline()
            line = [self._on_floor(x, y) for x, y in stroke.line]
            self.drags(line[0], *line[1:] or [(line[0][0] + 2, line[0][1] + 2)])
            self.strokes += 1
            self._until(lambda before=before: not self.outline().equals(before))

    def facts(self) -> None:
        """The backbone, and how thick the leather is."""
        self.press("[data-tool=backbone]")
        x0, y0, x1, y1 = self.hide.bounds
        middle = (y0 + y1) / 2
        self.drags(self._on_floor(x0 + 150, middle), self._on_floor(x1 - 150, middle))
        self.types("input[name=thickness]", "2 mm")

    def plan(self) -> None:
        """A product is chosen and laid out."""
        self.press("#go-plan")
        self.gesture(2, MENTAL)
        self.page.select_option("#project", PRODUCT)
        self.press("#lay-out")
        self.waits("#to-cutting")

    def lock(self) -> None:
        """A piece stays where it is, the rest is laid anew."""
        self.press("#plan-surface path.piece")
        self.press("#hand-lock")
        self.press("#hand-fill")
        self.waits("#answers [data-run]:not([aria-pressed=true]) >> nth=0")

    def sheet(self) -> None:
        """The cut sheet is kept."""
        with self.page.expect_download() as asked:
            self.press("[data-file='sheet.pdf']")
        assert Path(asked.value.path()).read_bytes().startswith(b"%PDF")
        run = self.page.locator("#answers [data-run][aria-pressed=true]").get_attribute("data-run")
        told: dict[str, Any] = self.page.evaluate(
            "async (u) => (await fetch(u)).json()", f"/api/runs/{run}/layout.json"
        )
        (hide,) = told["hides"]
        assert sum(bool(each.get("keep")) for each in hide["placements"]) == 1
        self.products = told["products"][0]["complete"]

    # where things are

    def outline(self) -> Polygon:
        """The outline as the page draws it, mm."""
        text = self.page.locator("#bench-surface .leather").get_attribute("d") or ""
        pairs = [part.split() for part in text.strip("MZ").split("L")]
        return Polygon([(float(x), float(y)) for x, y in pairs])

    def _until(self, test: Any) -> None:
        began = time.monotonic()
        while not test() and time.monotonic() - began < 10:
            self.page.wait_for_timeout(50)
        self.waited += time.monotonic() - began

    def _in_photo(self, u: float, v: float) -> tuple[float, float]:
        picture = self.page.locator("#marks-surface .world image").bounding_box()
        width, height = self.camera.size
        assert picture is not None
        return picture["x"] + u / width * picture["width"], picture["y"] + v / height * picture["height"]

    def _on_floor(self, x: float, y: float) -> tuple[float, float]:
        matrix = self.page.locator("#bench-surface .world").get_attribute("transform") or ""
        scale, _, _, down, dx, dy = np.array(matrix.removeprefix("matrix(").removesuffix(")").split(), float)
        box = self.page.locator("#bench-surface svg.surface").bounding_box()
        assert box is not None
        return float(box["x"] + scale * x + dx), float(box["y"] + down * y + dy)


if __name__ == "__main__":
    main()
