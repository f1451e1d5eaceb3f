"""What a comparison says of money: offcuts keep their part, spares are paid, and a mean promises no hides."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import pytest
from boards import board, box, lain
from hypothesis import given
from hypothesis import strategies as st

from hides.hide import Grade, Thickness, Zone
from nesting.compare.chance import chance
from nesting.compare.comparison import ComparedLeather
from nesting.compare.leather import Leather
from nesting.compare.trial import Trial
from nesting.model.layout import Areas, HideLayout, Layout, ProductCount
from nesting.model.product import Piece, Product

PANEL = Product("case", (Piece("panel", box(0, 0, 100, 600), 1),))


def trial(left: int, zones: tuple[Zone, ...] = ()) -> Trial:
    """A board of 0.6 m² for 60 that gives two panels of 0.06 m², and an offcut of so many tenths of it."""
    hide = board(zones=zones)
    placements = tuple(lain(PANEL.pieces[0], 100.0 * n, 0, number=n + 1) for n in range(2))
    placements = tuple(replace(each, product="case") for each in placements)
    offcuts = (box(1000 - 100 * left, 0, 100 * left, 600),) if left else ()
    on = HideLayout(hide, placements, Areas(0, 0, 0, 0, 0, 0, 0), offcuts)
    layout = Layout((ProductCount("case", 2, 9),), (PANEL,), 0.0, 1, "quick", (on,), False)
    leather = Leather("plain", Thickness(4, 4), per_hide=60.0, currency="EUR", hides=(hide,))
    return Trial(leather, PANEL, (layout,))


def test_what_stays_in_the_offcut_is_not_charged_to_the_products() -> None:
    """Two tenths of the board are panels, six are an offcut, two are waste: panels bear two eighths."""
    assert trial(6).leather_charged == pytest.approx(60 * 2 / 8 / 2)
    assert trial(6).leather_cost == pytest.approx(60 / 2)
    assert trial(0).leather_charged == trial(0).leather_cost


def test_an_offcut_of_lesser_leather_keeps_less() -> None:
    belly = Zone("belly", box(200, 0, 800, 600), Grade.C)
    assert trial(6, (belly,)).leather_charged == pytest.approx(60 * 2 / (2 + 6 * 0.5) / 2)


def test_at_the_break_even_price_the_product_costs_what_was_asked_offcuts_and_all() -> None:
    entry = ComparedLeather(trial(6), 10)
    assert entry.cost is not None
    price = entry.break_even(entry.cost.total + 5.0)
    assert price is not None
    dearer = replace(entry.trial, leather=replace(entry.trial.leather, per_hide=price))
    again = ComparedLeather(dearer, 10).cost
    assert again is not None
    assert again.total == pytest.approx(entry.cost.total + 5.0)


@given(st.integers(0, 14), st.integers(0, 4), st.lists(st.integers(0, 6), min_size=1, max_size=4))
def test_the_chance_of_enough_hides_is_what_counting_all_draws_gives(number: int, hides: int, given: list[int]) -> None:
    draws = list(itertools.product(given, repeat=hides))
    enough = Fraction(sum(sum(draw) >= number for draw in draws), len(draws))
    assert chance(number, hides, given) == pytest.approx(float(enough))
