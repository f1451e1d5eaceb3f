"""How many gestures a product takes on the page alone: `python -m scripts.bench_gestures [NAME.toml ...]`.

Every product of the scenario (or those named) is made anew on the product bench in a real browser: a press, a tap and a
field that is filled in are one gesture each. What the form cannot say is named and left out; the rest must come to the
very value of the file. What was made is then laid on a hide of the scenario (quick), patterned and checked. A line of
JSON a product; `by hand` are the minutes that the keystroke-level model gives a person who knows the page and reads
from a drawing (Card, Moran and Newell 1980, Communications of the ACM 23: mental 1.35 s, pointing 1.1 s and 0.2 s for
the press, 0.4 s from hand to keys and back, 0.28 s a key of an average typist). Each thing that is typed has its own
mental part, also where several stand in one line; Tab leads to fields up to three on. A form is filled in from its top.
"""

from __future__ import annotations

import argparse
import json
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Locator, Page, sync_playwright

SCENARIO = Path(__file__).resolve().parent.parent / "nesting" / "scenario"
FEATURES = ("holes", "rows", "lines", "slots", "buckle_slots", "notches", "allowances", "covered")
"""In the order they are put in; a line that a row follows comes before it."""
LIES = ("grade", "along", "tolerance", "turn", "angles", "mirror")
KINDS = ("rectangle", "strap", "circle", "polygon", "path")
POINTS = {"line": 2, "points": 2, "outline": 3}
"""Lists of points, and how many a list has at least."""
WAIT = 20.0
HIDE = "side-1.json"
MENTAL, POINT, PRESS, REACH, KEY = 1.35, 1.1, 0.2, 0.4, 0.28
"""Seconds of the keystroke-level model."""
MOST_TABS = 3
"""So many fields on, the hands stay at the keys."""


def main() -> None:
    """A line for every product."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", help="names of project files of the scenario [all of products]")
    options = parser.parse_args()
    names = options.files or [p.name for p in sorted(SCENARIO.glob("*.toml")) if b"hideplan-project" in p.read_bytes()]
    with tempfile.TemporaryDirectory() as folder, _serving(Path(folder)) as address, sync_playwright() as player:
        browser = player.chromium.launch(executable_path=shutil.which("chromium"))
        for name in names:
            page = browser.new_page(viewport={"width": 1366, "height": 900})
            page.set_default_timeout(20_000)
            page.goto(address)
            page.wait_for_selector("body[data-ready]")
            try:
                told = made(page, tomllib.loads((SCENARIO / name).read_text()))
            except (TimeoutError, LookupError, PlaywrightError) as error:
                told = {"stuck": " ".join(str(error).split()[:40])}
            print(json.dumps({"product": name} | told), flush=True)
            page.close()


@contextmanager
def _serving(folder: Path) -> Iterator[str]:
    command = [sys.executable, "-m", "nesting", "page", "--folder", str(folder), "--port", "0", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        try:
            yield next(found[0] for line in server.stdout if (found := re.search(r"http://\S+", line)))
        finally:
            server.terminate()


def made(page: Page, wanted: Mapping[str, Any]) -> dict[str, object]:
    """Make a product; how many gestures it took, what the form has not, and whether the rest is as wanted."""
    maker = Maker(page, wanted)
    began = time.monotonic()
    maker.run()
    expected = maker.wanted
    same = maker.value == expected
    differs = [] if same else sorted(key for key in expected if maker.value.get(key) != expected[key])
    fault = page.locator("#product-fault")
    took = time.monotonic() - began
    text = page.input_value("#product-text")
    return {
        "gestures": maker.count,
        "same": same,
        **({"differs": differs} if differs else {}),
        **({"fault": fault.inner_text()} if fault.is_visible() else {}),
        "left to the text": maker.lacking,
        "minutes": round(took / 60, 1),
        "by hand": round(maker.seconds / 60, 1),
        **used(text, [each["name"] for each in maker.value.get("leather", ())]),
    }


def used(text: str, leathers: list[str]) -> dict[str, object]:
    """What was made, as the commands take it: complete products on a side where layout and pattern came right."""
    laid: dict[str, object] = {}
    with tempfile.TemporaryDirectory() as folder:
        (made := Path(folder) / "made.toml").write_text(text)
        for name in leathers or [""]:
            out, paper = Path(folder) / "layout.json", Path(folder) / "pattern.pdf"
            more = ["--leather", name] if name else []
            right = _command("yield", SCENARIO / HIDE, made, "--effort", "quick", "--out", out, *more)
            right = right and _command("sheet", out, "--patterns", paper) and _command("check", out)
            laid[name or "all of it"] = json.loads(out.read_text())["products"][0]["complete"] if right else "not right"
    return {f"laid, patterned and checked on {HIDE}": laid}


def _command(*words: object) -> bool:
    told = subprocess.run(
        [sys.executable, "-m", "nesting", *map(str, words)], capture_output=True, text=True, check=False
    )
    if told.returncode:
        print(told.stdout[-500:], told.stderr[-500:], file=sys.stderr)
    return told.returncode == 0


class Maker:
    """A person who makes a product by the form, field after field. `wanted` loses what the form cannot say."""

    def __init__(self, page: Page, wanted: Mapping[str, Any]) -> None:
        self.page, self.gestures, self.seconds, self.last = page, 0, 0.0, ""
        self.run_of_edges: list[str] = []
        self.wanted: dict[str, Any] = json.loads(json.dumps(wanted))
        self.after: list[Callable[[], None]] = []
        self.later: list[tuple[int, tuple[str | int, ...], str]] = []
        self.lacking: list[str] = []

    @property
    def count(self) -> int:
        """Gestures so far."""
        return self.gestures

    @count.setter
    def count(self, number: int) -> None:
        self.seconds += (number - self.gestures) * (MENTAL + POINT + PRESS)
        self.gestures = number

    def typed(self, text: object) -> None:
        """The time that typing takes beside the pointing."""
        self.seconds += 2 * REACH + KEY * (len(str(text)) + 1)

    def keyed(self, text: object, tabs: int | None, things: int = 1) -> None:
        """One gesture that fills a field: by the keys alone where it is reached by so many tabs, else it is pointed at.

        Each of the `things` typed in it is looked up and thought of by itself.
        """
        self.count += 1
        self.seconds += (things - 1) * MENTAL
        if tabs is not None:
            self.seconds += KEY * (len(str(text)) + 1 + tabs) - POINT - PRESS
        else:
            self.typed(text)

    @staticmethod
    def tabs_to(box: Locator) -> int | None:
        """By how many tabs a field is reached from where the keys are; None where it is pointed at sooner."""
        way: int = box.evaluate(
            "box => { const reach = 'input, select, textarea, button, summary, [tabindex]';"
            " const all = [...document.querySelectorAll(reach)]"
            ".filter((each) => !each.disabled && each.tabIndex >= 0 && each.getClientRects().length);"
            " const held = all.indexOf(document.activeElement); return held < 0 ? -1 : all.indexOf(box) - held; }"
        )
        return way if 0 <= way <= MOST_TABS else None

    @property
    def value(self) -> dict[str, Any]:
        """What the text says now."""
        return tomllib.loads(self.page.input_value("#product-text"))

    def run(self) -> None:
        """The product from nothing."""
        wanted = self.wanted
        self.press("#tab-product")
        self.press(f"#product-new-{wanted.get('units', 'mm')}")
        self.page.wait_for_selector("#product-name:visible")
        self.text_field("#product-name", wanted["name"], ("name",))
        self.choices()
        for name, value in wanted.get("lengths", {}).items():
            self.line(
                "[data-key=length-new]", f"{name} = {value}", lambda name=name: name in self.value.get("lengths", {}), 2
            )
        for i, leather in enumerate(wanted.get("leather", ())):
            called = [leather["leather"]] if "leather" in leather else []
            text = ", ".join([f"{leather['name']} = {leather.get('thickness', '1 mm')}", *called])
            self.line(
                "[data-key=leather-new]", text, lambda i=i: len(self.value.get("leather", ())) > i, 2 + len(called)
            )
            if "thickness" not in leather:
                self.clear(("leather", i, "thickness"))
            self.leaves(("leather", i), leather)
        for i, fastener in enumerate(wanted.get("fastener", ())):
            self.fastener(i, fastener)
        for i, piece in enumerate(wanted["piece"]):
            self.piece(i, piece)
        for act in self.after:
            act()
        if wanted.get("seam") or wanted.get("joint"):
            self.press("#product-view-joints")
        for i, seam in enumerate(wanted.get("seam", ())):
            self.seam(i, seam)
        for i, joint in enumerate(wanted.get("joint", ())):
            self.joint(i, joint)
        self.making()
        for i, path, value in self.later:
            if _at(self.value, path) == value:
                continue
            self.press("#product-view-piece")
            self.press(f"#product-strip .piece-card >> nth={i}")
            self.text_field(f'#product-form [data-key="{_words(path)}"]', value, path)

    # the smallest acts

    def press(self, selector: str, gives: Callable[[], bool] | None = None) -> None:
        """Press a button, and wait for what it gives."""
        self.page.locator(selector).first.click()
        self.count += 1
        self.last = selector
        self.until(gives)

    def until(self, true: Callable[[], bool] | None) -> None:
        """Wait until the text says something."""
        end = time.monotonic() + WAIT
        while true is not None and not true():
            if time.monotonic() > end:
                said = [each for each in self.page.locator(".notice, #product-fault").all_inner_texts() if each]
                raise TimeoutError(f"the page does not say what was asked for, after {self.last}: {said}")
            self.page.wait_for_timeout(40)

    def text_field(self, selector: str, value: object, path: tuple[str | int, ...]) -> None:
        """Fill in a field."""
        box = self.page.locator(selector).first
        tabs = self.tabs_to(box)
        box.fill(str(value))
        box.press("Tab")
        self.keyed(value, tabs)
        self.until(lambda: _at(self.value, path) == value)

    def line(self, selector: str, text: str, gives: Callable[[], bool], things: int) -> None:
        """Type several things in one line, and Enter; the field then waits for the next line."""
        box = self.page.locator(selector).first
        tabs = self.tabs_to(box)
        box.fill(text)
        box.press("Enter")
        self.keyed(text, tabs, things)
        self.last = f"{selector} {text}"
        self.until(gives)

    def leaves(self, path: tuple[str | int, ...], wanted: Any) -> None:
        """Set every single value below a path by its own field, where there is one; else it is lacking."""
        if isinstance(wanted, dict):
            for key in self.down_the_form(path, list(wanted)):
                if key in wanted:
                    self.leaves((*path, key), wanted[key])
            return
        if _at(self.value, path) == wanted:
            return
        if path[-1] == "edge" and (path[0] == "seam" or (path[0] == "piece" and path[2] != "shape")):
            self.edges(path, wanted)
            return
        if isinstance(wanted, list) and self.whole_list(path, wanted):
            return
        if path[-1] in POINTS and isinstance(wanted, list):
            self.points(path, wanted)
            if _at(self.value, path) == wanted:
                return
        if isinstance(wanted, list):
            for i, value in enumerate(wanted):
                self.leaves((*path, i), value)
            return
        if self.without_seams(wanted) != wanted:  # the seam is not there yet
            self.later.append((int(path[1]), path, wanted))
            return
        self.leaf(path, wanted)

    def down_the_form(self, path: tuple[str | int, ...], keys: list[str]) -> list[str]:
        """The keys below a path in the order in which their fields stand in the form; what has none comes last."""
        shown: list[str] = self.page.evaluate(
            "() => [...document.querySelectorAll('#product-form [data-key]')].map((each) => each.dataset.key)"
        )

        def place(key: str) -> int:
            word = _words((*path, key))
            return next((i for i, each in enumerate(shown) if each.startswith(word)), len(shown))

        return sorted(keys, key=place)

    def leaf(self, path: tuple[str | int, ...], wanted: object) -> None:
        """One value: a field, a list, a tick or a toggle."""
        key = _words(path)
        field = self.page.locator(f'#product-form [data-key="{key}"]')
        toggle = self.page.locator(f'#product-form [data-key="{key}={wanted}"]')
        if toggle.count() and toggle.first.get_attribute("aria-pressed") == "true":
            _at(self.wanted, path[:-1]).pop(path[-1], None)  # it holds without being said
        elif toggle.count():
            self.press(f'#product-form [data-key="{key}={wanted}"]', lambda: _at(self.value, path) == wanted)
        elif not field.count() and not self.chosen(path, wanted):
            self.lack(path)
        elif not field.count():
            return
        elif field.first.evaluate("each => each.tagName") == "SELECT" and field.first.input_value() == wanted:
            _at(self.wanted, path[:-1]).pop(path[-1], None)
        elif field.first.evaluate("each => each.tagName") == "SELECT":
            field.first.select_option(str(wanted))
            self.count += 1
            self.until(lambda: _at(self.value, path) == wanted)
        elif field.first.get_attribute("type") == "checkbox" and field.first.is_checked() == wanted:
            _at(self.wanted, path[:-1]).pop(path[-1], None)
        elif field.first.get_attribute("type") == "checkbox":
            self.press(f'#product-form [data-key="{key}"]', lambda: _at(self.value, path) == wanted)
        else:
            self.text_field(f'#product-form [data-key="{key}"]', wanted, path)

    def chosen(self, path: tuple[str | int, ...], wanted: object) -> bool:
        """A number of a point that has its fields while it is chosen on the drawing; False where there is none."""
        if path[0] != "piece" or _at(self.value, path) is None:
            return False
        field = self.page.locator(f'#product-form [data-key="{_words(path)}@chosen"]')
        surface = self.page.locator("#product-surface svg.surface")
        if not field.count():
            self.count += 1
            surface.press("Escape")
            for _ in range(80):
                surface.press("n")
                if field.count():
                    break
        if field.count():
            self.text_field(f'#product-form [data-key="{_words(path)}@chosen"]', wanted, path)
        return _at(self.value, path) == wanted

    def whole_list(self, path: tuple[str | int, ...], wanted: list[Any]) -> bool:
        """Lists that have one field of their own: regions."""
        if path[-1] == "from" and all(self.page.locator(f'[data-key="from={name}"]').count() for name in wanted):
            for n, name in enumerate(wanted):
                self.press(f'[data-key="from={name}"]', lambda n=n: len(_at(self.value, path) or ()) > n)
        elif path[-1] in ("from", "angles"):
            box = self.page.locator(f'#product-form [data-key="{path[-1]}"]')
            box.fill(", ".join(map(str, wanted)))
            box.press("Enter")
            self.count += 1
            self.typed(wanted)
            self.until(lambda: _at(self.value, path) == wanted)
        return path[-1] in ("from", "angles")

    def points(self, path: tuple[str | int, ...], wanted: list[Any]) -> None:
        """All points in one line; else as many as are wanted."""
        key = _words(path)
        whole = f'#product-form [data-key="{key}:all"]'
        if self.page.locator(whole).count():
            told = self.without_seams(wanted)
            if self.across(path, told):
                return
            box = _box(told) if path[-1] == "outline" else None
            text = box or "; ".join(_step_words(each, _end(told[n - 1]) if n else None) for n, each in enumerate(told))
            things = 2 if box else sum(map(_things, told))
            self.line(whole, text, lambda: len(_at(self.value, path)) == len(wanted), things)
            self.until(lambda: _at(self.value, path) == told)
            return
        while (many := len(_at(self.value, path))) != len(wanted):
            more = f"{key}-more-{many - 1}" if many < len(wanted) else f"{key}-out-{many - 1}"
            self.press(f'#product-form [data-key="{more}"]', lambda m=many: len(_at(self.value, path)) != m)

    def across(self, path: tuple[str | int, ...], wanted: list[Any]) -> bool:
        """A line right across the piece, or from end to end, by where it crosses; False where that gives another."""
        if path[-1] != "points" or len(wanted) != 2 or not all(isinstance(each, list) for each in wanted):
            return False
        axis = next((axis for axis in (1, 0) if wanted[0][axis] == wanted[1][axis]), None)
        if axis is None:
            return False
        if axis == 0 and wanted[0][1] != 0:  # it ends short of the edges
            return False
        field = f'#product-form [data-key="{_words((*path[:-1], "across"))}={"xy"[axis]}"]'
        now = _at(self.value, path)
        if now[0][axis] != now[1][axis] or now[0][axis] != wanted[0][axis]:
            self.line(field, str(wanted[0][axis]), lambda: _at(self.value, path)[0][axis] == wanted[0][axis], 1)
        return bool(_at(self.value, path) == wanted)

    def without_seams(self, item: Any) -> Any:
        """The same with nought for the lengths of seams that are not there yet."""
        names = [seam["name"] for seam in self.value.get("seam", ())]
        return _without_seams(item, names)

    def edges(self, path: tuple[str | int, ...], wanted: str | list[str]) -> None:
        """Press edges until those wanted are chosen, in their order."""
        order = [wanted] if isinstance(wanted, str) else wanted

        def shown() -> list[str]:
            now = _at(self.value, path)
            return [now] if isinstance(now, str) else now

        for name in [each for each in order if each not in shown()]:
            self.edge_pressed(path, name)
        for name in [each for each in shown() if each not in order]:
            self.edge_pressed(path, name)
        for name in order if shown() != order else ():
            for _ in range(2):
                self.edge_pressed(path, name)

    def edge_pressed(self, path: tuple[str | int, ...], name: str) -> None:
        before = _at(self.value, path)
        self.press(f'#product-form [data-key="{_words(path)}={name}"]', lambda: _at(self.value, path) != before)

    def lack(self, path: tuple[str | int, ...]) -> None:
        """The form has no field for it: it is noted and no longer wanted."""
        self.lacking.append(_words(path))
        held = _at(self.wanted, path[:-1])
        there = _at(self.value, path)
        if there is not None:
            held[path[-1]] = there
        elif isinstance(held, dict):
            held.pop(path[-1], None)

    # pieces

    def piece(self, i: int, wanted: dict[str, Any]) -> None:
        """One piece, its shape first."""
        shape = wanted["shape"]
        kind = next((each for each in KINDS if each in shape), None)
        if kind is None:
            self.lacking.append(f"piece[{i}].shape: {', '.join(shape)}")
            kind, wanted["shape"] = "circle", {"circle": 60}
            shape = wanted["shape"]
        like = next((k for k, each in enumerate(self.wanted["piece"][:i]) if _outline(each) == _outline(wanted)), None)
        if like is not None:
            self.choose_piece(like)
            self.press("#piece-outline")
        else:
            self.press(f"[data-shape-kind={kind}]")
        if kind == "polygon" and like is None:
            self.corners(shape["polygon"])
        self.until(lambda: len(self.value.get("piece", ())) == i + 1)
        self.run_of_edges = []
        self.page.wait_for_selector("#piece-name:focus")
        self.text_field("#piece-name", wanted["name"], ("piece", i, "name"))
        for key in ("count", "leather"):
            if key in wanted:
                self.attribute(i, key, wanted[key])
        self.shape(i, shape, kind)
        more = {k: v for k, v in wanted.items() if k not in (*FEATURES, "belt_holes", "shape", "name")}
        if any(k in more for k in ("splice", "when", "off_backbone", "from", "near", "thickness", "spare", "angles")):
            self.open_where()
        before = self.wanted["piece"][i - 1] if i else {}
        lies = {key: wanted[key] for key in LIES if key in wanted}
        open_yet = sum(self.value["piece"][i].get(key) != value for key, value in lies.items())
        if open_yet > 1 and lies == {key: before[key] for key in LIES if key in before}:
            self.press('#product-form [data-key="lies-as"]', lambda: lies.items() <= self.value["piece"][i].items())
        for key in self.down_the_form(("piece", i), list(more)):
            if key in more and _at(self.value, ("piece", i, key)) != more[key]:
                self.attribute(i, key, more[key])
        self.lies_loose(i, wanted)
        if "fold" in shape and "fold" not in self.value["piece"][i]["shape"]:
            self.press(f'#product-form [data-key="piece[{i}].fold={shape["fold"]}"]')
            self.press(
                "#product-form [data-key=fold-alone]",
                lambda: self.value["piece"][i]["shape"].get("fold") == shape["fold"],
            )
        rows_on_lines = any(isinstance(row.get("line"), str) for row in wanted.get("rows", ()))
        for key in sorted(FEATURES, key=lambda each: rows_on_lines and each == "rows"):
            for j, item in enumerate(wanted.get(key, ())):
                if len(self.value["piece"][i].get(key, ())) > j:
                    continue
                if not self.mirrored_holes(i, key, j, wanted) and not self.next_hole(i, key, j, wanted[key]):
                    self.feature(i, key, j, item)
        if "belt_holes" in wanted:
            self.press("[data-feature-kind=belt_holes]", lambda: "belt_holes" in self.value["piece"][i])
            self.leaves(("piece", i, "belt_holes"), wanted["belt_holes"])
        self.page.locator("#product-surface svg.surface").press("Escape")

    def lies_loose(self, i: int, wanted: dict[str, Any]) -> None:
        """What a piece has from the one before and is not to have."""
        for key in [each for each in LIES if each in self.value["piece"][i] and each not in wanted]:
            if key == "along":  # said or not, it means the same
                self.press(
                    f'#product-form [data-key="piece[{i}].along=any"]',
                    lambda: self.value["piece"][i].get("along", "any") == "any",
                )
                wanted["along"] = "any"
            elif key in self.value["piece"][i]:
                self.clear(("piece", i, key))

    def attribute(self, i: int, key: str, value: Any) -> None:
        """What a piece says of itself beside its shape."""
        path = ("piece", i, key)
        if key == "splice":
            self.press(
                "#product-form button:text-is('It may be spliced where it is long')",
                lambda: "splice" in self.value["piece"][i],
            )
        elif key == "near":
            self.near(path, value)
            return
        elif key == "when":
            for name, word in value.items():
                told = {True: "yes", False: "no"}.get(word, word) if isinstance(word, bool) else word
                self.page.locator(f'[data-key="when-{name}"]').select_option(str(told))
                self.count += 1
                self.until(lambda name=name, word=word: _at(self.value, (*path, name)) == word)
            return
        elif key == "pair":
            self.press("[data-key=pair]", lambda: _at(self.value, path) == value)
            return
        self.leaves(path, value)

    def pick(self, selector: str, word: str, path: tuple[str | int, ...]) -> None:
        """Choose a word in a list, if it is not chosen already, and wait until the file says so."""
        box = self.page.locator(selector)
        if box.input_value() != word:
            box.select_option(word)
            self.count += 1
            self.until(lambda: _at(self.value, path) == word)

    def near(self, path: tuple[str | int, ...], wanted: list[dict[str, Any]]) -> None:
        """What it is to lie near; a piece that is not there yet is named once it is."""
        names = [piece.get("name") for piece in self.value["piece"]]
        if any(wish["piece"] not in names for wish in wanted):
            self.after.append(lambda: self.near(path, wanted))
            return
        self.choose_piece(int(path[1]))
        self.open_where()
        for i, wish in enumerate(wanted):
            self.press(
                "#product-form button:text-is('It is to lie near another')",
                lambda i=i: len(_at(self.value, path) or ()) > i,
            )
            self.pick(f'#product-form [data-key="near-{i}"]', wish["piece"], (*path, i, "piece"))
            self.leaves((*path, i), wish)

    def open_where(self) -> None:
        """Where a piece may lie, if that is shut."""
        if self.page.locator("#product-form details[data-key=where]").get_attribute("open") is None:
            self.press("#product-form summary:has-text('Where it may lie')")

    def choose_piece(self, i: int) -> None:
        """A piece on the bench, if another is."""
        card = f"#product-strip [data-key=card-{i}]"
        if self.page.locator(card).get_attribute("aria-pressed") != "true":
            self.press(card)

    def corners(self, items: Sequence[Any]) -> None:
        """Type the corners, each with the keys alone once the field is reached, and close."""
        box = self.page.locator("[data-key=corner-next]")
        for n, item in enumerate(items):
            text = _step_words(_without_seams(item), _end(items[n - 1]) if n else None)
            box.fill(text)
            box.press("Enter")
            self.keyed(text, 0 if n else None, _things(item))
            self.page.locator("#product-form ol li").nth(n).wait_for()
        self.press("[data-key=corner-close]")

    def shape(self, i: int, wanted: dict[str, Any], kind: str) -> None:
        """The sizes of a shape, and the corners of a polygon."""
        base = ("piece", i, "shape")
        if kind != "polygon":
            for n, size in enumerate(wanted[kind] if isinstance(wanted[kind], list) else ()):
                if "as seam" in str(size):  # the length of a seam that is not there yet
                    self.later.append((i, (*base, kind, n), size))
                else:
                    self.leaves((*base, kind, n), size)
            if not isinstance(wanted[kind], list):
                self.leaves((*base, kind), wanted[kind])
            self.ends(base, wanted)
            return
        items = wanted["polygon"]
        for n, item in enumerate(items):
            for axis, value in enumerate(_end(item)):
                if isinstance(item, list):
                    self.leaf_at((*base, "polygon", n, axis), value)
        for n, item in reversed(list(enumerate(items))):
            if isinstance(item, dict) and _at(self.value, (*base, "polygon", n)) != item:
                self.way(base, n, item)

    def ends(self, base: tuple[str | int, ...], wanted: dict[str, Any]) -> None:
        """Ends of a strap, and corners of a rectangle."""
        if "strap" in wanted:
            told = wanted.get("ends", "square")
            pair = told if isinstance(told, list) else [told, told]
            for n, word in enumerate(pair):
                at = ("piece", base[1], "shape", "ends", n)
                self.pick(f'#product-form [data-key="{_words((*base, "ends", n))}"]', word, at)
            wanted["ends"] = pair
        if "corner" in wanted:
            self.leaf((*base, "corner"), wanted["corner"])
        marks = wanted.get("corners", ())
        if marks and _at(self.value, (*base, "corners")) != marks:
            told = [marks[0], marks[2]] if marks[0] == marks[1] and marks[2] == marks[3] else marks
            text = ", ".join(f"cut {mark['cut']}" if isinstance(mark, dict) else str(mark) for mark in told)
            self.line(
                f'#product-form [data-key="piece[{base[1]}].corners"]',
                text,
                lambda: _at(self.value, (*base, "corners")) == marks,
                len(told),
            )
        for n, mark in enumerate(marks):
            if mark != 0 and _at(self.value, (*base, "corners", n)) != mark:
                self.handle(n)
                self.mark(
                    (*base, "corners"),
                    "cut" if isinstance(mark, dict) else "round",
                    mark["cut"] if isinstance(mark, dict) else mark,
                )

    def leaf_at(self, path: tuple[str | int, ...], value: object) -> None:
        if _at(self.value, path) != value:
            self.text_field(f'#product-form [data-key="{_words(path)}"]', value, path)

    def mark(self, path: tuple[str | int, ...], how: str, size: object) -> None:
        """A chosen corner rounded or cut."""
        before = self.page.input_value("#product-text")
        self.press(f'#product-form [data-key="corner={how}"]', lambda: self.page.input_value("#product-text") != before)
        box = self.page.locator("#product-form [data-key=corner-size]")
        if box.input_value() != str(size):
            now = self.page.input_value("#product-text")
            box.fill(str(size))
            box.press("Enter")
            self.count += 1
            self.typed(size)
            self.until(lambda: self.page.input_value("#product-text") != now)

    def way(self, base: tuple[str | int, ...], n: int, item: dict[str, Any]) -> None:
        """How the outline leads to corner `n`, and what its edge is called."""
        path = (*base, "polygon", n)
        self.handle(self.handles_before(base, n))
        kind = next((name for name in ("arc", "curve", "smooth") if name in item), "straight")
        if kind != "straight":
            self.press(
                f'#product-form [data-key="{_words((*path, "way"))}={kind}"]',
                lambda: kind in (_at(self.value, path) or ()),
            )
        if kind == "arc":
            how = next(each for each in ("rise", "radius", "through") if each in item)
            if how != "rise":
                self.press(
                    f'#product-form [data-key="{_words((*path, "by"))}={how}"]', lambda: how in _at(self.value, path)
                )
            self.leaves((*path, how), item[how])
        if kind == "curve":
            if len(item["by"]) == 2:
                self.press(
                    f'#product-form [data-key="bends-{_words(("shape", *path[3:]))}"]',
                    lambda: len(_at(self.value, path)["by"]) == 2,
                )
            self.leaves((*path, "by"), item["by"])
        if kind == "smooth":
            while len(_at(self.value, path)["smooth"]) < len(item["smooth"]):
                many = len(_at(self.value, path)["smooth"])
                self.press(
                    f'#product-form [data-key="smooth-more-{n}"]',
                    lambda m=many: len(_at(self.value, path)["smooth"]) > m,
                )
            self.leaves((*path, "smooth"), item["smooth"])
        for how in ("round", "cut"):
            if how in item:
                self.mark(path, how, item[how])
        if "edge" in item:
            self.edge_name(path, item["edge"])

    def edge_name(self, path: tuple[str | int, ...], name: str) -> None:
        key = _words((*path, "edge"))
        if not self.page.locator(
            f'#product-form [data-key="{key}"]'
        ).count():  # a plain corner has the field once it says more
            self.press(
                f'#product-form [data-key="{_words(path)}/name"]', lambda: isinstance(_at(self.value, path), dict)
            )
        self.text_field(f'#product-form [data-key="{key}"]', name, (*path, "edge"))

    def handles_before(self, base: tuple[str | int, ...], n: int) -> int:
        """The number of the handle of corner `n`."""
        many = 0
        for item in _at(self.value, (*base, "polygon"))[:n]:
            many += (
                1
                if isinstance(item, list)
                else sum((name in item) for name in ("at", "arc", "curve", "through"))
                + len(item.get("by", ()))
                + len(item.get("smooth", ()))
            )
        return many

    def handle(self, index: int) -> None:
        """Choose a handle by its key, which is one gesture for a person who taps it."""
        surface = self.page.locator("#product-surface svg.surface")
        surface.press("Escape")
        for _ in range(index + 1):
            surface.press("n")
        self.count += 1

    def mirrored_holes(self, i: int, kind: str, j: int, wanted: dict[str, Any]) -> bool:
        """The group before once more at the other end of a rectangle; False where that is not wanted."""
        size = wanted["shape"].get("rectangle")
        if kind != "holes" or j == 0 or not size or not isinstance(size[1], int):
            return False
        holes = wanted[kind]
        own = [hole for hole in holes[:j] if hole.get("group") == holes[j - 1].get("group")]
        more = holes[j : j + len(own)]
        group = holes[j].get("group")
        if len(own) < 2 or group is None or not all(isinstance(hole["at"][1], int) for hole in own):
            return False
        if more != [{**hole, "at": [hole["at"][0], size[1] - hole["at"][1]], "group": group} for hole in own]:
            return False
        path = ("piece", i, kind)
        self.line(f'[data-key="{kind}-mirrored=y"]', group, lambda: len(_at(self.value, path)) == j + len(own), 1)
        return True

    def next_hole(self, i: int, kind: str, j: int, wanted: list[dict[str, Any]]) -> bool:
        """Type the place of a hole or a slot that is as the one before but for its group; False where it is not so."""
        if kind not in ("holes", "slots") or j == 0:
            return False
        own, last = ({k: v for k, v in item.items() if k not in ("at", "group")} for item in (wanted[j], wanted[j - 1]))
        group, held = wanted[j].get("group"), wanted[j - 1].get("group")
        if own != last or (held and not group):
            return False
        at, before = wanted[j]["at"], wanted[j - 1]["at"]
        spot = [str(each) if each != other else "" for each, other in zip(at, before, strict=True)]
        text = ", ".join([*spot, *([str(group)] if group != held else [])]).removesuffix(", ")
        self.line(
            f"[data-key={kind}-next]",
            text,
            lambda: _at(self.value, ("piece", i, kind, j)) == wanted[j],
            1 + (group != held),
        )
        return True

    def like_before(self, i: int, kind: str, j: int, wanted: dict[str, Any]) -> bool:
        """Put in one more like the last, if that is nearly what is wanted."""
        last = _at(self.wanted, ("piece", i, kind, j - 1)) if j else None
        if kind in ("holes", "slots", "buckle_slots") or last is None or last.keys() != wanted.keys():
            return False
        if sum(last[key] != wanted[key] for key in wanted) > 1:
            return False
        path = ("piece", i, kind, j)
        self.press(f'#product-form [data-key="{_words((*path[:3], j - 1, "like"))}"]', lambda: _at(self.value, path))
        self.leaves(path, wanted)
        return True

    def feature(self, i: int, kind: str, j: int, wanted: dict[str, Any]) -> None:
        """A hole, a row, a slot, a line ..."""
        if self.like_before(i, kind, j, wanted) or (kind == "rows" and self.sewn(i, j, wanted)):
            return
        path = ("piece", i, kind, j)
        edge = _edges_of(wanted)
        several = wanted.get("kind") == "fold" and not edge and len(self.run_of_edges) > 1
        if kind == "lines" and not several:  # a line along edges is begun with them chosen, one across with none
            self.choose_edges(edge)
        elif edge and edge != ["all"] and not self.begins_along(i, kind, edge):
            self.choose_edges(edge)  # tapped, so that what is new begins along them
        button = f"[data-feature-kind={kind}]" + (f"[data-line-kind={wanted['kind']}]" if kind == "lines" else "")
        self.press(button, lambda: len(self.value["piece"][i].get(kind, ())) == j + 1)
        begun = _at(self.value, path)
        course = next((name for name in ("line", "points") if name in wanted), None)
        named = isinstance(wanted.get("line"), str)
        if kind in ("rows", "lines") and (course or "edge") not in begun:
            told = "named" if named else "line" if course else "edge"
            self.press(
                f'#product-form [data-key="{_words((*path, "course"))}={told}"]',
                lambda: (course or "edge") in _at(self.value, path),
            )
            begun = _at(self.value, path)
        self.leaves(path, wanted)
        for key in [each for each in _at(self.value, path) if each not in wanted]:
            self.clear((*path, key))

    def begins_along(self, i: int, kind: str, edge: list[str]) -> bool:
        """Whether a new one goes along these edges as things stand, or nearly."""
        if self.run_of_edges:
            return self.run_of_edges == edge
        rows = [
            row for piece in self.value["piece"] for row in piece.get("rows", ()) if isinstance(row.get("edge"), list)
        ]
        if kind == "rows" and rows and rows[-1]["edge"] == edge:
            return True
        shape = _at(self.wanted, ("piece", i, "shape"))
        if "strap" in shape and kind in ("rows", "notches"):
            taken = [name for each in self.value["piece"][i].get(kind, ()) for name in _edges_of(each)]
            return edge == [next((name for name in ("left", "right") if name not in taken), "start")]
        return edge == [_first_edge(shape)]

    def sewn(self, i: int, j: int, wanted: dict[str, Any]) -> bool:
        """A row that is sewn to one of another piece, with its seam; False where no seam asks for it."""
        names = [seam["edges"] for seam in self.wanted.get("seam", ())]
        done = len(self.value.get("seam", ()))
        if done == len(names) or len(names[done]) != 2:
            return False
        other, own = names[done]
        if own.get("holes") != wanted.get("group") or own["piece"] != self.value["piece"][i]["name"]:
            return False
        box, key = self.page.locator("#product-sew"), f"{other['piece']}\n{other.get('holes')}"
        if not box.evaluate("(each, key) => [...each.options].some((option) => option.value === key)", key):
            return False
        edge = _edges_of(wanted)
        if not self.begins_along(i, "rows", edge):
            self.choose_edges(edge)
        box.select_option(key)
        self.count += 1
        path = ("piece", i, "rows", j)
        self.until(lambda: len(self.value.get("seam", ())) == done + 1 and _at(self.value, path) is not None)
        self.leaves(path, wanted)
        for name in [each for each in _at(self.value, path) if each not in wanted]:
            self.clear((*path, name))
        return True

    def choose_edges(self, names: list[str]) -> None:
        """Tap an edge, and with Shift the last of those that follow; by keys here. None are let go of by Escape."""
        if names == self.run_of_edges:
            return
        surface = self.page.locator("#product-surface svg.surface")
        self.count += 1
        surface.press("Escape")
        self.run_of_edges = names
        if not names:
            return
        hint = self.page.locator("#product-hint")
        for _ in range(60):
            surface.press("e")
            if f"“{names[0]}”" in hint.inner_text():
                break
        else:
            raise LookupError(f"no edge {names[0]}")
        for name in names[1:]:
            surface.press("Shift+E")
            if f"“{name}”" not in hint.inner_text():
                raise LookupError(f"{name} does not follow in {names}")
        if len(names) > 1:
            self.count += 1
            self.seconds += KEY

    def clear(self, path: tuple[str | int, ...]) -> None:
        """Empty a field that a new thing has and the wanted one has not."""
        field = self.page.locator(f'#product-form [data-key="{_words(path)}"]')
        if field.count() and field.first.evaluate("each => each.tagName") == "SELECT":
            field.first.select_option(index=0)
            self.count += 1
            self.until(lambda: _at(self.value, path) is None)
        elif field.count() and field.first.evaluate("each => each.tagName") == "INPUT":
            field.first.fill("")
            field.first.press("Enter")
            self.count += 1
            self.until(lambda: _at(self.value, path) is None)
        else:
            self.lacking.append(f"{_words(path)} taken away")

    # what joins them

    def choices(self) -> None:
        """Choices, each in one line."""
        for name, wanted in self.wanted.get("choices", {}).items():
            usual = wanted["default"]
            if isinstance(usual, bool):
                text, things = f"{name} = {'yes' if usual else 'no'}", 2
            elif "of" in wanted:
                first = usual == wanted["of"][0]
                text, things = f"{name} = {', '.join(wanted['of'])}{'' if first else f', usually {usual}'}", 3
            else:
                bare = [_without_unit(each, usual) for each in (wanted["from"], wanted["to"])]
                text, things = f"{name} = {usual}, {bare[0]}-{bare[1]}", 4
            self.line(
                "[data-key=choice-name]",
                text,
                lambda name=name, wanted=wanted: _at(self.value, ("choices", name)) == wanted,
                things,
            )

    def fastener(self, i: int, wanted: dict[str, Any]) -> None:
        """A fastener with its sizes."""
        self.press(f"[data-key='fastener+{wanted['kind']}']", lambda: len(self.value.get("fastener", ())) == i + 1)
        path = ("fastener", i, "sizes")
        self.leaves(("fastener", i), {key: value for key, value in wanted.items() if key not in ("kind", "sizes")})
        self.sizes_in_one_line(i, wanted)
        currency = self.wanted.get("price", {}).get("currency")
        if currency and any("price" in size for size in wanted["sizes"]):
            self.leaves(("price", "currency"), currency)
        while len(_at(self.value, path)) < len(wanted["sizes"]):
            many = len(_at(self.value, path))
            self.press(f'[data-key="size+{i}"]', lambda m=many: len(_at(self.value, path)) > m)
        while len(_at(self.value, path)) > len(wanted["sizes"]):
            many = len(_at(self.value, path))
            self.press(f'[data-key="size-out-{i}-{many - 1}"]', lambda m=many: len(_at(self.value, path)) < m)
        self.leaves(("fastener", i), wanted)

    def sizes_in_one_line(self, i: int, wanted: dict[str, Any]) -> None:
        """Sizes that are called by their lengths, where they are others than those it begins with."""
        sizes, known = wanted["sizes"], ("length", "price", "weight")
        if (
            any(size["name"] != size.get("length") for size in sizes)
            or _at(self.value, ("fastener", i, "sizes")) == sizes
        ):
            return
        told = [[str(size[name]) for name in known if name in size] for size in sizes]
        self.line(
            f"[data-key=sizes-{i}]",
            ", ".join(" ".join(each) for each in told),
            lambda: _at(self.value, ("fastener", i, "sizes")) == sizes,
            sum(map(len, told)),
        )

    def seam(self, i: int, wanted: dict[str, Any]) -> None:
        """A seam with all its sides."""
        if len(self.value.get("seam", ())) == i:
            self.press("#seam-more", lambda: len(self.value.get("seam", ())) == i + 1)
        path = ("seam", i, "edges")
        if wanted["name"] != " and ".join(side["piece"] for side in wanted["edges"][:2]):
            self.text_field(f'#product-form [data-key="seam[{i}].name"]', wanted["name"], ("seam", i, "name"))
        while len(_at(self.value, path)) < len(wanted["edges"]):
            many = len(_at(self.value, path))
            self.press(f'[data-key="seam-edge+{i}"]', lambda m=many: len(_at(self.value, path)) > m)
        for j, side in enumerate(wanted["edges"]):
            if _at(self.value, (*path, j)) != side:
                self.side(i, j, side)
        for j in range(len(wanted["edges"])):
            long = self.page.locator(f'[data-key="seam-long-{i}-{j}"]')
            if long.count() and any(value == f"as seam {wanted['name']}" for _, _, value in self.later):
                self.press(f'[data-key="seam-long-{i}-{j}"]')
        for key in ("fastener", "pitch"):
            if key not in wanted and _at(self.value, ("seam", i, key)) is not None:
                self.clear(("seam", i, key))
        self.leaves(("seam", i), {key: value for key, value in wanted.items() if key != "edges"})

    def side(self, i: int, j: int, wanted: dict[str, Any]) -> None:
        """One side of a seam: by the row of its holes, or by its piece and what else it says."""
        path = ("seam", i, "edges", j)
        box = self.page.locator(f'[data-key="seam-{i}-{j}"]')
        row = f"{wanted['piece']}\n{wanted.get('holes')}"
        if box.evaluate("(each, row) => [...each.options].some((option) => option.value === row)", row):
            box.select_option(row)
            self.count += 1
            self.until(lambda: _at(self.value, (*path, "holes")) == wanted["holes"])
        else:
            self.pick(f'[data-key="seam-{i}-{j}"]', wanted["piece"], (*path, "piece"))
        self.leaves(path, wanted)

    def joint(self, i: int, wanted: dict[str, Any]) -> None:
        """A joint with its layers."""
        if self.like_joint(i, wanted):
            return
        self.press("#joint-more", lambda: len(self.value.get("joint", ())) == i + 1)
        path = ("joint", i, "layers")
        first = wanted["layers"][0].get("holes")
        if wanted["name"] != first:  # else it is called so by itself
            self.text_field(f'#product-form [data-key="joint[{i}].name"]', wanted["name"], ("joint", i, "name"))
        if "seam" in wanted:
            self.leaves(("joint", i, "seam"), wanted["seam"])
        for j, layer in enumerate(wanted["layers"]):
            now = _at(self.value, (*path, j))
            if now is not None and ("piece" in now) != ("piece" in layer):
                for k in reversed(range(j, len(_at(self.value, path)))):
                    self.layer_out(path, k)
                now = None
            if now is None:
                told = layer.get("holes", layer.get("ends", []))
                first = told if isinstance(told, str) else next(iter(told), "")
                button = f"layer+{i}={layer['piece']}/{first}" if "piece" in layer else f"washer+{i}"
                if "piece" in layer and not self.page.locator(f'[data-key="layers-{i}"][open]').count():
                    self.press(f'[data-key="layers-{i}"] summary')
                self.press(f'[data-key="{button}"]', lambda j=j: len(_at(self.value, path)) > j)
            if "piece" in layer:
                self.groups(path, j, layer)
        for k in reversed(range(len(wanted["layers"]), len(_at(self.value, path)))):
            self.layer_out(path, k)
        for j, layer in enumerate(wanted["layers"]):
            if "pieces" not in layer and _at(self.value, (*path, j, "pieces")) is not None:
                self.clear((*path, j, "pieces"))
            self.leaves((*path, j), {name: layer[name] for name in layer if name not in ("piece", "holes", "ends")})
        if "fastener" not in wanted and _at(self.value, ("joint", i, "fastener")) is not None:
            self.clear(("joint", i, "fastener"))
        self.leaves(("joint", i), {name: value for name, value in wanted.items() if name != "layers"})

    def like_joint(self, i: int, wanted: dict[str, Any]) -> bool:
        """One more like a joint of the same pieces, at other holes of them; False where there is none."""

        def parts(joint: dict[str, Any]) -> Any:
            layers = [{k: v for k, v in layer.items() if k != "holes"} for layer in joint["layers"]]
            return [{k: v for k, v in joint.items() if k not in ("name", "layers")}, layers]

        like = next((k for k, joint in enumerate(self.wanted["joint"][:i]) if parts(joint) == parts(wanted)), None)
        if like is None or len(wanted["layers"]) < 3:
            return False
        self.press(f"[data-key=joint-like-{like}]", lambda: len(self.value.get("joint", ())) == i + 1)
        for j, layer in enumerate(wanted["layers"]):
            if "piece" in layer:
                self.groups(("joint", i, "layers"), j, layer)
        self.leaves(("joint", i), {"name": wanted["name"]})
        return True

    def layer_out(self, path: tuple[str | int, ...], j: int) -> None:
        many = len(_at(self.value, path))
        self.press(f'[data-key="layer-out-{path[1]}-{j}"]', lambda: len(_at(self.value, path)) < many)

    def groups(self, path: tuple[str | int, ...], j: int, layer: dict[str, Any]) -> None:
        """Which piece, which of its holes, and whether they lie on one another."""
        told = layer.get("holes", layer.get("ends", []))
        groups = [told] if isinstance(told, str) else told
        at = (*path, j)
        box = self.page.locator(f'[data-key="layer-{path[1]}-{j}"]')
        first = f"{layer['piece']}\n{groups[0] if groups else ''}"
        if box.input_value() != first:
            box.select_option(first)
            self.count += 1
            self.until(lambda: _at(self.value, at)["piece"] == layer["piece"])
        for n, name in enumerate(groups[1:], 2):
            self.press(
                f'[data-key="layer-{path[1]}-{j}={name}"]', lambda n=n: len(_at(self.value, (*at, "holes")) or ()) == n
            )
        if "ends" in layer:
            self.press(f'[data-key="layer-ends-{path[1]}-{j}"]', lambda: _at(self.value, (*at, "ends")) == groups)

    def making(self) -> None:
        """Materials, work on the edges, labour, prices."""
        wanted = self.wanted
        if any(name in wanted for name in ("material", "edge", "labour", "price", "care")):
            self.press("#product-view-making")
        for table in ("material", "edge"):
            for i, item in enumerate(wanted.get(table, ())):
                self.press(f"#{table}-more", lambda t=table, i=i: len(self.value.get(t, ())) > i)
                self.leaves((table, i), {name: value for name, value in item.items() if name != "pieces"})
                self.buttons((table, i, "pieces"), item)
        for table in ("labour", "price", "care"):
            item = wanted.get(table, {})
            like = self.page.locator("[data-key=labour-edges-as]")
            if table == "labour" and like.count() and item.get("edges") == _at(wanted, ("edge", 0, "pieces")):
                self.press(
                    "[data-key=labour-edges-as]",
                    lambda item=item: _at(self.value, ("labour", "edges")) == item["edges"],
                )
            self.buttons((table, "edges"), item)
            self.leaves((table,), {name: value for name, value in item.items() if name != "edges"})

    def buttons(self, path: tuple[str | int, ...], item: dict[str, Any]) -> None:
        """Names pressed one after another, and pressed again where they are not wanted."""
        for name in [each for each in _at(self.value, path) or () if each not in item.get(str(path[-1]), ())]:
            self.press(
                f'#product-form [data-key="{_words(path)}={name}"]',
                lambda name=name: name not in (_at(self.value, path) or ()),
            )
        for name in [each for each in item.get(str(path[-1]), ()) if each not in (_at(self.value, path) or ())]:
            key = f"{_words(path)}={name}"
            self.press(f'#product-form [data-key="{key}"]', lambda name=name: name in (_at(self.value, path) or ()))


def _end(item: Any) -> list[Any]:
    """The point a step of an outline leads to."""
    if isinstance(item, list):
        return item
    if "smooth" in item:
        return item["smooth"][-1] if isinstance(item["smooth"][0], list) else item["smooth"]
    return next(item[name] for name in ("at", "arc", "curve") if name in item)


def _outline(piece: dict[str, Any]) -> tuple[Any, Any]:
    return piece["shape"], piece.get("fold")


def _without_unit(value: object, other: object) -> object:
    """A length without its unit, where another one in the line has the same."""
    unit = str(other).rpartition(" ")[2]
    return str(value).removesuffix(f" {unit}") if isinstance(value, str) and not unit.isdigit() else value


def _first_edge(shape: dict[str, Any]) -> str:
    """What is new begins along this edge where none is chosen."""
    named = {"rectangle": "bottom", "strap": "start", "circle": "rim"}
    first = shape.get("polygon", [0, 0])[1]
    return next(
        (name for kind, name in named.items() if kind in shape),
        first.get("edge", "1") if isinstance(first, dict) else "1",
    )


def _edges_of(item: dict[str, Any]) -> list[str]:
    edge = item.get("edge", [])
    return [edge] if isinstance(edge, str) else list(edge)


def _box(points: list[Any]) -> str | None:
    """A rectangle from corner to corner as it is typed; None where the points are none."""
    if len(points) != 4 or not all(isinstance(each, list) for each in points):
        return None
    a, b, c, d = points
    return f"{_step_words(a)} to {_step_words(c)}" if b == [c[0], a[1]] and d == [a[0], c[1]] else None


def _step_words(item: Any, before: Any = None) -> str:
    """A point of an outline or a line as it is typed; what is as in the point before is left out."""
    if isinstance(item, list):
        if before and item[0] == before[0] and item[1] != before[1]:
            return f", {item[1]}"
        return str(item[0]) if before and item[1] == before[1] and item[0] != before[0] else ", ".join(map(str, item))
    smooth = item.get("smooth", ())
    points = [_end(item)] if not smooth else smooth if isinstance(smooth[0], list) else [smooth]
    words = ("smooth " if smooth else "") + (
        " and ".join(map(_step_words, points)) if smooth else _step_words(points[0], before)
    )
    if "by" in item:
        words += " by " + " and ".join(map(_step_words, item["by"]))
    for name in ("rise", "radius", "through", "round", "cut", "edge"):
        if name in item:
            words += f" {name} {_step_words(item[name]) if isinstance(item[name], list) else item[name]}"
    return words


def _things(item: Any) -> int:
    """How many things of such a point are looked up: each point, and each word about it."""
    if isinstance(item, list):
        return 1
    points = sum(len(item[name]) if isinstance(item[name][0], list) else 1 for name in ("smooth", "by") if name in item)
    return (
        points
        + ("smooth" not in item)
        + sum(name in item for name in ("rise", "radius", "through", "round", "cut", "edge"))
    )


def _without_seams(item: Any, known: Sequence[str] = ()) -> Any:
    """The same with nought for the lengths of seams that are not `known` yet."""
    if isinstance(item, dict):
        return {name: _without_seams(value, known) for name, value in item.items()}
    if isinstance(item, list):
        return [_without_seams(each, known) for each in item]
    return 0 if "as seam" in str(item) and not any(f"as seam {name}" in item for name in known) else item


def _at(value: Any, path: tuple[str | int, ...]) -> Any:
    for step in path:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            return None
    return value


def _words(path: tuple[str | int, ...]) -> str:
    return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path).lstrip(".")


if __name__ == "__main__":
    main()
