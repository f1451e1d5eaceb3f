"""Two hundred random hides and products: no layout that fails its check leaves the search (`scripts/soak` has more)."""

from __future__ import annotations

from typing import Any

import pytest

from nesting.search import search
from scripts.soak import case

TENS = 20


@pytest.mark.parametrize("ten", range(TENS))
def test_no_layout_that_fails_its_check_leaves_the_search(ten: int) -> None:
    """`lay_out` raises LayoutFault for such a layout; a case also fails where a layout beats its bound."""
    laid = [case(seed) for seed in range(10_001 + 10 * ten, 10_011 + 10 * ten)]
    assert any(laid)


def test_corners_that_face_one_another_across_a_gap_leave_nothing_to_settle() -> None:
    """Case 922: near along an edge's normal, yet with no contact once the programme's reach had shrunk."""
    assert case(922) > 0


@pytest.mark.parametrize("phase", ["construct_task", "reorder_task", "windows_task", "squeeze_task"])
def test_a_soak_meets_every_phase_of_the_search(phase: str, monkeypatch: pytest.MonkeyPatch) -> None:
    met: list[Any] = []
    real = getattr(search, phase)

    def counted(*arguments: Any) -> Any:
        met.append(real(*arguments))
        return met[-1]

    monkeypatch.setattr(search, phase, counted)
    for seed in range(10_001, 10_006):
        case(seed)
    assert met
