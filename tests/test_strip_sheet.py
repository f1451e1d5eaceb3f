"""The strip sheet: what is written on its drawing can be read, also where there are many lines."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from problems import plain_hide, product, strap
from shapely.geometry import Polygon, box

from nesting.drawing.labels import Label
from nesting.drawing.scene import Area, Page, Text
from nesting.drawing.sheet_style import SheetStyle
from nesting.drawing.strip_sheet import strip_pages
from nesting.laying.lay_out import lay_out
from nesting.model.layout import Layout
from nesting.model.settings import Settings
from nesting.model.straight import StraightRules
from nesting.model.want import Want


def stepped(turned: bool) -> Layout:
    """Twenty-five straps in two steps and a panel beyond the upper one: three lines, one of them across."""
    outline: tuple[tuple[float, float], ...] = ((0, 0), (1802, 0), (1802, 101), (1402, 101), (1402, 212), (0, 212))
    if turned:
        outline = tuple((1802 - x, 212 - y) for x, y in outline)
    hide = replace(plain_hide(1802, 212), outline=outline)
    made = product(strap("strap", 20, 600, count=25), strap("panel", 110, 200, count=1))
    return lay_out(hide, [Want(made)], Settings(gap=0, effort="quick", straight=StraightRules()))


def sheet(layout: Layout) -> Page:
    return strip_pages(layout, layout.hides[0], SheetStyle())[0]


def box_of(text: Text) -> Polygon:
    """The ground of words in the drawing, which stand about their middle."""
    dropped = text.at[1] - Label(text.words, text.at, text.height).text("words").at[1]
    return Label(text.words, (text.at[0], text.at[1] + dropped), text.height).box()


@pytest.mark.parametrize("turned", [False, True])
def test_names_of_marks_and_numbers_of_strips_lie_on_nothing(turned: bool) -> None:
    """Every mark is named once, off the pieces and off all else that is written on the drawing."""
    layout = stepped(turned)
    plan = layout.hides[0].straight
    assert plan is not None
    assert len(plan.blocks) == 3
    page = sheet(layout)
    names = [item for item in page.items if isinstance(item, Text) and item.words.startswith("line ")]
    assert sorted(name.words for name in names) == [f"line {n}, mark {m}" for n in (1, 2, 3) for m in (1, 2)]
    low = min(y for item in page.items if isinstance(item, Area) for ring in item.rings for _, y in ring)
    numbers = [t for t in page.items if isinstance(t, Text) and t.words.isdigit() and t.at[1] > low]
    pieces = [Polygon(item.rings[0]) for item in page.items if isinstance(item, Area) and item.layer == "small piece"]
    assert len(pieces) == 26
    for name in names:
        assert not any(piece.intersects(box_of(name)) for piece in pieces)
        assert box(0, 0, page.width, page.height).contains(box_of(name))
    for one, other in combinations([*names, *numbers], 2):
        assert not box_of(one).intersects(box_of(other))


def test_narrow_strips_are_numbered_like_a_ruler() -> None:
    """Strips of 20 mm on a hide of 1.8 m are 2 mm wide on paper: of five, one and five strips these."""
    page = sheet(stepped(False))
    low = min(y for item in page.items if isinstance(item, Area) for ring in item.rings for _, y in ring)
    numbers = [t.words for t in page.items if isinstance(t, Text) and t.words.isdigit() and t.at[1] > low]
    assert numbers == ["1", "5", "1", "1", "5"]
