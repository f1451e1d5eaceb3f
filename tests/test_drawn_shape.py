"""Pieces from drawings: ASTM D6673 patterns, plain DXF and SVG. Files are written with ezdxf or by hand."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf import units
from shapely.geometry import Point, Polygon

from hides.errors import InputError
from hides.finding import Finding
from nesting.project.drawn_shape import drawn_shape
from nesting.project.project_file import read_product
from nesting.project.shapes import TOLERANCE


def pattern(path: Path, draw: Any, block: str = "FLAP") -> Path:
    """A DXF of the standard's kind: release 12, each piece a block, without a unit of its own."""
    document = ezdxf.new("R12")
    draw(document.blocks.new(block))
    document.modelspace().add_blockref(block, (0, 0))
    document.saveas(path)
    return path


def flap(block: Any) -> None:
    """An L of 100 × 60 mm less 40 × 30, its grain along +x; a slot, a drilled point and a drilled circle."""
    block.add_polyline2d(
        [(0, 0), (100, 0), (100, 30), (60, 30), (60, 60), (0, 60)], close=True, dxfattribs={"layer": "1"}
    )
    block.add_line((10, 30), (90, 30), dxfattribs={"layer": "7"})
    block.add_polyline2d([(20, 10), (40, 10), (40, 15), (20, 15)], close=True, dxfattribs={"layer": "11"})
    block.add_point((80, 20), dxfattribs={"layer": "13"})
    block.add_circle((10, 50), 2.5, dxfattribs={"layer": "13"})
    block.add_line((0, 5), (100, 5), dxfattribs={"layer": "14"})
    block.add_point((100, 0), dxfattribs={"layer": "2"})
    block.add_text("PIECE NAME: FLAP", dxfattribs={"layer": "15"})


def test_a_patterns_layers_say_what_is_what(tmp_path: Path) -> None:
    """ASTM D6673-10: boundary 1, grain line 7, internal cutout 11, drill hole 13; sew lines (14) are not cut."""
    shape = drawn_shape(pattern(tmp_path / "flap.dxf", flap), None, "mm")
    assert Polygon(shape.outline).area == pytest.approx(4800)
    assert [Polygon(ring).area for ring in shape.cutouts] == [pytest.approx(100)]
    assert [hole.diameter for hole in shape.holes] == [1.0, 5.0]


def test_the_piece_is_turned_so_that_its_grain_runs_up(tmp_path: Path) -> None:
    """Grain along the drawing's +x: a quarter turn; the box then begins in (0, 0)."""
    shape = drawn_shape(pattern(tmp_path / "flap.dxf", flap), None, "mm")
    assert Polygon(shape.outline).bounds == pytest.approx((0, 0, 60, 100), abs=1e-9)
    assert shape.holes[0].at == pytest.approx((40, 80), abs=1e-9)
    assert Polygon(shape.cutouts[0]).bounds == pytest.approx((45, 20, 50, 40), abs=1e-9)


def test_one_block_of_several_is_named(tmp_path: Path) -> None:
    """Release 12 states no unit: the project file's holds."""
    document = ezdxf.new("R12")
    for name, width in (("BIG", 4), ("SMALL", 2)):
        block = document.blocks.new(name)
        block.add_polyline2d([(0, 0), (width, 0), (width, 1), (0, 1)], close=True, dxfattribs={"layer": "1"})
        document.modelspace().add_blockref(name, (0, 0))
    document.saveas(tmp_path / "set.dxf")
    assert Polygon(drawn_shape(tmp_path / "set.dxf", "SMALL", "in").outline).area == pytest.approx(2 * 25.4**2)
    with pytest.raises(InputError, match="2 outlines"):
        drawn_shape(tmp_path / "set.dxf", None, "in")
    with pytest.raises(InputError, match="did you mean “SMALL”"):
        drawn_shape(tmp_path / "set.dxf", "SMAL", "in")


def plain(path: Path, draw: Any) -> Path:
    document = ezdxf.new("R2010")
    document.units = units.MM
    draw(document.modelspace())
    document.saveas(path)
    return path


def test_a_plain_drawing_is_the_ring_that_holds_all_others(tmp_path: Path) -> None:
    def draw(space: Any) -> None:
        space.add_lwpolyline([(0, 0), (200, 0), (200, 90), (0, 90)], close=True)
        space.add_circle((20, 20), 2)
        space.add_circle((100, 45), 15)
        space.add_line((5, 5), (195, 5))

    shape = drawn_shape(plain(tmp_path / "strap.dxf", draw), None, "mm")
    assert Polygon(shape.outline).area == pytest.approx(18000)
    assert [(hole.at, hole.diameter) for hole in shape.holes] == [((20, 20), 4)]
    assert Polygon(shape.cutouts[0]).area == pytest.approx(math.pi * 225, rel=2e-3)


def test_a_line_called_grain_turns_a_plain_drawing(tmp_path: Path) -> None:
    def draw(space: Any) -> None:
        space.add_lwpolyline([(50, 50), (250, 50), (250, 140), (50, 140)], close=True)
        space.add_line((200, 100), (100, 100), dxfattribs={"layer": "Grain"})

    assert Polygon(drawn_shape(plain(tmp_path / "a.dxf", draw), None, "mm").outline).bounds == pytest.approx(
        (0, 0, 90, 200)
    )


def test_drawn_curves_are_held_by_the_outline_and_no_more_than_the_tolerance(tmp_path: Path) -> None:
    """A slot of two half circles (bulge 1), radius 30: its true curve against the polygon, to twice 0.005 mm."""
    path = plain(
        tmp_path / "slot.dxf",
        lambda space: space.add_lwpolyline(
            [(0, 0, 0), (100, 0, 1), (100, 60, 0), (0, 60, 1)], format="xyb", close=True
        ),
    )
    outline = Polygon(drawn_shape(path, None, "mm").outline)
    for a in range(-90, 91, 2):
        spot = Point(130 + 30 * math.cos(math.radians(a)), 30 + 30 * math.sin(math.radians(a)))
        assert outline.distance(spot) < 0.01
        assert outline.exterior.distance(spot) <= TOLERANCE + 0.01
    assert len(outline.exterior.coords) < 120


SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
<g transform="translate(10,10)">
<path id="flap" d="M 0,0 H 100 V 30 H 60 V 60 H 0 Z"/>
<circle id="rivet" cx="10" cy="10" r="2"/>
<path id="grain" d="M 50,10 V 50"/>
</g></svg>"""


def test_a_piece_from_an_svg_stands_upright(tmp_path: Path) -> None:
    """SVG counts y downwards; the line called “grain” is drawn downwards, so the piece is turned by half a turn."""
    (tmp_path / "flap.svg").write_text(SVG, encoding="utf-8")
    shape = drawn_shape(tmp_path / "flap.svg", None, "mm")
    assert Polygon(shape.outline).bounds == pytest.approx((0, 0, 100, 60), abs=1e-6)
    assert Polygon(shape.outline).area == pytest.approx(4800)
    (hole,) = shape.holes
    assert (hole.at, hole.diameter) == (pytest.approx((90, 10)), pytest.approx(4))
    assert not Polygon(shape.outline).contains(Point(20, 50))


PROJECT = """
format = "hideplan-project-1"
name = "goods"
[[piece]]
name = "flap"
along = "backbone"
shape = {{ drawing = "{file}"{block} }}
holes = [{{ at = [5, 5], diameter = 3 }}]
"""


def test_a_projects_drawing_lies_beside_the_project(tmp_path: Path) -> None:
    pattern(tmp_path / "flap.dxf", flap)
    (tmp_path / "goods.toml").write_text(PROJECT.format(file="flap.dxf", block=', block = "flap"'), encoding="utf-8")
    (piece,) = read_product(tmp_path / "goods.toml").pieces
    assert piece.area == pytest.approx(4800)
    assert [hole.diameter for hole in piece.holes] == [1, 5, 3]
    assert len(piece.cutouts) == 1


def test_what_was_mended_in_a_drawing_is_said(tmp_path: Path) -> None:
    def loose(space: Any) -> None:
        for a, b in (((0, 0), (50, 0)), ((50, 0.02), (50, 30)), ((50, 30), (0, 30)), ((0, 30), (0, 0))):
            space.add_line(a, b)

    plain(tmp_path / "flap.dxf", loose)
    (tmp_path / "goods.toml").write_text(PROJECT.format(file="flap.dxf", block=""), encoding="utf-8")
    said: list[Any] = []
    (piece,) = read_product(tmp_path / "goods.toml", findings=said).pieces
    assert piece.area == pytest.approx(1500, abs=1)
    assert any("joined" in str(finding) for finding in said)


def _mirrored(block: Any) -> None:
    flap(block)
    block.add_line((0, 0), (0, 60), dxfattribs={"layer": "6"})


def _open(block: Any) -> None:
    block.add_polyline2d([(0, 0), (100, 0), (100, 30)], dxfattribs={"layer": "1"})


def _two_grains(block: Any) -> None:
    flap(block)
    block.add_line((10, 10), (10, 50), dxfattribs={"layer": "7"})


def _hole_outside(block: Any) -> None:
    flap(block)
    block.add_point((80, 50), dxfattribs={"layer": "13"})


def _cutout_outside(block: Any) -> None:
    flap(block)
    block.add_polyline2d([(90, 20), (110, 20), (110, 25)], close=True, dxfattribs={"layer": "11"})


def _crossed(block: Any) -> None:
    block.add_polyline2d([(0, 0), (50, 50), (50, 0), (0, 50)], close=True, dxfattribs={"layer": "1"})


@pytest.mark.parametrize(
    ("draw", "told"),
    [
        (_mirrored, "mirror line"),
        (_open, "is open"),
        (_two_grains, "2 grain lines"),
        (_hole_outside, "drill hole outside"),
        (_cutout_outside, "cutout that reaches out"),
        (_crossed, "crosses itself near [25, 25]"),
    ],
)
def test_a_pattern_that_is_not_one_piece_is_refused(tmp_path: Path, draw: Any, told: str) -> None:
    pattern(tmp_path / "flap.dxf", draw)
    (tmp_path / "goods.toml").write_text(PROJECT.format(file="flap.dxf", block=""), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_product(tmp_path / "goods.toml")
    line = str(caught.value)
    assert told in line
    assert line.startswith(f"{tmp_path / 'goods.toml'}: piece “flap”.shape.drawing: flap.dxf")
    assert "\n" not in line


@pytest.mark.parametrize(
    ("file", "block", "told"),
    [
        ("none.dxf", "", "cannot be read"),
        ("flap.png", "", "give .dxf or .svg"),
        ("empty.dxf", "", "no DXF"),
        ("flap.dxf", ', block = "strap"', "block “strap”"),
        ("flap.dxf", ", block = 3", "not a text"),
        ("flap.dxf", ', fold = "x"', "does not go with a drawing"),
    ],
)
def test_a_drawing_that_is_not_there_is_told(tmp_path: Path, file: str, block: str, told: str) -> None:
    pattern(tmp_path / "flap.dxf", flap)
    (tmp_path / "flap.png").write_bytes(b"x")
    (tmp_path / "empty.dxf").write_bytes(b"")
    (tmp_path / "goods.toml").write_text(PROJECT.format(file=file, block=block), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_product(tmp_path / "goods.toml")
    assert told in str(caught.value)
    assert str(caught.value).startswith(str(tmp_path / "goods.toml"))


def test_lines_on_named_layers_are_kept_and_others_told(tmp_path: Path) -> None:
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        '<rect x="10" y="10" width="80" height="60"/><g id="stitching"><rect x="14" y="14" width="72" height="52"/></g>'
        '<path id="fold-1" d="M 10 40 H 90"/><path id="grain" d="M 50 60 V 20"/>'
        '<path id="somehow" d="M 20 20 L 30 30"/>'
        "</svg>"
    )
    (tmp_path / "flap.svg").write_text(text)
    findings: list[Finding] = []
    shape = drawn_shape(tmp_path / "flap.svg", None, "mm", findings)
    assert [(line.kind, len(line.points)) for line in shape.lines] == [("stitch", 5), ("fold", 2)]
    assert shape.cutouts == ()
    assert [str(finding) for finding in findings if finding.code == "line-passed-over"] == [
        "flap.svg, “somehow”: a line is passed over; "
        "a layer or id that names one of fold, crease, stitch, skive, notch, mark keeps them"
    ]
    assert shape.edges.names == ("1", "2", "3", "4")


def test_sew_lines_of_a_pattern_are_stitch_lines(tmp_path: Path) -> None:
    """ASTM D6673-10: layer 14 sew lines, layer 8 internal lines that are not cut."""
    document = ezdxf.new(units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (80, 0), (80, 60), (0, 60)], close=True, dxfattribs={"layer": "1"})
    space.add_line((5, 5), (75, 5), dxfattribs={"layer": "14"})
    space.add_line((5, 30), (95, 30), dxfattribs={"layer": "8"})
    space.add_line((5, 40), (75, 40), dxfattribs={"layer": "5"})
    document.saveas(tmp_path / "p.dxf")
    findings: list[Finding] = []
    shape = drawn_shape(tmp_path / "p.dxf", None, "mm", findings)
    assert [(line.kind, line.points) for line in shape.lines] == [
        ("stitch", ((5, 5), (75, 5))), ("mark", ((5, 30), (80, 30))),
    ]  # fmt: skip
    assert [finding.code for finding in findings] == ["line-passed-over"]


def box(space: Any, layer: str = "0", start: int = 0) -> None:
    corners = [(0, 0), (80, 0), (80, 60), (0, 60)]
    space.add_lwpolyline(corners[start:] + corners[:start], close=True, dxfattribs={"layer": layer})


def line(space: Any, layer: str, y: float = 30) -> None:
    space.add_line((5, y), (75, y), dxfattribs={"layer": layer})


def circles(space: Any, layer: str, diameter: float) -> None:
    for x in (10, 20, 30):
        space.add_circle((x, 10), diameter / 2, dxfattribs={"layer": layer})


PASSED = "a layer or id that names one of fold, crease, stitch, skive, notch, mark keeps them"


@pytest.mark.parametrize(
    ("draw", "told"),
    [
        (lambda s: (box(s), box(s, start=2)), "on layer “0”: was drawn twice and is taken once"),
        (lambda s: (box(s, "a"), box(s, "b", 1)), "on layer “b”: was drawn on layer “a” too and is taken once"),
        (lambda s: (box(s), line(s, "fold", 90)), "a fold line lies beside the outline and is left out"),
        (lambda s: (box(s), line(s, "cut")), f"on layer “cut”: a line is passed over; {PASSED}"),
        (lambda s: (box(s), line(s, "cut"), line(s, "cut", 40)), f"on layer “cut”: 2 lines are passed over; {PASSED}"),
        (
            lambda s: (box(s), circles(s, "stitch", 1)),
            "on layer “stitch”: 3 small circles are stitch lines; on a layer called “stitch holes” they are punched",
        ),
        (
            lambda s: (box(s, "1"), s.add_point((40, 0), dxfattribs={"layer": "4"})),
            "on layer “4”: a point is passed over; drill holes are on layer 13",
        ),
    ],
)
def test_what_is_drawn_twice_or_left_out_is_told_and_never_cut(tmp_path: Path, draw: Any, told: str) -> None:
    findings: list[Finding] = []
    shape = drawn_shape(plain(tmp_path / "p.dxf", draw), None, "mm", findings)
    assert [str(finding).removeprefix("p.dxf, ").removeprefix("p.dxf: ") for finding in findings] == [told]
    assert Polygon(shape.outline).area == pytest.approx(4800)
    assert not shape.cutouts


def test_circles_called_holes_are_punched_on_a_stitch_layer_too(tmp_path: Path) -> None:
    findings: list[Finding] = []
    drawing = plain(tmp_path / "p.dxf", lambda s: (box(s), circles(s, "stitch holes", 1), circles(s, "stitch", 30)))
    shape = drawn_shape(drawing, None, "mm", findings)
    assert [hole.diameter for hole in shape.holes] == [1.0] * 3
    assert {line.kind for line in shape.lines} == {"stitch"}
    assert findings == []


def test_a_pattern_may_name_its_layers_too(tmp_path: Path) -> None:
    """ASTM D6673-10: layer 4 notches; of what has no number there the name counts."""
    findings: list[Finding] = []
    drawing = plain(tmp_path / "p.dxf", lambda s: (box(s, "1"), line(s, "fold"), line(s, "4", 20)))
    shape = drawn_shape(drawing, None, "mm", findings)
    assert [line.kind for line in shape.lines] == ["notch", "fold"]
    assert findings == []


@pytest.mark.parametrize(
    ("draw", "told"),
    [
        (lambda s: box(s, "fold"), "on layer “fold”: is its only closed line, and its name says that it is not cut"),
        (lambda s: (box(s), s.add_circle((80, 30), 5)), "crosses the outline; draw holes inside the piece"),
        (
            lambda s: (box(s), s.add_lwpolyline([(0, 10), (9, 10), (9, 20), (0, 20)], close=True)),
            "has a cutout that reaches out of the outline; draw cutouts inside the piece",
        ),
        (
            lambda s: (box(s), s.add_lwpolyline([(9, 9), (40, 9), (9, 40)], close=True), s.add_circle((25, 25), 12)),
            "has cutouts that cross one another; draw each opening once, as one ring",
        ),
        (lambda s: (line(s, "a"), line(s, "b", 40)), "is open, from [5, 30] to [75, 30]; close it, on one layer"),
    ],
)
def test_a_drawing_without_one_whole_outline_is_refused(tmp_path: Path, draw: Any, told: str) -> None:
    with pytest.raises(InputError) as caught:
        drawn_shape(plain(tmp_path / "p.dxf", draw), None, "mm")
    assert told in str(caught.value)


@pytest.mark.parametrize(("number", "mm"), [(1, 25.4), (2, 304.8), (5, 10), (6, 1000), (10, 914.4), (14, 100), (0, 1)])
def test_a_drawings_own_unit_counts(tmp_path: Path, number: int, mm: float) -> None:
    """DXF reference, header variable $INSUNITS; 0 says nothing."""
    document = ezdxf.new(units=number)
    box(document.modelspace())
    document.saveas(tmp_path / "p.dxf")
    west, south, east, north = Polygon(drawn_shape(tmp_path / "p.dxf", None, "mm").outline).bounds
    assert (east - west, north - south) == pytest.approx((80 * mm, 60 * mm))


def test_a_unit_that_is_not_read_is_not_guessed(tmp_path: Path) -> None:
    """DXF reference: 13 microns."""
    document = ezdxf.new(units=13)
    box(document.modelspace())
    document.saveas(tmp_path / "p.dxf")
    with pytest.raises(InputError, match=r"\$INSUNITS 13\); save it in mm, cm, m, inches or feet"):
        drawn_shape(tmp_path / "p.dxf", None, "mm")


def test_a_style_sheet_that_may_hide_in_a_way_that_is_not_read_is_told(tmp_path: Path) -> None:
    (tmp_path / "p.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        '<style>g .x{display:none}</style><rect width="80" height="60"/><path id="fold" class="x" d="M0 30H80"/></svg>'
    )
    findings: list[Finding] = []
    assert drawn_shape(tmp_path / "p.svg", None, "mm", findings).lines
    assert [finding.code for finding in findings] == ["style-sheet"]


def test_a_letter_that_is_no_path_data_is_told(tmp_path: Path) -> None:
    (tmp_path / "p.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        '<path d="M0 0 H80 V60 H0 Z X"/></svg>'
    )
    with pytest.raises(InputError, match="holds “X”, no part of path data"):
        drawn_shape(tmp_path / "p.svg", None, "mm")
