"""A real page in a real browser: the server in a process of its own, headless Chromium, and what it asked for."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

ROOT = Path(__file__).parent.parent
QUIET = [
    "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--no-first-run", "--disable-default-apps", "--disable-domain-reliability",
]  # fmt: skip
LAPTOP = {"width": 1366, "height": 768}
TABLET = {"width": 820, "height": 1180}
CORNERS = [(330, 300), (1690, 330), (1880, 1280), (120, 1240)]
"""Where the synthetic photo's marks lie, pixels."""
SIZE = (2400, 1500)
"""The rectangle the marks span, mm."""

TAG_SET = """format = "hideplan-project-1"
name = "Tag set"
[[piece]]
name = "front"
count = 2
along = "backbone"
tolerance = 10
shape = { rectangle = [120, 200], corner = 12 }
"""

expect.set_options(timeout=60_000)  # a state is waited for, however busy the machine


@dataclass
class Visit:
    """A browser on a running page, and every address it asked for."""

    browser: Browser
    address: str
    folder: Path
    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def refused(self) -> None:
        """Forget what the browser says of requests that were to be refused (422)."""
        self.said[:] = [line for line in self.said if "status of 422" not in line]

    @contextmanager
    def tab(self, **options: Any) -> Iterator[Page]:
        """A fresh browser window on the first screen."""
        context = self.browser.new_context(**{"viewport": LAPTOP, "accept_downloads": True, **options})
        try:
            yield self.another(context)
        finally:
            context.close()

    def another(self, context: BrowserContext, at: str = "") -> Page:
        """One more tab of the same window."""
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("console", lambda line: self.said.append(line.text) if line.type == "error" else None)
        page.goto(self.address + at)
        page.wait_for_selector("body[data-ready]")
        return page


def chromium() -> str:
    """The browser's path; skips the test, saying why, where there is none."""
    names = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
    found = os.environ.get("HIDEPLAN_CHROMIUM") or next(filter(None, map(shutil.which, names)), None)
    if found is None:
        pytest.skip("no Chromium here, so the page is not tried in a browser (Debian: apt-get install chromium)")
    return found


@contextmanager
def serving(folder: Path) -> Iterator[str]:
    """`hideplan page` on a free port; gives its address."""
    command = [sys.executable, "-m", "nesting", "page", "--folder", str(folder), "--port", "0", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as server:
        assert server.stdout is not None
        try:
            line = server.stdout.readline()
            yield re.findall(r"http://\S+", line)[0]
        finally:
            server.terminate()


@contextmanager
def visiting(folder: Path) -> Iterator[Visit]:
    """A server on the folder and a browser that can open it."""
    path = chromium()
    arguments = [*QUIET, "--no-sandbox"] if os.geteuid() == 0 else QUIET
    with serving(folder) as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=arguments)
        yield Visit(browser, address, folder)
        browser.close()


def hide_ring(count: int = 72, centre: tuple[float, float] = (1200, 750)) -> list[list[float]]:
    """An outline somewhat like a hide's, mm."""
    angles = np.linspace(0, 2 * np.pi, count, endpoint=False)
    grown = 1 + 0.10 * np.cos(4 * angles + 0.6) + 0.05 * np.cos(7 * angles)
    xs, ys = centre[0] + 920 * np.cos(angles) * grown, centre[1] + 480 * np.sin(angles) * grown
    return [[round(float(x), 1), round(float(y), 1)] for x, y in zip(xs, ys, strict=True)]


def synthetic_photo(path: Path) -> None:
    """A hide on a mottled floor with four marks round it, seen by a tilted camera; 2000 × 1500 pixels."""
    width, height, margin = *SIZE, 600
    noise = np.random.default_rng(4).normal(0, 9, ((height + 2 * margin) // 4, (width + 2 * margin) // 4, 1))
    grey = np.array([126, 130, 128])
    floor = np.clip(np.kron(noise, np.ones((4, 4, 1))) + grey, 0, 255).astype(np.uint8)
    flat = Image.fromarray(floor)
    draw = ImageDraw.Draw(flat)

    def place(x: float, y: float) -> tuple[float, float]:
        return x + margin, height - y + margin

    draw.polygon([place(x, y) for x, y in hide_ring()], fill=(176, 128, 84))
    floor_corners = [(0, height), (width, height), (width, 0), (0, 0)]
    for x, y in floor_corners:
        cx, cy = place(x, y)
        draw.ellipse([cx - 14, cy - 14, cx + 14, cy + 14], fill="white")
    rows: list[list[float]] = []
    right: list[float] = []
    for (u, v), (x, y) in zip(CORNERS, (place(*corner) for corner in floor_corners), strict=True):
        rows += [[u, v, 1, 0, 0, 0, -x * u, -x * v], [0, 0, 0, u, v, 1, -y * u, -y * v]]
        right += [x, y]
    seen = np.linalg.solve(np.array(rows, float), np.array(right, float))
    photo = flat.transform(
        (2000, 1500), Image.Transform.PERSPECTIVE, seen.tolist(), Image.Resampling.BICUBIC, fillcolor=(120, 124, 122)
    )
    photo.filter(ImageFilter.GaussianBlur(0.7)).save(path, quality=90)
