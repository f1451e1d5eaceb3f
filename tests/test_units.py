"""Units against the standards' definitions and the trade's."""

from __future__ import annotations

import pytest

from hides.errors import InputError
from hides.units import area, length, thickness


@pytest.mark.parametrize(
    ("text", "mm"),
    [("140 mm", 140), ("3/8 in", 9.525), ("5 1/2 in", 139.7), ("5½ in", 139.7), ("0.5 ft", 152.4), ("14 cm", 140)],
)
def test_a_length_carries_its_own_unit(text: str, mm: float) -> None:
    """1 in = 25.4 mm exactly (international yard and pound agreement, 1959)."""
    assert length(text) == pytest.approx(mm, abs=1e-12)


def test_a_square_foot_is_9_290304_dm2_exactly() -> None:
    """From the definition of the inch."""
    assert area("1 sq ft") == 92903.04


def test_a_hide_marked_22_and_three_quarters_is_2_1135_m2() -> None:
    """Common practice: the small 3 after a hide's figure means three quarters of a square foot."""
    assert area("22 3/4 sq ft") / 1e6 == pytest.approx(2.1135, abs=5e-5)


@pytest.mark.parametrize(
    ("ounces", "low", "high"),
    [("2-3 oz", 0.8, 1.2), ("4-5 oz", 1.6, 2.0), ("7-8 oz", 2.8, 3.2), ("12-14 oz", 4.8, 5.6)],
)
def test_ounces_agree_with_the_printed_chart(ounces: str, low: float, high: float) -> None:
    """Common practice: charts round an ounce (1/64 in) to 0.4 mm."""
    got = thickness(ounces)
    assert got.low == pytest.approx(low, abs=0.06)
    assert got.high == pytest.approx(high, abs=0.06)


@pytest.mark.parametrize("bad", ["140", "140 parsec", "", "mm", True, None, float("nan"), float("inf"), 1e10, "1/0 in"])
def test_a_length_that_is_none_is_refused(bad: object) -> None:
    with pytest.raises(InputError):
        length(bad)
