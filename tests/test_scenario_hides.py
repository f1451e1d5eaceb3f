"""The workshop's own hides: believable leather, with marked and measured areas that nearly agree."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely.geometry import Polygon

import nesting
from hides.finding import Finding
from hides.hide import Grade
from hides.hide_file import hide_text, read_hide

FOLDER = Path(nesting.__file__).parent / "scenario"
FILES = sorted(FOLDER.glob("*.json"))


def test_there_are_sides_shoulders_and_bends() -> None:
    cuts = [read_hide(file).cut for file in FILES]
    assert (cuts.count("side"), cuts.count("bend")) >= (3, 2)
    assert {"double shoulder", "offcut"} <= set(cuts)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_hide_of_the_scenario_is_whole_and_written_as_the_writer_writes(file: Path) -> None:
    findings: list[Finding] = []
    hide = read_hide(file, findings)
    assert findings == []
    assert hide_text(hide) == file.read_text(encoding="utf-8")


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_hide_of_the_scenario_is_believable(file: Path) -> None:
    hide = read_hide(file)
    assert len(hide.outline) >= (40 if hide.cut == "offcut" else 60)
    assert 5 <= len(hide.flaws) <= 15
    assert any(flaw.grade == Grade.NONE for flaw in hide.flaws)
    assert hide.zones
    assert all(hide.polygon.intersects(Polygon(flaw.outline)) for flaw in hide.flaws)
    assert hide.area is not None
    assert 0.001 < abs(hide.measured_area / hide.area - 1) < 0.04
    assert hide.price is not None
    assert hide.thickness is not None
    assert hide.backbone is not None
