"""Where on the hide pieces may lie by their own wish: asked of the search, and verified by the check."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from shapely.geometry import Polygon
from test_project_file import HEAD, piece, read

from hides.errors import InputError
from hides.hide import Grade, Hide, Ring, Zone
from nesting.check import faults, unchecked
from nesting.laying.case import case_of
from nesting.laying.lay_out import Want, lay_out, solve
from nesting.laying.shortage import shortages
from nesting.model.layout import Layout
from nesting.model.product import Near, Piece, Product
from nesting.model.settings import Settings
from nesting.posing.alike import unlike_places
from nesting.result.layout_file import layout_from_data, layout_to_data

QUICK = Settings(effort="quick")


def box(x: float, y: float, w: float, h: float) -> Ring:
    return ((x, y), (x + w, y), (x + w, y + h), (x, y + h))


SPINE = ((0.0, 200.0), (600.0, 200.0))
WHOLE = Hide("whole", box(0, 0, 600, 400), backbone=SPINE)
ZONED = replace(WHOLE, zones=(Zone("butt", box(0, 0, 200, 400)), Zone("belly", box(400, 0, 200, 400), grade=Grade.C)))


def codes(layout: Layout) -> set[str]:
    return {fault.code for fault in faults(layout)}


def pushed(layout: Layout, dx: float, dy: float, place: int = 0) -> Layout:
    """The layout with one piece shifted."""
    on = layout.hides[0]
    old = on.placements[place]
    moved = replace(old, x=old.x + dx, y=old.y + dy, outline=tuple((x + dx, y + dy) for x, y in old.outline))
    placements = (*on.placements[:place], moved, *on.placements[place + 1 :])
    return replace(layout, hides=(replace(on, placements=placements),))


def test_a_piece_is_kept_off_the_backbone(tmp_path: Path) -> None:
    """Closed form: of 400 mm, 2 × 50 are left free along the backbone, and two rows of 150 go."""
    product = read(tmp_path, piece(shape="{ rectangle = [150, 150] }", off_backbone="50"))
    layout = lay_out(WHOLE, [Want(product)], QUICK)
    assert layout.counts[0].complete == 8
    for placement in layout.hides[0].placements:
        _, low, _, high = Polygon(placement.outline).bounds
        assert high <= 150 + 1e-6 or low >= 250 - 1e-6
    upper = next(i for i, p in enumerate(layout.hides[0].placements) if Polygon(p.outline).bounds[1] > 200)
    assert "off backbone" in codes(pushed(layout, 0, -0.1, upper))
    assert "off backbone" not in codes(pushed(layout, 0, -0.005, upper))


def test_a_piece_comes_from_the_regions_it_names(tmp_path: Path) -> None:
    product = read(tmp_path, piece(shape="{ rectangle = [100, 100] }", **{"from": '["Butt", "back"]'}))
    layout = lay_out(ZONED, [Want(product)], QUICK)
    assert layout.counts[0].complete == 8
    assert all(Polygon(p.outline).bounds[2] <= 200 + 1e-6 for p in layout.hides[0].placements)
    right = max(range(8), key=lambda i: Polygon(layout.hides[0].placements[i].outline).bounds[2])
    assert "region" in codes(pushed(layout, 0.1, 0, right))


def test_a_hide_without_such_regions_serves_whole_and_the_check_says_so(tmp_path: Path) -> None:
    product = read(tmp_path, piece(shape="{ rectangle = [100, 100] }", **{"from": '"butt"'}))
    layout = lay_out(WHOLE, [Want(product)], QUICK)
    assert layout.counts[0].complete == 24
    assert unchecked(layout) == ["hide “whole” names no butt, so where “back” lies was not checked"]
    butt = lay_out(replace(WHOLE, cut="butt"), [Want(product)], QUICK)
    assert (butt.counts[0].complete, unchecked(butt)) == (24, [])


PAIR = (
    HEAD
    + """[[piece]]
name = "ear"
hand = "both"
pair = "mirrored"
pair_within = "%s"
along = "backbone"
shape = { polygon = [[0, 0], [80, 0], [0, 120]] }
"""
)


def test_a_pair_lies_mirrored_or_is_no_complete_product(tmp_path: Path) -> None:
    product = read(tmp_path, PAIR % "150 mm")
    layout = lay_out(WHOLE, [Want(product)], QUICK)
    count = layout.counts[0]
    assert 0 < count.complete <= count.at_most
    assert not faults(layout)
    side = replace(WHOLE, outline=box(0, 200, 600, 200))
    half = lay_out(side, [Want(product)], QUICK)
    assert half.counts[0].complete < count.complete
    far = read(tmp_path, PAIR % "1 mm")
    strict = layout_from_data(layout_to_data(layout))
    assert strict == replace(layout, products=(replace(product, source=""),))
    assert codes(replace(layout, products=(far,))) <= {"pair"}


def test_the_check_finds_a_pair_on_unlike_leather(tmp_path: Path) -> None:
    product = read(tmp_path, PAIR.replace("along", 'grade = "C"\nalong') % "300 mm")
    layout = lay_out(WHOLE, [Want(product)], QUICK)
    assert not faults(layout)
    lower = Zone("worse", box(0, 0, 600, 200), grade=Grade.C)
    spoilt = replace(layout, hides=(replace(layout.hides[0], hide=replace(WHOLE, zones=(lower,))),))
    assert "pair" in codes(spoilt)


def near(tmp_path: Path, within: str) -> Product:
    return read(
        tmp_path,
        HEAD + '[[piece]]\nname = "front"\nshape = { rectangle = [100, 200] }\n[[piece]]\nname = "tab"\n'
        f'near = [{{ piece = "front", within = "{within}" }}]\nshape = {{ rectangle = [40, 40] }}\n',
    )


def test_pieces_near_each_other_are_numbered_so(tmp_path: Path) -> None:
    layout = lay_out(WHOLE, [Want(near(tmp_path, "600 mm"), limit=6)], QUICK)
    assert layout.counts[0].complete == 6
    tight = lay_out(WHOLE, [Want(near(tmp_path, "90 mm"), limit=6)], QUICK)
    assert not faults(tight)
    assert tight.counts[0].complete <= layout.counts[0].complete
    assert codes(replace(layout, products=(near(tmp_path, "10 mm"),))) <= {"near"}
    assert "near" in codes(replace(layout, products=(near(tmp_path, "10 mm"),)))


def test_products_are_laid_together_where_their_pieces_are_to_lie_near(tmp_path: Path) -> None:
    """Derived: fronts 60 and pads 40 mm wide fill a strip of 400 mm as four of each, and every pad has a front of its
    own within 55 mm only where the two lie side by side."""
    strip = Hide("strip", box(0, 0, 400, 60), backbone=((0.0, 30.0), (400.0, 30.0)))
    pieces = (
        Piece("front", box(0, 0, 60, 60)),
        Piece("pad", box(0, 0, 40, 60), angles=(0.0, 90.0), near=(Near("front", 55.0),)),
    )
    case = case_of(strip, [Want(Product("Pad", pieces))], QUICK)
    layout = solve(case)
    assert (layout.counts[0].complete, layout.counts[0].at_most) == (4, 4)
    assert not faults(layout)
    far = (pieces[0], replace(pieces[1], near=(Near("front", 20.0),)))
    case = case_of(strip, [Want(Product("Pad", far))], QUICK)
    layout = solve(case)
    assert layout.counts[0].complete == 0
    (short,) = shortages(case, layout)
    assert short.piece == "pad"
    assert short.why == "no place was found for one more within 20 mm of its “front”"


def test_a_hide_without_a_backbone_is_told(tmp_path: Path) -> None:
    bare = replace(WHOLE, backbone=None)
    for fields in ({"off_backbone": "9"}, {"hand": '"both"', "pair": '"mirrored"'}):
        with pytest.raises(InputError, match="states no backbone; add two points"):
            lay_out(bare, [Want(read(tmp_path, piece(**fields)))], QUICK)


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"off_backbone": "-3"}, "off_backbone: comes to -3 mm"),
        ({"from": "[3]"}, "from: is [3]; name regions"),
        ({"near": '[{ piece = "back", within = 9 }]'}, "piece “back”.near: names the piece itself"),
        ({"near": '[{ piece = "other" }]'}, "near[0].within: is missing"),
        ({"pair": '"mirrored"'}, 'add hand = "both"'),
        ({"pair": '"matched"', "hand": '"both"'}, "unknown “matched”"),
        ({"pair_within": "9"}, 'add pair = "mirrored"'),
    ],
)
def test_a_slip_in_a_place_gets_one_line(tmp_path: Path, fields: dict[str, str], told: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, piece(**fields))
    assert told in str(caught.value)
    assert "piece “back”" in str(caught.value)


def test_pairs_are_laid_mirrored_by_construction(tmp_path: Path) -> None:
    """Closed form: two triangles head to tail are 120 × 80 mm, and half the hide, 600 × 200 mm, holds ten: 20 pairs.

    Were the places not mirrored on purpose, hardly one partner would lie within a millimetre of its place.
    """
    product = read(tmp_path, PAIR % "1 mm")
    layout = lay_out(WHOLE, [Want(product)], QUICK)
    assert layout.counts[0].complete >= 16
    assert not faults(layout)


def test_on_a_side_pairs_are_sought_near_the_backbone(tmp_path: Path) -> None:
    """Mirrored places lie off the leather, so partners are two that both lie near the backbone."""
    side = Hide("side", ((0, 0), (1000, 0), (1000, 900), (0, 900)), backbone=((0, 0), (1000, 0)))
    product = read(tmp_path, PAIR % "240 mm" + "tolerance = 20\n")
    layout = lay_out(side, [Want(product)], QUICK)
    assert layout.counts[0].complete >= 6
    assert not faults(layout)


def test_beside_pieces_that_stay_pairs_are_sought_near_the_backbone_too(tmp_path: Path) -> None:
    """Every other piece of a side's pairs stays, and as many pairs are had again."""
    side = Hide("side", ((0, 0), (1000, 0), (1000, 900), (0, 900)), backbone=((0, 0), (1000, 0)))
    product = read(tmp_path, PAIR % "240 mm" + "tolerance = 20\n")
    before = lay_out(side, [Want(product)], QUICK)
    kept = tuple(replace(p, keep=True) for p in before.hides[0].placements if p.number)[::2]
    layout = solve(case_of(side, [Want(product)], QUICK, kept))
    assert layout.counts[0].complete >= before.counts[0].complete
    assert sum(p.keep for p in layout.hides[0].placements) == len(kept)
    assert not faults(layout)


def test_other_pieces_lie_beside_mirrored_pairs(tmp_path: Path) -> None:
    tab = '[[piece]]\nname = "tab"\ncount = 2\nshape = { rectangle = [60, 60] }\n'
    layout = lay_out(WHOLE, [Want(read(tmp_path, PAIR % "1 mm" + tab))], replace(QUICK, gap=2.0))
    assert layout.counts[0].complete >= 6
    assert not faults(layout)


def test_pairs_keep_to_leather_of_like_grade_on_both_sides(tmp_path: Path) -> None:
    """Derived: on half the length one side is worse than the other; the other half, 300 × 200 mm folded, holds four
    boxes of 120 × 80 mm or more, each of two pairs. The pieces may lie on either grade."""
    product = read(tmp_path, PAIR.replace("along", 'grade = "C"\nalong') % "1 mm")
    lower = Zone("worse", box(0, 0, 300, 200), grade=Grade.C)
    layout = lay_out(replace(WHOLE, zones=(lower,)), [Want(product)], QUICK)
    assert layout.counts[0].complete >= 7
    assert not faults(layout)


def test_where_the_mirrored_place_is_of_another_grade_is_told() -> None:
    lower = Zone("worse", box(0, 0, 300, 200), grade=Grade.C)
    both = Zone("alike", box(400, 0, 200, 400), grade=Grade.B)
    unlike = unlike_places(replace(WHOLE, zones=(lower, both)), 200.0)
    assert unlike.area == pytest.approx(300 * 400)
    assert unlike_places(replace(WHOLE, zones=(both,)), 200.0).is_empty


SHOE = (
    PAIR
    + """tolerance = 10
[[piece]]
name = "tongue"
near = [{ piece = "ear left", within = "%s" }]
shape = { rectangle = [60, 60] }
"""
)


def test_pairs_and_pieces_near_them_are_laid_together(tmp_path: Path) -> None:
    side = Hide("side", ((0, 0), (1000, 0), (1000, 900), (0, 900)), backbone=((0, 0), (1000, 0)))
    for hide, within in ((WHOLE, "150 mm"), (side, "240 mm")):
        layout = lay_out(hide, [Want(read(tmp_path, SHOE % (within, "130 mm")))], QUICK)
        assert layout.counts[0].complete >= 5, hide.name
        assert not faults(layout)
        wrong = replace(layout, products=(read(tmp_path, SHOE % (within, "20 mm")),))
        assert codes(wrong) == {"near"}
