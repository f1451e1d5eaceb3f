"""DXF drawings made with ezdxf, read back, against areas worked out by hand."""

from __future__ import annotations

import contextlib
import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.layouts import Modelspace
from ezdxf.math import closed_uniform_bspline
from hypothesis import given, settings
from shapely.geometry import Polygon
from strategies import star_rings

from hides.drawing import Drawing, drawing_from_bytes, read_drawing
from hides.errors import InputError
from hides.hide import Point


def dxf(draw: Callable[[Modelspace], object], units: int = 4, document: Document | None = None) -> bytes:
    document = document or ezdxf.new()
    document.header["$INSUNITS"] = units
    draw(document.modelspace())
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def read(draw: Callable[[Modelspace], object], units: int = 4, **options: Any) -> Drawing:
    return drawing_from_bytes(dxf(draw, units), "h.dxf", **options)


def area(drawing: Drawing) -> float:
    return Polygon(drawing.rings[0].ring()).area


def test_a_polyline_with_bulges_has_its_area() -> None:
    # a stadium: a square of 100 with a half circle on two sides, one drawn the other way round
    corners = [(0, 0, 0), (100, 0, 1), (100, 100, 0), (0, 100, 1)]
    drawing = read(lambda space: space.add_lwpolyline(corners, format="xyb", close=True))
    assert area(drawing) == pytest.approx(1e4 + math.pi * 50**2, rel=2e-3)
    dented = [(0, 0, 0), (100, 0, -1), (100, 100, 0), (0, 100, -0.5)]
    drawing = read(lambda space: space.add_lwpolyline(dented, format="xyb", close=True))
    half = math.pi * 50**2 / 2
    # a bulge of 1/2 is an arc of 4 atan(1/2) over a chord of 100: sagitta 25, radius 62.5
    angle = 4 * math.atan(0.5)
    segment = 62.5**2 / 2 * (angle - math.sin(angle))
    assert area(drawing) == pytest.approx(1e4 - half - segment, rel=2e-3)


@pytest.mark.parametrize(
    ("draw", "expected"),
    [
        (lambda space: space.add_circle((50, 60), 40), math.pi * 40**2),
        (lambda space: space.add_ellipse((5, 5), major_axis=(60, 20), ratio=0.5), math.pi * (60**2 + 20**2) * 0.5),
        (lambda space: space.add_polyline2d([(0, 0), (80, 0), (80, 50)], close=True), 2000),
        (lambda space: space.add_polyline3d([(0, 0, 1), (80, 0, 2), (80, 50, 3)], close=True), 2000),
    ],
)
def test_closed_entities_have_their_areas(draw: Callable[[Modelspace], object], expected: float) -> None:
    assert area(read(draw)) == pytest.approx(expected, rel=3e-3)


def test_a_closed_spline_is_one_ring() -> None:
    spline = closed_uniform_bspline([(0, 0), (100, 0), (100, 100), (0, 100)])
    drawing = read(lambda space: space.add_spline().set_closed([(0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0)]))
    assert len(drawing.rings) == 1
    exact = Polygon([(point.x, point.y) for point in spline.approximate(4000)]).area
    assert area(drawing) == pytest.approx(exact, rel=2e-3)


def test_curves_stay_within_the_tolerance() -> None:
    for tolerance in (0.05, 0.5):
        drawing = read(lambda space: space.add_circle((0, 0), 900), tolerance=tolerance)
        ring = Polygon(drawing.rings[0].ring())
        nearest = min(math.hypot(*point) for point in zip(*ring.exterior.segmentize(0.5).xy, strict=True))
        assert 900 - tolerance * 1.001 <= nearest


def loose(space: Modelspace) -> None:
    space.add_line((0, 0), (100, 0))
    space.add_line((100, 100), (0, 100))
    space.add_arc((100, 50), 50, -90, 90)
    space.add_line((0, 100.04), (0, 0))


def test_loose_lines_and_arcs_that_meet_are_one_ring_and_this_is_said() -> None:
    drawing = read(loose)
    assert len(drawing.shapes) == 1
    assert area(drawing) == pytest.approx(1e4 + math.pi * 50**2 / 2, rel=2e-3)
    assert [finding.code for finding in drawing.findings] == ["joined"]


def test_loose_lines_on_different_layers_are_not_joined() -> None:
    def draw(space: Modelspace) -> None:
        space.add_line((0, 0), (100, 0), {"layer": "a"})
        space.add_line((100, 0), (0, 100), {"layer": "b"})

    assert len(read(draw).shapes) == 2


def test_where_three_ends_meet_nothing_is_joined() -> None:
    def draw(space: Modelspace) -> None:
        for end in ((100, 0), (0, 100), (-100, 0)):
            space.add_line((0, 0), end)

    assert len(read(draw).shapes) == 3


def test_an_open_outline_names_its_two_ends() -> None:
    drawing = read(lambda space: space.add_lwpolyline([(0, 0), (100, 0), (100, 100)]))
    with pytest.raises(InputError, match=r"on layer “0”: is open, from \[0, 0\] to \[100, 100\]; close it"):
        drawing.shapes[0].ring()


def test_what_is_drawn_twice_is_taken_once() -> None:
    def draw(space: Modelspace) -> None:
        space.add_line((0, 0), (100, 0))
        space.add_line((100, 0), (0, 0))

    drawing = read(draw)
    assert len(drawing.shapes) == 1
    assert [finding.code for finding in drawing.findings] == ["drawn-twice"]


@pytest.mark.parametrize(("code", "mm"), [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000), (14, 100)])
def test_the_units_of_the_header_hold(code: int, mm: float) -> None:
    drawing = read(lambda space: space.add_lwpolyline([(0, 0), (2, 0), (2, 2)], close=True), code)
    assert area(drawing) == pytest.approx(2 * mm**2)


def test_a_drawing_without_units_is_asked_for_them() -> None:
    content = dxf(lambda space: space.add_circle((0, 0), 2), units=0)
    with pytest.raises(InputError, match=r"h\.dxf: does not say its unit; say it with --units mm, cm or in"):
        drawing_from_bytes(content, "h.dxf")
    assert drawing_from_bytes(content, "h.dxf", units="in").rings[0].circle.diameter == pytest.approx(101.6)  # type: ignore[union-attr]
    assert drawing_from_bytes(content, "h.dxf", fallback="cm").rings[0].circle.diameter == pytest.approx(40)  # type: ignore[union-attr]


def test_units_that_are_given_overrule_the_header_and_this_is_said() -> None:
    drawing = read(lambda space: space.add_circle((0, 0), 2), units=1, fallback="cm")
    assert drawing.findings == ()
    drawing = drawing_from_bytes(dxf(lambda space: space.add_circle((0, 0), 2), 1), "h.dxf", units="mm")
    assert [finding.code for finding in drawing.findings] == ["units-overruled"]


def pattern(insert: bool = True) -> Document:
    """A piece as ASTM D6673 has it: a block with boundary, grain line, cutout and drill hole on numbered layers."""
    document = ezdxf.new("R2000")
    block = document.blocks.new("LOOP-M")
    block.add_polyline2d([(0, 0), (40, 0), (40, 300), (0, 300)], close=True, dxfattribs={"layer": "1"})
    block.add_line((20, 10), (20, 290), {"layer": "7"})
    block.add_circle((20, 150), 5, {"layer": "11"})
    block.add_point((20, 20), {"layer": "13"})
    block.add_text("UNITS: METRIC")
    if insert:
        document.modelspace().add_blockref("LOOP-M", (500, 0), {"rotation": 90})
    return document


def test_a_block_is_read_as_it_is_defined() -> None:
    content = dxf(lambda _: None, 0, pattern())
    drawing = drawing_from_bytes(content, "p.dxf", block="loop-m")
    by_layer = {shape.names.layer: shape for shape in drawing.shapes}
    assert set(by_layer) == {"1", "7", "11"}
    assert by_layer["1"].ring() == ((0, 0), (40, 0), (40, 300), (0, 300))
    assert by_layer["7"].points == ((20, 10), (20, 290))
    assert by_layer["11"].circle is not None
    assert by_layer["11"].circle.diameter == 10
    assert [(mark.at, mark.names.layer) for mark in drawing.marks] == [((20, 20), "13")]


def test_a_block_that_is_laid_out_is_read_in_its_place() -> None:
    drawing = drawing_from_bytes(dxf(lambda _: None, 0, pattern()), "p.dxf")
    ring = drawing.named("LOOP-M")[0]
    assert Polygon(ring.ring()).bounds == pytest.approx((200, 0, 500, 40))
    assert drawing.marks[0].at == pytest.approx((480, 20))


def test_the_one_block_of_a_drawing_that_lays_nothing_out_is_taken_and_this_is_said() -> None:
    drawing = drawing_from_bytes(dxf(lambda _: None, 0, pattern(insert=False)), "p.dxf")
    assert len(drawing.shapes) == 3
    assert "block-taken" in [finding.code for finding in drawing.findings]


def test_a_mirrored_and_stretched_block_keeps_its_arcs() -> None:
    document = ezdxf.new()
    block = document.blocks.new("B")
    block.add_lwpolyline([(0, 0, 0), (100, 0, 1), (100, 100, 0), (0, 100, 0)], format="xyb", close=True)
    document.modelspace().add_blockref("B", (0, 0), {"xscale": -2, "yscale": 1})
    drawing = drawing_from_bytes(dxf(lambda _: None, 4, document), "b.dxf")
    assert area(drawing) == pytest.approx(2 * (1e4 + math.pi * 50**2 / 2), rel=2e-3)
    assert Polygon(drawing.rings[0].ring()).bounds == pytest.approx((-300, 0, 0, 100), abs=0.1)


def test_a_layer_that_is_switched_off_and_text_are_passed_over_and_this_is_said() -> None:
    document = ezdxf.new()
    document.layers.add("guides").off()
    space = document.modelspace()
    space.add_circle((0, 0), 50)
    space.add_circle((0, 0), 60, {"layer": "guides"})
    space.add_text("S-07")
    drawing = drawing_from_bytes(dxf(lambda _: None, 4, document), "b.dxf")
    assert len(drawing.shapes) == 1
    assert [str(each) for each in drawing.findings] == [
        "1 × CIRCLE on a layer that is switched off passed over",
        "1 × TEXT passed over",
    ]


def test_a_name_that_is_not_there_is_met_with_the_nearest() -> None:
    drawing = read(lambda space: space.add_circle((0, 0), 5, {"layer": "outline"}))
    assert drawing.named("OUTLINE") == drawing.shapes
    with pytest.raises(InputError, match=r"h\.dxf: unknown layer or id “outlin”; did you mean “outline”\?"):
        drawing.named("outlin")


@settings(max_examples=10)
@given(star_rings())
def test_any_ring_comes_back_from_a_polyline(ring: tuple[Point, ...]) -> None:
    drawing = read(lambda space: space.add_lwpolyline(ring, close=True))
    assert Polygon(drawing.rings[0].ring()).equals_exact(Polygon(ring), 1e-5)


def endless() -> bytes:
    document = ezdxf.new()
    previous = document.blocks.new("B0")
    previous.add_circle((0, 0), 1)
    for i in range(1, 9):
        block = document.blocks.new(f"B{i}")
        for j in range(10):
            block.add_blockref(f"B{i - 1}", (j, 0))
    document.modelspace().add_blockref("B8", (0, 0))
    return dxf(lambda _: None, 4, document)


def two_blocks() -> bytes:
    document = pattern(insert=False)
    document.blocks.new("OTHER").add_circle((0, 0), 5)
    return dxf(lambda _: None, 4, document)


SLIPS: dict[str, tuple[Callable[[], bytes], str]] = {
    "an empty file": (lambda: b"", "is no DXF drawing"),
    "another file": (lambda: b"\x89PNG\r\n\x1a\n" + bytes(500), "is no DXF drawing"),
    "a text": (lambda: b"SECTION of a letter", "is no DXF drawing that can be read"),
    "a drawing without shapes": (lambda: dxf(lambda space: None), "holds no shape"),
    "a drawing of text only": (lambda: dxf(lambda space: space.add_text("x")), "holds no shape"),
    "a coordinate that is not finite": (
        lambda: dxf(lambda space: space.add_line((0, 0), (1, 1))).replace(b" 11\n1.0", b" 11\nnan"),
        "not finite",
    ),
    "a coordinate of 10^9": (lambda: dxf(lambda space: space.add_line((0, 0), (1e9, 1))), "more than a kilometre away"),
    "a spline without bounds": (
        lambda: dxf(lambda space: space.add_spline().set_open_uniform([(0, 0, 0), (1e30, 9, 0), (9, 0, 0), (5, 5, 0)])),
        "a curve reaches further than a kilometre",
    ),
    "an ellipse without bounds": (
        lambda: dxf(lambda space: space.add_ellipse((0, 0), (1e30, 0), 0.5)),
        "a curve reaches further than a kilometre",
    ),
    "a circle without bounds": (lambda: dxf(lambda space: space.add_circle((0, 0), 1e30)), "further than a kilometre"),
    "blocks that multiply without end": (endless, "comes to more than 50000 entities"),
    "several blocks and none laid out": (two_blocks, "has 2 blocks (LOOP-M, OTHER); name one of them"),
    "a binary drawing": (lambda: b"AutoCAD Binary DXF\r\n\x1a\x00" + bytes(50), "is a binary DXF"),
}


@pytest.mark.parametrize(("content", "told"), SLIPS.values(), ids=SLIPS.keys())
def test_a_drawing_that_cannot_be_used_is_refused_in_one_line(content: Callable[[], bytes], told: str) -> None:
    with pytest.raises(InputError) as caught:
        drawing_from_bytes(content(), "h.dxf")
    assert str(caught.value).startswith("h.dxf: ")
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_drawing_cut_short_is_refused_or_read_as_far_as_it_goes() -> None:
    content = dxf(loose)
    for share in (0.1, 0.5, 0.9, 0.97):
        with contextlib.suppress(InputError):
            assert drawing_from_bytes(content[: int(len(content) * share)], "h.dxf").shapes


def test_other_files_and_missing_ones_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"h\.pdf: “.pdf” is no drawing that can be read; give .dxf or .svg"):
        drawing_from_bytes(b"", "h.pdf")
    with pytest.raises(InputError, match="cannot be read"):
        read_drawing(tmp_path / "none.dxf")
    with pytest.raises(InputError, match="“px” is no unit of a drawing"):
        drawing_from_bytes(b"", "h.dxf", units="px")
    with pytest.raises(InputError, match="unknown block “X”"):
        drawing_from_bytes(dxf(lambda space: space.add_circle((0, 0), 5)), "h.dxf", block="X")
