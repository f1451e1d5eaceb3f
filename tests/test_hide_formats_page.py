"""The page that documents the files of the leather: its examples are read as they stand there."""

from __future__ import annotations

import json
import re
from pathlib import Path

import hides
from hides.finding import Finding
from hides.hide_file import hide_from_data
from hides.offsets import offsets_from_bytes

PAGE = (Path(hides.__file__).parent / "FORMATS.md").read_text(encoding="utf-8")


def example(kind: str) -> str:
    found = re.search(rf"```{kind}\n(.*?)```", PAGE, re.DOTALL)
    assert found
    return found.group(1)


def test_the_hide_file_shown_is_read_and_every_field_is_described() -> None:
    data = json.loads(example("json"))
    hide = hide_from_data(data)
    assert (len(hide.flaws), len(hide.zones), len(hide.holes)) == (2, 1, 1)
    for name in (*data, "estimate", "parent"):
        assert f"`{name}`" in PAGE


def test_the_table_of_offsets_shown_is_read_without_a_remark() -> None:
    findings: list[Finding] = []
    hide = offsets_from_bytes(example("csv").encode(), "S-11.csv", findings)
    assert findings == []
    assert (hide.name, len(hide.flaws), len(hide.zones)) == ("S-11", 2, 1)
