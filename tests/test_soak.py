"""Forty random hides: no layout that fails its check leaves the search (`scripts/soak` has more)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from nesting.search import search
from scripts.soak import case

TENS = 4


@pytest.mark.parametrize("ten", range(TENS))
def test_no_layout_that_fails_its_check_leaves_the_search(ten: int) -> None:
    """`lay_out` raises LayoutFault for such a layout; a case also fails where a layout beats its bound."""
    laid = [case(seed) for seed in range(10_001 + 10 * ten, 10_011 + 10 * ten)]
    assert any(laid)


def test_corners_that_face_one_another_across_a_gap_leave_nothing_to_settle() -> None:
    """Case 922: near along an edge's normal, yet with no contact once the programme's reach had shrunk."""
    assert case(922) > 0


def test_a_soak_meets_every_phase_of_the_search(monkeypatch: pytest.MonkeyPatch) -> None:
    phases = {"fill_task", "sequences_task", "neighbourhoods_task", "pull_apart_task"}
    met = set[str]()
    for phase in phases:
        monkeypatch.setattr(search, phase, _counted(phase, getattr(search, phase), met))
    for seed in range(10_001, 10_006):
        case(seed)
    assert met == phases


def _counted(phase: str, task: Callable[..., Any], met: set[str]) -> Callable[..., Any]:
    def counted(*arguments: Any) -> Any:
        met.add(phase)
        return task(*arguments)

    return counted
