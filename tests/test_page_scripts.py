"""The page's own scripts: their pure modules tested by node, and no file of the page missing."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
STATIC = TESTS.parent / "nesting" / "page" / "static"


def test_geometry_units_history_and_faults_hold() -> None:
    """`node --test` over tests/page_geometry.test.mjs; each case names its rule."""
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed; the browser tests still use these modules")
    command = [node, "--test", str(TESTS / "page_geometry.test.mjs")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stdout[-4000:]
    assert re.search(r"^# pass [1-9]\d", done.stdout, re.MULTILINE) or "ℹ pass" in done.stdout


def test_every_import_of_a_script_is_there() -> None:
    for script in STATIC.rglob("*.js"):
        for name in re.findall(r'from "([\w./]+)"', script.read_text()):
            assert (script.parent / name).is_file(), f"{script.name} imports {name}"


def test_the_pure_modules_know_nothing_of_the_page() -> None:
    names = (
        "geometry",
        "contact",
        "units",
        "history",
        "shapes",
        "faults",
        "lens",
        "labels",
        "projection",
        "sizes",
        "typed_lines",
        "typed_way",
    )
    for name in names:
        text = (STATIC / "pure" / f"{name}.js").read_text()
        assert "document" not in text
        assert "window" not in text.replace("in a window", "")
