"""The answer in words: every figure said, which yield is meant, and nothing promised that is not proven."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from layouts import RACK, rectangle, side

from hides.hide import Price
from nesting.model.layout import Areas, HideLayout, Layout, Placement, ProductCount
from nesting.result.answer import ESTIMATE, Shortage, answer_data, answer_text, materials

AREAS = Areas(1_500_000, 1_400_000, 700_000, 60_000, 40_000, 450_000, 250_000)


def layout(complete: int = 3, at_most: int = 5, **changes: object) -> Layout:
    laid = [Placement("panel", "Map rack", n, 0, 0, 0, False, rectangle(1, 1)) for n in range(1, complete + 1)]
    laid.append(Placement("tie", "Map rack", 0, 0, 0, 0, False, rectangle(1, 1)))
    hide = HideLayout(side(**changes), tuple(laid), AREAS, (rectangle(300, 300), rectangle(200, 200)))
    return Layout((ProductCount("Map rack", complete, at_most),), (RACK,), 0, 1, "normal", (hide,))


GOLDEN = """\
S-07: side, 142.0 dm² measured, marked 148.6 dm².

3 complete products of Map rack. No layout can give more than 5.

product   complete  at most  pieces  spare
------------------------------------------
Map rack         3        5       3      1

where the leather goes                        dm²  of the hide
--------------------------------------------------------------
pieces                                       70.0       46.7 %
offcuts (2 of 2.0 dm² or more, 60 mm wide)   45.0       30.0 %
edge strip                                    6.0        4.0 %
unusable flaws                                4.0        2.7 %
scrap                                        25.0       16.7 %
hide                                        150.0      100.0 %

Yield: 46.7 % of the whole hide, 50.0 % of its usable part (140.0 dm²).
Cutting: 0.5 m of knife travel, shared lines once.
Limited by strap (Map rack): no leather of grade A is long enough along the
  backbone.
Material: 50.67 USD of leather a Map rack, counted on the leather bought
  (152.00 USD).
"""


def test_the_answer_reads_like_this() -> None:
    short = Shortage("Map rack", "strap", "no leather of grade A is long enough along the backbone")
    assert answer_text(layout(), [short]) == GOLDEN


def test_the_answer_says_of_what_the_bound_follows() -> None:
    made = layout()
    made = replace(made, counts=(replace(made.counts[0], told_by="the area of leather good enough for its pieces"),))
    assert "than 5. That follows from the area of leather good enough for its pieces." in " ".join(
        answer_text(made).split()
    )
    assert answer_data(made)["products"][0]["told_by"] == "the area of leather good enough for its pieces"
    assert "told_by" not in answer_data(layout())["products"][0]


def test_no_line_is_longer_than_asked() -> None:
    text = answer_text(layout(), [Shortage("Map rack", "strap", "word " * 40)], width=64)
    assert max(map(len, text.splitlines())) <= 64


@pytest.mark.parametrize(
    ("complete", "at_most", "words"),
    [
        (3, 3, "Proven best: no layout can give more."),
        (3, 4, "No layout can give more than 4."),
        (0, 2, "Not one complete “Map rack” was laid. No layout can give more than 2."),
        (0, 0, "Not one complete “Map rack” was laid. Proven: no layout can give one."),
        (1, 2, "1 complete product of Map rack."),
    ],
)
def test_the_bound_is_said_as_far_as_it_goes(complete: int, at_most: int, words: str) -> None:
    assert words in answer_text(layout(complete, at_most))
    assert answer_data(layout(complete, at_most))["products"][0]["claim"] in answer_text(layout(complete, at_most))


def test_an_estimate_is_called_one_and_a_stopped_search_too() -> None:
    plain, guessed = answer_text(layout()), answer_text(layout(estimate=True))
    assert "ESTIMATE" not in plain
    assert "ESTIMATE" in guessed
    assert " ".join(guessed.split()).count(ESTIMATE) == 1
    assert "best so far" in answer_text(replace(layout(), stopped=True))


def test_inches_bring_square_feet() -> None:
    """1.5 m² are 16.146 ft² by the definition of the foot."""
    assert "16.15      100.0 %" in answer_text(layout(), units="in")


def test_material_is_what_was_paid_over_what_was_cut() -> None:
    """16 ft² marked at 9.50 make 152.00; over three products 50.67."""
    assert materials(layout())[0].each == pytest.approx(152 / 3)
    assert materials(layout(complete=0)) == []
    assert materials(layout(price=None)) == []


def test_two_products_share_the_leather_bought_by_their_area() -> None:
    other = replace(RACK, name="Half", pieces=RACK.pieces[:1])
    both = replace(
        layout(), products=(RACK, other), counts=(ProductCount("Map rack", 1, 1), ProductCount("Half", 2, 2))
    )
    shares = {m.product: m.each for m in materials(both)}
    assert shares["Map rack"] + 2 * shares["Half"] == pytest.approx(152)
    assert shares["Map rack"] / shares["Half"] == pytest.approx(RACK.area / other.area)


def test_different_currencies_are_not_added() -> None:
    one = layout()
    other = layout(price=Price(1e-4, "EUR", 1, "dm2"))
    assert materials(replace(one, hides=one.hides + other.hides)) == []


def test_the_data_say_the_same_and_are_json() -> None:
    data = json.loads(json.dumps(answer_data(layout(), [Shortage("Map rack", "strap")])))
    assert data["products"] == [
        {
            "name": "Map rack",
            "complete": 3,
            "at_most": 5,
            "proven_best": False,
            "claim": "No layout can give more than 5.",
            "pieces": 3,
            "spare": 1,
        }
    ]
    assert data["yield"] == {"hide": 0.466667, "usable": 0.5}
    assert data["areas"]["edge"] == 60_000
    assert data["limits"][0]["piece"] == "strap"
