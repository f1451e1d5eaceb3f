"""One version everywhere."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from nesting.commands import VERSION

ROOT = Path(__file__).resolve().parents[1]


def test_project_command_and_changes_name_the_same_version() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"]
    changes = (ROOT / "DEVELOPERS.md").read_text().split("## Changes")[1]
    latest = re.search(r"^### (\S+)", changes, flags=re.MULTILINE)
    assert latest is not None
    assert VERSION == project == latest.group(1)
