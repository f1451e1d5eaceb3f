"""Lengths and areas as people read them."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

import nesting.result.wording
from hides.units import length
from nesting.result.wording import area_text, count_text, length_text, money, share_text


def test_the_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(nesting.result.wording).failed == 0


@pytest.mark.parametrize(
    ("mm", "text"),
    [(0, "0"), (25.4, "1"), (12.7, "1/2"), (-38.1, "-1 1/2"), (0.4, "0"), (-0.4, "0"), (25.4 * 15.99 / 16, "1")],
)
def test_inches_are_written_as_reduced_fractions(mm: float, text: str) -> None:
    assert length_text(mm, "in") == text


@given(st.floats(-5000, 5000), st.sampled_from([16, 32]))
def test_a_written_inch_reads_back_to_half_a_fraction(mm: float, part: int) -> None:
    text = length_text(mm, "in", part=part)
    assert length(f"{text} in") == pytest.approx(mm, abs=25.4 / part / 2 + 1e-9)


@given(st.floats(-5000, 5000), st.sampled_from([0.1, 0.5, 1.0]))
def test_a_written_millimetre_reads_back_to_half_a_step(mm: float, step: float) -> None:
    assert float(length_text(mm, step=step)) == pytest.approx(mm, abs=step / 2 + 1e-6)


def test_a_square_foot_is_written_as_one() -> None:
    """1 ft² = 92 903.04 mm² exactly (international yard and pound agreement, 1959)."""
    assert area_text(92903.04, "in") == "1.00 sq ft"
    assert area_text(92903.04) == "9.3 dm²"


def test_small_words() -> None:
    assert share_text(1, 3) == "33.3 %"
    assert share_text(0, 0) == "–"
    assert money(1234.5, "USD") == "1 234.50 USD"
    assert (count_text(1, "piece"), count_text(2, "piece"), count_text(2, "tie", "ties")) == (
        "1 piece",
        "2 pieces",
        "2 ties",
    )
