"""SVG drawings against areas worked out by hand and positions the standard gives."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from strategies import star_rings

from hides.drawing import Drawing, drawing_from_bytes
from hides.errors import InputError
from hides.hide import Point

NAMESPACES = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
)
SIZE = 'width="200mm" height="100mm" viewBox="0 0 200 100"'


def svg(body: str, size: str = SIZE) -> bytes:
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<svg {NAMESPACES} {size}>{body}</svg>'.encode()


def read(body: str, size: str = SIZE, **options: Any) -> Drawing:
    return drawing_from_bytes(svg(body, size), "h.svg", **options)


def ring(body: str, size: str = SIZE) -> Polygon:
    return Polygon(read(body, size).rings[0].ring())


@pytest.mark.parametrize(
    ("body", "area"),
    [
        ('<path d="M0 0h10v20H0z"/>', 200),
        ('<path d="m 5,5 10,0 0,10 -10,0 Z"/>', 100),
        ('<path d="M10-5L20-5 20,5z"/>', 50),
        ('<path d="M0 0 Q10 20 20 0z"/>', 2 / 3 * 20 * 10),  # a parabola: two thirds of its box
        ('<path d="M0 0 Q5 10 10 0 T20 0 V30 H0 z"/>', None),
        ('<path d="M0,0 C0,10 30,10 30,0 Z"/>', 3 / 4 * 30 * 10 * 0.8),
        ('<path d="M0,0 C0,10 15,10 15,5 S30,0 30,10 V-10 H0 Z"/>', None),
        ('<path d="M0 0 A10 10 0 0 0 20 0 z"/>', math.pi * 50),
        ('<path d="M0 0 A10 10 0 0 1 20 0 z"/>', math.pi * 50),
        ('<path d="M0 0 a 1 1 0 0 1 20 0 z"/>', math.pi * 50),  # radii too small are scaled up (SVG 1.1, F.6.6)
        ('<path d="M10 0 A10 10 0 1 1 0 10 L10 10z"/>', math.pi * 100 * 3 / 4),
        ('<path d="M0 0 A20 10 0 0 0 40 0 z"/>', math.pi * 200 / 2),
        ('<path d="M0 0 A10 20 90 0 0 40 0 z"/>', math.pi * 200 / 2),
        ('<path d="M0 0a10 10 0 0020 0a10 10 0 00-20 0"/>', math.pi * 100),  # flags run together
        ('<rect x="5" y="6" width="30" height="20"/>', 600),
        ('<rect width="30" height="20" rx="-5"/>', 600),
        ('<rect width="30" height="20" rx="5"/>', 600 - (4 - math.pi) * 25),
        ('<rect width="30" height="20" rx="100" ry="5"/>', 600 - (4 - math.pi) * 15 * 5),
        ('<circle cx="50" cy="50" r="20"/>', math.pi * 400),
        ('<circle cx="5cm" cy="2in" r="20mm"/>', None),
        ('<ellipse cx="50" cy="50" rx="20" ry="10"/>', math.pi * 200),
        ('<polygon points="0,0 10,0 10,10"/>', 50),
        ('<polygon points="0 0 10 0 10 10"/>', 50),
        ('<polyline points="0,0 10,0 10,10 0,0"/>', 50),
    ],
)
def test_shapes_have_their_areas(body: str, area: float | None) -> None:
    found = Polygon(read(body, tolerance=0.002).rings[0].ring())
    assert found.is_valid
    if area is not None:
        assert found.area == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize("radius", [500, 5000])
def test_arcs_stay_within_the_tolerance(radius: float) -> None:
    size = 'width="20000mm" height="10000mm" viewBox="0 0 20000 10000"'
    found = ring(f'<path d="M{-radius} 0 A{radius} {radius} 0 0 0 {radius} 0 z"/>', size)
    centre = (0, 10000)
    reach = [math.dist(centre, point) for point in zip(*found.exterior.segmentize(5).xy, strict=True)]
    assert max(reach) <= radius + 1e-5
    arc = [r for r, y in zip(reach, found.exterior.segmentize(5).xy[1], strict=True) if y < 9990]
    assert min(arc) >= radius - 0.0501


def test_y_points_upwards_and_the_lower_left_corner_is_the_origin() -> None:
    assert ring('<rect x="10" y="70" width="30" height="20"/>').bounds == pytest.approx((10, 10, 40, 30))


@pytest.mark.parametrize(
    ("size", "mm"),
    [
        ('width="200mm" height="100mm" viewBox="0 0 200 100"', 1),
        ('width="20cm" height="10cm" viewBox="0 0 200 100"', 1),
        ('width="10in" height="5in" viewBox="0 0 10 5"', 25.4),
        ('width="200mm" viewBox="0 0 100 50"', 2),
        ('width="96px" height="48px" viewBox="0 0 96 48"', 25.4 / 96),
        ('width="960" height="480"', 25.4 / 96),
        ('width="72pt" height="36pt" viewBox="0 0 72 36"', 25.4 / 72),
        ('width="200mm" height="100mm" viewBox="10 20 100 50"', 2),
        # a page wider than its viewBox: the scale is the smaller one
        ('width="400mm" height="100mm" viewBox="0 0 200 100"', 1),
    ],
)
def test_width_and_viewbox_give_the_scale(size: str, mm: float) -> None:
    assert ring('<rect x="1" y="1" width="3" height="2"/>', size).area == pytest.approx(6 * mm**2, rel=1e-5)


def test_a_page_that_is_to_be_stretched_is() -> None:
    size = 'width="400mm" height="100mm" viewBox="0 0 200 100" preserveAspectRatio="none"'
    assert ring('<rect width="3" height="2"/>', size).bounds == pytest.approx((0, 98, 6, 100))


def test_a_drawing_without_size_is_asked_for_its_units() -> None:
    for size in ("", 'viewBox="0 0 10 10"', 'width="100%" viewBox="0 0 10 10"'):
        with pytest.raises(InputError, match=r"h\.svg: does not say its size; say --units mm, cm or in"):
            read('<rect width="3" height="2"/>', size)
    assert Polygon(read('<rect width="3" height="2"/>', "", units="cm").shapes[0].ring()).area == 600


def test_pixels_are_said() -> None:
    assert [each.code for each in read('<rect width="3" height="2"/>', 'width="10" height="10"').findings] == ["pixels"]


@pytest.mark.parametrize(
    ("transform", "corner"),
    [
        ("translate(5)", (5, 100)),
        ("translate(5,-3)", (5, 103)),
        ("scale(2)", (0, 100)),
        ("translate(10,10) rotate(90)", (10, 90)),
        ("rotate(180, 20, 20)", (40, 60)),
        ("matrix(1 0 0 1 7 8)", (7, 92)),
        ("translate(1,2) translate(3 4)", (4, 94)),
        ("skewX(45) translate(0,10)", (10, 90)),
    ],
)
def test_transforms_are_done_from_the_inside_outwards(transform: str, corner: Point) -> None:
    drawing = read(f'<g transform="{transform}"><path d="M0 0 L1 0 L0 1z"/></g>')
    assert drawing.shapes[0].points[0] == pytest.approx(corner)


def test_nested_groups_transform_one_after_another() -> None:
    rect = '<rect transform="translate(1)" width="1" height="1"/>'
    body = f'<g transform="translate(100,0)"><g transform="scale(2)">{rect}</g></g>'
    assert ring(body).bounds == pytest.approx((102, 98, 104, 100))


LAYERS = """
<g inkscape:groupmode="layer" inkscape:label="leather" id="layer1">
  <path id="path7" inkscape:label="outline" d="M0 0h100v50H0z"/>
  <g id="marks"><circle id="hole1" cx="20" cy="20" r="2"/></g>
</g>
<g inkscape:groupmode="layer" inkscape:label="hidden" style="display: none"><rect width="5" height="5"/></g>
<defs><symbol id="tab"><rect width="4" height="3"/></symbol><rect id="bar" width="9" height="1"/></defs>
<use xlink:href="#tab" x="10" y="10"/><use href="#bar" transform="translate(0,50)"/>
<text>S-07</text><image width="5" height="5"/>
"""


def test_shapes_go_by_label_id_layer_and_group() -> None:
    drawing = read(LAYERS)
    outline = drawing.named("outline")[0]
    assert outline.names.layer == "leather"
    for name in ("path7", "leather", "layer1"):
        assert outline in drawing.named(name)
    hole = drawing.named("marks")[0]
    assert hole.circle is not None
    assert (hole.circle.centre, hole.circle.diameter) == ((20, 80), 4)
    assert hole.names.layer == "leather"


def test_uses_are_placed_and_known_by_what_they_show() -> None:
    drawing = read(LAYERS)
    assert Polygon(drawing.named("tab")[0].ring()).bounds == pytest.approx((10, 87, 14, 90))
    assert Polygon(drawing.named("bar")[0].ring()).bounds == pytest.approx((0, 49, 9, 50))


def test_what_is_hidden_or_no_shape_is_passed_over_and_this_is_said() -> None:
    assert sorted(str(each) for each in read(LAYERS).findings) == [
        "1 × <g> that is not displayed passed over",
        "1 × <image> passed over",
        "1 × <text> passed over",
    ]


def shown(sheet: str, attributes: str) -> bool:
    """Whether a rectangle is read beside another one."""
    drawing = read(f'<style>{sheet}</style><rect width="9" height="9"/><rect {attributes} width="5" height="5"/>')
    assert len(drawing.findings) == 2 - len(drawing.shapes)
    return len(drawing.shapes) == 2


@pytest.mark.parametrize(
    ("sheet", "attributes", "is_shown"),
    [
        (".st0{display:none;}", 'class="st0"', False),
        ("\n .st0 , #b { fill: none; visibility : HIDDEN }", 'id="b"', False),
        (".st0{display:none !important}", 'class="st1 st0"', False),
        (".st0{display:none}", 'class="st1"', True),
        (".st0{display:none}", 'id="st0"', True),
        ("/* .st0{display:none} */", 'class="st0"', True),
        (".st0{display:none} .st0{display:inline}", 'class="st0"', True),
        (".a{display:inline} .b{display:none}", 'class="b a"', False),
        ("#b{display:inline} .a{display:none}", 'class="a" id="b"', True),
        (".a{display:none}", 'class="a" style="display: inline"', True),
        (".a{display:inline}", 'class="a" display="none"', True),
        ("", 'style="visibility:hidden"', False),
        ("", 'visibility="hidden"', False),
    ],
)
def test_what_a_style_sheet_hides_by_class_or_id_is_not_read(sheet: str, attributes: str, is_shown: bool) -> None:
    """By the cascade of CSS 2: inline, then id, then class, a later rule before an earlier one, then the attribute."""
    assert shown(sheet, attributes) is is_shown


def test_a_class_that_hides_a_group_hides_all_in_it() -> None:
    drawing = read(
        '<style>.x{display:none}</style><rect width="9" height="9"/><g class="x"><rect width="5" height="5"/></g>'
    )
    assert len(drawing.shapes) == 1
    assert [str(each) for each in drawing.findings] == ["1 × <g> that is not displayed passed over"]


@pytest.mark.parametrize("sheet", ["rect{display:none}", "g .x{display:none}", "@media print{.x{display:none}}"])
def test_rules_of_another_form_are_told_and_not_obeyed(sheet: str) -> None:
    drawing = read(f'<style>{sheet}</style><g><rect class="x" width="5" height="5"/></g>')
    assert len(drawing.shapes) == 1
    assert [each.code for each in drawing.findings] == ["style-sheet"]


def test_a_style_sheet_for_print_alone_hides_nothing() -> None:
    drawing = read('<style media="print">.x{display:none}</style><rect class="x" width="5" height="5"/>')
    assert len(drawing.shapes) == 1
    assert [each.code for each in drawing.findings] == ["style-sheet"]


def test_one_element_is_read_by_itself() -> None:
    assert len(read(LAYERS, block="tab").shapes) == 1
    assert len(read(LAYERS, block="layer1").shapes) == 2
    with pytest.raises(InputError, match=r"h\.svg: unknown id “tabs”; did you mean “tab”\?"):
        read(LAYERS, block="tabs")


def test_loose_lines_in_one_group_are_joined() -> None:
    body = '<g id="o"><line x1="0" y1="0" x2="9" y2="0"/><path d="M9 0 V9"/><polyline points="0.05,0 0,9 9,9"/></g>'
    drawing = read(body)
    assert [shape.closed for shape in drawing.shapes] == [True]
    assert drawing.rings[0].ring()


@settings(max_examples=30)
@given(star_rings(), st.floats(-3, 3), st.floats(0.2, 3))
def test_any_polygon_keeps_its_area_under_turn_and_scale(points: tuple[Point, ...], turn: float, scale: float) -> None:
    told = " ".join(f"{x},{y}" for x, y in points)
    body = f'<polygon transform="rotate({math.degrees(turn)}) scale({scale})" points="{told}"/>'
    assert ring(body).area == pytest.approx(Polygon(points).area * scale**2, rel=1e-6)


BOMB = b"""<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>
<svg xmlns="http://www.w3.org/2000/svg" width="1mm" height="1mm"><text>&b;</text></svg>"""
STRANGER = b"""<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>
<svg xmlns="http://www.w3.org/2000/svg"><text>&x;</text></svg>"""
SLIPS: dict[str, tuple[bytes, str]] = {
    "an empty file": (b"", "is not well-formed XML"),
    "a file cut short": (svg('<rect width="3" height="2"/>')[:-9], "is not well-formed XML"),
    "another file": (b"%PDF-1.7", "is not well-formed XML"),
    "another XML": (b"<html/>", "is no SVG drawing (its root is <html>)"),
    "an entity bomb": (BOMB, "declares XML entities"),
    "an entity from outside": (STRANGER, "declares XML entities"),
    "no geometry": (svg("<text>S-07</text><image/>"), "holds no shape"),
    "an empty drawing": (svg(""), "holds no shape"),
    "shapes without size": (svg('<rect width="0" height="5"/><path d=""/><circle r="0"/>'), "holds no shape"),
    "elements without end": (svg("<g>" * 300 + "</g>" * 300), "nests deeper than 200"),
    "a path that is none": (svg('<path id="p" d="M 0 0 L x y"/>'), "“p”: holds “x”, no part of path data"),
    "a path without start": (svg('<path id="p" d="L 0 0 5 5"/>'), "its path data"),
    "a path cut short": (svg('<path d="M 0 0 C 1 2 3"/>'), "its path data"),
    "an infinite path": (svg('<path d="M 0 0 L 1e999 0 L 5 5"/>'), "not finite"),
    "a curve without bounds": (svg('<path id="p" d="M0 0C 1e300 5 9 9 5 5z"/>'), "“p”: a curve reaches further than"),
    "an arc without bounds": (svg('<path d="M0 0A 1e300 5 0 0 0 1e300 5z"/>'), "h.svg: "),
    "a coordinate of 10^9": (svg('<path id="p" d="M 0 0 L 1e9 0 L 5 5z"/>'), "more than a kilometre away"),
    "a transform that is none": (svg('<g transform="turn(5)"><path d="M0 0h1"/></g>'), "transform “turn(5)”"),
    "a transform of words": (svg('<g transform="scale(a)"><path d="M0 0h1"/></g>'), "“a” is no list of numbers"),
    "a transform with too few numbers": (svg('<g transform="matrix(1 2)"><path d="M0 0h1"/></g>'), "cannot be read"),
    "points of words": (svg('<polygon id="p" points="a b"/>'), "“p”: “a b” is no list of numbers"),
    "points that are not pairs": (svg('<polygon id="p" points="0 0 5"/>'), "its points are not pairs"),
    "an unknown unit": (svg('<rect width="3ell" height="2"/>'), "“3ell” is no length of an SVG"),
    "a viewBox of nothing": (svg("<g/>", 'width="5mm" viewBox="0 0 0 5"'), "has no size"),
    "a page of nothing": (svg('<rect width="1" height="1"/>', 'width="0mm" viewBox="0 0 5 5"'), "is no size"),
    "a use of nothing": (svg('<use id="u" href="#gone"/>'), "“u”: a <use> shows nothing"),
    "a use of itself": (svg('<g id="g"><use href="#g"/></g>'), "or itself"),
}


@pytest.mark.parametrize(("content", "told"), SLIPS.values(), ids=SLIPS.keys())
def test_a_drawing_that_cannot_be_used_is_refused_in_one_line(content: bytes, told: str) -> None:
    with pytest.raises(InputError) as caught:
        drawing_from_bytes(content, "h.svg")
    assert str(caught.value).startswith("h.svg: ")
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_plain_doctype_is_let_be() -> None:
    doctype = b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    content = svg('<rect width="3" height="2"/>').replace(b"?>\n", b"?>" + doctype)
    assert len(drawing_from_bytes(content, "h.svg").shapes) == 1
