"""The README's pictures, made anew from the scenario: a laid hide, its cut sheet, the page.

`python -m scripts.pictures`. They land under nesting/scenario, in few colours so that they stay small. That of the page
needs playwright and Chromium.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

from hides import read_hide
from nesting import Layout, Settings, Want, best_layout, read_product
from nesting.drawing.canvas import png_bytes
from nesting.drawing.cut_sheet import sheet_pages
from nesting.drawing.hide_drawing import hide_png

SCENARIO = Path(__file__).resolve().parents[1] / "nesting" / "scenario"
HIDE, PROJECT = "side-1.json", "map-rack.toml"
COLOURS = 128


def kept(name: str, picture: bytes, width: int = 900) -> None:
    """Write a picture, no wider than this and in few colours."""
    image = Image.open(io.BytesIO(picture)).convert("RGB")
    image.thumbnail((width, width))
    path = SCENARIO / name
    image.quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)
    print(f"{path.name}: {path.stat().st_size // 1024} kB")


def laid() -> Layout:
    hide = read_hide(SCENARIO / HIDE)
    assert hide.thickness is not None
    return best_layout(hide, [Want(read_product(SCENARIO / PROJECT, hide.thickness.middle))], Settings(effort="quick"))


def page() -> bytes:
    """The page's plan tab with an answer, as Chromium shows it."""
    from playwright.sync_api import sync_playwright

    names = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
    path = next(filter(None, map(shutil.which, names)))
    with tempfile.TemporaryDirectory() as folder:
        for name in (HIDE, PROJECT):
            shutil.copy(SCENARIO / name, folder)
        command = [sys.executable, "-m", "nesting", "page", "--folder", folder, "--port", "0", "--no-browser"]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server, sync_playwright() as playwright:
            try:
                assert server.stdout is not None
                address = re.findall(r"http://\S+", server.stdout.readline())[0]
                flags = ["--no-sandbox"] if os.geteuid() == 0 else []
                browser = playwright.chromium.launch(executable_path=path, args=flags)
                shown = browser.new_page(viewport={"width": 1280, "height": 800})
                shown.goto(address)
                shown.wait_for_selector("body[data-ready]")
                shown.get_by_role("button", name=f"Open {HIDE}").click()
                shown.click("#go-plan")
                shown.select_option("#project", PROJECT)
                shown.click("#lay-out")
                shown.wait_for_selector("#answer:visible", timeout=120_000)
                picture = shown.screenshot()
                browser.close()
                return picture
            finally:
                server.terminate()


def main() -> None:
    layout = laid()
    kept("laid-hide.png", hide_png(layout, layout.hides[0], dots=90))
    kept("cut-sheet.png", png_bytes(sheet_pages(layout)[0], 90))
    kept("page.png", page())


if __name__ == "__main__":
    main()
