"""Laying a long sequence."""

from __future__ import annotations

from typing import Any

import pytest
from problems import in_box
from shapely.geometry import Polygon

from nesting.search.arrays.arrays import build
from nesting.search.arrays.inner_fits import InnerFits
from nesting.search.filling import bottom_left_fill as module
from nesting.search.filling.bottom_left_fill import Sweep, bottom_left_fill

COMB = Polygon([(0, 0), (70, 0), (70, 40), (60, 40), (60, 10), (40, 10), (40, 40), (30, 40), (30, 10), (10, 10),
                (10, 40), (0, 40)])  # fmt: skip


def test_a_long_sequence_is_begun_anew_a_few_times_whatever_the_variants(monkeypatch: pytest.MonkeyPatch) -> None:
    """The polygons of each of the eight rotations outgrow the room for them at about the same piece."""
    begun: list[int] = []
    fill = module.fill

    def counted(*arguments: Any) -> tuple[int, int]:
        begun.append(1)
        return fill(*arguments)

    monkeypatch.setattr(module, "fill", counted)
    angles = [0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0]
    laid = bottom_left_fill(InnerFits(build(in_box(1500, 1500, [(COMB, 120, angles)])), 8), [0] * 120, Sweep(0.0))
    assert len(laid) == 120
    assert 2 <= len(begun) <= 7
