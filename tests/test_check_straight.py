"""A straight plan's table against pieces worked out by hand: two strips over a hole, and one along a line of its own.

The board is 1000 by 600 mm. The line runs along y = 100; strip 1 takes y 100 to 200, strip 2, after a kerf of 2 mm, 202
to 252, where a hole parts it at x = 400 to 450. On what is left a second line runs up x = 500, and its strip lies to
its left, x 420 to 500. All reckoning is by the description of `straight` in nesting/FORMATS.md.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from boards import board, box, lain

from hides.hide import Ring
from nesting.check.straight import wrongly_cut
from nesting.model.layout import Areas, HideLayout, Placement
from nesting.model.product import Piece
from nesting.model.straight import CrossCut, StraightPlan, Strip

HOLE = box(400, 195, 50, 60)
CUTS = (CrossCut(1, 0, 300), CrossCut(1, 302, 502))
FIRST = Strip(100, 0, (0, 1), CUTS)
SECOND = Strip(50, 102, (2, 3), (CrossCut(1, 0, 300), CrossCut(2, 0, 200)))
UPRIGHT = StraightPlan(((500, 252), (500, 600)), 90, (Strip(80, 0, (4,), (CrossCut(2, 10, 110),)),))
PLAN = StraightPlan(((0, 100), (1000, 100)), 0, (FIRST, SECOND), 2, beside=(UPRIGHT,))
DOWN = replace(UPRIGHT, angle=-90)
RINGS = [
    box(0, 100, 300, 100), box(302, 100, 200, 100), box(0, 202, 300, 50), box(450, 202, 200, 50),
    box(420, 262, 80, 100), box(600, 300, 100, 100),
]  # fmt: skip


def layout(plan: StraightPlan | None = PLAN, holes: tuple[Ring, ...] = (HOLE,), **moved: Ring) -> HideLayout:
    """The board with its pieces; `p3=ring` puts another in place of the fourth."""
    rings = [moved.get(f"p{n}", ring) for n, ring in enumerate(RINGS)]
    places = tuple(replace(_lain(n), outline=ring) for n, ring in enumerate(rings))
    return HideLayout(board(holes=holes), places, Areas(0, 0, 0, 0, 0, 0, 0), straight=plan)


def _lain(number: int) -> Placement:
    return lain(Piece(f"p{number}", box(0, 0, 1, 1)), 0, 0)


def with_strip(number: int, **changes: object) -> StraightPlan:
    strips = list(PLAN.strips)
    strips[number] = replace(strips[number], **changes)  # type: ignore[arg-type]
    return replace(PLAN, strips=tuple(strips))


def with_cut(strip: int, number: int, **changes: object) -> StraightPlan:
    cuts = list(PLAN.strips[strip].cuts)
    cuts[number] = replace(cuts[number], **changes)  # type: ignore[arg-type]
    return with_strip(strip, cuts=tuple(cuts))


def texts(made: HideLayout) -> list[str]:
    found = list(wrongly_cut(made))
    assert all(fault.code == "straight" and fault.hide == "board" for fault in found)
    return [fault.text for fault in found]


def test_the_table_gives_its_pieces_and_nothing_is_asked_without_one() -> None:
    assert texts(layout()) == []
    assert texts(layout(None)) == []


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (with_strip(0, width=0.0), "strip 1 lies on the one before it, or has no width"),
        (with_strip(0, width=1.0, pieces=(), cuts=()), ""),
        (with_strip(1, pieces=(2, 6)), "strip 2 names the placement 6, which it cannot"),
        (with_strip(1, pieces=(2, -1)), "strip 2 names the placement -1, which it cannot"),
        (with_strip(1, pieces=(0, 3)), "strip 2 names the placement 0, which it cannot"),
        (with_strip(1, cuts=SECOND.cuts[:1]), "strip 2 has 2 pieces and 1 cross-cuts"),
        (with_cut(1, 1, part=3), "strip 2 has 2 parts, and a cut names part 3"),
        (with_cut(1, 0, part=0), "strip 2 has 2 parts, and a cut names part 0"),
        (with_cut(0, 0, end=0.0), "the cross-cuts of strip 1 do not follow one another"),
        (replace(PLAN, beside=(DOWN,)), "the line's marks do not lie at the stated angle of -90°"),
        (replace(PLAN, line=((0, 100), (0.005, 100))), "the line's marks do not lie at the stated angle of 0°"),
    ],
)  # fmt: skip
def test_a_table_that_contradicts_itself_is_found(plan: StraightPlan, said: str) -> None:
    assert (said in texts(layout(plan))) == bool(said)


def test_the_first_placement_may_come_off_a_strip_and_no_other_may_name_it() -> None:
    (said,) = texts(layout(with_strip(0, pieces=(0, 0))))
    assert said == "strip 1 names the placement 0, which it cannot"


IN_AND_OUT = pytest.mark.parametrize(
    ("off", "wrong"), [(0.010001, False), (0.010003, True), (-0.010001, False), (-0.010003, True)]
)


@pytest.mark.parametrize(("into", "wrong"), [(0.0, False), (0.009, False), (0.012, True), (40.0, True)])
def test_a_piece_of_a_later_line_lies_on_what_the_strips_before_it_left(into: float, wrong: bool) -> None:
    """Strips come off from edge to edge, beyond their last piece too: nothing of them is left for the second line."""
    strip = replace(UPRIGHT.strips[0], cuts=(CrossCut(2, -into, 100 - into),))
    plan = replace(PLAN, beside=(replace(UPRIGHT, strips=(strip,)),))
    told = texts(layout(plan, holes=(), p4=box(420, 252 - into, 80, 100)))
    assert any("lies on leather that came off before" in text for text in told) == wrong


@IN_AND_OUT
@pytest.mark.parametrize("side", ["x", "y", "width", "height"])
def test_a_piece_fills_its_rectangle_to_a_hundredth_and_what_rounding_makes(off: float, wrong: bool, side: str) -> None:
    """Each of the four sides; what sticks out or lacks is told with its size."""
    x, y, width, height = 450.0, 202.0, 200.0, 50.0
    ring = {
        "x": box(x + off, y, width - off, height),
        "y": box(x, y + off, width, height - off),
        "width": box(x, y, width + off, height),
        "height": box(x, y, width, height + off),
    }[side]
    found = list(wrongly_cut(layout(p3=ring)))
    assert bool(found) == wrong
    if found:
        assert found[0].by == pytest.approx(abs(off))
        assert found[0].text.endswith(f"is off by {abs(off):.3f} mm from what strip 2 gives by the table")
        assert found[0].where == ring[0]
        assert found[0].pieces == ("“p3” of goods no. 1",)


@pytest.mark.parametrize(("off", "wrong"), [(-0.010001, False), (-0.010003, True), (2.0, False)])
def test_the_kerf_is_kept_between_strips_and_between_cross_cuts(off: float, wrong: bool) -> None:
    apart = with_strip(1, offset=102 + off)
    ring = {f"p{n}": tuple((x, y + off) for x, y in RINGS[n]) for n in (2, 3)}
    upright = replace(UPRIGHT, line=((500, 252 + off), (500, 600)))
    told = texts(layout(replace(apart, beside=(upright,)), p4=box(420, 262 + off, 80, 100), **ring))
    assert told == (["strip 2 lies on the one before it, or has no width"] if wrong else [])
    moved = with_cut(0, 1, start=302 + off, end=502 + off)
    told = texts(layout(moved, p1=box(302 + off, 100, 200, 100)))
    assert told == (["the cross-cuts of strip 1 do not follow one another"] if wrong else [])


def test_cross_cuts_of_one_part_follow_one_another_and_of_two_need_not() -> None:
    swapped = with_strip(0, pieces=(1, 0), cuts=CUTS[::-1])
    assert "the cross-cuts of strip 1 do not follow one another" in texts(layout(swapped))
    assert texts(layout(with_strip(1, pieces=(3, 2), cuts=SECOND.cuts[::-1]))) == []


@pytest.mark.parametrize(("off", "wrong"), [(0.010001, False), (0.010003, True)])
def test_the_marks_of_a_line_lie_on_the_edge_at_its_angle(off: float, wrong: bool) -> None:
    """An angle off by so much turns the far mark aside by as much over the metre."""
    inside = list(wrongly_cut(layout(replace(PLAN, line=((0, 100), (1000 - off, 100))))))
    assert [(f.where, round(f.by, 6)) for f in inside] == ([((1000 - off, 100), off)] if wrong else [])
    for sign in (1, -1):
        turned = replace(PLAN, angle=sign * math.degrees(off / 1000), strips=(), beside=())
        found = list(wrongly_cut(layout(turned)))
        assert [(f.where, round(f.by, 6)) for f in found] == ([((0, 100), off)] if wrong else [])


@pytest.mark.parametrize(("deep", "wrong"), [(0.010001, False), (0.010003, True), (50, True)])
@pytest.mark.parametrize(
    ("place", "said"),
    [
        (lambda deep: box(600, 100 - 100 + deep, 100, 100), "0"),
        (lambda deep: box(600, 252 - deep, 100, 100), "152"),
        (lambda deep: box(500 - deep, 400, 100, 100), "0"),
        (lambda deep: box(420 - 100 + deep, 400, 100, 100), "80"),
    ],
)
def test_no_other_piece_lies_across_a_cut(place: Callable[[float], Ring], said: str, deep: float, wrong: bool) -> None:
    """Cuts run through, so a piece beside the strips may reach over one by no more than a layout may be off."""
    found = list(wrongly_cut(layout(p5=place(deep))))
    assert [f.text for f in found] == (
        [f"“p5” of goods no. 1 lies across the cut {said} mm from the line"] if wrong else []
    )
    assert all(f.where == place(deep)[0] and f.pieces == ("“p5” of goods no. 1",) for f in found)


@pytest.mark.parametrize(("wide", "parts"), [(0.019, 2), (0.05, 3)])
def test_a_sliver_of_a_square_millimetre_is_no_part(wide: float, parts: int) -> None:
    """Of the strip's 50 mm, 0.019 mm are 0.95 mm² and 0.05 mm are 2.5."""
    crack = box(wide, 195, 5 - wide, 60)
    plan = with_strip(1, cuts=(CrossCut(parts - 1, 0, 300), CrossCut(parts, 0, 200)))
    assert texts(layout(plan, holes=(crack, HOLE), p2=box(5, 202, 300, 50))) == []


def test_strips_may_begin_off_the_line() -> None:
    """The line 5 mm lower, all strips 5 mm further from it: they give the same pieces and leave the same leather."""
    strips = tuple(replace(strip, offset=strip.offset + 5) for strip in PLAN.strips)
    assert texts(layout(replace(PLAN, line=((0, 95), (1000, 95)), strips=strips))) == []


@pytest.mark.parametrize(("off", "wrong"), [(0.010001, False), (0.010003, True)])
def test_a_line_of_348_mm_turns_its_far_mark_aside_by_its_own_length(off: float, wrong: bool) -> None:
    turned = replace(UPRIGHT, angle=90 + math.degrees(off / 348), strips=())
    assert bool(texts(layout(replace(PLAN, beside=(turned,))))) == wrong


def test_a_strip_of_half_a_millimetre_is_measured_as_any_other() -> None:
    thin = replace(PLAN, strips=(Strip(0.5, 0, (0,), CUTS[:1]),), beside=())
    assert texts(layout(thin, p0=box(0, 100, 300, 0.5), p4=RINGS[0], p1=RINGS[5], p2=RINGS[5], p3=RINGS[5])) != []
    clear = dict.fromkeys(("p1", "p2", "p3", "p4"), RINGS[5])
    assert texts(layout(thin, p0=box(0, 100, 300, 0.5), **clear)) == []
    assert texts(layout(thin, p0=box(0.012, 100, 299.988, 0.5), **clear)) != []


@pytest.mark.parametrize("turn", [33.0, 90.0, 200.0])
def test_a_hide_turned_with_its_table_gives_the_same_pieces(turn: float) -> None:
    def turned(ring: Ring) -> Ring:
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        return tuple((c * x - s * y + 70, s * x + c * y - 30) for x, y in ring)

    def block(plan: StraightPlan) -> StraightPlan:
        beside = tuple(block(each) for each in plan.beside)
        return replace(plan, line=turned(plan.line), angle=plan.angle + turn, beside=beside)  # type: ignore[arg-type]

    plain = layout()
    places = tuple(replace(each, outline=turned(each.outline)) for each in plain.placements)
    hide = replace(plain.hide, outline=turned(plain.hide.outline), holes=(turned(HOLE),))
    made = replace(plain, hide=hide, placements=places, straight=block(PLAN))
    assert texts(made) == []
    high = replace(places[3], outline=turned(box(450, 202, 200, 50.012)))
    assert len(texts(replace(made, placements=(*places[:3], high, *places[4:])))) == 1
