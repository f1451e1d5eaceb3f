"""Two hundred random hides and products: no layout that fails its check leaves the search (`scripts/soak` has more)."""

from __future__ import annotations

import pytest

from scripts.soak import case

TENS = 20


@pytest.mark.parametrize("ten", range(TENS))
def test_no_layout_that_fails_its_check_leaves_the_search(ten: int) -> None:
    """`lay_out` raises LayoutFault for such a layout; a case also fails where a layout beats its bound."""
    laid = [case(seed) for seed in range(10_001 + 10 * ten, 10_011 + 10 * ten)]
    assert any(laid)
