"""Which size of a fastener suits a stack; thread of a seam."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.making.pick import pick, rule_text, thread_length, wanted_text
from nesting.model.making import Fastener, Size

EIGHTHS = tuple(Size(f"{n}/8 in", n * 25.4 / 8) for n in range(1, 9))
POST = Fastener("screw post", "post", EIGHTHS)


SIXTEENTHS = tuple(Size(f"{n}/16 in", n * 25.4 / 16) for n in range(2, 17))


@pytest.mark.parametrize("ounces", [10.0, 10.25, 10.5, 10.75, 11.0])
@pytest.mark.parametrize(("layers", "length"), [(2, 6.35), (3, 9.525)])
@pytest.mark.parametrize("sizes", [EIGHTHS, SIXTEENTHS], ids=["eighths", "sixteenths"])
def test_two_layers_of_10_11_oz_take_a_quarter_inch_post_and_three_take_three_eighths(
    sizes: tuple[Size, ...], layers: int, length: float, ounces: float
) -> None:
    """Common practice among makers, over the whole range of the leather, whatever sizes lie between."""
    found = pick(Fastener("screw post", "post", sizes), layers * ounces * 25.4 / 64)
    assert found is not None
    assert found.length == pytest.approx(length)


def test_a_post_serves_what_its_grip_says_and_else_about_1_to_4_mm_more_than_its_length() -> None:
    """From memory: the screw's reach is a few millimetres whatever the stack."""
    post = Fastener("post", "post", (Size("10", 10.0),))
    assert [bool(pick(post, stack)) for stack in (10.7, 11.0, 14.0, 14.3)] == [False, True, True, False]
    stated = Fastener("post", "post", (Size("10", 10.0, grip=(9.0, 12.0)),))
    assert [bool(pick(stated, stack)) for stack in (8.9, 9.0, 12.0, 12.1)] == [False, True, True, False]
    # 60 % of a thick stack does not close: 12 mm of post in 20 mm of leather.
    assert pick(Fastener("post", "post", (Size("12", 12.0),)), 20.0) is None


def test_a_list_that_states_a_share_keeps_its_rule() -> None:
    old = Fastener("post", "post", EIGHTHS, share=(0.6, 0.85))
    assert pick(old, 20.0) == EIGHTHS[4]
    assert "60% to 85%" in rule_text(old)
    assert "1 to 4 mm thicker" in rule_text(POST)


@given(st.floats(0.5, 40))
def test_a_post_is_always_shorter_than_its_stack_and_a_rivet_never(stack: float) -> None:
    post, rivet = pick(POST, stack), pick(Fastener("r", "rivet", EIGHTHS), stack)
    assert post is None or stack - 4.2 - 1e-6 <= (post.length or 0) <= stack - 0.9 + 1e-6
    assert rivet is None or stack - 1e-6 <= (rivet.length or 0) <= stack + 3 + 1e-6


@given(st.floats(0.5, 30), st.floats(0, 10))
def test_a_thicker_stack_never_takes_a_shorter_post(stack: float, more: float) -> None:
    thin, thick = pick(POST, stack), pick(POST, stack + more)
    if thin and thick:
        assert (thick.length or 0) >= (thin.length or 0)


def test_a_rivet_stands_proud_by_at_most_3_mm() -> None:
    """Common practice: a solid rivet is up to 3 mm longer than the stack."""
    rivet = Fastener("rivet", "rivet", (Size("8", 8.0), Size("10", 10.0), Size("14", 14.0)))
    assert [pick(rivet, stack) and pick(rivet, stack).name for stack in (7.9, 8.1, 10.5)] == ["8", "10", None]


def test_a_snap_is_the_one_whose_grip_holds_the_stack_most_closely() -> None:
    snap = Fastener("snap", "snap", (Size("long", grip=(2, 8)), Size("short", grip=(2, 4))))
    assert [(found := pick(snap, stack)) and found.name for stack in (3.0, 5.0, 9.0)] == ["short", "long", None]
    assert wanted_text(snap, 9.0) == "a snap that grips 9.0 mm"


def test_thread_of_a_saddle_stitch_runs_along_and_through_twice() -> None:
    """Derived: 51 holes at 4 mm through 6 mm: two threads of 200 mm along and 306 mm through, and two tails."""
    assert thread_length([4.0] * 50, 6.0, 0.0) == 2 * (200 + 306)
    assert thread_length([4.0] * 50, 6.0, 150.0) == 2 * (200 + 306 + 150)
