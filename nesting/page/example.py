"""The built-in example, copied into an empty folder so that a newcomer has something to try."""

from __future__ import annotations

from pathlib import Path

import nesting
from hides.whole_file import write_whole
from nesting.page.folder import Folder

SCENARIO = Path(nesting.__file__).parent / "scenario"


def lay_out_example(folder: Folder) -> int:
    """Copy the example's hides, projects, order and leathers; what is in the folder already stays. Gives how many."""
    sources = [path for ending in ("*.json", "*.toml") for path in sorted(SCENARIO.glob(ending))]
    missing = [path for path in sources if not (folder.path / path.name).exists()]
    for path in missing:
        write_whole(folder.path / path.name, path.read_bytes())
    return len(missing)
