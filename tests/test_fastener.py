"""Which size of a fastener suits a stack; thread of a seam."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hides.units import thickness
from nesting.making.pick import pick, thread_length, wanted_text
from nesting.model.making import Fastener, Size

EIGHTHS = tuple(Size(f"{n}/8 in", n * 25.4 / 8) for n in range(1, 9))
POST = Fastener("screw post", "post", EIGHTHS)
LAYER = thickness("10-11 oz").middle


@pytest.mark.parametrize(("layers", "size"), [(2, "2/8 in"), (3, "3/8 in")])
def test_two_layers_of_10_11_oz_take_a_quarter_inch_post_and_three_take_three_eighths(layers: int, size: str) -> None:
    """Common practice among makers: the post is a little shorter than the stack."""
    found = pick(POST, layers * LAYER)
    assert found is not None
    assert found.name == size


def test_the_rule_for_posts_holds_in_lists_with_sizes_between() -> None:
    """Common practice again, for a maker who keeps sixteenths too: the 5/16 in post is not short enough for two."""
    sixteenths = Fastener("screw post", "post", tuple(Size(f"{n}/16", n * 25.4 / 16) for n in range(2, 17)))
    two, three = pick(sixteenths, 2 * LAYER), pick(sixteenths, 3 * LAYER)
    assert two is not None
    assert three is not None
    assert (two.name, three.name) == ("4/16", "6/16")


@given(st.floats(0.5, 40))
def test_a_post_is_always_shorter_than_its_stack_and_a_rivet_never(stack: float) -> None:
    post, rivet = pick(POST, stack), pick(Fastener("r", "rivet", EIGHTHS), stack)
    assert post is None or 0.6 * stack - 1e-6 <= (post.length or 0) < stack
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
