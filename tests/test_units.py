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


@pytest.mark.parametrize(
    ("unit", "mm"), [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4), ("ft", 304.8), ("yd", 914.4)]
)
def test_every_unit_of_length_is_what_the_standard_says(unit: str, mm: float) -> None:
    """SI prefixes; international yard and pound agreement, 1959: 1 yd = 0.9144 m, 1 ft = 1/3 yd, 1 in = 1/12 ft."""
    assert length(f"1 {unit}") == mm
    assert length(2, unit) == 2 * mm


@pytest.mark.parametrize(
    ("unit", "mm2"),
    [("mm2", 1), ("cm2", 100), ("dm2", 1e4), ("m2", 1e6), ("sq in", 25.4**2), ("sq ft", 304.8**2), ("sq yd", 914.4**2)],
)
def test_every_unit_of_area_is_the_square_of_its_length(unit: str, mm2: float) -> None:
    assert area(f"3 {unit}") == pytest.approx(3 * mm2, rel=1e-12)


@pytest.mark.parametrize("told", ["0.125 in", "3.175 mm", "8 oz", 3.175])
def test_an_eighth_of_an_inch_is_eight_ounces(told: object) -> None:
    """Common practice: an ounce is 1/64 in."""
    assert thickness(told).low == pytest.approx(3.175)


def test_what_is_too_large_for_leather_ends_just_beyond_the_limit() -> None:
    assert (length("1000 m"), area("1000000 m2"), thickness("50 mm").high) == (1e6, 1e12, 50)
    with pytest.raises(InputError):
        thickness(True)
    for read, told in ((length, "1000.0001 m"), (area, "1000001 m2"), (thickness, "50.1 mm"), (thickness, "0 mm")):
        with pytest.raises(InputError):
            read(told)  # type: ignore[operator]
    assert thickness("2-2 mm").low == 2
    with pytest.raises(InputError):
        thickness("3-2 mm")


def test_numbers_alone_take_the_units_they_are_told() -> None:
    assert (length(2, "in"), area(2, "cm"), area(0.5), area("0.5 mm2")) == (50.8, 200, 0.5, 0.5)
    with pytest.raises(InputError, match="“2 acres” has no known unit"):
        area("2 acres")
    with pytest.raises(InputError, match="“140” has no unit"):
        length("140")
    with pytest.raises(InputError, match="“3 ells” has the unknown unit “ells”"):
        length("3 ells")
    with pytest.raises(InputError, match="is no area"):
        area("0 sq ft")


def test_a_thickness_is_a_pair_and_nothing_else() -> None:
    assert thickness([4.0, 4.4]) == thickness("4.0-4.4 mm")
    for told in ([4.0], [4.0, 4.2, 4.4], {"low": 4.0, "high": 4.4}, {1, 2}, None, True):
        with pytest.raises(InputError, match="is no thickness"):
            thickness(told)
