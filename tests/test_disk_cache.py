"""What is kept on disk by content: found again, never trusted, never in the way."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from problems import in_box
from shapely.geometry import Polygon, box

import nesting.engine.disk_cache
from nesting.engine.disk_cache import Arrays, kept
from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.separation.depth_maps import Atlas, atlas

MAKERS = [sys.modules[__name__]]


class Maker:
    """Makes the same arrays every time, and counts how often it is asked."""

    def __init__(self, size: int = 200_000) -> None:
        self.size, self.asked = size, 0

    def __call__(self) -> Arrays:
        self.asked += 1
        return {"numbers": np.arange(self.size, dtype=np.float64), "more": np.eye(3)}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HIDEPLAN_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


def test_what_was_made_of_the_same_is_not_made_again(folder: Path) -> None:
    make = Maker()
    first, again = (kept([np.ones(4)], MAKERS, make) for _ in range(2))
    assert make.asked == 1
    assert all(np.array_equal(first[name], again[name]) for name in ("numbers", "more"))
    assert len(list(folder.iterdir())) == 1


@pytest.mark.parametrize("other", [np.zeros(4), np.ones(5), np.ones(4, dtype=np.float32), np.ones((2, 2))])
def test_what_was_made_of_something_else_is(folder: Path, other: np.ndarray) -> None:
    make = Maker()
    kept([np.ones(4)], MAKERS, make)
    kept([other], MAKERS, make)
    assert make.asked == 2


def test_a_file_cut_short_is_made_anew(folder: Path) -> None:
    make = Maker()
    kept([np.ones(4)], MAKERS, make)
    file = next(folder.iterdir())
    file.write_bytes(file.read_bytes()[:1000])
    assert np.array_equal(kept([np.ones(4)], MAKERS, make)["more"], np.eye(3))
    kept([np.ones(4)], MAKERS, make)
    assert make.asked == 2


def test_little_is_not_worth_a_file(folder: Path) -> None:
    kept([np.ones(4)], MAKERS, Maker(100))
    assert not folder.exists()


def test_a_folder_that_cannot_be_written_is_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("HIDEPLAN_CACHE", str(tmp_path / "file" / "kept"))
    assert len(kept([np.ones(4)], MAKERS, Maker())["numbers"]) == 200_000


def test_makers_that_cannot_be_read_are_no_fault(folder: Path) -> None:
    make = Maker()
    assert len(kept([np.ones(4)], [ModuleType("nowhere")], make)["numbers"]) == 200_000
    assert not folder.exists()


def test_the_oldest_go_when_there_are_too_many(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nesting.engine.disk_cache, "MOST", 4_000_000)
    make = Maker()
    for n in range(3):
        kept([np.full(4, n)], MAKERS, make)
        for age, file in enumerate(sorted(folder.iterdir(), key=lambda f: -f.stat().st_mtime)):
            os.utime(file, (1e9 - age, 1e9 - age))
    assert len(list(folder.iterdir())) == 2
    kept([np.full(4, 2)], MAKERS, make)
    assert make.asked == 3


def test_maps_from_disk_are_those_drawn(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nesting.engine.disk_cache, "LEAST", 0)

    def drawn() -> Atlas:
        tee = Polygon([(0, 0), (90, 0), (90, 30), (60, 30), (60, 120), (30, 120), (30, 30), (0, 30)])
        return atlas(
            InnerFits(build(in_box(900, 700, [(tee, 2, [0.0, 90.0, 180.0, 270.0]), (box(0, 0, 80, 50), 1, [0.0])])))
        )

    first, again = drawn(), drawn()
    assert len(list(folder.iterdir())) == 1
    for one, other in zip(first.maps, again.maps, strict=True):
        assert one.dtype == other.dtype
        assert np.array_equal(one, other)
